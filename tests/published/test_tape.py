"""The error of a measuring tape against the published classes."""

from __future__ import annotations

import pytest

from nesting.jobsidechecks import tape_error


@pytest.mark.parametrize(
    ("length", "error"), [(2000, 0.7), (3000, 0.9), (5000, 1.3), (8000, 1.9), (10_000, 2.3), (4200, 1.3)]
)
def test_a_class_two_tape_errs_by_as_much_as_published(length: float, error: float) -> None:
    """Directive 2004/22/EC (now 2014/32/EU) annex MI-008, class II, as tabled in a distributor's guide (a).

    4.2 m is rounded up to the next whole metre first.
    """
    assert tape_error(length) == pytest.approx(error, abs=1e-9)
