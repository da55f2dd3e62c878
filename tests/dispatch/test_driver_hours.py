"""Hours of service on lists of intervals."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.driver_hours import (
    Activity,
    Interval,
    driven_since_break,
    driving_left_min,
    driving_minutes,
    is_short_haul,
    longest_driving_without_break,
    rolling_totals_h,
    violations,
    week_hours_left,
    window_minutes,
)
from dispatch.limits import LimitOverride, load_rule_set

FEDERAL = load_rule_set("US federal")


def day(start_min: int, *parts: tuple[str, int]) -> list[Interval]:
    """Consecutive intervals: activity and minutes."""
    intervals, at = [], start_min
    for name, minutes in parts:
        intervals.append(Interval(at, at + minutes, Activity(name)))
        at += minutes
    return intervals


def names(intervals: list[Interval], **options: object) -> list[str]:
    return [violation.name for violation in violations(intervals, FEDERAL, **options)]  # type: ignore[arg-type]


def test_guide_example_stops_at_20_00() -> None:
    """FMCSA guide to hours of service, April 2022, seen: on duty at 06:00, no driving after 20:00."""
    till_20_00 = day(360, ("duty", 800), ("drive", 40))
    assert names(till_20_00) == []
    assert names(day(360, ("duty", 800), ("drive", 41))) == ["Duty window"]
    assert driving_left_min(till_20_00, FEDERAL) == 0


def test_break_after_eight_hours() -> None:
    assert names(day(0, ("drive", 480))) == []
    assert names(day(0, ("drive", 481))) == ["Driving without a break"]
    assert names(day(0, ("drive", 240), ("off", 29), ("drive", 241))) == ["Driving without a break"]
    assert names(day(0, ("drive", 240), ("off", 30), ("drive", 241))) == []


def test_unloading_counts_as_the_break() -> None:
    """FMCSA guide: 30 consecutive minutes not driving, on duty or off; two halves do not add up."""
    assert names(day(0, ("drive", 300), ("duty", 30), ("drive", 300))) == []
    split = day(0, ("drive", 240), ("duty", 15), ("drive", 60), ("off", 15), ("drive", 240))
    assert names(split) == ["Driving without a break"]
    joined = day(0, ("drive", 300), ("duty", 15), ("off", 15), ("drive", 240))
    assert names(joined) == []


def test_a_gap_in_the_list_is_a_pause() -> None:
    gap = [*day(0, ("drive", 300)), *day(330, ("drive", 300))]
    assert longest_driving_without_break(gap, 30) == 300
    assert longest_driving_without_break(gap, 31) == 600


def test_order_of_the_list_does_not_matter() -> None:
    intervals = day(0, ("drive", 300), ("duty", 15), ("drive", 100), ("duty", 40), ("drive", 200))
    backwards = list(reversed(intervals))
    assert longest_driving_without_break(backwards, 30) == 400
    assert (driving_minutes(backwards), window_minutes(backwards)) == (600, 655)


def test_eleven_hours_of_driving() -> None:
    legal = day(0, ("drive", 330), ("off", 30), ("drive", 330))
    assert names(legal) == []
    assert names(day(0, ("drive", 330), ("off", 30), ("drive", 331))) == ["Driving"]
    assert names(legal, driving_limit_min=600) == ["Driving"]


def test_short_haul_needs_no_break_and_keeps_the_rest() -> None:
    """49 CFR 395.1(e)(1): 172.6 statute miles, back within 14 h."""
    long_drive = day(0, ("drive", 600))
    assert is_short_haul(172.6, long_drive, FEDERAL)
    assert not is_short_haul(172.7, long_drive, FEDERAL)
    assert not is_short_haul(50, day(0, ("duty", 300), ("drive", 541)), FEDERAL)
    assert names(long_drive, short_haul=True) == []
    assert names(day(0, ("drive", 661)), short_haul=True) == ["Driving"]


def test_off_duty_around_the_day_is_no_window() -> None:
    assert window_minutes(day(0, ("off", 300), ("drive", 60), ("off", 300), ("duty", 60), ("off", 200))) == 420
    assert window_minutes([]) == 0
    assert longest_driving_without_break([], 30) == 0


def test_driven_since_break() -> None:
    assert driven_since_break([], 30) == 0
    assert driven_since_break(day(0, ("drive", 100), ("off", 40), ("drive", 70)), 30) == 70
    assert driven_since_break(day(0, ("drive", 100), ("off", 20), ("drive", 70), ("duty", 29)), 30) == 170
    assert driven_since_break(day(0, ("drive", 100), ("duty", 30)), 30) == 0


def test_lifted_limits_bind_nothing() -> None:
    keys = ("driving_h", "duty_window_h", "break_after_h")
    lifted = load_rule_set("US federal", [LimitOverride(key, None) for key in keys])
    assert violations(day(0, ("drive", 1_400)), lifted) == ()


def test_violation_says_value_limit_and_clause() -> None:
    (violation,) = violations(day(0, ("drive", 500)), FEDERAL)
    assert (violation.value_min, violation.limit_min) == (500, 480)
    assert str(violation) == "Driving without a break: 500 min, limit 480 min (49 CFR 395.3(a)(3)(ii))"


def test_week() -> None:
    assert rolling_totals_h([1, 2, 3, 4], 2) == (1, 3, 5, 7)
    assert week_hours_left([10] * 5, FEDERAL, days=7) == 10
    assert week_hours_left([14] * 5, FEDERAL, off_since_h=33.9) == 0
    assert week_hours_left([], FEDERAL) == 70
    with pytest.raises(ValueError, match="7 or 8"):
        week_hours_left([10], FEDERAL, days=6)


@given(
    st.lists(st.tuples(st.sampled_from(["drive", "duty", "off"]), st.integers(1, 200)), max_size=12),
    st.integers(0, 60),
)
def test_driving_left_is_exactly_what_may_be_driven(parts: list[tuple[str, int]], start_min: int) -> None:
    """Where the day so far is legal, driving what is left stays legal and a minute more does not."""
    intervals = day(start_min, *parts)
    if violations(intervals, FEDERAL) or not intervals or intervals[-1].activity is Activity.OFF:
        return
    left_min, end_min = driving_left_min(intervals, FEDERAL), intervals[-1].end_min
    further = [*intervals, Interval(end_min, end_min + left_min, Activity.DRIVE)]
    assert violations(further, FEDERAL) == ()
    assert violations([*intervals, Interval(end_min, end_min + left_min + 1, Activity.DRIVE)], FEDERAL)
