"""Line pull, grades and ramps."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.winching import (
    grade_angle_deg,
    heaviest_winchable_lb,
    line_pull_lb,
    ramp_angle_deg,
    ramp_length_in,
    split_pull_lb,
)


def test_winch_of_17_500_lb_against_a_dead_machine_on_its_loading_angle() -> None:
    """Common practice, no published source: a 17,500 lb winch takes dead machines up a trailer's tail."""
    tracks_lb = line_pull_lb(30_000, 12, 0.25, snatch_block=False)
    assert tracks_lb == pytest.approx(13_573.46, abs=0.01)  # sin 12 = 0.20791, cos 12 = 0.97815
    assert tracks_lb < 17_500
    heaviest_lb = heaviest_winchable_lb(17_500, 12, 0.25, snatch_block=False)
    assert heaviest_lb == pytest.approx(38_679, abs=1)
    assert line_pull_lb(heaviest_lb, 12, 0.25, snatch_block=False) == pytest.approx(17_500)
    assert line_pull_lb(45_000, 12, 0.25, snatch_block=False) > 17_500
    assert line_pull_lb(45_000, 12, 0.25, snatch_block=True) < 17_500


def test_hand_worked_pull() -> None:
    """Three-four-five slope: sin 0.6, cos 0.8; 1,000 (0.6 + 0.1 x 0.8) = 680."""
    angle_deg = math.degrees(math.asin(0.6))
    assert line_pull_lb(1_000, angle_deg, 0.1, snatch_block=False) == pytest.approx(680)
    assert line_pull_lb(1_000, angle_deg, 0.1, snatch_block=True) == pytest.approx(340)


def test_rolling_down_needs_no_winch() -> None:
    assert heaviest_winchable_lb(1, -12, 0.1, snatch_block=False) == math.inf


def test_line_needs_a_part() -> None:
    assert split_pull_lb(6_000, 1) == 6_000
    with pytest.raises(ValueError, match="one part"):
        split_pull_lb(6_000, 0)


def test_ramp_geometry_turns_round() -> None:
    assert ramp_length_in(38, ramp_angle_deg(38, 120)) == pytest.approx(120)
    with pytest.raises(ValueError, match="does not reach"):
        ramp_angle_deg(40, 40)


def test_ramp_over_level_run() -> None:
    """38 in over a level run of 120 in is 17.6 degrees (an equipment page prints 17.5), seen."""
    assert grade_angle_deg(100 * 38 / 120) == pytest.approx(17.57, abs=0.01)


@given(
    weight_lb=st.floats(0, 100_000),
    angle_deg=st.floats(0, 30),
    more_deg=st.floats(0, 15),
    rolling=st.floats(0, 0.6),
)
def test_steeper_and_heavier_never_pull_less(
    weight_lb: float, angle_deg: float, more_deg: float, rolling: float
) -> None:
    pull_lb = line_pull_lb(weight_lb, angle_deg, rolling, snatch_block=False)
    assert line_pull_lb(weight_lb + 1, angle_deg, rolling, snatch_block=False) >= pull_lb
    if rolling <= 1:  # up to 45 degrees the sine grows faster than r times the cosine falls
        assert line_pull_lb(weight_lb, angle_deg + more_deg, rolling, snatch_block=False) >= pull_lb - 1e-6
