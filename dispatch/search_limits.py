"""When to stop, and what to tell on the way. Budgets are counts; the clock is only the outer stop."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class Progress:
    """Where the search is: phase, and value and bound of the goal in hand (``None``: not known yet).

    ``standing``: every goal's value in the plan that a stop would give now, in the order of the goals.
    """

    phase: str
    value: float | None = None
    bound: float | None = None
    standing: tuple[float, ...] = ()


class Thoroughness(StrEnum):
    """How much a search may spend before it ends of itself, in counts of work: the clock has no part in it."""

    QUICK = "quick"
    NORMAL = "normal"
    PROVE = "prove"


@dataclass(slots=True)
class Limits:
    """The outer stop, the seed and who listens.

    ``cut``: the clock or a hand did cut something short. ``stopped``: and nothing more is to be begun.
    ``standing``: what ``Progress`` tells under that name.
    """

    time_limit_s: float | None = None
    should_stop: Callable[[], bool] = lambda: False
    on_progress: Callable[[Progress], None] = lambda _: None
    seed: int = 0
    workers: int = 1
    thoroughness: Thoroughness = Thoroughness.NORMAL
    cut: bool = False
    stopped: bool = False
    standing: tuple[float, ...] = ()
    started: float = field(default_factory=time.monotonic)
    _stage_ends: float | None = None

    def _now(self) -> float:
        return time.monotonic() - self.started

    def begin_stage(self, share: float) -> None:
        """Gives the work to come no more than a share of the time left; without a time limit all it needs."""
        if self.time_limit_s is not None:
            now = self._now()
            self._stage_ends = now + share * max(0.0, self.time_limit_s - now)

    @contextmanager
    def part_of_stage(self, share: float) -> Iterator[None]:
        """Work that takes no more than a share of the time that the stage has left; the rest is not cut short."""
        whole, cut, left = self._stage_ends, self.cut, self.seconds_left()
        if left is not None:
            self._stage_ends = self._now() + share * left
        try:
            yield
        finally:
            self._stage_ends = whole
            self.cut = cut or self.over()

    def seconds_left(self) -> float | None:
        """Seconds to the end of the stage; ``None`` without a time limit."""
        if self.time_limit_s is None:
            return None
        end = self.time_limit_s if self._stage_ends is None else self._stage_ends
        return max(0.0, end - self._now())

    def over(self) -> bool:
        """Whether to stop now."""
        if self.should_stop() or (self.time_limit_s is not None and self._now() >= self.time_limit_s):
            self.stop()
        if self.seconds_left() == 0:
            self.cut = True
            return True
        return self.stopped

    def stop(self) -> None:
        """Ends everything."""
        self.cut = self.stopped = True

    def tell(self, phase: str, value: float | None = None, bound: float | None = None) -> None:
        """Reports progress."""
        self.on_progress(Progress(phase, value, bound, self.standing))
