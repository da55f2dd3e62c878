"""Travel between the day's sites by number, with the least time by any detour for pruning that cannot err."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from dispatch.problem import Problem
from dispatch.timing import NEVER_MIN
from dispatch.travel import Travel, great_circle_mi
from dispatch.units import TENTHS_PER_MI

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class SiteTable:
    """Minutes and tenths of a mile between sites; rows and columns as ``names``.

    ``fastest_min``: least minutes over any detour, loaded or empty; a true triangle inequality holds for it.
    """

    names: tuple[str, ...]
    number: dict[str, int]
    loaded_min: Ints
    empty_min: Ints
    fastest_min: Ints
    tenths: Ints

    @property
    def direct_is_fastest(self) -> bool:
        """Whether no detour ever saves time on an empty run."""
        return bool(np.array_equal(closed(self.empty_min), self.empty_min))


def site_table(problem: Problem, travel: Travel) -> SiteTable:
    """The table of all sites that the day's rigs and hauls name; a pair without a road is never reached."""
    named = [place for rig in problem.rigs for place in (rig.yard, rig.end)]
    named += [place for haul in problem.hauls for place in (haul.origin, haul.destination)]
    names = tuple(dict.fromkeys(named))
    size = len(names)
    loaded, empty, tenths = (np.full((size, size), NEVER_MIN, dtype=np.int64) for _ in range(3))
    for i, origin in enumerate(names):
        for j, destination in enumerate(names):
            try:
                tenths[i, j] = travel.tenths(origin, destination)
                loaded[i, j] = travel.minutes(origin, destination, loaded=True)
                empty[i, j] = travel.minutes(origin, destination, loaded=False)
            except KeyError:
                continue
    number = {name: i for i, name in enumerate(names)}
    return SiteTable(names, number, loaded, empty, closed(np.minimum(loaded, empty)), tenths)


def closed(minutes: Ints) -> Ints:
    """Least minutes over any detour (Floyd and Warshall)."""
    best = minutes.copy()
    for via in range(len(best)):
        np.minimum(best, best[:, via, None] + best[None, via, :], out=best)
    return best


def far_from_mi(problem: Problem, travel: Travel, yard: str, place: str) -> float:
    """Statute miles from the yard, as the crow flies or, without coordinates, by road; infinite without either."""
    try:
        return great_circle_mi(problem.sites[yard], problem.sites[place])
    except ValueError:
        pass
    try:
        return travel.tenths(yard, place) / TENTHS_PER_MI
    except KeyError:
        return math.inf
