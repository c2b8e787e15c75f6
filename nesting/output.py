"""The results folder: written whole beside its place, then moved in, so that a failure leaves the old one.

Only a folder that this program wrote is ever replaced: its file list stands in `.reskin-files`.
"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
import unicodedata
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path

from nesting.documents import lists
from nesting.documents.dxf import write_dxf
from nesting.documents.elevation import elevation
from nesting.documents.findings import sides_in_order
from nesting.documents.page import page_html
from nesting.documents.planfile import plan_text
from nesting.documents.printed import write_packet
from nesting.documents.sheetview import all_sheets, sheet_views
from nesting.documents.svg import write_svg
from nesting.plan import PlannedJob
from shared.errors import OutputRefused

MANIFEST = ".reskin-files"
_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What desktops leave in any folder that is looked at: nobody's work."""
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)$")
"""Names that one family of systems keeps for devices."""
_SLUG_LENGTH = 60

Writer = Callable[[Path], object]


def check_output_folder(folder: Path) -> None:
    """Raise OutputRefused if results could not go to ``folder``: ask before a long plan, not after it."""
    try:
        _check(_place(folder))
    except OSError as error:
        raise OutputRefused(_refusal(folder, error)) from error


def write_results(planned: PlannedJob, folder: Path, *, drill: bool = False) -> tuple[Path, ...]:
    """Write every document of a plan into ``folder`` and name the files; ``drill`` adds rivet holes.

    An earlier results folder is replaced as a whole; on any failure it stays as it was.
    Raises OutputRefused when the folder holds anything else, or when the system does not let us write.
    """
    try:
        target = _place(folder)
        _check(target)
        target.parent.mkdir(parents=True, exist_ok=True)
        workshop = Path(tempfile.mkdtemp(prefix=".reskin-", dir=target.parent))
        try:
            # a folder inside the private one, so that it has the permissions any new folder gets
            fresh = workshop / "new"
            names = _write_all(planned, fresh, drill)
            _check(target)
            _swap_in(fresh, target, workshop / "old")
        finally:
            # should even putting the old folder back have failed, it must not be swept away with the rest
            if target.exists() or not (workshop / "old").exists():
                shutil.rmtree(workshop, ignore_errors=True)
    except OSError as error:
        raise OutputRefused(_refusal(folder, error)) from error
    return tuple(folder / name for name in names)


def file_names(titles: Iterable[str]) -> tuple[str, ...]:
    """A safe file name without ending for each title: small letters, digits, hyphens, no two alike."""
    taken: set[str] = set()
    names: list[str] = []
    for title in titles:
        plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
        stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_SLUG_LENGTH].strip("-") or "side"
        if _RESERVED.match(stem):
            stem = f"side-{stem}"
        name, count = stem, 1
        while name in taken:
            count += 1
            name = f"{stem}-{count}"
        taken.add(name)
        names.append(name)
    return tuple(names)


def _documents(planned: PlannedJob, drill: bool) -> dict[str, Writer]:
    """Every file by its path in the folder, with what writes it."""
    units = planned.job.units
    # many small parts make a sheet slow to letter: each is drawn once for all documents
    views = sheet_views(planned, drill)
    files: dict[str, Writer] = {
        "plan.json": _text(plan_text(planned)),
        "index.html": _text(page_html(planned, None if drill else views)),
        "packet.pdf": partial(write_packet, planned),
        "cut-list.csv": _text(lists.cut_list(planned)),
        "rivets.csv": _text(lists.rivets(planned)),
        "buy-list.csv": _text(lists.buy_list(planned)),
        "offcuts.csv": _text(lists.offcuts(planned)),
    }
    drawings = {}
    digits = max(2, len(str(len(planned.plan.sheets))))
    for number, view in enumerate(views, start=1):
        drawings[f"sheets/sheet-{number:0{digits}d}"] = view
    sides = sides_in_order(planned)
    for side, name in zip(sides, file_names(side.name for side in sides), strict=True):
        drawings[f"elevations/{name}"] = elevation(planned, side)
    for name, drawing in drawings.items():
        files[f"{name}.svg"] = partial(write_svg, drawing)
        files[f"{name}.dxf"] = partial(write_dxf, drawing, units=units)
    files["all-sheets.dxf"] = partial(write_dxf, all_sheets(planned, drill, views), units=units)
    return files


def _text(text: str) -> Writer:
    # bytes, so that line ends are the same on every system
    return lambda path: path.write_bytes(text.encode("utf-8"))


def _write_all(planned: PlannedJob, fresh: Path, drill: bool) -> tuple[str, ...]:
    fresh.mkdir()
    files = _documents(planned, drill)
    for name, write in files.items():
        path = fresh / name
        path.parent.mkdir(exist_ok=True)
        write(path)
    _text("".join(f"{name}\n" for name in sorted(files)))(fresh / MANIFEST)
    return tuple(files)


def _place(folder: Path) -> Path:
    """The folder without links, so that a link keeps pointing where it did and its target is replaced."""
    return Path(os.path.realpath(folder))


def _check(target: Path) -> None:
    if target == Path(target.anchor) or Path.cwd().is_relative_to(target):
        raise OutputRefused(f"{target} is where you stand or lies above it; give a folder of its own")
    if target.is_dir():
        foreign = _first_foreign(target)
        if foreign is not None:
            raise OutputRefused(
                f"{target} holds '{foreign}', which was not written here; "
                "nothing was changed: give another folder, or move that file away"
            )
    elif target.exists():
        raise OutputRefused(f"{target} is a file, not a folder; give another name, or move the file away")
    nearest = target.parent
    while not nearest.exists():
        nearest = nearest.parent
    if not nearest.is_dir():
        raise OutputRefused(f"{nearest} is a file, so no folder can be made in it; give another folder")
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise OutputRefused(f"{nearest} does not let you write in it; give another folder")


def _first_foreign(target: Path) -> str | None:
    """The first file or folder, by name, that an earlier run of ours did not write."""
    manifest = target / MANIFEST
    ours: set[str] = {MANIFEST}
    if manifest.is_file() and not manifest.is_symlink():
        ours.update(manifest.read_text(encoding="utf-8", errors="replace").splitlines())
    folders = {parent.as_posix() for name in ours for parent in Path(name).parents}
    for place, inner, files in os.walk(target, onerror=_raise):
        base = Path(place)
        inner.sort()
        for name in sorted(inner):
            path = base / name
            if path.is_symlink() or path.relative_to(target).as_posix() not in folders:
                return path.relative_to(target).as_posix()
        for name in sorted(files):
            path = base / name
            known = path.relative_to(target).as_posix() in ours or name in _LITTER
            if path.is_symlink() or not known:
                return path.relative_to(target).as_posix()
    return None


def _raise(error: OSError) -> None:
    raise error


def _swap_in(fresh: Path, target: Path, aside: Path) -> None:
    """Put the fresh folder where the old one was; the old one returns if that fails."""
    try:
        if target.exists():
            target.rename(aside)
        fresh.rename(target)
    except BaseException:
        if aside.exists() and not target.exists():
            aside.rename(target)
        raise


def _refusal(folder: Path, error: OSError) -> str:
    reason = error.strerror or str(error)
    where = f" ({error.filename})" if error.filename else ""
    return (
        f"the results could not be written to {folder}: {reason}{where}; what was there before is unchanged"
    )
