"""README.md and DEVELOPERS.md say what the code does."""

from __future__ import annotations

import re
import tomllib
from fnmatch import fnmatchcase
from pathlib import Path

import click
import pytest

from cli.main import main
from cli.plan import DEFAULT_TIME_LIMIT
from nesting.jobfile import read_job
from nesting.reading.keys import Table
from nesting.reading.tables import ALL_TABLES
from shared.tables import MATERIALS

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]

OPTIONS = [
    (command.name, option)
    for command in main.commands.values()
    for parameter in command.params
    if isinstance(parameter, click.Option)
    for option in parameter.opts
]
MODULES = sorted(
    path.relative_to(ROOT).as_posix()
    for package in ("shared", "nesting", "cli")
    for path in (ROOT / package).rglob("*.py")
    if path.name != "__init__.py"
)


def listed_packages() -> list[str]:
    lists = [PROJECT["dependencies"], *PROJECT["optional-dependencies"].values()]
    return [re.split(r"[<>=!~\[ ]", line)[0] for group in lists for line in group]


@pytest.mark.parametrize("command", list(main.commands))
def test_readme_tells_every_command(command: str) -> None:
    assert f"`reskin {command}" in README


@pytest.mark.parametrize(("command", "option"), OPTIONS)
def test_readme_tells_every_option(command: str, option: str) -> None:
    about = README.split(f"`reskin {command}", maxsplit=1)[1]
    assert f"`{option}" in about


def test_readme_tells_the_time_limit_that_is_in_force() -> None:
    assert f"({DEFAULT_TIME_LIMIT:.0f} unless given)" in README


@pytest.mark.parametrize("table", ALL_TABLES, ids=lambda table: table.noun)
def test_readme_explains_every_key_of_the_job_file(table: Table) -> None:
    names = [key.name for key in table.keys if not key.table]
    assert [name for name in names if f"`{name}`" not in README and f"{name} =" not in README] == []


@pytest.mark.parametrize("material", MATERIALS)
def test_readme_names_every_material(material: str) -> None:
    assert f"`{material}`" in README


def test_readme_example_is_a_job_without_mistakes_or_doubts(tmp_path: Path) -> None:
    example = re.search(r"<!-- example -->\n```toml\n(.*?)```", README, re.DOTALL)
    assert example
    job_file = tmp_path / "my-bus.toml"
    job_file.write_text(example[1], encoding="utf-8")
    assert read_job(job_file).warnings == ()


PROGRAMS = re.findall(r"```python\n(.*?)```", README, re.DOTALL)


@pytest.mark.parametrize("program", PROGRAMS, ids=range(len(PROGRAMS)))
def test_readme_program_runs_as_written(program: str, capsys: pytest.CaptureFixture[str]) -> None:
    exec(compile(program, "README.md", "exec"), {})
    said = capsys.readouterr().out.splitlines()
    assert said[0].startswith("optimal ")
    assert len(said) > 1


def test_readme_shows_programs() -> None:
    assert len(PROGRAMS) == 2


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_documents_point_at_what_is_there(text: str) -> None:
    targets = re.findall(r"\]\(([^)#]+)\)", text)
    assert [target for target in targets if not (ROOT / target).exists()] == []


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_documents_name_make_targets_that_are_there(text: str) -> None:
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    for target in re.findall(r"^make ([a-z-]+)|`make ([a-z-]+)", text, re.MULTILINE):
        name = "".join(target)
        assert re.search(rf"^{name}:", makefile, re.MULTILINE), name


@pytest.mark.parametrize("package", listed_packages())
def test_developers_says_why_each_dependency_is_there(package: str) -> None:
    assert f"`{package}`" in DEVELOPERS


@pytest.mark.parametrize("module", MODULES)
def test_developers_tells_every_module(module: str) -> None:
    told = re.findall(r"`((?:shared|nesting|cli)/[\w/*]+\.py)`", DEVELOPERS)
    assert [pattern for pattern in told if fnmatchcase(module, pattern)]


def test_developers_tells_no_module_that_is_gone() -> None:
    told = re.findall(r"`((?:shared|nesting|cli|tests)/[\w/*]+\.py)`", DEVELOPERS)
    assert [pattern for pattern in told if not list(ROOT.glob(pattern))] == []


def test_every_package_is_pinned_by_name_and_version_only() -> None:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if not re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.]+", line)] == []
    pinned = {line.split("==")[0].lower() for line in lines}
    assert set(listed_packages()) <= pinned
