"""The verifier's reading of the hours of service: driving, duty window, pause after long driving."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dispatch.problem import Problem
from dispatch.travel import Travel, great_circle_mi
from dispatch.units import MIN_PER_H, TENTHS_PER_MI
from dispatch.verify_findings import Violation
from dispatch.verify_times import Run, pauses_on


def hours_violations(problem: Problem, runs: Sequence[Run]) -> list[Violation]:
    """Hours rules of every driver over all rigs that he drives that day; a rig without a name has its own driver.

    Source: 49 CFR 395.3(a), 395.1(e)(1).
    """
    by_driver: dict[tuple[str, str], list[Run]] = {}
    for run in runs:
        key = ("driver", run.rig.driver) if run.rig.driver else ("rig", run.rig.name)
        by_driver.setdefault(key, []).append(run)
    found: list[Violation] = []
    for (kind, name), own in by_driver.items():
        found += _driver_violations(problem, own, f"{kind} {name}")
    return found


def _driver_violations(problem: Problem, runs: Sequence[Run], where: str) -> Iterator[Violation]:
    driven_min = sum(drive.road_min for run in runs for drive in run.drives)
    limit_min = driving_limit_min(problem, runs)
    if limit_min is not None and driven_min > limit_min:
        yield Violation("driving limit", where, driven_min, limit_min, "minutes at the wheel")
    window_h = problem.rules.value("duty_window_h")
    out_min = max(run.outing.return_min for run in runs) - min(run.outing.leave_min for run in runs)
    if window_h is not None and out_min > window_h * MIN_PER_H:
        yield Violation(
            "duty window", where, out_min, window_h * MIN_PER_H, "minutes from first leaving to return"
        )
    after_h, pause_min = problem.rules.value("break_after_h"), problem.rules.value("break_min")
    if after_h is None or pause_min is None or is_short_haul(problem, runs):
        return
    longest_min = longest_stint_min(runs, pause_min)
    if longest_min > after_h * MIN_PER_H:
        text = f"minutes at the wheel without {pause_min:g} minutes of pause"
        yield Violation("pause missing", where, longest_min, after_h * MIN_PER_H, text)


def driving_limit_min(problem: Problem, runs: Sequence[Run]) -> float | None:
    """Least driving limit of the rigs that a driver drives; a rig's own stands for the rule set's."""
    law_h = problem.rules.value("driving_h")
    law_min = None if law_h is None else law_h * MIN_PER_H
    own = [law_min if run.rig.driving_limit_min is None else run.rig.driving_limit_min for run in runs]
    return min((limit for limit in own if limit is not None), default=None)


def is_short_haul(problem: Problem, runs: Sequence[Run]) -> bool:
    """Whether every place is within the short-haul radius of the yard, by air where the sites have coordinates."""
    radius_mi = problem.rules.value("short_haul_mi")
    if radius_mi is None:
        return False
    travel = Travel(problem.sites, problem.roads, problem.settings)
    for run in runs:
        for place in {drive.destination for drive in run.drives}:
            try:
                away_mi = great_circle_mi(problem.sites[run.rig.yard], problem.sites[place])
            except ValueError:
                away_mi = travel.tenths(run.rig.yard, place) / TENTHS_PER_MI
            if away_mi > radius_mi + 1e-9:
                return False
    return True


def longest_stint_min(runs: Sequence[Run], pause_min: float) -> int:
    """Most minutes at the wheel between two stretches of ``pause_min`` or more away from it.

    A pause is one that the plan names, or the time at a stop or in the yard; spare time on a stretch of road is
    none, for nothing tells the driver to rest in it.
    """
    longest = driven = 0
    stopped_at: int | None = None
    for start, end, wheel_min in sorted(_at_the_wheel(runs)):
        if stopped_at is not None and start - stopped_at >= pause_min:
            driven = 0
        driven += wheel_min
        longest, stopped_at = max(longest, driven), end
    return longest


def _at_the_wheel(runs: Sequence[Run]) -> Iterator[tuple[int, int, int]]:
    """Start, end and minutes at the wheel of every stretch of road between stops and named pauses."""
    for run in runs:
        for drive in run.drives:
            clock, left = drive.depart_min, drive.road_min
            for start, end in pauses_on(run.outing, drive):
                part = max(0, min(left, start - clock))
                yield clock, start, part
                clock, left = end, left - part
            if drive.origin != drive.destination:
                yield clock, drive.arrive_min, left
