"""The plan check, fourth part: edge-to-edge cuts made again, one by one, from the whole sheet."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.checking.shapes import HAIR, extent
from nesting.job import CutMethod, Job
from nesting.plan import Plan, SheetLayout

Rect = tuple[float, float, float, float]


def cut_faults(job: Job, plan: Plan) -> Iterator[str]:
    """What is wrong with the cut order, which a shear must have and cutting by hand may have."""
    for number, sheet in enumerate(plan.sheets, start=1):
        if job.cutting.method is CutMethod.SHEAR or sheet.cuts:
            yield from (f"sheet {number}, {fault}" for fault in _replayed(job, sheet))


def _replayed(job: Job, sheet: SheetLayout) -> Iterator[str]:
    kerf = job.cutting.kerf
    longest = job.cutting.shear_length if job.cutting.method is CutMethod.SHEAR else None
    pieces: list[Rect] = [(0.0, 0.0, sheet.stock.length, sheet.stock.width)]
    parts = [(part.part, extent(part.outline)) for part in sheet.parts]
    for number, cut in enumerate(sheet.cuts, start=1):
        if cut.order != number:
            yield f"cut {cut.order}: it comes as number {number}"
        piece = next((p for p in pieces if _same(p, cut.piece)), None)
        if piece is None:
            yield f"cut {number}: there is no piece {_words(cut.piece)} to cut"
            continue
        x0, y0, x1, y1 = piece
        low, high, length = (x0, x1, y1 - y0) if cut.axis == "x" else (y0, y1, x1 - x0)
        if cut.axis not in ("x", "y") or not low + HAIR < cut.at < high - HAIR:
            yield f"cut {number}: at {cut.axis} = {cut.at:.2f} it does not divide the piece {_words(piece)}"
            continue
        if longest is not None and length > longest + HAIR:
            yield f"cut {number}: {length:.1f} long, the shear takes {longest:.1f}"
        # What the cut removes lies past the line, or before it where a part begins on the line.
        past, before = (_removed(piece, cut.axis, start, kerf) for start in (cut.at, cut.at - kerf))
        struck = {strip: [name for name, part in parts if _overlap(strip, part)] for strip in (past, before)}
        removed = past if len(struck[past]) <= len(struck[before]) else before
        yield from (f"cut {number}: it runs through part {name}" for name in struck[removed])
        pieces.remove(piece)
        halves = (
            ((x0, y0, removed[0], y1), (removed[2], y0, x1, y1))
            if cut.axis == "x"
            else ((x0, y0, x1, removed[1]), (x0, removed[3], x1, y1))
        )
        pieces += [half for half in halves if half[2] - half[0] > HAIR and half[3] - half[1] > HAIR]
    for name, part in parts:
        if not any(_same(piece, part) for piece in pieces):
            yield f"part {name}: the cuts do not free it on all four sides"
    for i, offcut in enumerate(sheet.offcuts, start=1):
        held = (offcut.x, offcut.y, offcut.x + offcut.length, offcut.y + offcut.width)
        if not any(_inside(held, piece) for piece in pieces):
            yield f"offcut {i}: the cuts go through it"


def _removed(piece: Rect, axis: str, start: float, kerf: float) -> Rect:
    """What a cut takes out of a piece; a cut without width is a line."""
    x0, y0, x1, y1 = piece
    if axis == "x":
        return (max(x0, start), y0, min(x1, start + kerf), y1)
    return (x0, max(y0, start), x1, min(y1, start + kerf))


def _same(a: Rect, b: Rect) -> bool:
    return all(abs(p - q) <= HAIR for p, q in zip(a, b, strict=True))


def _inside(a: Rect, b: Rect) -> bool:
    return a[0] >= b[0] - HAIR and a[1] >= b[1] - HAIR and a[2] <= b[2] + HAIR and a[3] <= b[3] + HAIR


def _overlap(a: Rect, b: Rect) -> bool:
    """Whether two rectangles share more than an edge; a line without width counts where it runs inside."""
    return (
        a[0] < b[2] - HAIR and b[0] < a[2] - HAIR and a[1] < b[3] - HAIR and b[1] < a[3] - HAIR
    ) or _line_inside(a, b)


def _line_inside(a: Rect, b: Rect) -> bool:
    if a[0] == a[2]:
        return b[0] + HAIR < a[0] < b[2] - HAIR and a[1] < b[3] - HAIR and b[1] < a[3] - HAIR
    if a[1] == a[3]:
        return b[1] + HAIR < a[1] < b[3] - HAIR and a[0] < b[2] - HAIR and b[0] < a[2] - HAIR
    return False


def _words(piece: Rect) -> str:
    x0, y0, x1, y1 = piece
    return f"{x1 - x0:.1f} x {y1 - y0:.1f} at ({x0:.1f}, {y0:.1f})"
