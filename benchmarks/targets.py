"""What the optimiser is to show by size, and whether the record shows it."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from benchmarks.anytime import State, played_at, proof_s
from benchmarks.contradictions import GOALS
from benchmarks.records import Record

LEFT_OUT, TRIPS, COST = GOALS
FEWEST = (LEFT_OUT, TRIPS)


@dataclass(frozen=True, slots=True)
class DayRecord:
    """The product's runs of one day, and the run that was stopped at its first plan."""

    runs: tuple[Record, ...]
    first: Record | None

    def at(self, seconds: float) -> State | None:
        """What was known after so many seconds."""
        return played_at(self.runs, seconds)

    def proof_s(self, goals: Sequence[str]) -> float:
        """Seconds to the proof of these goals, in the quickest run."""
        return min((proof_s(run, goals) for run in self.runs), default=math.inf)


Verdict = tuple[str, bool]
"""What was measured, in words, and whether it is enough."""


@dataclass(frozen=True, slots=True)
class Target:
    """What is asked of the days of one size."""

    words: str
    judge: Callable[[Sequence[DayRecord]], Verdict | None]


def first_plan(most_s: float) -> Target:
    """A verified plan on every day within so many seconds."""

    def judge(days: Sequence[DayRecord]) -> Verdict | None:
        found = [day.first["first_s"] for day in days if day.first and day.first.get("first_s") is not None]
        if not found:
            return None
        return f"median {statistics.median(found):.2f} s, longest {max(found):.2f} s", max(found) <= most_s

    return Target(f"first verified plan within {most_s:g} s", judge)


def proved(goals: Sequence[str], at_s: float, share: float) -> Target:
    """So great a share of the days with these goals proved at that time."""

    def judge(days: Sequence[DayRecord]) -> Verdict | None:
        states = _states(days, at_s)
        done = sum(state.proved(goals) for state in states)
        return (f"{done} of {len(states)}", done >= share * len(states) - 1e-9) if states else None

    return Target(f"{' and '.join(goals)} proved on {share:.0%} at {at_s:g} s", judge)


def median_proof(goals: Sequence[str], most_s: float) -> Target:
    """Half of the days with these goals proved within so many seconds."""

    def judge(days: Sequence[DayRecord]) -> Verdict | None:
        times = [day.proof_s(goals) for day in days if day.runs]
        if not times:
            return None
        middle = statistics.median(times)
        return (f"median {middle:.1f} s" if middle < math.inf else "not proved on half"), middle <= most_s

    return Target(f"{' and '.join(goals)} proved within {most_s:g} s on half", judge)


def gap(goal: str, at_s: float, most: float) -> Target:
    """On no day further than that from the bound."""

    def judge(days: Sequence[DayRecord]) -> Verdict | None:
        gaps = [state.gap(goal) for state in _states(days, at_s)]
        return (_largest(gaps), max(gaps) <= most + 1e-9) if gaps else None

    return Target(f"{goal} within {most:g} of the bound at {at_s:g} s", judge)


def cost_gap(at_s: float, most_pct: float, or_proved: float | None = None) -> Target:
    """On no day a greater share of the cost open; or so great a share of the days proved on all levels."""

    def judge(days: Sequence[DayRecord]) -> Verdict | None:
        states = _states(days, at_s)
        if not states:
            return None
        gaps = [100 * state.gap(COST) / state.values[2] if state.values else math.inf for state in states]
        done = sum(state.proved(GOALS) for state in states)
        enough = or_proved is not None and done >= or_proved * len(states) - 1e-9
        words = f"all proved on {done} of {len(states)}, {_largest(gaps, ' %')}"
        return words, enough or max(gaps) <= most_pct + 1e-9

    either = "" if or_proved is None else f"all levels proved on {or_proved:.0%}, else "
    return Target(f"{either}gap of cost {most_pct:g} % at most at {at_s:g} s", judge)


def left_out_under(at_s: float, most: int) -> Target:
    """Fewer moves left out than that on every day."""

    def judge(days: Sequence[DayRecord]) -> Verdict | None:
        values = [state.values[0] if state.values else math.inf for state in _states(days, at_s)]
        most_out = "no plan" if math.inf in values else _number(max(values, default=0.0))
        return (f"most left out {most_out}", max(values) < most) if values else None

    return Target(f"fewer than {most} left out at {at_s:g} s", judge)


def _states(days: Sequence[DayRecord], at_s: float) -> list[State]:
    return [state for state in (day.at(at_s) for day in days) if state is not None]


def _largest(gaps: Sequence[float], unit: str = "") -> str:
    known = [gap for gap in gaps if gap < math.inf]
    without = f"{len(gaps) - len(known)} of {len(gaps)} without a bound"
    if not known:
        return without
    largest = f"largest gap {_number(max(known))}{unit}"
    return largest if len(known) == len(gaps) else f"{largest}, {without}"


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


TARGETS: Mapping[int, tuple[Target, ...]] = {
    12: (first_plan(0.3), proved(FEWEST, 1, 1.0), proved((COST,), 60, 1.0)),
    24: (first_plan(1), proved(FEWEST, 10, 1.0), median_proof(FEWEST, 2), proved((COST,), 30, 0.9)),
    48: (
        first_plan(3), proved((LEFT_OUT,), 60, 1.0), proved((TRIPS,), 60, 0.9), gap(TRIPS, 300, 1),
        cost_gap(300, 2, or_proved=0.9),
    ),
    60: (
        first_plan(4), proved((LEFT_OUT,), 60, 1.0), gap(TRIPS, 60, 2), gap(TRIPS, 120, 1),
        proved((TRIPS,), 300, 0.5), cost_gap(300, 3),
    ),
    120: (first_plan(10), gap(LEFT_OUT, 60, 1), gap(TRIPS, 120, 4), gap(TRIPS, 300, 3), cost_gap(300, 8)),
    300: (first_plan(30), left_out_under(60, 10), left_out_under(120, 6), gap(LEFT_OUT, 300, 3)),
}  # fmt: skip
"""By moves a day."""
