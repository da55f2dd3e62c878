"""A problem and its plan as plain records, one kind a sheet of the schedule; canonical units inside.

Nothing is judged or computed anew here: checks come from ``legality``, axle loads from ``axle_loads``, money
and miles from ``costs``, reasons from ``explain`` and what is proved from the plan itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from dispatch.axle_loads import to_coupler
from dispatch.checks import Check
from dispatch.day_bars import Bar, day_bars
from dispatch.explain import LeftOut, left_out
from dispatch.items import Facing
from dispatch.loaded_trips import LoadedTrip, loaded_trips
from dispatch.moves import Permit, Status
from dispatch.plan import Action, Deck, Level, Plan, Trip
from dispatch.problem import Problem
from dispatch.securement import Holding, secure
from dispatch.travel import Travel
from dispatch.trip_money import DayTotals, day_totals, trip_money
from dispatch.units import clock

GENERAL_CAUTIONS = (
    "The plan supports a qualified person and replaces none.",
    "Confirm weights on a scale. Ratings on the plates and on the tyres govern.",
    "Check permits, routes, bridges and securement against the local code in force, with the people licensed to "
    "do so.",
    "The driver decides whether the load is safe to move.",
)
"""What every output says before anybody drives."""


@dataclass(frozen=True, slots=True)
class Summary:
    """The day in figures. ``trips_bound``: no plan that hauls as much has fewer trips.

    ``estimated_pairs``: pairs of sites driven whose distance comes from coordinates, of ``driven_pairs``.
    """

    trips: int
    fewest_trips_proved: bool
    trips_bound: int
    moves_hauled: int
    moves_left_out: int
    totals: DayTotals
    tightest: WeightRow | None
    levels: tuple[Level, ...]
    notes: tuple[str, ...]
    outcome: str
    estimated_pairs: int
    driven_pairs: int
    cautions: tuple[str, ...]
    idle_rigs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """One trip. Distances in tenths of a mile, weight in pounds, cost in cents, times in minutes."""

    trip: int
    rig: str
    truck: str
    trailer: str
    driver: str
    start_min: int
    end_min: int
    items: str
    origin: str
    destination: str
    loaded_tenths: int
    empty_before_tenths: int
    heaviest_gross_lb: float
    tightest: str
    use: float
    cost_cents: int
    permit: str


@dataclass(frozen=True, slots=True)
class StopRow:
    """One stop and item; ``on_deck`` is what stands on deck afterwards."""

    trip: int
    stop: int
    rig: str
    arrive_min: int
    leave_min: int
    site: str
    action: Action
    move: str
    item: str
    on_deck: str


@dataclass(frozen=True, slots=True)
class LoadRow:
    """Where one item stands and how it is held; inches and pounds.

    ``least_wll_lb``: aggregate working load limit that it needs; ``each_wll_lb``: the rating of every one of
    its tie-downs that gives this aggregate.
    """

    trip: int
    rig: str
    haul: int
    move: str
    item: str
    order: int
    behind_coupler_in: float
    behind_deck_front_in: int
    facing: Facing
    deck: Deck
    weight_lb: float
    weight_high_lb: float
    basis: str
    tie_downs: int
    chains: int
    straps: int
    least_wll_lb: float
    each_wll_lb: float


@dataclass(frozen=True, slots=True)
class WeightRow:
    """One check on one leg; ``leg`` is 0 for a check made once a trip."""

    trip: int
    leg: int
    origin: str
    destination: str
    check: Check


@dataclass(frozen=True, slots=True)
class Report:
    """Everything the outputs show of one plan."""

    problem: Problem
    plan: Plan
    trips: tuple[LoadedTrip, ...]
    summary: Summary
    schedule: tuple[ScheduleRow, ...]
    stops: tuple[StopRow, ...]
    load_plan: tuple[LoadRow, ...]
    weights: tuple[WeightRow, ...]
    left_out: tuple[LeftOut, ...]
    bars: tuple[Bar, ...]


def report(problem: Problem, plan: Plan) -> Report:
    """All rows of all sheets. Raises KeyError when the plan names a rig or haul that the problem lacks."""
    travel = Travel(problem.sites, problem.roads, problem.settings)
    trips = loaded_trips(problem, plan)
    weights = tuple(row for trip in trips for row in weight_rows(trip))
    return Report(
        problem=problem,
        plan=plan,
        trips=trips,
        summary=_summary(problem, travel, plan, trips, weights),
        schedule=schedule_rows(problem, travel, plan, trips),
        stops=tuple(row for trip in trips for row in stop_rows(problem, trip)),
        load_plan=tuple(row for trip in trips for row in load_rows(problem, trip)),
        weights=weights,
        left_out=left_out(problem, plan),
        bars=day_bars(problem, plan),
    )


def schedule_rows(
    problem: Problem, travel: Travel, plan: Plan, trips: tuple[LoadedTrip, ...]
) -> tuple[ScheduleRow, ...]:
    """One row a trip: Start is the arrival at the first pickup, End the last item off."""
    rows = []
    for trip, money in zip(trips, trip_money(problem, travel, plan), strict=True):
        check = trip.tightest
        rows.append(
            ScheduleRow(
                trip=trip.number,
                rig=trip.rig.name,
                truck=trip.rig.truck.name,
                trailer=trip.rig.trailer.name,
                driver=trip.rig.driver,
                start_min=trip.trip.start_min,
                end_min=trip.trip.end_min,
                items=", ".join(problem.hauls[haul].item.name for haul in trip.trip.hauls()),
                origin=trip.trip.stops[0].site,
                destination=trip.trip.stops[-1].site,
                loaded_tenths=money.loaded_tenths,
                empty_before_tenths=money.empty_before_tenths,
                heaviest_gross_lb=trip.heaviest_gross_lb,
                tightest=check.name,
                use=check.use,
                cost_cents=money.cost_cents,
                permit="; ".join(permit_text(permit) for permit in permits(problem, trip.trip)),
            )
        )
    return tuple(rows)


def permits(problem: Problem, trip: Trip) -> tuple[Permit, ...]:
    """Permits entered on the moves of a trip, in load order."""
    found = (problem.hauls[haul].permit for haul in trip.hauls())
    return tuple(permit for permit in found if permit is not None)


def permit_text(permit: Permit) -> str:
    """A permit with its travel hours: ``OS-17, travel 09:00-15:00``."""
    if permit.from_min is None or permit.to_min is None:
        return permit.text
    return f"{permit.text}, travel {clock(permit.from_min)}-{clock(permit.to_min)}"


def stop_rows(problem: Problem, trip: LoadedTrip) -> Iterator[StopRow]:
    """One row a stop and item, in the order of work."""
    aboard: list[int] = []
    for number, stop in enumerate(trip.trip.stops, start=1):
        for task in stop.tasks:
            if task.action is Action.LOAD:
                aboard.append(task.haul)
            else:
                aboard.remove(task.haul)
            haul = problem.hauls[task.haul]
            yield StopRow(
                trip=trip.number,
                stop=number,
                rig=trip.rig.name,
                arrive_min=stop.arrive_min,
                leave_min=stop.leave_min,
                site=stop.site,
                action=task.action,
                move=haul.move,
                item=haul.item.name,
                on_deck=", ".join(problem.hauls[other].item.name for other in aboard),
            )


def load_rows(problem: Problem, trip: LoadedTrip) -> Iterator[LoadRow]:
    """One row an item, in load order."""
    held = holdings(problem, trip)
    for order, placed in enumerate(trip.trip.placements, start=1):
        haul = problem.hauls[placed.haul]
        holding = held[placed.haul]
        yield LoadRow(
            trip=trip.number,
            rig=trip.rig.name,
            haul=placed.haul,
            move=haul.move,
            item=haul.item.name,
            order=order,
            behind_coupler_in=to_coupler(trip.rig.trailer, placed.deck, placed.front_edge_in),
            behind_deck_front_in=placed.front_edge_in,
            facing=placed.facing,
            deck=placed.deck,
            weight_lb=haul.item.weight.nominal_lb,
            weight_high_lb=haul.item.weight.high_lb,
            basis=haul.item.weight.basis.value,
            tie_downs=holding.tie_downs,
            chains=holding.chains,
            straps=holding.straps,
            least_wll_lb=holding.needed_wll_lb,
            each_wll_lb=holding.least_wll_lb,
        )


def holdings(problem: Problem, trip: LoadedTrip) -> dict[int, Holding]:
    """How each haul is held on the leg that carries it with most others (of several the first)."""
    held: dict[int, Holding] = {}
    for leg in sorted(trip.legs, key=lambda leg: (len(leg.leg.on_deck), -leg.number)):
        on_deck = [placed.haul for placed in leg.leg.on_deck]
        secured = secure([problem.hauls[haul].item for haul in on_deck], trip.rig)
        held |= dict(zip(on_deck, secured.holdings, strict=True))
    return held


def weight_rows(trip: LoadedTrip) -> Iterator[WeightRow]:
    """Every check of every leg, then those made once a trip."""
    for leg in trip.legs:
        for check in leg.checks:
            yield WeightRow(trip.number, leg.number, leg.leg.origin, leg.leg.destination, check)
    stops = trip.trip.stops
    for check in trip.once:
        yield WeightRow(trip.number, 0, stops[0].site, stops[-1].site, check)


def _summary(
    problem: Problem,
    travel: Travel,
    plan: Plan,
    trips: tuple[LoadedTrip, ...],
    weights: tuple[WeightRow, ...],
) -> Summary:
    bound, proved = trips_claim(plan)
    driven, estimated = _pairs(problem, travel, plan)
    return Summary(
        trips=len(trips),
        fewest_trips_proved=proved,
        trips_bound=bound,
        moves_hauled=sum(move.status is not Status.DONE for move in problem.moves) - len(plan.left_out),
        moves_left_out=len(plan.left_out),
        totals=day_totals(problem, travel, plan),
        tightest=_tightest_row(trips, weights),
        levels=plan.levels,
        notes=plan.notes,
        outcome=plan.outcome.value,
        estimated_pairs=estimated,
        driven_pairs=driven,
        cautions=(*problem.rules.cautions, *_cautions(trips)),
        idle_rigs=tuple(rig.name for rig in problem.rigs if rig.name not in {t.rig.name for t in trips}),
    )


def _cautions(trips: tuple[LoadedTrip, ...]) -> tuple[str, ...]:
    """Every caution of the day once, with the trips it holds for."""
    found: dict[str, list[int]] = {}
    for trip in trips:
        for text in dict.fromkeys(caution.text for caution in trip.cautions):
            found.setdefault(text, []).append(trip.number)
    return tuple(
        f"Trip{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}: {text}"
        for text, numbers in found.items()
    )


def trips_claim(plan: Plan) -> tuple[int, bool]:
    """Bound on the number of trips and whether the plan reaches it; (0, False) when nothing is known.

    The bound holds for plans that leave out no more, so the claim needs every goal before it proved. With cost
    before trips it would only hold at that cost, and no claim is made.
    """
    for level in plan.levels:
        if level.name == "trips":
            return round(level.bound), level.proved
        if level.name == "cost" or not level.proved:
            break
    return 0, False


def _tightest_row(trips: tuple[LoadedTrip, ...], weights: tuple[WeightRow, ...]) -> WeightRow | None:
    tightest = {trip.number: trip.tightest for trip in trips}
    rows = [row for row in weights if row.check is tightest[row.trip]]
    return max(rows, key=lambda row: row.check.use, default=None)


def _pairs(problem: Problem, travel: Travel, plan: Plan) -> tuple[int, int]:
    """Pairs of sites driven between, and how many of them are estimated from coordinates."""
    driven: set[tuple[str, str]] = set()
    for day in plan.rig_days:
        rig = problem.rig(day.rig)
        for outing in day.outings:
            places = [rig.yard, *(stop.site for trip in outing.trips for stop in trip.stops), rig.end]
            driven |= {(min(pair), max(pair)) for pair in pairwise(places) if pair[0] != pair[1]}
    return len(driven), sum(not travel.measured(*pair) for pair in driven)
