"""Full disks, missing rights, two runs at once, names taken by something else: old results or new ones, never a mix."""

from __future__ import annotations

import errno
import os
import shutil
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from nesting.filefolder import MANIFEST, Writer, check_output_folder, text_file, write_files
from nesting.output import write_results
from nesting.starting.newfiles import write_new
from shared.errors import OutputRefused
from tests import hand_plans
from tests.soak.killing import files_in

pytestmark = pytest.mark.skipif(os.name != "posix", reason="links, rights and processes of POSIX")

PLANNED = hand_plans.planned_two_panels()


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work from a folder that is no part of the test."""
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))


def texts(word: str) -> dict[str, Writer]:
    """Three files that tell who wrote them."""
    return {name: text_file(word) for name in ("plan.json", "cut-list.csv", "sheets/sheet-01.svg")}


class FullDisk:
    """A disk that is full from some request of the system on: a file to be made, a folder, or a move."""

    def __init__(self) -> None:
        self.left: int | None = None
        sys.addaudithook(self._asked)

    def _asked(self, event: str, args: tuple[object, ...]) -> None:
        if self.left is None:
            return
        makes = event in ("os.mkdir", "os.rename")
        if event == "open" and isinstance(args[2], int):
            makes = bool(args[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))
        if makes:
            self.left -= 1
            if self.left < 0:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(args[0]))


@pytest.fixture(scope="module")
def disk() -> FullDisk:
    # such a hook stays for good, so there is one for all tests
    return FullDisk()


@pytest.fixture
def full(disk: FullDisk) -> Iterator[FullDisk]:
    yield disk
    disk.left = None


def refused(files: dict[str, Writer], folder: Path) -> str | None:
    """What is told where files cannot be written; None where they can."""
    try:
        write_files(files, folder)
    except OutputRefused as error:
        return str(error)
    return None


def test_a_disk_that_is_full_at_any_request_leaves_the_earlier_results(
    tmp_path: Path, full: FullDisk
) -> None:
    made = write_results(PLANNED, tmp_path / "made")
    # as many files as a plan has, without the time to draw them each time
    files: dict[str, Writer] = {
        str(path.relative_to(tmp_path / "made")): partial(_copied, path.read_bytes()) for path in made
    }
    shutil.rmtree(tmp_path / "made")
    folder = tmp_path / "results"
    write_files(texts("old"), folder)
    before, refusals = files_in(folder), []
    for requests in range(100):
        full.left = requests
        refusal = refused(files, folder)
        full.left = None
        if refusal is None:
            break
        refusals.append(refusal)
        # a full disk may keep us even from moving back: then it is told where the earlier results lie
        aside = next(tmp_path.glob(".reskin-*/old"), None)
        assert files_in(folder if folder.exists() or aside is None else aside) == before
        assert ("is unchanged" if folder.exists() else f"lies in {aside}") in refusal
        check_output_folder(folder)
        assert files_in(folder) == before
        assert [path.name for path in tmp_path.iterdir()] == ["results"]
    assert all("No space left on device" in refusal for refusal in refusals)
    assert len(refusals) > len(files)
    assert files_in(folder).keys() == {*files, MANIFEST}


def _copied(data: bytes, path: Path) -> None:
    path.write_bytes(data)


def test_a_disk_that_is_full_before_there_were_results_leaves_nothing(tmp_path: Path, full: FullDisk) -> None:
    for requests in range(5):
        full.left = requests
        with pytest.raises(OutputRefused, match="No space left"):
            write_files(texts("new"), tmp_path / "results")
        full.left = None
        check_output_folder(tmp_path / "results")
        assert list(tmp_path.iterdir()) == []


def test_a_new_job_file_on_a_full_disk_is_not_half_there(tmp_path: Path, full: FullDisk) -> None:
    wanted = {tmp_path / "far" / name: text_file("units") for name in ("job.toml", "other.toml")}
    for requests in range(4):
        full.left = requests
        with pytest.raises(OutputRefused, match="No space left"):
            write_new(wanted)
        full.left = None
        assert list(tmp_path.iterdir()) == []


SHORT_OF_ROOM = """
import resource, signal, sys
from pathlib import Path
from nesting.output import write_results
from shared.errors import OutputRefused
from tests.hand_plans import planned_two_panels
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
for room in map(int, sys.argv[2:]):
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, resource.RLIM_INFINITY))
    try:
        write_results(planned_two_panels(), Path(sys.argv[1]))
    except OutputRefused as error:
        print(room, error)
"""


def test_files_that_can_be_written_in_part_only_are_never_moved_into_place(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    write_files(texts("old"), folder)
    before = files_in(folder)
    rooms = ("0", "3000", "20000")
    ended = subprocess.run(
        [sys.executable, "-c", SHORT_OF_ROOM, str(folder), *rooms],
        cwd=Path(__file__).parents[1],
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    told = ended.stdout.splitlines()
    assert [line.split()[0] for line in told] == list(rooms)
    assert all("File too large" in line for line in told)
    assert files_in(folder) == before
    assert [path.name for path in tmp_path.iterdir()] == ["results"]


WRITING_ON = """
import sys
from pathlib import Path
from nesting.filefolder import text_file, write_files
from shared.errors import OutputRefused
done = 0
for number in range(60):
    word = f"{sys.argv[2]} {number}" * 50
    try:
        names = ("plan.json", "a.csv", "sheets/sheet-01.svg")
        write_files({name: text_file(word) for name in names}, Path(sys.argv[1]))
        done += 1
    except OutputRefused:
        pass
print(done)
"""


def said_in(folder: Path) -> set[str]:
    """What the files of a folder say, all read from the one folder that was there when it was opened."""
    try:
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    except FileNotFoundError:
        return set()
    try:
        said = set()
        for name in ("plan.json", "a.csv", "sheets/sheet-01.svg"):
            with os.fdopen(os.open(name, os.O_RDONLY, dir_fd=handle)) as file:
                said.add(file.read())
        return said
    except FileNotFoundError:
        # this folder has just been moved aside and is being cleared
        return set()
    finally:
        os.close(handle)


def test_two_runs_into_one_folder_at_once_leave_one_of_the_two_whole(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    write_files({name: text_file("first") for name in ("plan.json", "a.csv", "sheets/sheet-01.svg")}, folder)
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", WRITING_ON, str(folder), who],
            cwd=Path(__file__).parents[1],
            stdout=subprocess.PIPE,
            text=True,
        )
        for who in ("one", "other")
    ]
    seen = set()
    while any(run.poll() is None for run in runs):
        said = said_in(folder)
        assert len(said) <= 1
        seen |= said
        time.sleep(0.001)
    done = [int(run.communicate()[0]) for run in runs]
    assert [run.returncode for run in runs] == [0, 0]
    assert all(count > 0 for count in done)
    assert len(said_in(folder)) == 1
    assert len(seen) > 1
    check_output_folder(folder)
    assert [path.name for path in tmp_path.iterdir()] == ["results"]


def test_a_folder_in_which_a_name_of_ours_is_a_folder_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    write_files(texts("old"), folder)
    (folder / "plan.json").unlink()
    (folder / "plan.json").mkdir()
    (folder / "plan.json" / "letter.txt").write_text("mine")
    with pytest.raises(OutputRefused, match=r"plan\.json"):
        write_files(texts("new"), folder)
    assert (folder / "plan.json" / "letter.txt").read_text() == "mine"


@pytest.mark.parametrize("name", ["plan.json", MANIFEST, "sheets"])
def test_an_empty_folder_or_a_link_by_a_name_of_ours_is_not_ours(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "results"
    folder.mkdir()
    (folder / name).mkdir()
    with pytest.raises(OutputRefused, match="was not written here"):
        write_files(texts("new"), folder)
    (folder / name).rmdir()
    (folder / name).symlink_to(tmp_path)
    with pytest.raises(OutputRefused, match="was not written here"):
        write_files(texts("new"), folder)
    assert [path.name for path in folder.iterdir()] == [name]


def test_a_list_of_files_that_names_others_elsewhere_gives_no_right_to_them(tmp_path: Path) -> None:
    folder, other = tmp_path / "results", tmp_path / "other.txt"
    other.write_text("mine")
    write_files(texts("old"), folder)
    (folder / MANIFEST).write_text(f"plan.json\n../other.txt\n{other}\ncut-list.csv\nsheets/sheet-01.svg\n")
    write_files(texts("new"), folder)
    assert other.read_text() == "mine"


def test_a_link_to_a_file_is_a_file_and_one_to_nothing_is_made_a_folder(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine")
    (tmp_path / "link").symlink_to("letter.txt")
    with pytest.raises(OutputRefused, match="is a file"):
        write_files(texts("new"), tmp_path / "link")
    assert (tmp_path / "letter.txt").read_text() == "mine"
    (tmp_path / "onward").symlink_to("nowhere")
    write_files(texts("new"), tmp_path / "onward")
    assert (tmp_path / "nowhere" / "plan.json").read_text() == "new"
    assert (tmp_path / "onward").is_symlink()


def test_links_in_a_ring_are_a_clear_refusal(tmp_path: Path) -> None:
    (tmp_path / "one").symlink_to("other")
    (tmp_path / "other").symlink_to("one")
    with pytest.raises(OutputRefused):
        write_files(texts("new"), tmp_path / "one")
    assert {path.name for path in tmp_path.iterdir()} == {"one", "other"}


@pytest.mark.skipif(os.geteuid() == 0, reason="needs a user whom permissions bind")
@pytest.mark.parametrize("below", ["", "deeper"])
def test_a_folder_without_the_right_to_write_is_refused(tmp_path: Path, below: str) -> None:
    kept = tmp_path / "kept"
    kept.mkdir(mode=stat.S_IRUSR | stat.S_IXUSR)
    try:
        with pytest.raises(OutputRefused, match="does not let you write"):
            check_output_folder(kept / "results" / below)
    finally:
        kept.chmod(stat.S_IRWXU)


def test_a_right_that_is_lost_while_planning_is_a_clear_refusal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "results"
    write_files(texts("old"), folder)
    before = files_in(folder)

    def forbidden(self: Path, target: Path) -> Path:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(self))

    monkeypatch.setattr(Path, "rename", forbidden)
    with pytest.raises(OutputRefused, match="Permission denied"):
        write_files(texts("new"), folder)
    monkeypatch.undo()
    assert files_in(folder) == before
