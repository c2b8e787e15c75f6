"""Plain text tables."""

from __future__ import annotations

from collections.abc import Sequence


def print_table(title: str, head: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """The title, and columns as wide as they need to be; numbers stand on the right."""
    cells = [[_said(value) for value in row] for row in rows]
    widths = [max(len(line[i]) for line in [list(head), *cells]) for i in range(len(head))]
    numbers = [all(not isinstance(row[i], str) for row in rows) for i in range(len(head))]
    print(f"\n{title}")
    for line in [list(head), ["-" * width for width in widths], *cells]:
        parts = [
            text.rjust(width) if number else text.ljust(width)
            for text, width, number in zip(line, widths, numbers, strict=True)
        ]
        print("  " + "  ".join(parts).rstrip(), flush=True)


def _said(value: object) -> str:
    if isinstance(value, float):
        return "-" if value != value else f"{value:.2f}"
    return str(value)
