"""What messages about a job file say: the way to a place in it, and what to do about a key or a value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from nesting.reading.keys import MAX_MONEY, MAX_NAME, Key, Kind, Table
from nesting.reading.tables import ALL_TABLES
from shared.errors import as_written


def way_to(place: str, key: str) -> str:
    """The place of a key within the place of its table."""
    shown = key if key.isprintable() and len(key) <= MAX_NAME else as_written(key)
    return f"{place}, {shown}" if place else shown


def entry_labels(entries: Sequence[object], table: Table) -> list[str]:
    """What messages call the entries of a list: by name, by number, or by the numbers they stand for."""
    labels: list[str] = []
    taken: set[str] = set()
    following = 1
    for number, entry in enumerate(entries, 1):
        raw = entry if isinstance(entry, dict) else {}
        source = f" ({table.header} entry {number})"
        if table.repeats:
            last = following + repeats(raw, table) - 1
            label = table.noun + (f" {following}" if last == following else f"s {following} to {last}")
            label += source if (following, last) != (number, number) else ""
            following = last + 1
        else:
            label = f"{table.noun} {_name(raw) or number}"
            label += source if label in taken else ""
        taken.add(label)
        labels.append(label)
    return labels


def _name(raw: Mapping[str, object]) -> str:
    name = raw.get("name")
    if isinstance(name, str) and name.strip() and name.isprintable() and len(name) <= MAX_NAME:
        return f"'{name.strip()}'"
    return ""


def repeats(raw: Mapping[str, object], table: Table) -> int:
    """How often an entry stands for; 1 where that cannot be told."""
    key, value = table.key(table.repeats), raw.get(table.repeats, 1)
    if key is None or key.most is None or isinstance(value, bool) or not isinstance(value, int):
        return 1
    return value if 1 <= value <= key.most else 1


def missing(key: Key) -> str:
    """What to do about a key that must be there."""
    if key.kind is Kind.TABLES and key.table:
        what = key.doc[0].lower() + key.doc[1:].rstrip(".")
        return f"is missing; write at least one {key.table.header}: {what}"
    return f"is missing; write it like {key.name} = {key.example}"


def out_of_bounds(key: Key, low: bool) -> str:
    """What to do about a number or a length below (``low``) or above what the key allows."""
    if key.outside and not (low and key.least is None):
        return key.outside
    if key.kind is Kind.WHOLE and key.least is not None and key.most is not None:
        between = " or " if key.most == key.least + 1 else " to "
        return f"must be a whole number, {key.least:.0f}{between}{key.most:.0f}"
    if low:
        return "must be more than zero" if key.least is None else "must not be less than zero"
    return f"must not be more than {MAX_MONEY if key.most is None else key.most:.0f}"


def no_such_key(name: str, table: Table) -> str:
    """What to do about a key that its table does not know."""
    known = [key.name for key in table.keys]
    near = get_close_matches(name.lower().replace("-", "_")[:MAX_NAME], known, n=1, cutoff=0.6)
    homes = [other.header for other in ALL_TABLES if other.key(name)]
    home = " or ".join(f"in {header}" if header else "at the top of the file" for header in homes[:2])
    if near:
        also = f" ({name} belongs {home})" if homes else ""
        return f"there is no such key here; did you mean {near[0]}?{also}"
    if homes:
        return f"there is no such key here; it belongs {home}"
    return f"there is no such key here; known are {', '.join(known)}"
