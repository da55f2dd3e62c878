"""When to stop, and what to tell on the way. Budgets are counts; the clock is only the outer stop."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Progress:
    """Where the search is: phase, and value and bound of the goal in hand (``None``: not known yet)."""

    phase: str
    value: float | None = None
    bound: float | None = None


@dataclass(slots=True)
class Limits:
    """The outer stop, the seed and who listens. ``cut``: the clock or a hand did stop something."""

    time_limit_s: float | None = None
    should_stop: Callable[[], bool] = lambda: False
    on_progress: Callable[[Progress], None] = lambda _: None
    seed: int = 0
    workers: int = 1
    cut: bool = False
    started: float = field(default_factory=time.monotonic)

    def seconds_left(self) -> float | None:
        """Seconds to the time limit; ``None`` without one."""
        if self.time_limit_s is None:
            return None
        return max(0.0, self.time_limit_s - (time.monotonic() - self.started))

    def over(self) -> bool:
        """Whether to stop now."""
        left = self.seconds_left()
        if (left is not None and left <= 0) or self.should_stop():
            self.cut = True
        return self.cut

    def tell(self, phase: str, value: float | None = None, bound: float | None = None) -> None:
        """Reports progress."""
        self.on_progress(Progress(phase, value, bound))
