"""The text of a job file and the tables in it, or one clear message why there are none."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from nesting.reading.keys import MAX_BYTES
from shared.errors import LONGEST_SHOWN, JobMistakes, Mistake, PlannerError

_PARTS_OF_A_KEY = re.compile(r"""(?:\.[ \t]*+(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+)++""")

MAX_PARTS = 1000
"""No key of a job file has more than three parts; the parser takes minutes over one of some hundred thousands."""


def text_of(path: Path) -> str:
    """What stands in a job file.  Raises `PlannerError` where it cannot be read as text in UTF-8."""
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError as error:
        raise PlannerError(f"{path}: there is no such file; check the name and the folder") from error
    except IsADirectoryError as error:
        raise PlannerError(f"{path}: this is a folder; name the job file in it") from error
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise PlannerError(f"{path}: the file cannot be read: {reason}") from error
    if len(data) > MAX_BYTES:
        raise _too_long(str(path))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        remedy = "this is no job file; a job file is plain text in TOML, saved as UTF-8"
        if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
            remedy = "the text is saved as UTF-16; save it again as UTF-8"
        raise PlannerError(f"{path}: {remedy}") from error


def parsed(text: str, source: str) -> dict[str, object]:
    """The tables in a text of TOML.  Raises `JobMistakes` with the line where it is none."""
    if len(text.encode("utf-8", "replace")) > MAX_BYTES:
        raise _too_long(source)
    if any(run[0].count(".") > MAX_PARTS for run in _PARTS_OF_A_KEY.finditer(text)):
        raise JobMistakes([Mistake(source, "", "this is no job file: a name in it has too many dots")])
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        raise JobMistakes([_syntax_mistake(text, source, str(error))]) from error
    except (RecursionError, ValueError) as error:
        # The parser lets through what Python itself refuses: very long numbers, very deep nesting.
        remedy = "this is no job file: a number in it is too long or its lists are nested too deep"
        raise JobMistakes([Mistake(source, "", remedy)]) from error


def _too_long(source: str) -> PlannerError:
    return PlannerError(f"{source}: the file is larger than {MAX_BYTES} bytes; a job file is a page or two")


def _syntax_mistake(text: str, source: str, error: str) -> Mistake:
    found = re.search(r"\(at line (\d+), column \d+\)", error)
    what = re.sub(r" \(at .*\)", "", error)
    what = what[:1].lower() + what[1:]
    if found is None:
        return Mistake(source, "", f"this is not valid TOML ({what})")
    lines = text.splitlines()
    line = lines[int(found[1]) - 1].strip() if int(found[1]) <= len(lines) else ""
    shown = line if line.isprintable() and len(line) <= LONGEST_SHOWN else ""
    hint = ""
    if line.count('"') % 2:
        hint = "; write a reading with an inch mark in single quotes, like '28 3/8\"'"
    elif re.match(r"[\w.-]+\s*=\s*[-.]?\d[^\"'\[{]*$", line):
        hint = '; write readings with fractions or units in quotes, like "28 3/8"'
    what = what if len(what) <= 2 * LONGEST_SHOWN else what[: 2 * LONGEST_SHOWN] + "..."
    return Mistake(f"{source}, line {found[1]}", shown, f"this is not valid TOML ({what}){hint}")
