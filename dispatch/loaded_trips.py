"""Each trip of a plan with its checks, axle loads and cautions, computed once for every output that shows them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dispatch.axle_loads import RigLoads, cg_in, rig_loads, to_coupler
from dispatch.cautions import trip_cautions
from dispatch.checks import Caution, Check, tightest
from dispatch.fleet import Rig
from dispatch.legality import leg_checks, trip_checks
from dispatch.plan import Leg, Placed, Plan, Trip
from dispatch.problem import Problem


@dataclass(frozen=True, slots=True)
class LoadedLeg:
    """One leg (numbered from 1 within its trip) with its checks and its nominal loads in pounds."""

    number: int
    leg: Leg
    checks: tuple[Check, ...]
    loads: RigLoads


@dataclass(frozen=True, slots=True)
class LoadedTrip:
    """One trip (numbered from 1 in the order of ``Plan.trips``) with everything that was checked on it.

    ``once`` are the checks made once a trip (ramp, winch, tie-downs).
    """

    number: int
    rig: Rig
    trip: Trip
    legs: tuple[LoadedLeg, ...]
    once: tuple[Check, ...]
    cautions: tuple[Caution, ...]

    @property
    def fullest(self) -> LoadedLeg:
        """The leg with most items on deck; of several the one with the heaviest gross, then the first."""
        return max(self.legs, key=lambda leg: (len(leg.leg.on_deck), leg.loads.gross_lb, -leg.number))

    @property
    def heaviest_gross_lb(self) -> float:
        """Greatest nominal gross of the combination over the legs, pounds."""
        return max(leg.loads.gross_lb for leg in self.legs)

    @property
    def tightest(self) -> Check:
        """The check with the greatest use on any leg; see ``tightest``."""
        return tightest([check for leg in self.legs for check in leg.checks])


def loaded_trips(problem: Problem, plan: Plan) -> tuple[LoadedTrip, ...]:
    """Every trip of the plan: rigs in problem order, then by time."""
    return tuple(loaded_trip(problem, number, trip) for number, trip in enumerate(plan.trips(), start=1))


def loaded_trip(problem: Problem, number: int, trip: Trip) -> LoadedTrip:
    """One trip with everything that is checked on it. Raises KeyError for a rig that the problem lacks."""
    rig = problem.rig(trip.rig)
    legs = [leg for leg in trip.legs() if leg.origin != leg.destination]
    return LoadedTrip(
        number=number,
        rig=rig,
        trip=trip,
        legs=tuple(
            LoadedLeg(count, leg, leg_checks(problem, rig, leg), nominal_loads(problem, rig, leg.on_deck))
            for count, leg in enumerate(legs, start=1)
        ),
        once=trip_checks(problem, rig, trip),
        cautions=trip_cautions(problem, rig, trip),
    )


def nominal_loads(problem: Problem, rig: Rig, on_deck: Sequence[Placed]) -> RigLoads:
    """Axle and coupler loads for the stated weights of what stands on deck, pounds."""
    weights = [problem.hauls[placed.haul].item.weight.nominal_lb for placed in on_deck]
    return rig_loads(rig, weights, [cg_behind_coupler_in(problem, rig, placed) for placed in on_deck])


def cg_behind_coupler_in(problem: Problem, rig: Rig, placed: Placed) -> float:
    """Centre of gravity of a placed item, inches behind the coupler."""
    item = problem.hauls[placed.haul].item
    return to_coupler(rig.trailer, placed.deck, cg_in(item, placed.facing, placed.front_edge_in))
