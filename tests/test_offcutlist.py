"""Lists of offcuts on hand: our own, those that a spreadsheet saved again, and what is wrong in a row."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.documents import lists
from nesting.job import Cutting, Job, Stock
from nesting.jobfile import job_from_text, read_job
from nesting.reading.keys import MAX_STOCKS
from nesting.reading.offcutlist import OffcutSize, offcut_sizes
from nesting.reading.reader import JobReader
from shared.errors import JobMistakes, Mistake
from tests.hand_plans import planned_two_panels
from tests.job_texts import LEAST

OURS = (
    "sheet,stock,length (in),width (in),x (in),y (in),length (mm),width (mm),x (mm),y (mm)\r\n"
    "2,4x8,88 1/2,48,7 1/2,0,2247.9,1219.2,190.5,0\r\n"
)


def sizes(text: str, units: str = "in", margin: float = 0.0) -> tuple[OffcutSize, ...]:
    reader = JobReader(units)
    found = offcut_sizes(text, "offcuts.csv", Cutting(edge_margin=margin), reader)
    assert reader.mistakes == ()
    return found


def wrong(text: str, units: str = "in", margin: float = 0.0) -> tuple[Mistake, ...]:
    reader = JobReader(units)
    offcut_sizes(text, "offcuts.csv", Cutting(edge_margin=margin), reader)
    return reader.mistakes


def job_with(tmp_path: Path, *texts: str, more: str = "") -> Job:
    for number, text in enumerate(texts, 1):
        (tmp_path / f"offcuts-{number}.csv").write_text(text, encoding="utf-8")
    names = ", ".join(f'"offcuts-{number}.csv"' for number in range(1, len(texts) + 1))
    job_file = tmp_path / "job.toml"
    job_file.write_text(f"offcuts = [{names}]\n{LEAST}{more}", encoding="utf-8")
    return read_job(job_file)


def test_our_own_list_is_read_in_millimetres() -> None:
    assert sizes(OURS) == (OffcutSize(2247.9, 1219.2),)


def test_the_offcuts_of_a_plan_are_read_back_as_they_were() -> None:
    planned = planned_two_panels()
    assert any(sheet.offcuts for sheet in planned.plan.sheets)
    pieces = [piece for sheet in planned.plan.sheets for piece in sheet.offcuts]
    assert sizes(lists.offcuts(planned)) == tuple(
        OffcutSize(round(piece.length, 3), round(piece.width, 3)) for piece in pieces
    )


@pytest.mark.parametrize(
    "text",
    [
        OURS.replace(",", ";").replace("2247.9", "2247,9").replace("1219.2", "1219,2"),
        "sep=;\n" + OURS.replace(",", ";"),
        OURS.replace(",", "\t"),
        '"length (mm)","width (mm)"\n"2247,9","1219,2"\n',
        "Length (in);Width (in)\n88,5;48\n",
        "width mm;length mm\n1219,2;2247,9\n",
        "length,width\n88 1/2,48\n",
        "length,width\n,\n88 1/2,4ft\n\n",
        "length,width\n2247.9mm,1219.2 mm\n",
    ],
)
def test_a_list_that_a_spreadsheet_saved_says_the_same(text: str) -> None:
    (size,) = sizes(text)
    assert (size.length, size.width) == pytest.approx((2247.9, 1219.2))


@pytest.mark.parametrize(
    ("row", "place", "read", "says"),
    [
        ("x,1000", "line 2, length (mm)", "'x'", "no length"),
        (",1000", "line 2, length", "", "leave the row out"),
        ("1000", "line 2, width", "", "leave the row out"),
        ("1000,-5", "line 2, width (mm)", "'-5'", "negative"),
        ("1000,0", "line 2, width (mm)", "'0'", "edge_margin"),
        ("1000,20", "line 2, width (mm)", "'20'", "edge_margin of 3/8 in"),
        ("99000,1000", "line 2, length (mm)", "'99000'", "65 ft"),
        ('"1,219",1000', "line 2, length (mm)", "'1,219'", "decimal or thousands"),
    ],
)
def test_each_bad_row_is_told_with_its_line(row: str, place: str, read: str, says: str) -> None:
    (found,) = wrong(f"length (mm),width (mm)\n{row}\n", margin=10.0)
    assert (found.place, found.read) == (f"offcuts.csv, {place}", read)
    assert says in found.remedy


def test_all_bad_rows_are_told_at_once() -> None:
    found = wrong("length (mm),width (mm)\nx,y\n1000,1000\n-1,5\n")
    assert [mistake.place for mistake in found] == [
        "offcuts.csv, line 2, length (mm)",
        "offcuts.csv, line 2, width (mm)",
        "offcuts.csv, line 4, length (mm)",
    ]


def test_a_row_measured_anew_in_inches_only_is_not_taken_as_it_was() -> None:
    (found,) = wrong(OURS.replace("88 1/2", "80"))
    assert found.place == "offcuts.csv, line 2, length (mm)"
    assert "the row also says 80 in" in found.remedy


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "length (mm)\n1\n"])
def test_a_list_without_its_heading_is_told(text: str) -> None:
    (found,) = wrong(text)
    assert found.place == "offcuts.csv, line 1"


def test_equal_offcuts_become_one_size_on_hand(tmp_path: Path) -> None:
    read = job_with(tmp_path, "length,width\n30,24\n40,24\n", "length,width\n30,24\n")
    assert read.stock[:2] == (
        Stock("offcut 24 x 30", 609.6, 762.0, 0.0, 2, on_hand=True),
        Stock("offcut 24 x 40", 609.6, 1016.0, 0.0, 1, on_hand=True),
    )
    assert [text for text in read.warnings if "check material and thickness" in text]


def test_offcuts_that_print_alike_get_names_of_their_own(tmp_path: Path) -> None:
    read = job_with(tmp_path, "length (mm),width (mm)\n800.1,700.1\n800.2,700.2\n")
    first, second = (stock.name for stock in read.stock[:2])
    assert second == f"{first} (2)"


def test_a_list_may_be_named_beside_the_job_file(tmp_path: Path) -> None:
    other = tmp_path / "other.csv"
    other.write_text("length,width\n30,24\n", encoding="utf-8")
    job_file = tmp_path / "job.toml"
    job_file.write_text(LEAST, encoding="utf-8")
    assert read_job(job_file, [other]).stock[0].name == "offcut 24 x 30"


@pytest.mark.parametrize(
    ("content", "says"), [(None, "no such file"), (b"PK\x03\x04\x00\x00", "no list of offcuts")]
)
def test_a_list_that_is_none_is_told_like_any_mistake(
    tmp_path: Path, content: bytes | None, says: str
) -> None:
    if content is not None:
        (tmp_path / "x.csv").write_bytes(content)
    job_file = tmp_path / "job.toml"
    job_file.write_text('offcuts = ["x.csv"]\n' + LEAST.replace("width = 48", "width = 0"), encoding="utf-8")
    with pytest.raises(JobMistakes) as found:
        read_job(job_file)
    places = {mistake.place: mistake for mistake in found.value.mistakes}
    assert says in places["offcuts, item 1"].remedy
    assert "stock 1, width" in places


def test_lists_in_the_codes_that_spreadsheets_use_are_read(tmp_path: Path) -> None:
    text = "stock;length;width\nStänder;30;24\n"
    job_file = tmp_path / "job.toml"
    job_file.write_text('offcuts = ["x.csv"]\n' + LEAST, encoding="utf-8")
    for code in ("utf-8", "utf-8-sig", "latin-1", "utf-16"):
        (tmp_path / "x.csv").write_bytes(text.encode(code))
        assert read_job(job_file).stock[0].name == "offcut 24 x 30", code


def test_names_of_lists_are_told_like_any_mistake() -> None:
    with pytest.raises(JobMistakes) as found:
        job_from_text('offcuts = ["no-such.csv", 3]\n' + LEAST, "test.toml")
    assert {mistake.place for mistake in found.value.mistakes} == {"offcuts, item 1", "offcuts, item 2"}


def test_more_sizes_than_one_job_may_hold_are_told(tmp_path: Path) -> None:
    rows = "".join(f"{20 + n},30\n" for n in range(MAX_STOCKS + 1))
    with pytest.raises(JobMistakes) as found:
        job_with(tmp_path, f"length,width\n{rows}")
    (mistake,) = found.value.mistakes
    assert (mistake.place, mistake.read) == ("offcuts", "61 different sizes")


@given(st.text(alphabet="length widthmn()0123456789,;\t\"'./-\n\r\x00é", max_size=200))
def test_no_text_stops_the_reader(text: str) -> None:
    reader = JobReader("mm")
    offcut_sizes("length;width\n" + text, "x", Cutting(), reader)
