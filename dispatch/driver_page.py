"""What a driver needs on paper: stops, loads, axle loads against limits, permits, cautions and checks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from dispatch.checks import Check
from dispatch.fleet import Rig
from dispatch.loaded_trips import LoadedLeg, LoadedTrip
from dispatch.moves import Haul
from dispatch.plan import Action, Outing
from dispatch.problem import Problem
from dispatch.report import LoadRow, Report, permit_text, permits
from dispatch.sites import Site
from dispatch.units import clock

CHECKS_ON_THE_ROAD = (
    "Before driving: load and tie-downs, tyres, brakes, lights, coupler, safety chains, ramps up and locked; "
    "weights against a scale where there is one.",
    "Within the first 50 miles: load and tie-downs again, adjust as needed.",
    "After that at each change of duty status, every 3 hours or every 150 miles, whichever comes first.",
)
"""Source: 49 CFR 392.9(b); what to look at before driving beyond load and tie-downs is common practice."""


@dataclass(frozen=True, slots=True)
class DriverStop:
    """One visit: when, where, whom to ask for, what to do."""

    trip: int
    number: int
    arrive_min: int
    leave_min: int
    site: Site
    tasks: tuple[str, ...]

    @property
    def hours(self) -> str:
        """Opening hours of the site, or an empty text when it is always open."""
        return hours_text(self.site)


def hours_text(site: Site) -> str:
    """Opening hours of a site, ``07:00-16:00``, or an empty text when it is always open."""
    opens, closes = site.opens_min, site.closes_min
    if opens is None and closes is None:
        return ""
    return f"{clock(opens or 0)}-{clock(closes if closes is not None else 24 * 60)}"


@dataclass(frozen=True, slots=True)
class AxleLoad:
    """What one place carries, pounds, nominal and worst case, against the limit that it comes nearest.

    ``limit_lb`` is ``None`` where nothing limits the place; ``check`` names the check that the limit is from,
    ``waived``: it is over a limit of law under the move's permit.
    """

    place: str
    load_lb: float
    worst_lb: float | None
    limit_lb: float | None
    check: str
    waived: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class DriverTrip:
    """One trip of the page. ``axle_loads``: one row of places a leg, front to rear, the coupler last."""

    loaded: LoadedTrip
    rows: tuple[LoadRow, ...]
    axle_loads: tuple[tuple[AxleLoad, ...], ...]
    permits: tuple[str, ...]
    height_in: float | None
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Gear:
    """What to take for securement: most chains and straps that one trip needs, and their least ratings, pounds."""

    chains: int
    straps: int
    chain_wll_lb: float
    strap_wll_lb: float


@dataclass(frozen=True, slots=True)
class DriverPage:
    """A rig's day. ``leave_min``, ``back_min`` are ``None`` for a rig that stays in the yard."""

    rig: Rig
    leave_min: int | None
    back_min: int | None
    must_be_back_min: int
    breaks: tuple[tuple[int, int], ...]
    stops: tuple[DriverStop, ...]
    trips: tuple[DriverTrip, ...]

    @property
    def gear(self) -> Gear:
        """Chains and straps for the trip that needs most of each: everything of a trip is on deck at once."""
        rows = [row for trip in self.trips for row in trip.rows]
        return Gear(
            chains=max((sum(row.chains for row in trip.rows) for trip in self.trips), default=0),
            straps=max((sum(row.straps for row in trip.rows) for trip in self.trips), default=0),
            chain_wll_lb=max((row.each_wll_lb for row in rows if row.chains), default=0.0),
            strap_wll_lb=max((row.each_wll_lb for row in rows if row.straps), default=0.0),
        )


def driver_pages(report: Report) -> tuple[DriverPage, ...]:
    """One page a rig, in problem order."""
    return tuple(_page(report, rig) for rig in report.problem.rigs)


def _page(report: Report, rig: Rig) -> DriverPage:
    outings = [outing for day in report.plan.rig_days if day.rig == rig.name for outing in day.outings]
    trips = [trip for trip in report.trips if trip.rig.name == rig.name]
    return DriverPage(
        rig=rig,
        leave_min=outings[0].leave_min if outings else None,
        back_min=outings[-1].return_min if outings else None,
        must_be_back_min=rig.shift_end_min,
        breaks=_breaks(outings),
        stops=tuple(stop for trip in trips for stop in _stops(report, trip)),
        trips=tuple(
            driver_trip(report.problem, trip, [row for row in report.load_plan if row.trip == trip.number])
            for trip in trips
        ),
    )


def _breaks(outings: Sequence[Outing]) -> tuple[tuple[int, int], ...]:
    return tuple(pause for outing in outings for pause in outing.breaks)


def _stops(report: Report, trip: LoadedTrip) -> Iterator[DriverStop]:
    for number, stop in enumerate(trip.trip.stops, start=1):
        tasks = tuple(_task(report.problem.hauls[task.haul], task.action) for task in stop.tasks)
        site = report.problem.sites[stop.site]
        yield DriverStop(trip.number, number, stop.arrive_min, stop.leave_min, site, tasks)


def _task(haul: Haul, action: Action) -> str:
    words = [f"{action.value} {haul.item.name}", f"move {haul.move}", haul.how.value]
    if action is Action.LOAD and haul.ready_min is not None:
        words.append(f"ready {clock(haul.ready_min)}")
    if action is Action.UNLOAD and haul.due_min is not None:
        words.append(f"deliver by {clock(haul.due_min)}")
    return ", ".join(words)


def driver_trip(problem: Problem, trip: LoadedTrip, rows: Iterable[LoadRow]) -> DriverTrip:
    """A loaded trip as its driver needs it; ``rows``: its load plan."""
    hauls = [problem.hauls[haul] for haul in trip.trip.hauls()]
    noted = {move.name: move.note for move in problem.moves if move.note}
    notes = (f"{haul.move}: {noted[haul.move]}" for haul in hauls if haul.move in noted)
    return DriverTrip(
        loaded=trip,
        rows=tuple(rows),
        axle_loads=tuple(axle_loads(trip.rig, leg) for leg in trip.legs),
        permits=tuple(permit_text(permit) for permit in permits(problem, trip.trip)),
        height_in=_height_in(trip),
        cautions=tuple(caution.text for caution in trip.cautions),
        notes=tuple(dict.fromkeys(notes)),
    )


def _height_in(trip: LoadedTrip) -> float | None:
    heights = [check.value for leg in trip.legs for check in leg.checks if check.name == "Height"]
    return max(heights, default=None)


def axle_loads(rig: Rig, leg: LoadedLeg) -> tuple[AxleLoad, ...]:
    """What every axle and the coupler carry on a leg, each against the check that it comes nearest to."""
    loads, rear = leg.loads, rig.truck.rear_axles
    behind = f"Legal axles 2-{rear + 1}" if rear > 1 else "Legal axle 2"
    places: list[tuple[str, float, tuple[str, ...]]] = [
        ("Truck front axle", loads.front_lb, ("Truck front axle", "Truck front tyres", "Legal axle 1")),
        (
            f"Truck rear axle{'s' if rear > 1 else ''}",
            loads.rear_lb,
            ("Truck rear axles", "Truck rear tyres", behind),
        ),
    ]
    heaviest = max(loads.trailer_axles_lb)
    for number, load in enumerate(loads.trailer_axles_lb, start=1):
        tyres = ("Trailer tyres",) if load == heaviest else ()
        names = (f"Trailer axle {number}", f"Legal axle {1 + rear + number}", *tyres)
        places.append((f"Trailer axle {number}", load, names))
    places.append(("Coupler", loads.coupler_lb, ("Coupler rating", "Hitch rating")))
    found = [_axle_load(leg.checks, *place) for place in places]
    return (*found[:-1], replace(found[-1], note=coupler_share_text(leg.checks)))


def coupler_share_text(checks: Sequence[Check]) -> str:
    """The coupler's share of the loaded trailer with its band: ``18.1 % of the trailer (15 to 30)``."""
    shares = {check.name: check for check in checks}
    least, most = shares.get("Coupler share least"), shares.get("Coupler share most")
    if least is None or most is None:
        return ""
    return f"{least.value:.1f} % of the trailer ({least.limit:g} to {most.limit:g})"


def _axle_load(checks: Sequence[Check], place: str, load_lb: float, names: tuple[str, ...]) -> AxleLoad:
    found = [check for check in checks if check.name in names]
    nearest = max(found, key=lambda check: check.use, default=None)
    if nearest is None:
        return AxleLoad(place, load_lb, None, None, "")
    return AxleLoad(place, load_lb, nearest.worst, nearest.limit, nearest.name, nearest.waived)
