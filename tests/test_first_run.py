"""After the first run nobody waits for the compiler: a limit on time counts what a loop takes to compile."""

from __future__ import annotations

import pkgutil
from importlib import import_module

from numba.core.registry import CPUDispatcher

import nesting
from nesting.firstrun import run_every_loop

SELDOM = {"best_load_by_length", "loads_worth"}
"""Only where cutting bars is not settled by everything that comes before."""

WITHIN = {"overlaps", "with_pair"}
"""Compiled with the loops that call them."""


def test_every_loop_that_the_library_calls_has_been_run() -> None:
    assert len(list(run_every_loop())) == 6
    modules = [
        import_module(found.name)
        for found in pkgutil.walk_packages(nesting.__path__, "nesting.")
        if "kernels" not in found.name
    ]
    called = {
        (name, loop)
        for module in modules
        for name, loop in vars(module).items()
        if isinstance(loop, CPUDispatcher)
    }
    assert len(called) > 15
    assert {name for name, loop in called if not loop.signatures} <= SELDOM | WITHIN
