"""Pulling a dead machine aboard: line pull on a slope, grades and ramp geometry."""

from __future__ import annotations

import math

SNATCH_BLOCK_PARTS = 2
"""Parts of line between winch and load with one snatch block at the load."""


def line_pull_lb(weight_lb: float, angle_deg: float, rolling_resistance: float, snatch_block: bool) -> float:
    """Pull in the winch line, pounds, that draws ``weight_lb`` up a slope of ``angle_deg`` (positive uphill).

    W (sin a + r cos a), halved by a snatch block without loss. ``rolling_resistance`` r: pull on level ground as
    a share of weight, 0 or more. Source: statics of a body on a slope. 30,000 lb, 12 degrees, r = 0.25: 13,573 lb.
    """
    angle = math.radians(angle_deg)
    pull_lb = weight_lb * (math.sin(angle) + rolling_resistance * math.cos(angle))
    return split_pull_lb(pull_lb, SNATCH_BLOCK_PARTS) if snatch_block else pull_lb


def split_pull_lb(pull_lb: float, parts: int, block_loss: float = 0.0) -> float:
    """Line pull, pounds, where ``parts`` of line share ``pull_lb``; ``block_loss`` (0.1 = 10 %) adds to it.

    Winch makers state 8 to 10 per cent a block; the planner takes none. Raises ValueError when parts < 1.
    """
    if parts < 1:
        raise ValueError(f"a line has one part or more, not {parts}")
    return pull_lb / parts * (1 + block_loss)


def heaviest_winchable_lb(
    winch_pull_lb: float, angle_deg: float, rolling_resistance: float, snatch_block: bool
) -> float:
    """Weight, pounds, that a winch of ``winch_pull_lb`` just draws up the slope; infinite where it rolls down."""
    share = line_pull_lb(1.0, angle_deg, rolling_resistance, snatch_block)
    return winch_pull_lb / share if share > 0 else math.inf


def grade_angle_deg(grade_pct: float) -> float:
    """Angle, degrees, of a grade in per cent (rise over level run): 100 % -> 45."""
    return math.degrees(math.atan(grade_pct / 100))


def grade_share_pct(grade_pct: float) -> float:
    """Share of weight, per cent, that pulls a free-rolling body down a grade in per cent: 60 % -> 51.4."""
    return 100 * math.sin(math.radians(grade_angle_deg(grade_pct)))


def ramp_angle_deg(deck_height_in: float, ramp_length_in: float) -> float:
    """Angle, degrees, of a ramp of ``ramp_length_in`` (along the ramp) up to a deck: arcsin(height / length).

    38 in over 120 in: 18.46. Raises ValueError when the ramp is no longer than the deck is high.
    """
    if not 0 <= deck_height_in < ramp_length_in:
        raise ValueError(f"a ramp of {ramp_length_in} in does not reach a deck {deck_height_in} in high")
    return math.degrees(math.asin(deck_height_in / ramp_length_in))


def ramp_length_in(deck_height_in: float, angle_deg: float) -> float:
    """Least ramp length, inches, for a deck height and a greatest angle: 36 in at 15 degrees -> 139.1."""
    return deck_height_in / math.sin(math.radians(angle_deg))
