"""The outline of a patch, whether it was told as a rectangle or drawn."""

from __future__ import annotations

from nesting.job import Patch
from nesting.outline import Ring, rectangle


def patch_ring(patch: Patch) -> Ring:
    """The outline of a patch, counter-clockwise, the lower left corner of its extent at (0, 0)."""
    return patch.outline or rectangle(0.0, 0.0, patch.width, patch.height, patch.corner_radius)
