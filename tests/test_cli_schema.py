"""`reskin schema`."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
from click.testing import CliRunner

from cli.main import main


def test_schema_on_the_terminal_accepts_a_sound_job(two_bays: Path) -> None:
    ran = CliRunner().invoke(main, ["schema"])
    assert ran.exit_code == 0
    job = tomllib.loads(two_bays.read_text(encoding="utf-8"))
    jsonschema.validate(job, json.loads(ran.stdout))


def test_schema_in_a_file_is_the_same(tmp_path: Path) -> None:
    place = tmp_path / "job.schema.json"
    ran = CliRunner().invoke(main, ["schema", "--out", str(place)])
    assert ran.exit_code == 0
    assert ran.stdout == ""
    assert place.read_text(encoding="utf-8") == CliRunner().invoke(main, ["schema"]).stdout


def test_a_place_where_nothing_can_be_written_exits_1(tmp_path: Path) -> None:
    ran = CliRunner().invoke(main, ["schema", "--out", str(tmp_path)])
    assert ran.exit_code == 1
    assert str(tmp_path) in ran.stderr
