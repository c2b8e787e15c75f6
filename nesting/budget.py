"""The time that is left, and the news on the way: the only place in the library that looks at a clock."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

from nesting.limits import Progress, SolveLimits

LONGEST = 1e9


@dataclass
class Budget:
    """Counts from its making; ``share`` cuts a part of what is left for one stage."""

    limits: SolveLimits
    seconds: float = LONGEST
    started: float = field(default_factory=time.monotonic)

    @classmethod
    def of(cls, limits: SolveLimits) -> Budget:
        """The whole time that the caller allows."""
        return cls(limits, LONGEST if limits.time_limit is None else limits.time_limit)

    @property
    def left(self) -> float:
        """Seconds left, 0 when stopped."""
        if self.limits.should_stop is not None and self.limits.should_stop():
            return 0.0
        return max(0.0, self.seconds - (time.monotonic() - self.started))

    @property
    def over(self) -> bool:
        return self.left <= 0.0

    def share(self, fraction: float, most: float = LONGEST) -> Budget:
        """A budget of a fraction of what is left, ``most`` seconds at the most."""
        return Budget(self.limits, min(most, self.left * fraction))

    def tell(self, best: float | None, bound: float, stage: str) -> None:
        """Passes news to the caller."""
        if self.limits.on_progress is not None:
            self.limits.on_progress(Progress(best, bound, stage))
