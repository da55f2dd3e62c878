"""What a load measures, and bands that a row of a fee table holds within."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from dispatch.units import SLACK_IN, SLACK_LB, TENTHS_PER_MI


class Measure(StrEnum):
    """What a band is about; axles and pounds over belong to one group of axles, the others to the whole rig."""

    GROSS = "gross weight"
    AXLES = "axles"
    MILES = "miles"
    WIDTH = "width"
    HEIGHT = "height"
    LENGTH = "length"
    GROUP_AXLES = "axles in group"
    GROUP_OVER = "over group limit"


_SLACK = {
    Measure.GROSS: SLACK_LB,
    Measure.GROUP_OVER: SLACK_LB,
    Measure.WIDTH: SLACK_IN,
    Measure.HEIGHT: SLACK_IN,
    Measure.LENGTH: SLACK_IN,
}


@dataclass(frozen=True, slots=True)
class AxleGroup:
    """A group of axles and by how many pounds it is over its limit of law."""

    axles: int
    over_lb: float


@dataclass(frozen=True, slots=True)
class PermitLoad:
    """A loaded rig as a permit office looks at it: pounds, inches, tenths of loaded miles."""

    gross_lb: float
    axles: int
    tenths: int
    width_in: float
    height_in: float
    length_in: float
    groups: tuple[AxleGroup, ...] = ()


@dataclass(frozen=True, slots=True)
class Band:
    """More than ``over`` and at most ``up_to``; ``None``: open. Pounds, inches, miles or a count."""

    measure: Measure
    over: float | None = None
    up_to: float | None = None

    def holds(self, value: float) -> bool:
        """Whether a value lies in the band, with the slack of its unit."""
        slack = _SLACK.get(self.measure, 0.0)
        above = self.over is None or value > self.over + slack
        return above and (self.up_to is None or value <= self.up_to + slack)


def measured(load: PermitLoad, measure: Measure, group: AxleGroup | None) -> float:
    """The value that a band is held against. Raises KeyError for a group's measure without a group."""
    values: dict[Measure, float] = {
        Measure.GROSS: load.gross_lb,
        Measure.AXLES: load.axles,
        Measure.MILES: load.tenths / TENTHS_PER_MI,
        Measure.WIDTH: load.width_in,
        Measure.HEIGHT: load.height_in,
        Measure.LENGTH: load.length_in,
    }
    if group is not None:
        values |= {Measure.GROUP_AXLES: group.axles, Measure.GROUP_OVER: group.over_lb}
    return values[measure]
