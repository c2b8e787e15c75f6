"""Do the tests notice small faults? One at a time is made in a module, and the module's own tests are run.

The packages of others are loaded once; each fault is judged in a fork, by the tests that run its line, the quickest
first. A fault that no test notices is printed: `make mutants MODULE=nesting/checking/cuts.py`.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import importlib.util
import json
import os
import random
import resource
import signal
import sys
import tempfile
from collections.abc import Callable, Iterable, Sequence
from importlib.machinery import ModuleSpec, SourceFileLoader
from itertools import accumulate
from operator import itemgetter
from pathlib import Path
from types import CodeType, ModuleType

import coverage
import hypothesis
import pytest

from tests.mutants.mutations import mutants_of, mutated

TESTS = {
    "shared/units.py": ("test_units*.py",),
    "nesting/checking/": (
        "test_check*.py",
        "test_damaged_plans.py",
        "test_order.py",
        "test_counted_by_hand.py",
    ),
    "nesting/rivets/": (
        "test_fasteners*.py",
        "test_rivet*.py",
        "test_insets.py",
        "test_griptable.py",
        "test_holders.py",
        "test_strength.py",
        "test_counted_by_hand.py",
    ),
}
"""The tests of a module, by how its path begins; for other modules they are given with --tests."""

MOST_MEMORY = 8 << 30
"""Bytes that a fork may take: a fault can make a list grow without end."""

Lines = dict[int, list[str]]
"""Which tests run a line; the test "" is loading the module."""


class Chosen:
    """Keeps the tests that are wanted, the quickest first; times those that are run, and watches their lines."""

    def __init__(self, wanted: dict[str, float] | None, watch: coverage.Coverage | None = None) -> None:
        self.wanted, self.watch = wanted, watch
        self.times: dict[str, float] = {}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        wanted = self.wanted
        if wanted is not None:
            items[:] = sorted((i for i in items if i.nodeid in wanted), key=lambda i: wanted[i.nodeid])

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        if self.watch:
            self.watch.switch_context(nodeid)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.times[report.nodeid] = self.times.get(report.nodeid, 0.0) + report.duration


class Faulty(SourceFileLoader):
    """Loads one module with a fault in it."""

    def __init__(self, module: Path, tree: ast.Module) -> None:
        super().__init__(".".join(module.with_suffix("").parts), str(module.resolve()))
        self.tree = tree

    def get_code(self, fullname: str) -> CodeType:
        code: CodeType = compile(self.tree, self.path, "exec")
        return code

    def find_spec(self, fullname: str, path: object, target: ModuleType | None = None) -> ModuleSpec | None:
        return (
            importlib.util.spec_from_file_location(fullname, self.path, loader=self)
            if fullname == self.name
            else None
        )


def main(arguments: Sequence[str] | None = None) -> None:
    """Prints each fault that no test noticed, and how many of how many those are."""
    asked = _parser().parse_args(arguments)
    tests = [*asked.tests, *_own_tests(asked.modules)]
    _load_once()
    with tempfile.TemporaryDirectory() as folder:
        times, lines = _measured(tests, asked.modules, Path(folder))
    for module in asked.modules:
        tree = ast.parse(module.read_text(encoding="utf-8"))
        mutants = mutants_of(tree)
        if 0 < asked.sample < len(mutants):
            mutants = sorted(
                random.Random(asked.seed).sample(mutants, asked.sample), key=lambda each: each.line
            )
        left = 0
        for each in mutants:
            running = {test for line in each.lines for test in lines[module].get(line, ())}
            wanted = _quickest(
                times if "" in running else {test: times[test] for test in running}, asked.seconds
            )
            if wanted and _is_noticed(Faulty(module, mutated(tree, each)), wanted):
                continue
            left += 1
            print(
                f"{module}:{each.line}: {each.fault}{' (in a message)' if each.in_message else ''}",
                flush=True,
            )
        print(f"{module}: {len(mutants)} faults, {len(mutants) - left} noticed, {left} not", flush=True)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="tests.mutants.run", description=__doc__)
    parser.add_argument("modules", nargs="+", type=Path, help="such as nesting/checking/cuts.py")
    parser.add_argument(
        "--tests", nargs="*", default=[], help="test files beside those that the module has here"
    )
    parser.add_argument(
        "--sample", type=int, default=0, help="so many faults of each module, by chance; 0: all"
    )
    parser.add_argument("--seed", type=int, default=1, help="which ones, where there is a sample")
    parser.add_argument(
        "--seconds", type=float, default=30, help="of the quickest tests that a fault is shown to"
    )
    return parser


def _own_tests(modules: Iterable[Path]) -> list[str]:
    patterns = {
        p for m in modules for start, own in TESTS.items() if m.as_posix().startswith(start) for p in own
    }
    return sorted({path.as_posix() for pattern in patterns for path in Path("tests").glob(pattern)})


def _load_once() -> None:
    for name in ("cli.main", "nesting.output", "nesting.planning", "nesting.shapepacker", "nesting.strip"):
        importlib.import_module(name)
    hypothesis.settings.register_profile(
        "mutants",
        derandomize=True,
        deadline=None,
        database=None,
        phases=(hypothesis.Phase.explicit, hypothesis.Phase.generate),
    )


def _measured(
    tests: Sequence[str], modules: Sequence[Path], folder: Path
) -> tuple[dict[str, float], dict[Path, Lines]]:
    """How long each test takes, and which tests run which line of each module."""
    timed, data = folder / "times.json", folder / "lines"

    def run() -> int:
        watch = coverage.Coverage(data_file=str(data), include=[str(m) for m in modules], config_file=False)
        chosen = Chosen(None, watch)
        watch.start()
        code = _pytest(tests, chosen)
        watch.stop()
        watch.save()
        timed.write_text(json.dumps(chosen.times), encoding="utf-8")
        return code

    if _forked(run, limit=1800) != 0:
        raise SystemExit("tests fail without any fault, or there are none")
    kept = coverage.CoverageData(str(data))
    kept.read()
    return json.loads(timed.read_text(encoding="utf-8")), {
        module: kept.contexts_by_lineno(str(module.resolve())) for module in modules
    }


def _quickest(times: dict[str, float], seconds: float) -> dict[str, float]:
    """Those of some tests that take so many seconds together, the quickest first."""
    upto = accumulate(sorted(times.values()))
    return dict(
        each
        for each, spent in zip(sorted(times.items(), key=itemgetter(1)), upto, strict=True)
        if spent <= seconds
    )


def _is_noticed(faulty: Faulty, wanted: dict[str, float]) -> bool:
    def run() -> int:
        sys.meta_path.insert(0, faulty)
        return _pytest(sorted({test.split("::")[0] for test in wanted}), Chosen(wanted))

    return _forked(run, limit=20 + 5 * round(sum(wanted.values()))) != 0


def _pytest(tests: Sequence[str], chosen: Chosen) -> int:
    _forget_own()
    plain = (
        "-x",
        "-q",
        "-p",
        "no:cacheprovider",
        "-p",
        "no:xdist",
        "-p",
        "no:cov",
        "--hypothesis-profile=mutants",
    )
    return int(pytest.main([*plain, "-m", "not reader and not browser", *tests], plugins=[chosen]))


def _forget_own() -> None:
    """Our own modules are loaded anew, all but the compiled loops, which know none of the others."""
    for name in list(sys.modules):
        if name.split(".")[0] in ("shared", "nesting", "cli") and "kernels" not in name:
            del sys.modules[name]


def _forked(run: Callable[[], int], limit: int) -> int:
    """What ``run`` gives in a fork of its own, silent and within so many seconds; not 0 where it dies."""
    child = os.fork()
    if child == 0:
        signal.alarm(limit)
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        code = 1
        try:
            code = run()
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


if __name__ == "__main__":
    main()
