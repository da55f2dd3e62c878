"""Hours of service of one driver on one day, and the rolling week, for a scheduler and for a verifier alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from dispatch.limits import RuleSet
from dispatch.units import MIN_PER_H, round_half_up


class Activity(StrEnum):
    """What the driver does. Loading, chaining, waiting and inspecting are on duty, not driving."""

    DRIVE = "drive"
    DUTY = "duty"
    OFF = "off"


@dataclass(frozen=True, slots=True, order=True)
class Interval:
    """A stretch of one activity, minutes after midnight; what no interval covers is off duty."""

    start_min: int
    end_min: int
    activity: Activity


@dataclass(frozen=True, slots=True)
class HoursViolation:
    """A broken hours rule: value and limit in minutes, with the clause."""

    name: str
    value_min: int
    limit_min: int
    basis: str

    def __str__(self) -> str:
        return f"{self.name}: {self.value_min} min, limit {self.limit_min} min ({self.basis})"


@dataclass(frozen=True, slots=True)
class HoursRule:
    """The rule set's hours in whole minutes; ``None``: not limited."""

    driving_min: int | None
    window_min: int | None
    break_after_min: int | None
    break_min: int
    short_haul_mi: float | None
    driving_basis: str
    window_basis: str
    break_basis: str


def hours_rule(rules: RuleSet, driving_limit_min: int | None = None) -> HoursRule:
    """The rule set's hours; ``driving_limit_min``: a rig's own driving limit, which replaces the rule set's."""

    def minutes(key: str) -> int | None:
        value = rules.value(key)
        return None if value is None else round_half_up(value * MIN_PER_H)

    own = driving_limit_min is not None
    return HoursRule(
        driving_min=driving_limit_min if own else minutes("driving_h"),
        window_min=minutes("duty_window_h"),
        break_after_min=minutes("break_after_h"),
        break_min=round_half_up(rules.value("break_min") or 0),
        short_haul_mi=rules.value("short_haul_mi"),
        driving_basis="Rigs sheet, Driving limit" if own else rules.basis("driving_h"),
        window_basis=rules.basis("duty_window_h"),
        break_basis=rules.basis("break_after_h"),
    )


def driving_minutes(intervals: Iterable[Interval]) -> int:
    """Minutes driven in all."""
    return sum(i.end_min - i.start_min for i in intervals if i.activity is Activity.DRIVE)


def window_minutes(intervals: Iterable[Interval]) -> int:
    """Minutes from first coming on duty (or driving) to last going off; pauses between count."""
    working = [i for i in intervals if i.activity is not Activity.OFF and i.end_min > i.start_min]
    if not working:
        return 0
    return max(i.end_min for i in working) - min(i.start_min for i in working)


def longest_driving_without_break(intervals: Iterable[Interval], break_min: int) -> int:
    """Most minutes driven in sum between pauses from driving of at least ``break_min`` consecutive minutes.

    On-duty work that is not driving is such a pause, and so is a gap. Source: 49 CFR 395.3(a)(3)(ii).
    """
    return max((driven for driven, _ in _stints(intervals, break_min)), default=0)


def driven_since_break(intervals: Iterable[Interval], break_min: int) -> int:
    """Minutes driven since the last pause from driving of at least ``break_min`` minutes, at the list's end."""
    ordered = sorted(intervals)
    stints = list(_stints(ordered, break_min))
    if not stints:
        return 0
    driven, drive_end = stints[-1]
    last_end = max(i.end_min for i in ordered)
    return 0 if last_end - drive_end >= break_min else driven


def is_short_haul(farthest_mi: float, intervals: Sequence[Interval], rules: RuleSet) -> bool:
    """Whether the day is short haul: within the radius of the yard, statute miles, and back within the window.

    Then no break is asked for; the driving limit holds all the same. Source: 49 CFR 395.1(e)(1), 150 air-miles.
    """
    rule = hours_rule(rules)
    in_radius = rule.short_haul_mi is not None and farthest_mi <= rule.short_haul_mi + 1e-9
    return in_radius and (rule.window_min is None or window_minutes(intervals) <= rule.window_min)


def violations(
    intervals: Sequence[Interval],
    rules: RuleSet,
    *,
    short_haul: bool = False,
    driving_limit_min: int | None = None,
) -> tuple[HoursViolation, ...]:
    """Hours rules that a driver's day breaks, with the minutes; ``short_haul`` days need no break.

    The window is held to the last return, stricter than the rule's letter, which only bars driving after it.
    Source: 49 CFR 395.3(a). ``driving_limit_min``: the rig's own limit, which replaces the rule set's.
    """
    rule = hours_rule(rules, driving_limit_min)
    without_break = longest_driving_without_break(intervals, rule.break_min)
    tests = [
        ("Driving", driving_minutes(intervals), rule.driving_min, rule.driving_basis),
        ("Duty window", window_minutes(intervals), rule.window_min, rule.window_basis),
        ("Driving without a break", without_break, rule.break_after_min, rule.break_basis),
    ]
    return tuple(
        HoursViolation(name, value, limit, basis)
        for name, value, limit, basis in (tests[:2] if short_haul else tests)
        if limit is not None and value > limit
    )


def driving_left_min(intervals: Sequence[Interval], rules: RuleSet, *, short_haul: bool = False) -> int:
    """Minutes that the driver may still drive, at once and without a pause, at the end of the list.

    On from 05:00, 6 h driven, 13.5 h gone: 30 minutes are left of the 14 h window.
    """
    rule = hours_rule(rules)
    left = [24 * MIN_PER_H]
    if rule.driving_min is not None:
        left.append(rule.driving_min - driving_minutes(intervals))
    if rule.window_min is not None:
        left.append(rule.window_min - window_minutes(intervals))
    if rule.break_after_min is not None and not short_haul:
        left.append(rule.break_after_min - driven_since_break(intervals, rule.break_min))
    return max(0, min(left))


def rolling_totals_h(daily_on_duty_h: Sequence[float], days: int) -> tuple[float, ...]:
    """On-duty hours of each day with the days before it, ``days`` in all. Source: 49 CFR 395.3(b)."""
    return tuple(sum(daily_on_duty_h[max(0, day - days + 1) : day + 1]) for day in range(len(daily_on_duty_h)))


def week_hours_left(
    daily_on_duty_h: Sequence[float], rules: RuleSet, *, days: int = 8, off_since_h: float = 0.0
) -> float:
    """On-duty hours left before the weekly limit bars driving: 60 in 7 days or 70 in 8; 0 when used up.

    ``off_since_h``: consecutive hours off duty since the last entry; 34 or more start a new week.
    Source: 49 CFR 395.3(b), (c). Raises ValueError unless ``days`` is 7 or 8.
    """
    if days not in (7, 8):
        raise ValueError(f"the weekly limit is over 7 or 8 days, not {days}")
    limit_h = rules.need("week_seven_days_h" if days == 7 else "week_eight_days_h")
    if off_since_h >= rules.need("restart_h") or not daily_on_duty_h:
        return limit_h
    return max(0.0, limit_h - rolling_totals_h(daily_on_duty_h, days)[-1])


def _stints(intervals: Iterable[Interval], break_min: int) -> Iterator[tuple[int, int]]:
    """(minutes driven, end of driving) of every run of driving between pauses of ``break_min`` or more."""
    driven, drive_end = 0, None
    for drive in sorted(i for i in intervals if i.activity is Activity.DRIVE and i.end_min > i.start_min):
        if drive_end is not None and drive.start_min - drive_end >= break_min:
            yield driven, drive_end
            driven = 0
        driven += drive.end_min - drive.start_min
        drive_end = drive.end_min
    if drive_end is not None:
        yield driven, drive_end
