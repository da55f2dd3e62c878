"""The check record: what every rule returns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class Sense(StrEnum):
    """Which way a limit binds."""

    MOST = "most"
    LEAST = "least"


@dataclass(frozen=True, slots=True)
class Check:
    """One rule on one leg (or once a trip): nominal value, worst case within the tolerances, limit, verdict.

    ``unit``: lb, %, in or count. ``waived``: over a limit of law that the move's permit lifts; then ``ok``.
    ``basis``: which sheet and column, or which regulation.
    """

    name: str
    value: float
    worst: float
    limit: float
    unit: str
    sense: Sense
    ok: bool
    basis: str
    waived: bool = False

    @property
    def margin(self) -> float:
        """Distance of the worst case from the limit, negative when broken, in the check's unit."""
        return self.limit - self.worst if self.sense is Sense.MOST else self.worst - self.limit

    @property
    def use(self) -> float:
        """Worst case as a share of the limit (a lower limit: limit over worst case); 1.0 is 100 %.

        A limit of zero is used 0 when met and infinitely when broken.
        """
        top, bottom = (self.worst, self.limit) if self.sense is Sense.MOST else (self.limit, self.worst)
        if bottom > 0:
            return max(top, 0.0) / bottom
        return 0.0 if self.ok else float("inf")


@dataclass(frozen=True, slots=True)
class Caution:
    """Something a driver must know that forbids nothing: text for people, with its number."""

    name: str
    text: str
    value: float | None = None
    unit: str = ""


def tightest(checks: Sequence[Check]) -> Check:
    """The check nearest its limit; of equals the first.

    Weights, shares and heights come first: lengths, widths and counts (a deck as wide as the law allows, the
    licence class) are met or not, and a check that a permit lifts is over its limit by intention. They are
    named only when there is nothing else. Raises ValueError for no checks.
    """
    compared = [check for check in checks if graded(check) and not check.waived]
    return max(compared or checks, key=lambda check: check.use)


def graded(check: Check) -> bool:
    """Whether a check is used by degrees (weights, shares, heights), not met or broken only."""
    return check.unit in {"lb", "%"} or check.name in {"Height", "Site height"}
