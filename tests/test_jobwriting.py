"""Job files that the program writes read back to what they were written from."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.job import Job
from nesting.starting.jobwriting import exact_length, job_text
from shared.units import parse_length
from tests.job_tables import job_tables
from tests.job_texts import EVERY_KEY, METRIC, job
from tests.strategies import jobs


@pytest.mark.parametrize("text", [EVERY_KEY, METRIC], ids=["every key", "metric"])
def test_a_job_file_written_again_is_the_same_job(text: str) -> None:
    assert job(job_text(tomllib.loads(text), "written\nanew")) == job(text)


@settings(deadline=None, max_examples=40)
@given(jobs())
def test_any_job_can_be_written_and_read(drawn: Job) -> None:
    tables = job_tables(drawn)
    assert tomllib.loads(job_text(tables)) == tables


@pytest.mark.parametrize("value", ['28 3/8"', "2' 4 3/8\"", "it's", "a\\b", "\u00bd", "", "#", "'\"\\"])
def test_words_with_quotes_and_strokes_come_back(value: str) -> None:
    assert tomllib.loads(job_text({"title": value, "list": [value]})) == {"title": value, "list": [value]}


@given(st.floats(-1e5, 1e5), st.sampled_from(["in", "mm"]))
def test_a_length_is_written_to_the_millionth(mm: float, units: str) -> None:
    assert parse_length(exact_length(mm, units), units, negative=True) == pytest.approx(mm, abs=1.1e-6)


def test_a_length_is_written_as_on_the_tape_where_it_can_be() -> None:
    assert exact_length(28.375 * 25.4, "in") == "28 3/8"
    assert exact_length(720.5, "mm") == "720.5"
    assert exact_length(720.25, "mm") == "720.25 mm"
