"""Pieces of a working day as time blocks that can be joined: duration, earliest and latest start.

A block begun at time s ends at max(s, earliest) + duration, and cannot be begun after latest. Whoever begins
between earliest and latest wastes no minute beyond the duration, which already holds the waiting that no start
can avoid. Joining two blocks gives a block again, so a day is put together piece by piece in constant time.
Source of the method: Savelsbergh, "The vehicle routing problem with time windows: minimizing route duration",
ORSA Journal on Computing 4 (1992); in this form Vidal et al., Computers & Operations Research 40 (2013).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

DAY_START_MIN = 0
NEVER_MIN = 4 * 24 * 60
"""Later than anything on the day; stands for 'no latest time'."""


@dataclass(frozen=True, slots=True)
class Block:
    """Whole minutes: ``duration``, and the ``earliest`` and ``latest`` start that need no waiting beyond it."""

    duration: int
    earliest: int = DAY_START_MIN
    latest: int = NEVER_MIN

    def end(self, start: int) -> int:
        """When the block ends if it is begun at ``start``, minutes after midnight; ``start`` <= latest."""
        return max(start, self.earliest) + self.duration

    @property
    def earliest_end(self) -> int:
        """The earliest time at which the block can be over."""
        return self.earliest + self.duration


def window(duration: int, opens: int | None, done_by: int | None) -> Block | None:
    """Work of ``duration`` minutes begun at or after ``opens`` and over at or before ``done_by``.

    ``None`` for a bound: no bound. ``None`` when the work does not fit.
    """
    earliest = DAY_START_MIN if opens is None else opens
    latest = NEVER_MIN if done_by is None else done_by - duration
    return Block(duration, earliest, latest) if earliest <= latest else None


def join(first: Block, gap: int, second: Block) -> Block | None:
    """``first``, then ``gap`` minutes of driving, then ``second``; waiting lies just before ``second``.

    ``None`` when the second cannot be reached in time. Worked: 30 min in [480, 500], 10 min of road, then
    20 min from 600 on takes 30 + 10 + 60 + 20 = 120 min begun at 500 exactly.
    """
    ahead = first.duration + gap
    if first.earliest + ahead > second.latest:
        return None
    wait = max(0, second.earliest - ahead - first.latest)
    return Block(
        duration=ahead + wait + second.duration,
        earliest=max(second.earliest - ahead, first.earliest) - wait,
        latest=min(second.latest - ahead, first.latest),
    )


def join_all(pieces: Iterable[tuple[int, Block]], start: Block = Block(0)) -> Block | None:
    """``start`` followed by every (gap before, block); ``None`` when one cannot be reached in time."""
    whole: Block | None = start
    for gap, block in pieces:
        if whole is None:
            return None
        whole = join(whole, gap, block)
    return whole


def no_worse(first: Block, second: Block) -> bool:
    """Whether ``first`` can stand for ``second`` anywhere: whenever begun, it ends no later and costs no more."""
    return (
        first.duration <= second.duration
        and first.earliest_end <= second.earliest_end
        and first.latest >= second.latest
    )


def latest(*times: int | None) -> int | None:
    """The latest of the times given; ``None`` when none is."""
    given = [time for time in times if time is not None]
    return max(given) if given else None


def soonest(*times: int | None) -> int | None:
    """The soonest of the times given; ``None`` when none is."""
    given = [time for time in times if time is not None]
    return min(given) if given else None
