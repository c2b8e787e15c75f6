"""A filled table of readings: to a job file with the same values, or every fault with its row."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.job import Hand, Job, Side, Units
from nesting.jobfile import job_from_text
from nesting.reading.csvtext import decoded, table_rows, table_text
from nesting.reading.keys import MAX_BYTES, MAX_MISTAKES
from nesting.starting.measuredjob import MeasuredJob, job_from_readings
from nesting.starting.readingtable import reading_table
from nesting.starting.sheet import Posts
from shared.errors import JobMistakes, PlannerError
from shared.units import format_length
from tests.filled_tables import NAME, NOTE, PLACE, READING, TWO_BAYS, VALUE, as_csv, blank, filled, two_bays

INCH = 25.4


def read(text: str) -> MeasuredJob:
    return job_from_readings(text, "readings.csv")


def one_side(text: str) -> Side:
    (side,) = read(text).job.sides
    return side


def faults(text: str) -> list[str]:
    with pytest.raises(JobMistakes) as found:
        read(text)
    return [str(mistake) for mistake in found.value.mistakes]


def sizes(side: Side) -> list[tuple[float, float]]:
    """To the hundredth of a mm, so that they can be compared."""
    return [(round(bay.width, 2), round(bay.height, 2)) for bay in side.bays]


TWO_BAYS_MM = [(717.55, 1003.3), (711.2, 1003.3)]
"""28 1/4 and 28 wide, 39 1/2 high, times 25.4."""


def test_a_filled_sheet_becomes_the_job_that_was_measured() -> None:
    side = one_side(two_bays())
    assert (side.name, side.forward) == ("driver side", Hand.LEFT)
    assert sizes(side) == TWO_BAYS_MM
    assert side.posts == pytest.approx((50.8,))
    assert side.overall == pytest.approx(1479.55)
    assert all(bay.outline is None for bay in side.bays)


SIXTEENTHS = st.integers(16 * 20, 16 * 40)


@settings(deadline=None, max_examples=25)
@given(st.data(), st.integers(1, 9), st.sampled_from(Posts))
def test_whatever_is_written_into_the_sheet_is_read_back(
    data: st.DataObject, bays: int, posts: Posts
) -> None:
    rows = blank(bays, posts=posts)
    draw = {
        (row[PLACE], row[READING]): format_length(data.draw(SIXTEENTHS) * INCH / 16, "in")
        for row in rows
        if row[READING] in ("width", "height", "posts") and row[PLACE].split()[0] in ("bay", "post", "side")
    }
    draw[("side", "front")] = data.draw(st.sampled_from(["left", "right", "R", "l"]))
    measured = read(as_csv(filled(rows, draw)))
    (side,) = measured.job.sides
    assert job_from_text(measured.text, "again").sides == measured.job.sides
    assert side.forward.value.startswith(draw[("side", "front")].lower()[0])
    written = [(draw[(f"bay {i}", "width")], draw[(f"bay {i}", "height")]) for i in range(1, bays + 1)]
    read_back = [tuple(format_length(mm, "in") for mm in (bay.width, bay.height)) for bay in side.bays]
    assert read_back == written
    faces = [draw.get((f"post {i}", "width"), draw.get(("side", "posts"))) for i in range(1, bays)]
    assert [format_length(post, "in") for post in side.posts] == faces


@pytest.mark.parametrize(
    "written", ["28 3/8", "28.375", '28-3/8"', "28,375 in", "2' 4 3/8\"", "720.725mm", "28\u215c", "'28 3/8"]
)
def test_a_value_may_be_written_as_the_tape_shows_it(written: str) -> None:
    side = one_side(two_bays(bay_1_width=written, side_overall=""))
    assert side.bays[0].width == pytest.approx(720.725)


def test_millimetres_are_read_where_the_units_say_so() -> None:
    values = {
        ("sheet", "units"): "mm",
        ("side", "front"): "right",
        ("bay 1", "width"): "721,5",
        ("bay 1", "height"): "1003",
    }
    measured = read(as_csv(filled(blank(1), values), ";"))
    assert measured.job.units is Units.MILLIMETRE
    assert sizes(measured.job.sides[0]) == [(721.5, 1003.0)]
    assert 'width = "721.5"' in measured.text


def test_four_sides_become_a_four_sided_bay_with_its_diagonals() -> None:
    values = {
        ("sheet", "units"): "mm",
        ("side", "front"): "left",
        **{("bay 1", name): "400" for name in ("bottom", "top")},
        **{("bay 1", name): "300" for name in ("left", "right")},
        **{("bay 1", f"diagonal {way}"): "500" for way in ("rising", "falling")},
    }
    measured = read(as_csv(filled(blank(1, four_sided=True), values)))
    (bay,) = measured.job.sides[0].bays
    assert bay.measured is not None
    assert bay.measured.redundancy == 1
    assert bay.measured.corners[2] == pytest.approx((400, 300), abs=1e-3)


def test_a_bay_of_four_sides_may_stand_among_rectangles() -> None:
    rows = blank(2)
    more = [["", "driver side", "bay 2", name, "39 1/2", ""] for name in ("left", "right")]
    more += [["", "driver side", "bay 2", name, "28", ""] for name in ("bottom", "top")]
    values = {**TWO_BAYS, ("bay 2", "width"): "", ("bay 2", "height"): "", ("side", "overall"): ""}
    bays = one_side(as_csv([*filled(rows, values), *more])).bays
    assert bays[0].measured is None
    assert bays[1].measured is not None


def test_windows_rails_and_the_rest_of_a_side_come_through() -> None:
    more = {
        ("side", "raise"): "12",
        ("side", "cut height"): "20",
        ("rail 2", "height"): "24",
        ("side", "rail width"): "1 1/2",
        ("bay 2", "sill"): "-1/2",
        **{("window 2", name): "4" for name in ("from left", "from bottom", "width", "height")},
        ("window 2", "bay"): "bay 2",
    }
    side = one_side(as_csv(filled(blank(), {**TWO_BAYS, **more})))
    assert side.rails == pytest.approx((609.6,))
    assert (side.rail_width, side.raise_height, side.cut_height) == pytest.approx((38.1, 304.8, 508.0))
    assert side.bays[1].sill == pytest.approx(-12.7)
    assert [(window.bay, window.width) for window in side.windows] == [(2, pytest.approx(101.6))]


def test_a_width_for_every_post_holds_for_those_that_have_none_of_their_own() -> None:
    rows = blank(3, posts=Posts.ALIKE)
    values = {("side", "front"): "left", ("side", "posts"): "2"}
    values |= {(f"bay {i}", name): "30" for i in (1, 2, 3) for name in ("width", "height")}
    own = ["", "driver side", "post 2", "width", "3", ""]
    assert one_side(as_csv([*filled(rows, values), own])).posts == pytest.approx((50.8, 76.2))


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("line_end", ["\r\n", "\n", "\r"])
@pytest.mark.parametrize("first", ["", "\ufeff"])
def test_every_way_in_which_spreadsheets_save_it_is_read(separator: str, line_end: str, first: str) -> None:
    rows = [row for line in filled(blank(), TWO_BAYS) for row in (line, [""] * 6)]
    data = (first + as_csv(rows, separator, line_end)).encode("utf-8")
    assert sizes(one_side(decoded(data))) == TWO_BAYS_MM


def test_a_first_line_that_names_the_separator_is_not_counted() -> None:
    text = "sep=;\r\n" + as_csv(filled(blank(), {**TWO_BAYS, ("bay 1", "width"): "x"}), ";")
    assert faults(text)[0].startswith("row 4 (number 2), 'driver side', bay 1, width: read 'x'")


def test_windows_1252_and_utf_16_are_read_with_their_marks_of_inches() -> None:
    rows = filled(blank(2, "Fahrerst\u00e4nder"), {**TWO_BAYS, ("bay 1", "width"): "28 1/4\u201d"})
    for code in ("cp1252", "utf-16", "utf-8-sig"):
        side = one_side(decoded(as_csv(rows).encode(code)))
        assert (side.name, side.bays[0].width) == ("Fahrerst\u00e4nder", pytest.approx(717.55)), code


@pytest.mark.parametrize(
    "name", ["=1+1", "+x", "-rear", "@x", 'the "long" side', "it's", "\U0001f68c bus", "a,b;c", "\\ back"]
)
def test_names_come_back_as_they_were(name: str) -> None:
    side = one_side(as_csv(filled(blank(2, name), TWO_BAYS)))
    assert side.name == name


@settings(deadline=None, max_examples=30)
@given(
    st.text(st.characters(exclude_categories=["Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp", "Zs"]), max_size=40)
)
def test_any_name_on_one_line_comes_back(name: str) -> None:
    # an apostrophe before a formula is the table's own mark, and is taken off
    assume(name and not name.startswith("'"))
    assert one_side(as_csv(filled(blank(2, name), TWO_BAYS))).name == name


def test_columns_may_stand_in_any_order_and_number_and_note_may_be_missing() -> None:
    rows = [[row[VALUE], row[READING], row[PLACE], row[NAME]] for row in filled(blank(), TWO_BAYS)]
    assert sizes(one_side(as_csv(rows))) == TWO_BAYS_MM


def test_the_unit_may_stand_in_the_heading_instead() -> None:
    rows = filled(blank(), TWO_BAYS)
    rows[0][VALUE] = "Value (in)"
    del rows[1]
    assert sizes(one_side(as_csv(rows))) == TWO_BAYS_MM


def test_without_units_nothing_is_guessed() -> None:
    rows = filled(blank(), TWO_BAYS)
    del rows[1]
    assert any(fault.startswith("units: no row says the units") for fault in faults(as_csv(rows)))
    rows = filled(blank(), {**TWO_BAYS, ("sheet", "units"): "cm"})
    assert any("row 2, units: read 'cm'; write in or mm" in fault for fault in faults(as_csv(rows)))


def test_what_is_missing_is_told_by_number_and_place_all_at_once() -> None:
    values = {key: value for key, value in TWO_BAYS.items() if key[1] not in ("front", "height")}
    del values["post 1", "width"]
    assert faults(as_csv(filled(blank(), values))) == [
        f"{place}: is missing; measure it and write it"
        for place in (
            "row 3 (number 1), 'driver side', front",
            "row 5 (number 3), 'driver side', bay 1, height",
            "row 9 (number 7), 'driver side', post 1, width",
            "row 11 (number 9), 'driver side', bay 2, height",
        )
    ]


def test_a_blank_four_sided_sheet_asks_for_sides_and_not_for_width() -> None:
    missing = " ".join(faults(as_csv(blank(1, four_sided=True))))
    assert all(f"bay 1, {name}:" in missing for name in ("left", "bottom", "right", "top"))
    assert "width" not in missing


def test_a_side_that_nobody_measured_is_told_once() -> None:
    rows = blank(2, "driver side", "rear", posts=Posts.ALIKE)
    values = {**TWO_BAYS, ("side", "posts"): "2"}
    del values["post 1", "width"]
    half = filled([row for row in rows if row[NAME] != "rear"], values)
    (fault,) = faults(as_csv([*half, *(row for row in rows if row[NAME] == "rear")]))
    assert fault.startswith(f"rows {len(half) + 1} to {len(rows)}, 'rear': nothing is written for this side")


def test_a_row_taken_out_is_missed_without_a_number() -> None:
    rows = [row for row in filled(blank(), TWO_BAYS) if (row[PLACE], row[READING]) != ("bay 1", "height")]
    assert faults(as_csv(rows)) == ["'driver side', bay 1, height: is missing; measure it and write it"]


def test_all_mistakes_are_told_in_the_order_of_the_rows() -> None:
    text = two_bays(bay_1_width="28 9/8", bay_2_height="-3", side_front="ahead", post_1_width="0")
    places = [fault.partition(":")[0] for fault in faults(text)]
    assert [place.split()[1] for place in places] == ["3", "4", "9", "11"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"bay_1_width": "x"}, "no length"),
        ({"bay_1_width": "0"}, "more than zero"),
        ({"bay_1_width": "-28"}, "negative"),
        ({"bay_1_width": "28 3 8"}, "side by side"),
        ({"bay_1_width": "1-Feb"}, "made a date of a fraction"),
        ({"bay_1_width": "01.02.2026"}, "made a date of a fraction"),
        ({"bay_1_width": "1,219"}, "decimal or thousands"),
        ({"side_front": "forwards"}, "left or right"),
        ({"side_overall": "70"}, "row 15 (number 13), 'driver side', overall: read '70'"),
        ({"window_1_bay": "two"}, "number of the bay"),
    ],
)
def test_each_bad_value_is_told_with_its_row(change: dict[str, str], says: str) -> None:
    found = faults(two_bays(**change))
    assert [fault for fault in found if says in fault and fault.startswith("row ")], found


def test_what_only_the_whole_job_shows_is_told_with_its_row_too() -> None:
    rows = filled(
        blank(),
        {
            **TWO_BAYS,
            ("window 2", "bay"): "7",
            **{("window 2", name): "4" for name in ("from left", "from bottom", "width", "height")},
            ("rail 2", "height"): "300",
        },
    )
    first, second = sorted(faults(as_csv(rows)))
    assert first.startswith("row 19 (number 17), 'driver side', rail 2, height: read '300'")
    assert second.startswith("row 27 (number 25), 'driver side', window 2, bay: read 7")


def test_a_window_that_is_begun_must_be_whole() -> None:
    values = {**TWO_BAYS, ("window 1", "width"): "20"}
    missing = [fault.split(", ")[-1].split(":")[0] for fault in faults(as_csv(filled(blank(), values)))]
    assert missing == ["bay", "from left", "from bottom", "height"]


def test_a_reading_that_stands_twice_is_told() -> None:
    rows = filled(blank(), TWO_BAYS)
    again = next(row for row in rows if (row[PLACE], row[READING]) == ("bay 1", "width"))
    (fault,) = faults(as_csv([*rows, again]))
    assert fault.startswith(f"row {len(rows) + 1} (number 2)")
    assert "stands in row 4 already" in fault


def test_a_width_beside_four_sides_is_told() -> None:
    more = [["", "driver side", "bay 2", "top", "28", ""]]
    found = faults(as_csv([*filled(blank(), TWO_BAYS), *more]))
    assert any("bay 2, width" in fault and "not both" in fault for fault in found)


def test_a_row_with_too_many_cells_is_told_with_what_to_do() -> None:
    lines = two_bays().splitlines()
    lines[3] = "2,driver side,bay 1,width,28,25,note"
    (fault, *_) = faults("\n".join(lines))
    assert fault.startswith("row 4: read 7 cells; the heading has 6; put what holds the separator")


def test_a_row_with_too_few_cells_is_told() -> None:
    lines = two_bays().splitlines()
    lines[3] = "2,driver side,bay 1"
    assert faults("\n".join(lines))[0].startswith("row 4: read 3 cells; the heading has 6")


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (["1", "driver side", "bay", "width", "28", ""], "row 41, place: read 'bay'"),
        (["1", "driver side", "window 1", "hieght", "28", ""], "did you mean height?"),
        (["1", "driver side", "post 2", "width", "2", ""], "2 bays have 1 posts"),
        (["1", "", "bay 1", "left", "28", ""], "no side stands in this row"),
        (["1", "other side", "side", "overall", "28", ""], "no bay of this side"),
        (["1", "driver side", "bay 999999", "width", "28", ""], "400 bays at most"),
    ],
)
def test_a_row_that_belongs_nowhere_is_told(row: list[str], says: str) -> None:
    rows = filled(blank(), TWO_BAYS)
    rows += [[""] * 6] * (40 - len(rows))
    assert any(says in fault for fault in faults(as_csv([*rows, row])))


def test_empty_rows_of_words_of_ones_own_are_passed_over() -> None:
    rows = filled(blank(), TWO_BAYS)
    more = [["", "", "measured on a cold day", "", "", ""], [""] * 6, ["", "", "", "", "", "thanks"]]
    assert sizes(one_side(as_csv([*rows, *more]))) == TWO_BAYS_MM


def test_capitals_make_no_other_side() -> None:
    rows = filled(blank(), TWO_BAYS)
    rows[5][NAME] = " Driver  Side "
    assert one_side(as_csv(rows)).name == "driver side"


def test_thousands_of_rows_are_read_and_no_more_mistakes_told_than_anyone_mends() -> None:
    values = {("side", "front"): "left"}
    rows = blank(400)
    found = faults(as_csv(filled(rows, values)))
    assert len(rows) > 2000
    assert len(found) == MAX_MISTAKES + 1
    values |= {(f"bay {i}", "width"): "28" for i in range(1, 401)}
    values |= {(f"bay {i}", "height"): "39" for i in range(1, 401)}
    values |= {(f"post {i}", "width"): "2" for i in range(1, 400)}
    assert len(one_side(as_csv(filled(rows, values))).bays) == 400


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty"),
        ("a,b\n1,2\n", "no column is headed side"),
        ("PK\x03\0", "no table of text"),
        ("number,side,place,reading,value,note\n", "units"),
    ],
)
def test_what_is_no_table_is_told(text: str, says: str) -> None:
    assert any(says in fault for fault in faults(text))


def test_a_bay_that_is_not_square_is_a_doubt_in_the_file_too() -> None:
    # 3-4-5 times 9: 27 x 36 has diagonals of 45
    def doubts(rising: str, falling: str) -> tuple[str, ...]:
        values = {**TWO_BAYS, ("side", "overall"): "", ("bay 1", "width"): "36", ("bay 1", "height"): "27"}
        values |= {("bay 1", "diagonal rising"): rising, ("bay 1", "diagonal falling"): falling}
        measured = read(as_csv(filled(blank(), values)))
        assert all(f"# Doubt: {doubt}" in measured.text for doubt in measured.doubts)
        return measured.doubts

    assert doubts("45", "45 1/16") == ()
    assert doubts("45", "") == ()
    (lean,) = doubts("45 1/2", "44 1/2")
    assert "'driver side', bay 1: its diagonals differ by 1 in" in lean
    (wrong,) = doubts("46", "46")
    assert "should be about 45 in" in wrong


def test_notes_of_ones_own_become_comments_and_printed_ones_do_not() -> None:
    rows = filled(blank(), TWO_BAYS)
    rows[3][NOTE] = "rotten\u2028sill"
    text = read(as_csv(rows)).text
    assert "# Note: 'driver side', bay 1, width: rotten sill" in text
    assert text.count("# Note") == 1


def test_a_file_name_with_control_characters_stays_a_comment() -> None:
    measured = job_from_readings(two_bays(), "bell\x07\nnew.csv")
    assert job_from_text(measured.text, "again").sides == measured.job.sides


def test_the_job_file_lists_usual_sheets_with_room_for_prices() -> None:
    measured = read(two_bays())
    assert not measured.job.priced
    assert measured.text.count("\n# price =\n") == 5
    priced = measured.text.replace("# price =", "price = 90.0")
    assert job_from_text(priced, "priced").priced


def test_a_file_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    with pytest.raises(PlannerError, match="no such file"):
        table_text(tmp_path / "none.csv")
    with pytest.raises(PlannerError, match="cannot be read"):
        table_text(tmp_path)
    (tmp_path / "long.csv").write_bytes(b"x" * (MAX_BYTES + 1))
    with pytest.raises(PlannerError, match="larger than"):
        table_text(tmp_path / "long.csv")


def test_rows_are_numbered_as_a_spreadsheet_numbers_them() -> None:
    rows = table_rows('a,b\n"two\nlines",1\n\nlast,2\n')
    assert [(row.number, row.cells) for row in rows if not row.is_empty] == [
        (1, ("a", "b")),
        (2, ("two\nlines", "1")),
        (4, ("last", "2")),
    ]


def job_or_faults(text: str) -> Job | tuple[str, ...]:
    try:
        return read(text).job
    except JobMistakes as found:
        return tuple(str(mistake) for mistake in found.mistakes)


@given(st.text(alphabet="sidebaywidthfront 0123456789,;\t\"'./-=\n\r\x00\x1c\u2028\u00e9", max_size=200))
def test_no_text_stops_the_reader(text: str) -> None:
    assert job_or_faults("number,side,place,reading,value,note\n" + text)
    assert reading_table(text, "x").mistakes
