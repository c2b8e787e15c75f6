"""The JSON Schema of the job file against a validator of its own."""

from __future__ import annotations

import json
import tomllib

import pytest
from jsonschema import Draft202012Validator

from nesting.jobfile import job_schema
from nesting.reading.keys import Table
from nesting.reading.tables import ALL_TABLES
from tests.job_texts import EVERY_KEY, EVERYTHING_WRONG, LEAST, METRIC

VALIDATOR = Draft202012Validator(job_schema())


def faults(text: str) -> set[str]:
    """Where the schema finds fault with a job text."""
    found = VALIDATOR.iter_errors(tomllib.loads(text))
    return {"/".join(str(step) for step in error.absolute_path) for error in found}


def test_the_schema_is_one_and_survives_json() -> None:
    Draft202012Validator.check_schema(job_schema())
    assert json.loads(json.dumps(job_schema())) == job_schema()


@pytest.mark.parametrize("text", [EVERY_KEY, METRIC, LEAST])
def test_sound_jobs_pass(text: str) -> None:
    assert faults(text) == set()


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("width = 48", "width = 0", "stock/0/width"),
        ("width = 48", "width = true", "stock/0/width"),
        ("width = 48", 'width = "wide"', "stock/0/width"),
        ("width = 48", "widht = 48", "stock/0"),
        ('name = "lamp cover"', "", "patch/0"),
        ("height = 5", "height = 5\nquantity = 0", "patch/0/quantity"),
        ("height = 5", "height = 5\nquantity = 1.5", "patch/0/quantity"),
        ("height = 5", 'height = 5\nriveted = "yes"', "patch/0/riveted"),
        ("height = 5", "height = 5\n[seam]\nrows = 3", "seam/rows"),
        ("height = 5", "height = 5\n[seam]\nkind = 'weld'", "seam/kind"),
        ("height = 5", "height = 5\n[[bar]]\nname = 'x'", "bar/0"),
        ("[[patch]]", "[[patches]]", ""),
        ("[[stock]]", "[stock]", "stock"),
    ],
)
def test_wrong_jobs_fail_where_they_are_wrong(old: str, new: str, place: str) -> None:
    assert place in faults(LEAST.replace(old, new))


def test_the_schema_sees_most_of_everything_wrong() -> None:
    assert len(faults(EVERYTHING_WRONG)) > 15


def test_a_job_needs_a_side_or_a_patch() -> None:
    assert faults(LEAST[: LEAST.index("[[patch]]")]) == {""}


@pytest.mark.parametrize("table", ALL_TABLES, ids=lambda table: table.noun)
def test_every_key_that_is_read_is_described(table: Table) -> None:
    described = {
        name: schema["description"]
        for properties in _property_lists(job_schema())
        for name, schema in properties.items()
    }
    for key in table.keys:
        assert described[key.name]
        assert key.doc[0].isupper() or key.kind.name == "CHOICE"
        assert key.doc.endswith((".", "?"))


def _property_lists(schema: object) -> list[dict[str, dict[str, str]]]:
    if isinstance(schema, list):
        return [found for item in schema for found in _property_lists(item)]
    if not isinstance(schema, dict):
        return []
    own = [schema["properties"]] if "additionalProperties" in schema else []
    return own + [found for item in schema.values() for found in _property_lists(item)]


def test_every_key_is_written_once_in_its_table() -> None:
    for table in ALL_TABLES:
        names = [key.name for key in table.keys]
        assert len(names) == len(set(names))


def test_every_example_is_what_its_key_takes() -> None:
    examples = [key for table in ALL_TABLES for key in table.keys if key.example]
    assert len(examples) > 10
    for key in examples:
        value = tomllib.loads(f"value = {key.example}")["value"]
        lists = [found for found in _property_lists(job_schema()) if key.name in found]
        schema = next(
            found[key.name] for found in lists if found[key.name]["description"].startswith(key.doc)
        )
        assert Draft202012Validator({"$defs": job_schema()["$defs"], **schema}).is_valid(value), key.name
