"""Data flows one way, and so do imports; each outside library has one home."""

from __future__ import annotations

import ast
import sys
from fnmatch import fnmatch
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("shared", "nesting", "cli")
MODULES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
NESTING = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts): path
    for path in MODULES
    if path.is_relative_to(ROOT / "nesting") and path.name != "__init__.py"
}

MAY_IMPORT = {"shared": {"shared"}, "nesting": {"shared", "nesting"}, "cli": {"shared", "nesting", "cli"}}

# The list of homes may grow, one library to a subject; a second home for a subject is a mistake.
HOMES = {
    "click": ["cli/*.py"],
    "ezdxf": ["nesting/documents/dxf.py", "nesting/drawingfile.py"],
    "ortools": [
        "nesting/master.py",
        "nesting/knapsack.py",
        "nesting/bars.py",
        "nesting/firstplan.py",
        "nesting/freefitting.py",
        "nesting/assigning.py",
        "nesting/compacting.py",
        "nesting/barmaster.py",
        "nesting/barchoice.py",
    ],
    "reportlab": ["nesting/documents/printed*.py"],
    "shapely": ["nesting/*.py"],
    "svgwrite": ["nesting/documents/svg.py"],
    "numba": ["nesting/kernels*.py"],
    "numpy": ["nesting/*.py"],
    "distributed": ["cli/cluster.py"],
}

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


@pytest.mark.parametrize("module", sorted((ROOT / "nesting").glob("*.py")), ids=name_of)
def test_only_the_output_folder_imports_documents(module: Path) -> None:
    reaches = {name for name in imports(module) if name.startswith("nesting.documents")}
    assert not reaches or module.stem == "output"


def test_the_check_shares_no_code_with_what_it_checks() -> None:
    reached = reachable("nesting.check")
    assert len(reached) > len(VALUES)
    assert {name for name in reached - VALUES if not name.startswith("nesting.check")} == set()


def test_nesting_imports_run_in_no_circle() -> None:
    # static_order raises CycleError, which names the modules of the circle
    tuple(TopologicalSorter({name: neighbours(name) for name in NESTING}).static_order())


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
