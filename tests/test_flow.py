"""Data flows one way, and so do imports; each outside library has one home."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from fnmatch import fnmatch
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PACKAGES = ("shared", "nesting", "cli")
MODULES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
NESTING = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts): path
    for path in MODULES
    if path.is_relative_to(ROOT / "nesting") and path.name != "__init__.py"
}

OUTSIDE_DOCUMENTS = [path for path in NESTING.values() if "documents" not in path.parts]

MAY_IMPORT = {"shared": {"shared"}, "nesting": {"shared", "nesting"}, "cli": {"shared", "nesting", "cli"}}

# The list of homes may grow, one library to a subject; a second home for a subject is a mistake.
HOMES = {
    "click": ["cli/*.py"],
    "ezdxf": [
        "nesting/checking/drawnfile.py",
        "nesting/documents/dxf.py",
        "nesting/reading/drawingfile.py",
    ],
    "ortools": [
        "nesting/programme/master.py",
        "nesting/programme/knapsack.py",
        "nesting/programme/bars.py",
        "nesting/programme/firstplan.py",
        "nesting/placing/freefitting.py",
        "nesting/programme/assigning.py",
        "nesting/packers/compacting.py",
        "nesting/framing/barmaster.py",
        "nesting/framing/barchoice.py",
    ],
    "reportlab": ["nesting/documents/paper/*.py"],
    "shapely": ["nesting/*.py"],
    "svgwrite": ["nesting/documents/svg.py"],
    "numba": ["nesting/*/kernels*.py"],
    "numpy": ["nesting/*.py"],
    "distributed": ["cli/cluster.py"],
}

ROOMS = (
    "taping",
    "sizing",
    "checking",
    "framing",
    "shaping",
    "skin",
    "placing",
    "rivets",
    "programme",
    "reading",
    "ordering",
    "plans",
    "packers",
    "starting",
    "documents",
    "documents.screen",
    "documents.paper",
    "documents.raises",
)
"""The packages of `nesting`, each below those that it may import; DEVELOPERS.md lists them in this order."""

VALUES = {
    "nesting.job",
    "nesting.plan",
    "nesting.outline",
    "nesting.readings",
    "nesting.status",
    "nesting.barstock",
    "nesting.orderrules",
    "nesting.orderneeds",
}
"""What the independent check may share with the code that it judges."""


def imports(module: Path) -> set[str]:
    """Dotted names that a module imports, inside functions too."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: imports are written in full"
            assert node.module
            found.add(node.module)
            found.update(f"{node.module}.{alias.name}" for alias in node.names)
    return found


def name_of(module: Path) -> str:
    return module.relative_to(ROOT).as_posix()


def tops(module: Path) -> set[str]:
    return {name.split(".")[0] for name in imports(module)}


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_packages_import_only_downwards(module: Path) -> None:
    package = module.relative_to(ROOT).parts[0]
    assert tops(module) & set(PACKAGES) <= MAY_IMPORT[package]
    assert "tests" not in tops(module)


def test_shared_needs_only_the_standard_library() -> None:
    outside = {
        top for module in (ROOT / "shared").rglob("*.py") for top in tops(module) - sys.stdlib_module_names
    }
    assert outside <= {"shared"}


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_each_library_is_imported_only_in_its_home(module: Path) -> None:
    outside = tops(module) - sys.stdlib_module_names - set(PACKAGES)
    assert outside <= set(HOMES), "name the home of a new library in HOMES and in DEVELOPERS.md"
    for library in outside:
        assert any(fnmatch(name_of(module), home) for home in HOMES[library]), library


@pytest.mark.parametrize("module", OUTSIDE_DOCUMENTS, ids=name_of)
def test_only_the_output_folder_imports_documents(module: Path) -> None:
    reaches = {name for name in imports(module) if name.startswith("nesting.documents")}
    assert not reaches or module.stem == "output"


@pytest.mark.parametrize("judge", ["check", "drawn", "drawnfile"])
def test_the_check_shares_no_code_with_what_it_checks(judge: str) -> None:
    reached = reachable(f"nesting.checking.{judge}")
    assert len(reached) > 2
    assert {name for name in reached - VALUES if not name.startswith("nesting.checking.")} == set()


def test_nesting_imports_run_in_no_circle() -> None:
    # static_order raises CycleError, which names the modules of the circle
    tuple(TopologicalSorter({name: neighbours(name) for name in NESTING}).static_order())


def test_rooms_are_those_that_there_are() -> None:
    found = {room_of(name) for name in NESTING} - {""}
    assert found == set(ROOMS)
    told = re.findall(r"^\| `nesting/([\w/]+)/\*\.py`", DEVELOPERS, re.MULTILINE)
    assert tuple(room.replace("/", ".") for room in told) == ROOMS


def test_every_package_is_installed() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    installed = set(project["tool"]["setuptools"]["packages"])
    assert installed == {path.parent.relative_to(ROOT).as_posix().replace("/", ".") for path in MODULES}


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_knows_only_those_above_it(room: str) -> None:
    known = {room_of(used) for name in NESTING if room_of(name) == room for used in neighbours(name)}
    assert known - {"", room} <= set(ROOMS[: ROOMS.index(room)])


def room_of(name: str) -> str:
    """The package that a module of `nesting` lies in; nothing for what lies in `nesting` itself."""
    return ".".join(name.split(".")[1:-1])


def neighbours(name: str) -> set[str]:
    """Modules of `nesting` that the named module of `nesting` imports directly."""
    return imports(NESTING[name]) & set(NESTING)


def reachable(name: str) -> set[str]:
    """The named module and every module of `nesting` that loading it loads."""
    found: set[str] = set()
    waiting = [name]
    while waiting:
        module = waiting.pop()
        if module not in found:
            found.add(module)
            waiting.extend(neighbours(module))
    return found


def test_solvers_leave_the_interrupt_to_the_command_line() -> None:
    # CP-SAT takes Ctrl-C over by default: no stop would reach `should_stop`, and the process can die of it.
    for module in MODULES:
        text = module.read_text(encoding="utf-8")
        assert "CpSolver(" not in text or "catch_sigint_signal = False" in text, name_of(module)
