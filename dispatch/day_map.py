"""The day as a map and as uses of limits: where sites lie, who drives between them, how tight each check gets."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from dispatch.checks import graded
from dispatch.plan import Outing, Plan
from dispatch.problem import Problem
from dispatch.report import WeightRow
from dispatch.travel import EARTH_RADIUS_MI


@dataclass(frozen=True, slots=True)
class Point:
    """A site on the map, miles east and north of the map's middle."""

    east_mi: float
    north_mi: float


@dataclass(frozen=True, slots=True)
class Drive:
    """One leg of a rig's day. ``trip`` is the one it belongs to, 0 on the way home."""

    rig: str
    trip: int
    loaded: bool
    origin: str
    destination: str


@dataclass(frozen=True, slots=True)
class DayMap:
    """Sites in use with coordinates, every leg of the day, and sites in use that lack coordinates."""

    points: Mapping[str, Point]
    drives: tuple[Drive, ...]
    without: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CheckUse:
    """How far a check is used over the day: on each leg, and where most; 1.0 is the whole limit.

    ``waived``: the greatest use is over a limit of law that a permit lifts.
    """

    name: str
    uses: tuple[float, ...]
    trip: int
    leg: int
    waived: bool

    @property
    def most(self) -> float:
        """The greatest use."""
        return max(self.uses)


def day_map(problem: Problem, plan: Plan) -> DayMap:
    """The map of a plan, flat about the mean latitude: true to scale over a day's roads."""
    drives = tuple(_drives(problem, plan))
    named = dict.fromkeys(name for drive in drives for name in (drive.origin, drive.destination))
    placed: dict[str, tuple[float, float]] = {}
    for name in named:
        site = problem.sites[name]
        if site.latitude is not None and site.longitude is not None:
            placed[name] = (site.latitude, site.longitude)
    return DayMap(_flat(placed), drives, tuple(name for name in named if name not in placed))


def _flat(placed: Mapping[str, tuple[float, float]]) -> dict[str, Point]:
    if not placed:
        return {}
    north = sum(latitude for latitude, _ in placed.values()) / len(placed)
    first = next(iter(placed.values()))[1]
    turned = {name: (lat, (lon - first + 180) % 360 - 180) for name, (lat, lon) in placed.items()}
    east = sum(lon for _, lon in turned.values()) / len(turned)
    mile = EARTH_RADIUS_MI * math.pi / 180
    shrink = math.cos(math.radians(north))
    return {name: Point((lon - east) * mile * shrink, (lat - north) * mile) for name, (lat, lon) in turned.items()}


def _drives(problem: Problem, plan: Plan) -> Iterator[Drive]:
    number = 0
    for day in plan.rig_days:
        for outing in day.outings:
            for drive in _outing_drives(problem, day.rig, outing, number):
                if drive.origin != drive.destination:
                    yield drive
            number += len(outing.trips)


def _outing_drives(problem: Problem, rig: str, outing: Outing, before: int) -> Iterator[Drive]:
    at = problem.rig(rig).yard
    for number, trip in enumerate(outing.trips, start=before + 1):
        yield Drive(rig, number, False, at, trip.stops[0].site)
        for leg in trip.legs():
            yield Drive(rig, number, True, leg.origin, leg.destination)
        at = trip.stops[-1].site
    yield Drive(rig, 0, False, at, problem.rig(rig).end)


def check_uses(rows: tuple[WeightRow, ...]) -> tuple[CheckUse, ...]:
    """Checks on weights, shares and heights by their greatest use, the tightest first.

    Lengths, widths and counts are met or not and are not compared.
    """
    found: dict[str, list[WeightRow]] = {}
    for row in rows:
        if graded(row.check) and math.isfinite(row.check.use):
            found.setdefault(row.check.name, []).append(row)
    uses = []
    for name, group in found.items():
        most = max(group, key=lambda row: row.check.use)
        shares = tuple(row.check.use for row in group)
        uses.append(CheckUse(name, shares, most.trip, most.leg, most.check.waived))
    return tuple(sorted(uses, key=lambda use: (-use.most, use.name)))
