"""Damaged job files, tables and drawings read one after another: each must be read, or refused in plain words."""

from __future__ import annotations

import io
import signal
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random
from resource import RUSAGE_SELF, getrusage
from types import FrameType

from ezdxf._options import options
from ezdxf.filemanagement import new

from nesting.job import Cutting
from nesting.jobfile import job_from_text, read_job
from nesting.reading.csvtext import table_text
from nesting.reading.drawings import openings_in_drawing, read_outlines
from nesting.reading.offcutlist import read_offcuts
from nesting.reading.reader import JobReader
from nesting.starting.measuredjob import job_from_readings
from nesting.starting.sheet import DIAGONALS
from shared.errors import JobMistakes, PlannerError
from tests.conftest import TWO_BAYS
from tests.filled_tables import TWO_BAYS as FILLED
from tests.filled_tables import as_csv, blank, filled, two_bays
from tests.job_texts import EVERY_KEY, EVERYTHING_WRONG, LEAST, METRIC
from tests.soak import drawnparts
from tests.soak.mutating import mutated, mutated_bytes

SAMPLES = Path(__file__).parents[2] / "samples"

LONGEST_SECONDS = 5.0
"""What takes longer to read hangs, for whoever waits."""

OFFCUTS = """\
length (in),width (in),length (mm),width (mm),from
40,20 1/2,1016,520.7,sheet 1
12,9,304.8,228.6,sheet 2
"""


SHAPES = (
    TWO_BAYS.replace("width = 6\nheight = 6\n", "")
    + """outline = [[0, 0], [3, 0, -0.5], [6, 0], [6, 6, 0.4142], [5, 7], [0, 7]]
holes = [[[1, 3, 1], [2, 3, 1]], [[3, 3], [4, 3], [4, 5], [3, 5]]]

[[side]]
name = "rear"
forward = "left"
posts = [2]

[[side.bay]]
outline = [[0, 0], [5, 0, -0.4], [20, 0], [28, 0], [28, 30, 0.4142], [20, 38], [0, 36]]

[[side.bay]]
left = 40
bottom = 28
right = 40
top = 28
diagonal_rising = "48 13/16"
diagonal_falling = "48 13/16"

[[side.window]]
bay = 1
from_left = 3
from_bottom = 12
width = 14
height = 10
corner_radius = 2

[[bar]]
name = "window frame"
section = "1 x 1 tube"
length = 30
quantity = 8

[[bar_stock]]
section = "1 x 1 tube"
length = 240
price = 30
"""
)


class Hangs(BaseException):
    """The reading takes longer than `LONGEST_SECONDS`: no exception that a reader may catch."""


@dataclass(frozen=True)
class Fault:
    """What a reader did that it must not, the number of the input, and the input itself."""

    kind: str
    number: int
    what: str
    trace: str
    data: bytes


@dataclass(frozen=True)
class Tried:
    """How many inputs of a kind were read, how many of them refused, what went wrong, and memory at the end."""

    inputs: int
    refused: int
    slowest: float
    megabytes: float
    faults: tuple[Fault, ...]


def read_damaged(kind: str, until: float, first: int = 0, most: int | None = None) -> Tried:
    """Inputs ``first``, ``first + 1``, ... of a kind, until the clock of `time.monotonic` says ``until``.

    ``most`` is how many are read at most.
    """
    faults, refused, slowest, number = [], 0, 0.0, first
    with tempfile.TemporaryDirectory() as folder:
        read = READERS[kind](Path(folder))
        while time.monotonic() < until and (most is None or number < first + most):
            random = Random(f"{kind} {number}")
            data = read.made(random)
            started = time.process_time()
            try:
                with _at_most(LONGEST_SECONDS):
                    read.read(data)
            except PlannerError as error:
                refused += 1
                if len(str(error)) > _LONGEST_MESSAGE:
                    faults.append(Fault(kind, number, f"a message of {len(str(error))} characters", "", data))
            except (Exception, Hangs) as error:
                # whatever it is, it is what is looked for
                faults.append(
                    Fault(kind, number, f"{type(error).__name__}: {error}", traceback.format_exc(), data)
                )
            slowest = max(slowest, time.process_time() - started)
            number += 1
    return Tried(number - first, refused, slowest, getrusage(RUSAGE_SELF).ru_maxrss / 1024, tuple(faults))


_LONGEST_MESSAGE = 60_000
"""A hundred mistakes of a few lines each."""


@contextmanager
def _at_most(seconds: float) -> Iterator[None]:
    def stop(signum: int, frame: FrameType | None) -> None:
        raise Hangs(f"more than {seconds} s")

    before = signal.signal(signal.SIGPROF, stop)
    # seconds of the processor: on a busy machine everything takes long
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


@dataclass(frozen=True)
class _Kind:
    """How inputs of a kind are made and read."""

    made: Callable[[Random], bytes]
    read: Callable[[bytes], object]


def _jobs(folder: Path) -> _Kind:
    texts = [TWO_BAYS, EVERY_KEY, METRIC, LEAST, EVERYTHING_WRONG, SHAPES]
    texts += [path.read_text(encoding="utf-8") for path in sorted(SAMPLES.glob("*.toml"))]
    return _Kind(
        lambda random: mutated(random.choice(texts), random).encode("utf-8", "surrogatepass"),
        lambda data: job_from_text(data.decode("utf-8", "surrogatepass"), "job.toml", SAMPLES),
    )


def _job_files(folder: Path) -> _Kind:
    texts = [TWO_BAYS, (SAMPLES / "shuttle-body.toml").read_text(encoding="utf-8")]
    path = folder / "job.toml"

    def read(data: bytes) -> None:
        path.write_bytes(data)
        read_job(path)

    return _Kind(lambda random: mutated_bytes(random.choice(texts), random), read)


def _offcuts(folder: Path) -> _Kind:
    path = folder / "offcuts.csv"

    def read(data: bytes) -> None:
        path.write_bytes(data)
        reader = JobReader("in")
        read_offcuts(path, path.name, "offcuts, item 1", Cutting(edge_margin=6.35), reader)
        if reader.mistakes:
            raise JobMistakes(reader.mistakes)

    return _Kind(lambda random: mutated_bytes(OFFCUTS, random), read)


def _readings(folder: Path) -> _Kind:
    texts = [two_bays(), two_bays(bay_1_height="39 3/4", bay_1_sill="2"), _four_sided(), _with_window()]
    path = folder / "readings.csv"

    def read(data: bytes) -> None:
        path.write_bytes(data)
        job_from_readings(table_text(path), path.name)

    return _Kind(lambda random: mutated_bytes(random.choice(texts), random), read)


def _four_sided() -> str:
    sides = {("bay 1", name): value for name, value in (("left", "40"), ("right", "40"), ("top", "28"))}
    diagonals = {("bay 1", name): "48 13/16" for name in DIAGONALS}
    return as_csv(
        filled(
            blank(1, four_sided=True),
            {**sides, **diagonals, ("bay 1", "bottom"): "28", ("side", "front"): "left"},
        )
    )


def _with_window() -> str:
    window = {("window 1", name): "6" for name in ("from left", "from bottom", "width", "height")}
    return as_csv(filled(blank(), {**FILLED, **window, ("window 1", "bay"): "2"}), separator=";")


def _drawings(folder: Path) -> _Kind:
    texts = [(SAMPLES / "shuttle-far-side.dxf").read_text(encoding="utf-8"), *_small_drawings()]
    return _Kind(lambda random: _drawing_bytes(random.choice(texts), random), _drawing_reader(folder))


def _drawn_parts(folder: Path) -> _Kind:
    return _Kind(drawnparts.drawing, _drawing_reader(folder))


def _drawing_reader(folder: Path) -> Callable[[bytes], object]:
    path = folder / "side.dxf"

    def read(data: bytes) -> None:
        path.write_bytes(data)
        read_outlines(path, units="in")
        openings_in_drawing(path, units="in")

    return read


def _drawing_bytes(text: str, random: Random) -> bytes:
    """Damage to what is drawn rather than to the long preamble, most of the time."""
    at = text.rfind("ENTITIES") if random.random() < 0.85 else -1
    if at < 0:
        return mutated_bytes(text, random)
    end = text.rfind("ENDSEC") if random.random() < 0.7 else len(text)
    damaged = mutated(text[at + 8 : max(at + 8, end)], random)
    return (text[: at + 8] + damaged + text[max(at + 8, end) :]).encode("utf-8", "replace")


def _small_drawings() -> Sequence[str]:
    """A drawing of every kind of entity that is read, in two releases."""
    return [_small_drawing(release) for release in ("R12", "R2000", "R2010")]


def _small_drawing(release: str) -> str:
    # else each has a time and numbers of its own, and no input could be made again
    options.write_fixed_meta_data_for_testing = True
    document = new(release)
    document.header["$INSUNITS"] = 1
    space = document.modelspace()
    block = document.blocks.new("BAY")
    for start, end in (((0, 0), (30, 0)), ((30, 0), (30, 40)), ((30, 40), (0, 40)), ((0, 40), (0, 0))):
        block.add_line(start, end)
    space.add_blockref("BAY", (100, 0), {"rotation": 5, "xscale": 1.1, "yscale": 1.1})
    space.add_polyline2d([(200, 0), (230, 0), (230, 40)], close=True)
    space.add_circle((300, 20), 15)
    space.add_arc((400, 20), 15, 0, 180)
    space.add_line((385, 20), (415, 20))
    if release != "R12":
        space.add_lwpolyline(
            [(500, 0, 0.2), (530, 0, 0), (530, 40, -0.3), (500, 40, 0)], format="xyb", close=True
        )
        space.add_ellipse((600, 20), (15, 0), 0.6)
        space.add_open_spline([(700, 0), (730, 0), (730, 40), (700, 40), (700, 0)])
    text = io.StringIO()
    document.write(text)
    return text.getvalue()


READERS: Mapping[str, Callable[[Path], _Kind]] = {
    "job": _jobs,
    "job file": _job_files,
    "offcuts": _offcuts,
    "readings": _readings,
    "drawing": _drawings,
    "drawn parts": _drawn_parts,
}
"""What is read, by its name."""
