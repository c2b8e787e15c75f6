"""A job file's tables back to text in TOML, for job files that the program writes itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shared.units import SNAP_MM, format_length, parse_length


def job_text(raw: Mapping[str, object], heading: str = "") -> str:
    """The tables of a job file as a text that reads back to the same; ``heading`` becomes a comment above.

    Comments and the layout of an earlier file are not kept.  Lists of tables get headers of their own, but
    for those inside a table with single brackets, which stay on one line.
    """
    comment = [f"# {line}" for line in heading.splitlines()]
    return "\n".join([*comment, *_body(raw, "", listed=True)]) + "\n"


def exact_length(mm: float, units: str) -> str:
    """A length as it may stand in a job file: as a tape shows it where that is exact, else in mm."""
    shown = format_length(mm, units)
    if abs(parse_length(shown, units, negative=True) - mm) <= SNAP_MM:
        return shown
    return f"{mm:.6f}".rstrip("0").rstrip(".") + " mm"


def _body(table: Mapping[str, object], place: str, *, listed: bool) -> Iterator[str]:
    later: list[tuple[str, object]] = []
    for key, value in table.items():
        if isinstance(value, Mapping) or (listed and _is_tables(value)):
            later.append((key, value))
        else:
            yield f"{key} = {_value(value)}"
    for key, value in later:
        path = f"{place}.{key}" if place else key
        if isinstance(value, Mapping):
            yield from ("", f"[{path}]", *_body(value, path, listed=False))
        elif isinstance(value, list):
            for entry in value:
                yield from ("", f"[[{path}]]", *_body(entry, path, listed=True))


def _is_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(entry, Mapping) for entry in value)


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, str):
        # a reading with an inch mark stays readable in single quotes
        if "'" not in value:
            return f"'{value}'" if '"' in value or "\\" in value else f'"{value}"'
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_value(entry)}" for key, entry in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    raise TypeError(f"nothing like {value!r} stands in a job file")
