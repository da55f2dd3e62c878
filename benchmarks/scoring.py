"""One measure for all methods: what the independent verifier says of a plan, and what it counts in it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from itertools import pairwise

from dispatch.plan import Plan
from dispatch.problem import Problem
from dispatch.travel import Travel
from dispatch.verify import clock_violations, coverage_violations, verify
from dispatch.verify_deck import shape_violations
from dispatch.verify_findings import numbered_trips
from dispatch.verify_levels import cost_cents, left_out_priority


@dataclass(frozen=True, slots=True)
class Score:
    """What a plan comes to: priority left out, trips, cents, tenths of a mile loaded and empty; what it breaks."""

    left_out: float
    trips: int
    cents: int
    loaded_tenths: int
    empty_tenths: int
    violations: int

    @property
    def goals(self) -> tuple[float, int, int]:
        """The goals in their order; the least is the best."""
        return self.left_out, self.trips, self.cents

    def as_record(self) -> dict[str, float]:
        """For a line of the record."""
        return asdict(self)


def score(problem: Problem, plan: Plan, *, loads_too: bool = True) -> Score:
    """The plan's score. ``loads_too`` False: only clock, coverage and shape are verified, not what is on deck."""
    if loads_too:
        violations = list(verify(problem, plan))
    else:
        trips = numbered_trips(plan)
        violations = [*coverage_violations(problem, trips, plan), *clock_violations(problem, plan)]
        violations += [found for one in trips for found in shape_violations(problem, one)]
    loaded, empty = tenths(problem, plan)
    return Score(
        left_out=left_out_priority(problem, plan),
        trips=sum(1 for _ in plan.trips()),
        cents=cost_cents(problem, plan),
        loaded_tenths=loaded,
        empty_tenths=empty,
        violations=len(violations),
    )


def tenths(problem: Problem, plan: Plan) -> tuple[int, int]:
    """Tenths of a mile with and without a load."""
    travel = Travel(problem.sites, problem.roads, problem.settings)
    loaded = empty = 0
    for day in plan.rig_days:
        rig = problem.rig(day.rig)
        for outing in day.outings:
            place = rig.yard
            for trip in outing.trips:
                empty += travel.tenths(place, trip.stops[0].site)
                loaded += sum(travel.tenths(a.site, b.site) for a, b in pairwise(trip.stops))
                place = trip.stops[-1].site
            empty += travel.tenths(place, rig.end if outing is day.outings[-1] else rig.yard)
    return loaded, empty
