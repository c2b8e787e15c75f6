"""Pieces of framing that follow from a job: what lengthens the cut posts, and frames for the windows that stay.

Backing strips are sheet metal and come from the sheets, so they are not here.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum

from nesting.barstock import BarPiece
from nesting.job import Job, Side, Window

POST_SECTION = "post"
FRAME_SECTION = "window frame"

FRAME_FACE = 25.4
"""mm; the face of a 1 in tube, in common use behind thin skins (c)."""


class FrameJoint(Enum):
    """How the corners of a window frame meet.

    BUTT: all cuts square; the pieces above and below run past the uprights, so that water runs over the joint and
    not into it.  MITRED: all four cut at 45 degrees, lengths to the long points.
    """

    BUTT = "butt"
    MITRED = "mitred"


def framing_pieces(
    job: Job,
    *,
    post_section: str = POST_SECTION,
    frame_section: str = FRAME_SECTION,
    frame_face: float = FRAME_FACE,
    joint: FrameJoint = FrameJoint.BUTT,
    end_posts: bool = False,
) -> tuple[BarPiece, ...]:
    """Post extensions, then window frames, side by side in the order of the job; lengths in mm.

    A post between two bays gets one extension as long as the raise where the side says that its posts were cut
    (``cut_height``) and the roof went up.  The posts at the ends of a side stand in the corners and belong to two
    sides: they are counted only with ``end_posts``, two to a side, and then once for each side that says so.
    A frame lies around the hole of its window, its inner edge on the hole's edge, corners square even where the
    hole's are round.  ``frame_face`` is the width of the section as seen from outside.
    """
    return tuple(
        piece
        for side in job.sides
        for piece in (
            *_extensions(side, post_section, end_posts),
            *_frames(side, frame_section, frame_face, joint),
        )
    )


def asked_pieces(job: Job) -> tuple[BarPiece, ...]:
    """Every piece to cut: those that the job lists, then those that follow from its body in the sections it names."""
    rules = job.order.framing
    following = framing_pieces(
        job,
        post_section=rules.post_section,
        frame_section=rules.frame_section,
        frame_face=rules.frame_face,
        end_posts=rules.end_posts,
    )
    return (*rules.pieces, *(piece for piece in following if piece.section))


def _extensions(side: Side, section: str, end_posts: bool) -> Iterator[BarPiece]:
    if side.cut_height is None or side.raise_height <= 0:
        return
    posts = len(side.posts) + (2 if end_posts else 0)
    if posts:
        yield BarPiece(f"post extension, {side.name}", section, side.raise_height, posts)


def _frames(side: Side, section: str, face: float, joint: FrameJoint) -> Iterator[BarPiece]:
    for number, window in enumerate(side.windows, 1):
        level, upright = _frame_lengths(window, face, joint)
        place = f"window {number} in bay {window.bay}, {side.name}"
        yield BarPiece(f"frame above and below, {place}", section, level, 2)
        yield BarPiece(f"frame upright, {place}", section, upright, 2)


def _frame_lengths(window: Window, face: float, joint: FrameJoint) -> tuple[float, float]:
    """Lengths of a level piece and of an upright."""
    beside = 2 * face if joint is FrameJoint.MITRED else 0.0
    return window.width + 2 * face, window.height + beside
