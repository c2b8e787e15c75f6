"""Tables of a job file, as TOML gives them, to checked values; no mistake stops the reading, all are noted.

What may stand where comes from `nesting.reading.tables`.  A value that cannot be read becomes ``nan`` (lengths,
numbers) or None: every comparison with ``nan`` is false, so no later check reports the same value again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, isnan, nan
from typing import TypeVar
from unicodedata import category

from nesting.reading.keys import MAX_CORNERS, MAX_MISTAKES, MAX_MONEY, MAX_NAME, MAX_TITLE, Key, Kind, Table
from nesting.reading.words import entry_labels, missing, no_such_key, out_of_bounds, way_to
from shared.errors import LengthError, Mistake, as_written
from shared.units import format_length, parse_length

Raw = Mapping[str, object]
T = TypeVar("T")

Corner = tuple[float, float, float]


@dataclass(frozen=True)
class Fields:
    """One table of the job file as read: ``place`` is the way to it, ``given`` what the user wrote."""

    place: str
    values: Mapping[str, object]
    given: Raw

    def at(self, key: str) -> str:
        """The way to one of its keys."""
        return way_to(self.place, key)

    def has(self, key: str) -> bool:
        return key in self.given

    def is_wrong(self, key: str) -> bool:
        """Whether something stands there that could not be read."""
        value = self.values[key]
        return self.has(key) and (value is None or (isinstance(value, float) and isnan(value)))

    def written(self, key: str, item: int | None = None) -> str:
        """What the user wrote there, or in the list there (items from 1); empty where nothing stands."""
        value = self.given.get(key, "")
        if isinstance(value, list) and item is not None:
            value = value[item - 1]
        return as_written(value) if key in self.given else ""

    def number(self, key: str) -> float:
        """A length in mm or a number; ``nan`` where something unreadable stands."""
        value = self.values[key]
        return float(value) if isinstance(value, int | float) else nan

    def optional(self, key: str) -> float | None:
        """As `number`, None where the key is not given."""
        return self.number(key) if self.has(key) else None

    def numbers(self, key: str) -> tuple[float, ...] | None:
        """Lengths in mm; None where the key is not given or no list stands there."""
        value = self.values[key]
        return value if isinstance(value, tuple) else None

    def wholes(self, key: str) -> tuple[int, ...] | None:
        """Whole numbers; None where the key is not given or some of them could not be read."""
        value = self.values[key]
        return None if not isinstance(value, tuple) or None in value else value

    def points(self, key: str) -> tuple[Corner, ...] | None:
        """Corners of an outline in mm, a bulge as it stands; None where it is not given or could not be read."""
        value = self.values.get(key)
        return None if not isinstance(value, tuple) or None in value else value

    def outlines(self, key: str) -> tuple[tuple[Corner, ...], ...]:
        """Several outlines, those that could be read."""
        value = self.values.get(key)
        found = value if isinstance(value, tuple) else ()
        return tuple(outline for outline in found if outline is not None and None not in outline)

    def texts(self, key: str) -> tuple[str, ...]:
        """Texts in a list, those that could be read."""
        value = self.values[key]
        return tuple(text for text in value if text) if isinstance(value, tuple) else ()

    def whole(self, key: str) -> int | None:
        value = self.values[key]
        return value if isinstance(value, int) else None

    def text(self, key: str) -> str | None:
        value = self.values[key]
        return value if isinstance(value, str) else None

    def flag(self, key: str) -> bool:
        return self.values[key] is True

    def table(self, key: str) -> Fields:
        value = self.values[key]
        assert isinstance(value, Fields)
        return value

    def tables(self, key: str) -> tuple[Fields, ...]:
        value = self.values[key]
        assert isinstance(value, tuple)
        return value


class JobReader:
    """Reads tables in the job's units and gathers what is wrong and what is doubtful on the way."""

    def __init__(self, units: str) -> None:
        self.units = units
        self.warnings: list[str] = []
        self._mistakes: dict[Mistake, None] = {}

    @property
    def mistakes(self) -> tuple[Mistake, ...]:
        """What was found wrong, each thing once, in the order of the file."""
        return tuple(self._mistakes)

    def reject(self, place: str, read: str, remedy: str) -> None:
        if len(self._mistakes) < MAX_MISTAKES:
            self._mistakes[Mistake(place, read, remedy)] = None

    def doubt(self, place: str, text: str) -> None:
        self.warnings.append(f"{place}: {text}" if place else text)

    def length(self, mm: float) -> str:
        """A length as it is printed, with its unit."""
        return format_length(mm, self.units, with_unit=True)

    def read(self, raw: Raw, table: Table, place: str) -> Fields:
        """The values of a table: those given, and defaults for the others."""
        values: dict[str, object] = {}
        for name, value in raw.items():
            key = table.key(name)
            at = way_to(place, name)
            if key is None and len(self._mistakes) < MAX_MISTAKES:
                self.reject(at, as_written(value), no_such_key(name, table))
            elif key is not None:
                values[name] = self._value(value, key, at)
        for key in table.keys:
            if key.name not in raw:
                values[key.name] = self._default(key, place)
                if key.required:
                    self.reject(way_to(place, key.name), "", missing(key))
        return Fields(place, values, raw)

    def _default(self, key: Key, place: str) -> object:
        if key.kind is Kind.TABLE and key.table:
            return self.read({}, key.table, way_to(place, key.name))
        if key.kind is Kind.TABLES:
            return ()
        if key.kind is Kind.LENGTH and isinstance(key.default, str):
            written = key.default_mm if self.units == "mm" and key.default_mm else key.default
            return parse_length(written, self.units)
        return key.default

    def _value(self, value: object, key: Key, at: str) -> object:
        match key.kind:
            case Kind.LENGTH:
                return self._length(value, key, at)
            case Kind.LENGTHS:
                return self._list(value, key, at, self._length)
            case Kind.WHOLES:
                return self._list(value, key, at, self._whole)
            case Kind.TEXTS:
                return self._list(value, key, at, self._text)
            case Kind.OUTLINE:
                return self._list(value, key, at, self._corner)
            case Kind.OUTLINES:
                return self._list(value, key, at, self._outline)
            case Kind.NUMBER:
                return self._number(value, key, at)
            case Kind.WHOLE:
                return self._whole(value, key, at)
            case Kind.FLAG:
                return self._flag(value, at)
            case Kind.CHOICE:
                return self._choice(value, key, at)
            case Kind.TEXT | Kind.NAME:
                return self._text(value, key, at)
            case Kind.TABLE:
                return self._table(value, key, at)
            case Kind.TABLES:
                return self._tables(value, key, at)

    def _length(self, value: object, key: Key, at: str) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            self.reject(at, as_written(value), f"must be {Kind.LENGTH.value}")
            return nan
        try:
            mm = parse_length(value, self.units, negative=True)
        except LengthError as error:
            self.reject(at, error.read, error.remedy)
            return nan
        return mm if self._within(mm, key, at, as_written(value)) else nan

    def _list(
        self, value: object, key: Key, at: str, read: Callable[[object, Key, str], T]
    ) -> tuple[T, ...] | None:
        if not isinstance(value, list):
            self.reject(at, as_written(value), f"must be {key.kind.value}")
            return None
        if not self._few_enough(value, key, at):
            return None
        return tuple(read(item, key, f"{at}, item {i}") for i, item in enumerate(value, 1))

    def _outline(self, value: object, key: Key, at: str) -> tuple[Corner | None, ...] | None:
        if not isinstance(value, list):
            self.reject(at, as_written(value), f"must be {Kind.OUTLINE.value}")
            return None
        if len(value) > MAX_CORNERS:
            self.reject(at, f"{len(value)} corners", f"at most {MAX_CORNERS} are allowed")
            return None
        return tuple(self._corner(corner, key, f"{at}, corner {i}") for i, corner in enumerate(value, 1))

    def _corner(self, value: object, key: Key, at: str) -> Corner | None:
        """A corner: two lengths, and the bulge of the edge that starts there if it is an arc."""
        if not isinstance(value, list) or len(value) not in (2, 3):
            written = f"{len(value)} values" if isinstance(value, list) else as_written(value)
            self.reject(
                at, written, "must be a corner such as [30, 36], or [30, 36, 0.4142] where an arc starts"
            )
            return None
        x, y = (self._length(length, key, f"{at}, {axis}") for length, axis in zip(value, "xy", strict=False))
        bulge = self._number(value[2], key, f"{at}, bulge") if len(value) == 3 else 0.0
        return (x, y, bulge) if all(map(isfinite, (x, y, bulge))) else None

    def _number(self, value: object, key: Key, at: str) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            quoted = " without quotes" if isinstance(value, str) else ""
            self.reject(at, as_written(value), f"must be {key.kind.value}{quoted}")
            return nan
        if isinstance(value, float) and not isfinite(value):
            self.reject(at, as_written(value), "must be a number with an end")
            return nan
        return value if self._within(value, key, at, as_written(value)) else nan

    def _whole(self, value: object, key: Key, at: str) -> int | None:
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        if isinstance(value, float) and isfinite(value):
            self.reject(at, as_written(value), "must be a whole number")
            return None
        number = self._number(value, key, at)
        return int(number) if isfinite(number) else None

    def _within(self, value: float, key: Key, at: str, read: str) -> bool:
        low = (key.above is not None and value <= key.above) or (key.least is not None and value < key.least)
        high = value > (MAX_MONEY if key.most is None else key.most)
        if low or high:
            self.reject(at, read, out_of_bounds(key, low))
        return not (low or high)

    def _flag(self, value: object, at: str) -> bool | None:
        if isinstance(value, bool):
            return value
        self.reject(at, as_written(value), "must be true or false, without quotes")
        return None

    def _choice(self, value: object, key: Key, at: str) -> str | None:
        if isinstance(value, str) and value in key.choices:
            return value
        words = [f'"{choice}"' for choice in key.choices]
        self.reject(at, as_written(value), f"must be {', '.join(words[:-1])} or {words[-1]}")
        return None

    def _text(self, value: object, key: Key, at: str) -> str | None:
        if not isinstance(value, str):
            remedy = "must be text in quotes" if key.kind is Kind.TEXTS else f"must be {key.kind.value}"
        elif any(category(character) in ("Cc", "Zl", "Zp") for character in value):
            remedy = "must be one line of text without control characters"
        elif key.kind is not Kind.TEXT and not value.strip():
            remedy = "must not be empty"
        elif len(value) > (most := MAX_NAME if key.kind is Kind.NAME else MAX_TITLE):
            remedy = f"must not be longer than {most} characters"
        else:
            return value.strip()
        self.reject(at, as_written(value), remedy)
        return None

    def _table(self, value: object, key: Key, at: str) -> Fields:
        assert key.table is not None
        if isinstance(value, dict):
            return self.read(value, key.table, at)
        header = f"write it as {key.table.header}, with single brackets, and its keys below"
        self.reject(at, as_written(value), f"must be one table; {header}")
        return Fields(at, self.read({}, key.table, at).values, {})

    def _tables(self, value: object, key: Key, at: str) -> tuple[Fields, ...]:
        assert key.table is not None
        if not isinstance(value, list):
            how = f"write it like {key.name} = {key.example}"
            if key.table.header.startswith("["):
                how = f"write it as {key.table.header}, with double brackets, and its keys below"
            self.reject(at, as_written(value), f"must be a list of tables; {how}")
            return ()
        if not value and key.required:
            self.reject(at, as_written(value), missing(key))
        if not self._few_enough(value, key, at):
            return ()
        outer = at.removesuffix(key.name)
        found = []
        for label, entry in zip(entry_labels(value, key.table), value, strict=True):
            if isinstance(entry, dict):
                found.append(self.read(entry, key.table, outer + label))
            else:
                self.reject(outer + label, as_written(entry), "must be a table, not a single value")
        return tuple(found)

    def _few_enough(self, value: Sequence[object], key: Key, at: str) -> bool:
        if key.most_items is None or len(value) <= key.most_items:
            return True
        self.reject(at, f"{len(value)} entries", f"at most {key.most_items} are allowed")
        return False
