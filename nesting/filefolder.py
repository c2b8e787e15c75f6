"""A results folder: written whole beside its place, then moved in, so that a failure leaves the old one.

Only a folder that this program wrote is ever replaced: its file list stands in `.reskin-files`.  A run that
was killed leaves its workshop beside the place; the next run there puts the earlier results back if they lie in
it, and clears it away.
"""

from __future__ import annotations

import os
import re
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from shared.errors import OutputRefused

if sys.platform != "win32":
    import fcntl

MANIFEST = ".reskin-files"
_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What desktops leave in any folder that is looked at: nobody's work."""

LEFTOVER = ".reskin-"
"""What names of files and folders start with that are only there while a run writes."""

_MADE_BY_US = re.compile(re.escape(LEFTOVER) + r"[a-z0-9_]{8}")
"""Such a name with the eight characters that `tempfile` adds."""

_NEW, _OLD, _DONE, _TARGET = "new", "old", "done", "target"
"""What a workshop holds: the fresh results, the earlier ones moved aside, those no longer needed, whose it is."""

Writer = Callable[[Path], object]
"""What writes one file."""


def check_output_folder(folder: Path) -> None:
    """Raise OutputRefused if results could not go to ``folder``: ask before a long plan, not after it.

    Earlier results that a killed run left aside are put back first.
    """
    try:
        target = _place(folder)
        _clear_workshops(target)
        _check(target)
    except OSError as error:
        raise OutputRefused(_refusal(folder, error)) from error


def write_files(files: Mapping[str, Writer], folder: Path) -> tuple[Path, ...]:
    """Write files by their paths in ``folder`` and name them.

    An earlier results folder is replaced as a whole; on any failure it stays as it was.
    Raises OutputRefused when the folder holds anything else, or when the system does not let us write.
    """
    aside: Path | None = None
    try:
        target = _place(folder)
        _clear_workshops(target)
        _check(target)
        target.parent.mkdir(parents=True, exist_ok=True)
        workshop = Path(tempfile.mkdtemp(prefix=LEFTOVER, dir=target.parent))
        with held(workshop):
            try:
                text_file(target.name)(workshop / _TARGET)
                # a folder inside the private one, so that it has the permissions any new folder gets
                fresh = workshop / _NEW
                _write_all(files, fresh)
                _check(target)
                _swap_in(fresh, target, workshop / _OLD)
            finally:
                # should even putting the old folder back have failed, it must not be swept away with the rest
                if target.exists() or not (workshop / _OLD).exists():
                    _clear(workshop)
                else:
                    aside = workshop / _OLD
    except OSError as error:
        raise OutputRefused(_refusal(folder, error, aside)) from error
    return tuple(folder / name for name in files)


def text_file(text: str) -> Writer:
    """What writes a text: as bytes, so that line ends are the same on every system."""
    # a name may come from the command line with bytes that are no character
    return lambda path: path.write_bytes(text.encode("utf-8", "replace"))


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Marks a file or folder as in use by this run, for as long as it lives: see `is_held`."""
    if sys.platform == "win32":
        yield
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        # some network drives know no locks: then the others cannot tell, and leave it alone
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    finally:
        os.close(handle)


def is_held(path: Path) -> bool:
    """Whether a run that lives may be using a file or folder; yes where the system cannot tell."""
    if sys.platform == "win32":
        return True
    try:
        handle = os.open(path, os.O_RDONLY)
    except OSError:
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return True
    finally:
        os.close(handle)
    return False


def leftovers(folder: Path) -> list[Path]:
    """Files and folders in a folder that runs of ours left there half done: none that is still in use."""
    try:
        found = [path for path in folder.iterdir() if _MADE_BY_US.fullmatch(path.name)]
    except OSError:
        return []
    return [path for path in sorted(found) if not path.is_symlink() and not is_held(path)]


def _clear_workshops(target: Path) -> None:
    """Sweep away what killed runs left beside ``target``, its earlier results put back in their place."""
    for workshop in leftovers(target.parent):
        if workshop.is_dir() and _is_for(workshop, target):
            if not os.path.lexists(target) and (workshop / _OLD).is_dir():
                (workshop / _OLD).rename(target)
            _clear(workshop)


def _is_for(workshop: Path, target: Path) -> bool:
    """Whether a workshop is that of a run into ``target``, or was left before it held anything."""
    inside = {path.name for path in workshop.iterdir()}
    if not inside:
        return True
    if _TARGET not in inside or inside - {_NEW, _OLD, _DONE, _TARGET}:
        return False
    return (workshop / _TARGET).read_bytes() in (target.name.encode("utf-8", "replace"), b"")


def _clear(workshop: Path) -> None:
    """Remove a workshop so that, stopped at any moment, the rest of it is not taken for whole results."""
    with suppress(OSError):
        if (workshop / _OLD).exists():
            (workshop / _OLD).rename(workshop / _DONE)
        for name in (_DONE, _NEW):
            shutil.rmtree(workshop / name, ignore_errors=True)
    # whose it is goes last
    shutil.rmtree(workshop, ignore_errors=True)


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


def _refusal(folder: Path, error: OSError, aside: Path | None = None) -> str:
    reason = error.strerror or str(error)
    where = f" ({error.filename})" if error.filename else ""
    kept = "what was there before is unchanged"
    if aside is not None:
        kept = f"what was there before lies in {aside}, and the next run puts it back"
    return f"the results could not be written to {folder}: {reason}{where}; {kept}"
