"""Distances and driving times between sites: measured roads first, else great circle times circuity."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from dispatch.settings import Settings
from dispatch.sites import Road, Site
from dispatch.units import TENTHS_PER_MI, tenths_of_miles, whole_minutes_up

EARTH_RADIUS_MI = 3958.8
"""Mean earth radius, statute miles, as the project's fine print fixes it."""


def great_circle_mi(a: Site, b: Site) -> float:
    """Great-circle distance in statute miles (haversine). Raises ValueError when a coordinate is missing."""
    if a.latitude is None or a.longitude is None or b.latitude is None or b.longitude is None:
        raise ValueError(f"no coordinates for {a.name} or {b.name}")
    lat_a, lat_b = math.radians(a.latitude), math.radians(b.latitude)
    half_lat = math.sin((lat_b - lat_a) / 2)
    half_lon = math.sin(math.radians(b.longitude - a.longitude) / 2)
    h = half_lat**2 + math.cos(lat_a) * math.cos(lat_b) * half_lon**2
    return 2 * EARTH_RADIUS_MI * math.asin(min(1.0, math.sqrt(h)))


class Travel:
    """Road distances (tenths of a mile) and times (whole minutes) between sites by name.

    A measured distance wins over an estimated one; a later row for the same pair wins over an earlier one; a
    row's minutes hold for loaded and empty running. Raises KeyError for a pair with neither row nor coordinates.
    """

    def __init__(self, sites: Mapping[str, Site], roads: Iterable[Road], settings: Settings) -> None:
        self._sites = sites
        self._settings = settings
        self._roads: dict[tuple[str, str], Road] = {}
        for road in roads:
            self._roads[road.origin, road.destination] = road
            if not road.oneway:
                self._roads[road.destination, road.origin] = road
        self._tenths: dict[tuple[str, str], int] = {}
        self._minutes: dict[tuple[str, str, bool], int] = {}

    def measured(self, origin: str, destination: str) -> bool:
        """Whether the pair has a row in Distances (a site to itself counts as measured)."""
        return origin == destination or (origin, destination) in self._roads

    def tenths(self, origin: str, destination: str) -> int:
        """Road distance, tenths of a mile; 0 from a site to itself."""
        key = (origin, destination)
        if key not in self._tenths:
            self._tenths[key] = self._find_tenths(origin, destination)
        return self._tenths[key]

    def _find_tenths(self, origin: str, destination: str) -> int:
        if origin == destination:
            return 0
        road = self._roads.get((origin, destination))
        if road is not None:
            return road.tenths_mi
        try:
            miles = great_circle_mi(self._sites[origin], self._sites[destination])
        except ValueError as error:
            raise KeyError(f"{origin} to {destination}: no row in Distances and {error}") from error
        return tenths_of_miles(miles * self._settings.circuity_factor)

    def minutes(self, origin: str, destination: str, *, loaded: bool) -> int:
        """Driving time, whole minutes, rounded up once; 0 from a site to itself."""
        key = (origin, destination, loaded)
        if key not in self._minutes:
            self._minutes[key] = self._find_minutes(origin, destination, loaded)
        return self._minutes[key]

    def _find_minutes(self, origin: str, destination: str, loaded: bool) -> int:
        if origin == destination:
            return 0
        road = self._roads.get((origin, destination))
        if road is not None and road.minutes is not None:
            return road.minutes
        settings = self._settings
        speed_mph = settings.speed_loaded_mph if loaded else settings.speed_empty_mph
        return whole_minutes_up(self.tenths(origin, destination) / TENTHS_PER_MI / speed_mph * 60)
