"""Chance for compiled searches: a generator of a few operations, its state in an array that a search carries along."""

from __future__ import annotations

from typing import Any

from numba import njit


@njit(cache=True)
def _drawn(rng: Any) -> int:
    """A whole number below 2^32, never 0: xorshift on 32 bits, in numbers of 64."""
    x = rng[0]
    x ^= (x << 13) & 0xFFFFFFFF
    x ^= x >> 17
    x ^= (x << 5) & 0xFFFFFFFF
    rng[0] = x
    return int(x)


@njit(cache=True)
def chance(rng: Any, n: int) -> int:
    """A whole number below n."""
    return (_drawn(rng) * n) >> 32


@njit(cache=True)
def share(rng: Any) -> float:
    """A number from 0 up to 1."""
    return _drawn(rng) / 4294967296.0
