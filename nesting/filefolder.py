"""A results folder: written whole beside its place, then moved in, so that a failure leaves the old one.

Only a folder that this program wrote is ever replaced: its file list stands in `.reskin-files`.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from shared.errors import OutputRefused

MANIFEST = ".reskin-files"
_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What desktops leave in any folder that is looked at: nobody's work."""

Writer = Callable[[Path], object]
"""What writes one file."""


def check_output_folder(folder: Path) -> None:
    """Raise OutputRefused if results could not go to ``folder``: ask before a long plan, not after it."""
    try:
        _check(_place(folder))
    except OSError as error:
        raise OutputRefused(_refusal(folder, error)) from error


def write_files(files: Mapping[str, Writer], folder: Path) -> tuple[Path, ...]:
    """Write files by their paths in ``folder`` and name them.

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
            _write_all(files, fresh)
            _check(target)
            _swap_in(fresh, target, workshop / "old")
        finally:
            # should even putting the old folder back have failed, it must not be swept away with the rest
            if target.exists() or not (workshop / "old").exists():
                shutil.rmtree(workshop, ignore_errors=True)
    except OSError as error:
        raise OutputRefused(_refusal(folder, error)) from error
    return tuple(folder / name for name in files)


def text_file(text: str) -> Writer:
    """What writes a text: as bytes, so that line ends are the same on every system."""
    # a name may come from the command line with bytes that are no character
    return lambda path: path.write_bytes(text.encode("utf-8", "replace"))


def _write_all(files: Mapping[str, Writer], fresh: Path) -> None:
    fresh.mkdir()
    for name, write in files.items():
        path = fresh / name
        path.parent.mkdir(exist_ok=True)
        write(path)
    text_file("".join(f"{name}\n" for name in sorted(files)))(fresh / MANIFEST)


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
