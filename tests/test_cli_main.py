"""The command group: help without the heavy libraries, errors as exit codes."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from cli.main import PlannerGroup, main
from shared.errors import PlannerError

ROOT = Path(__file__).resolve().parent.parent
HEAVY = ("nesting", "shapely", "ortools", "ezdxf", "reportlab", "svgwrite", "numpy")


def failing_group(error: BaseException) -> click.Group:
    """A group whose one command raises ``error``."""

    @click.command()
    def fail() -> None:
        raise error

    group = PlannerGroup()
    group.add_command(fail)
    return group


def test_help_loads_no_heavy_library() -> None:
    code = (
        "import sys; import cli.main\n"
        "try:\n    cli.main.main(['--help'])\nexcept SystemExit:\n    pass\n"
        f"sys.exit(','.join(sorted(set({HEAVY!r}) & set(sys.modules))))"
    )
    ran = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.stderr == "\n"
    assert "plan" in ran.stdout


@pytest.mark.parametrize("command", [[], *([name] for name in main.commands)])
def test_every_command_has_help(command: list[str]) -> None:
    shown = CliRunner().invoke(main, [*command, "--help"])
    assert shown.exit_code == 0
    assert max(map(len, shown.stdout.splitlines())) <= 80
    for option in (main.commands[command[0]] if command else main).params:
        if isinstance(option, click.Option):
            assert option.help


def test_version_is_one_line() -> None:
    shown = CliRunner().invoke(main, ["--version"])
    assert shown.exit_code == 0
    assert shown.stdout.startswith("reskin ")
    assert shown.stdout.count("\n") == 1


def test_what_the_user_can_mend_exits_1_with_its_message_on_stderr() -> None:
    ran = CliRunner().invoke(failing_group(PlannerError("bay 3 is wider than any sheet")), ["fail"])
    assert ran.exit_code == 1
    assert ran.stderr == "reskin: bay 3 is wider than any sheet\n"
    assert ran.stdout == ""


def test_a_bug_of_ours_keeps_its_traceback() -> None:
    ran = CliRunner().invoke(failing_group(ZeroDivisionError("ours")), ["fail"])
    assert isinstance(ran.exception, ZeroDivisionError)


def test_an_interrupt_outside_the_search_exits_130() -> None:
    ran = CliRunner().invoke(failing_group(KeyboardInterrupt()), ["fail"])
    assert ran.exit_code == 130


def test_an_unknown_command_is_a_usage_error() -> None:
    assert CliRunner().invoke(main, ["plann"]).exit_code == 2
