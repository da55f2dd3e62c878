"""Payload and towing arithmetic on plate ratings, and the coupler's share of a loaded trailer."""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType

from dispatch.settings import Band
from dispatch.units import SLACK_LB, SLACK_SHARE

GRADE_CLIMB_LEAST_MPH = MappingProxyType({"single": 40, "dual": 35})
"""Least speed up the long grade by rear wheels. Source: SAE J2807, public summaries."""


def payload_lb(gvwr_lb: float, empty_lb: float) -> float:
    """What a vehicle may carry by its sticker, pounds: GVWR less its weight. People and hitch load use it too."""
    return gvwr_lb - empty_lb


def headroom_lb(rating_lb: float, *loads_lb: float) -> float:
    """Pounds left under a rating with the loads on it, negative when over: 5,000 less 400, 300, 4,500 is -200."""
    return rating_lb - sum(loads_lb)


def heaviest_trailer_lb(gcwr_lb: float, truck_lb: float, driver_lb: float = 0.0) -> float:
    """Heaviest loaded trailer, pounds, that a combination rating leaves a truck with its driver and load."""
    return headroom_lb(gcwr_lb, truck_lb, driver_lb)


def gvwr_fits_axles(gvwr_lb: float, axle_ratings_lb: Iterable[float], hitch_lb: float = 0.0) -> bool:
    """Whether a GVWR is no more than its axle ratings together and what the hitch carries (trailers).

    Source: NHTSA interpretation letters on 49 CFR 567.4(g)(3); a GVWR may be lower than the sum.
    """
    return gvwr_lb <= sum(axle_ratings_lb) + hitch_lb + SLACK_LB


def coupler_residual(gross: float, axle_ratings: Iterable[float]) -> float:
    """What the coupler carries when the axles are full and the trailer at its gross, in the unit given.

    It is not the most that the coupler may carry: an axle may be carrying less.
    """
    return gross - sum(axle_ratings)


def coupler_load_lb(trailer_gross_lb: float, share_pct: float) -> float:
    """Coupler load, pounds, at a share of the loaded trailer in per cent."""
    return trailer_gross_lb * share_pct / 100


def coupler_share_pct(coupler_lb: float, trailer_gross_lb: float) -> float:
    """Coupler load as a share of the loaded trailer, per cent. Raises ZeroDivisionError for a weightless one."""
    return 100 * coupler_lb / trailer_gross_lb


def in_band(share_pct: float, band: Band) -> bool:
    """Whether a coupler share lies within the band, ends included."""
    return band.least_pct - SLACK_SHARE <= share_pct <= band.most_pct + SLACK_SHARE
