"""Files that must not be there yet: written whole beside their place, then put in it, or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import ExitStack, suppress
from pathlib import Path

from nesting.filefolder import LEFTOVER, Writer, held, leftovers
from shared.errors import OutputRefused


def refuse_existing(paths: Sequence[Path]) -> None:
    """Raise `OutputRefused` where one of the files is there: asked before any work is done."""
    for path in paths:
        if os.path.lexists(path):
            raise OutputRefused(f"{path} is there already; give another name, or move it away")


def write_new(files: Mapping[Path, Writer]) -> None:
    """Write the files, all or none of them, and the folders that they need.

    Raises `OutputRefused` where one is there already or cannot be written.  Half-written files of runs that were
    killed there are removed.
    """
    refuse_existing(tuple(files))
    waiting: list[tuple[Path, Path]] = []
    placed: list[Path] = []
    made: list[Path] = []
    in_use = ExitStack()
    try:
        for path, write in files.items():
            made += [folder for folder in reversed(path.parents) if not folder.exists()]
            path.parent.mkdir(parents=True, exist_ok=True)
            _clear_leftovers(path.parent)
            waiting.append((_written_beside(path, write, in_use), path))
        for beside, path in waiting:
            refuse_existing([path])
            beside.rename(path)
            placed.append(path)
    except BaseException as error:
        for leftover in (*(beside for beside, _ in waiting), *placed):
            leftover.unlink(missing_ok=True)
        for folder in reversed(made):
            with suppress(OSError):
                folder.rmdir()
        if isinstance(error, OSError):
            where = error.filename or next(iter(files))
            raise OutputRefused(f"{where}: cannot be written: {error.strerror or error}") from error
        raise
    finally:
        in_use.close()


def _clear_leftovers(folder: Path) -> None:
    for path in leftovers(folder):
        if path.is_file():
            with suppress(OSError):
                path.unlink()


def _written_beside(path: Path, write: Writer, in_use: ExitStack) -> Path:
    """The file under a hidden name in the same folder, with the permissions that any new file gets."""
    handle, name = tempfile.mkstemp(prefix=LEFTOVER, dir=path.parent)
    os.close(handle)
    beside = Path(name)
    try:
        in_use.enter_context(held(beside))
        write(beside)
        mask = os.umask(0)
        os.umask(mask)
        beside.chmod(0o666 & ~mask)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    return beside
