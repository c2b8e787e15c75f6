"""The shell completes commands, options, their values and file names."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from cli.main import main

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def asked(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *words: str) -> list[str]:
    """What is offered for the last of these words, as bash asks for it."""
    monkeypatch.setenv("COMP_WORDS", " ".join(["reskin", *words]))
    monkeypatch.setenv("COMP_CWORD", str(len(words)))
    monkeypatch.setenv("_RESKIN_COMPLETE", "bash_complete")
    with pytest.raises(SystemExit) as left:
        main(prog_name="reskin")
    assert left.value.code == 0
    return capsys.readouterr().out.split()


def test_a_command_is_completed(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    assert asked(capsys, monkeypatch, "pl") == ["plain,plan"]


def test_options_and_their_values_are_completed(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert asked(capsys, monkeypatch, "plan", "job.toml", "--dx") == ["plain,--dxf"]
    assert asked(capsys, monkeypatch, "plan", "job.toml", "--dxf", "r") == ["plain,r2000", "plain,r12"]


def test_a_job_file_is_left_to_the_shell(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (answer,) = asked(capsys, monkeypatch, "plan", "sam")
    assert answer.split(",")[0] == "file"


@pytest.mark.parametrize("shell", ["zsh", "fish"])
def test_the_line_that_the_readme_gives_prints_a_script(shell: str) -> None:
    assert f"_RESKIN_COMPLETE={shell}_source" in README
    ran = subprocess.run(
        [sys.executable, "-c", "from cli.main import main; main(prog_name='reskin')"],
        cwd=ROOT,
        env={**os.environ, "_RESKIN_COMPLETE": f"{shell}_source"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert "_RESKIN_COMPLETE" in ran.stdout
    assert "reskin" in ran.stdout
