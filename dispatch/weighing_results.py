"""What scale tickets tell, as plain records: comparisons, estimates, offers, contradictions."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from dispatch.items import WeightBasis
from dispatch.least_squares import COVERAGE_FACTOR
from dispatch.units import SLACK_LB


@dataclass(frozen=True, slots=True)
class Comparison:
    """One reading against what the sheets predict, pounds.

    ``low_lb`` and ``high_lb``: the least and the greatest load within the tolerances of weights and tape.
    """

    ticket: str
    day: str
    rig: str
    state: str
    axles: str
    predicted_lb: float
    low_lb: float
    high_lb: float
    weighed_lb: float
    tolerance_lb: float

    @property
    def difference_lb(self) -> float:
        """Weighed less predicted."""
        return self.weighed_lb - self.predicted_lb

    @property
    def outside_lb(self) -> float:
        """By how much the reading, give or take the scale's tolerance, misses the range: positive when heavier."""
        over = self.weighed_lb - self.tolerance_lb - self.high_lb
        under = self.weighed_lb + self.tolerance_lb - self.low_lb
        return over if over > SLACK_LB else under if under < -SLACK_LB else 0.0

    @property
    def ok(self) -> bool:
        """Whether sheets and ticket can both be true."""
        return self.outside_lb == 0.0


class Subject(StrEnum):
    """What an estimate is of; the value is the sheet that holds the figure."""

    ITEM = "Items"
    TRUCK = "Trucks"
    TRAILER = "Trailers"
    TOGETHER = "Items together"


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure as the tickets give it. ``figure`` is the column; ``unit`` lb or in.

    ``value`` and ``u`` (standard uncertainty) are ``None`` when the tickets do not fix it; ``remark`` says why.
    ``stated`` with its range is what the sheet says.
    """

    subject: Subject
    name: str
    figure: str
    unit: str
    value: float | None
    u: float | None
    stated: float
    stated_low: float
    stated_high: float
    tickets: tuple[str, ...]
    remark: str = ""

    @property
    def half_width(self) -> float | None:
        """Half of the 95 % interval, in the unit: two standard uncertainties."""
        return None if self.u is None else COVERAGE_FACTOR * self.u

    @property
    def agrees(self) -> bool | None:
        """Whether the sheet's range and the 95 % interval meet; ``None`` where there is no estimate."""
        if self.value is None or self.half_width is None:
            return None
        return self.stated_low <= self.value + self.half_width and self.value - self.half_width <= self.stated_high


@dataclass(frozen=True, slots=True)
class NewFigure:
    """A cell that could be filled in anew. ``value`` is rounded; ``half_width`` is the 95 % one, before rounding.

    ``basis``: the weight basis whose tolerance covers the uncertainty; ``None`` where the sheet has no basis.
    """

    subject: Subject
    name: str
    column: str
    unit: str
    now: float
    value: float
    half_width: float
    basis: WeightBasis | None
    remark: str


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Tickets that cannot all be true. ``apart``: by how much more than their tolerances allow, in ``unit``."""

    tickets: tuple[str, ...]
    about: str
    text: str
    apart: float
    unit: str
    test: str


@dataclass(frozen=True, slots=True)
class Weighing:
    """Everything that the tickets tell."""

    comparisons: tuple[Comparison, ...] = ()
    estimates: tuple[Estimate, ...] = ()
    new_figures: tuple[NewFigure, ...] = ()
    contradictions: tuple[Contradiction, ...] = ()
