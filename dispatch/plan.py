"""The solution: trips, stops, tasks and placements, with what is proved. No solver types.

Times are minutes after midnight. Haul numbers are indices into ``Problem.hauls``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from dispatch.fleet import Deck as Deck
from dispatch.items import Facing


class Action(StrEnum):
    """What happens to an item at a stop."""

    LOAD = "load"
    UNLOAD = "unload"


@dataclass(frozen=True, slots=True)
class Placed:
    """Where an item stands: whole inches from the front of its own deck to the edge nearest the truck."""

    haul: int
    deck: Deck
    front_edge_in: int
    facing: Facing


@dataclass(frozen=True, slots=True)
class Task:
    """One item coming on or off."""

    action: Action
    haul: int


@dataclass(frozen=True, slots=True)
class Stop:
    """A visit. Work lies between arriving and leaving, in the order of ``tasks``; waiting may lie there too."""

    site: str
    arrive_min: int
    leave_min: int
    tasks: tuple[Task, ...]


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of road between two different sites with a fixed set of items on deck (placements)."""

    origin: str
    destination: str
    depart_min: int
    arrive_min: int
    on_deck: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class Trip:
    """One loading phase followed by one unloading phase; ``placements`` in load order."""

    rig: str
    stops: tuple[Stop, ...]
    placements: tuple[Placed, ...]

    def hauls(self) -> tuple[int, ...]:
        """Haul indices in load order."""
        return tuple(placed.haul for placed in self.placements)

    def legs(self) -> Iterator[Leg]:
        """Every loaded stretch of road of the trip, in order."""
        by_haul = {placed.haul: placed for placed in self.placements}
        aboard: list[int] = []
        for stop, following in zip(self.stops, self.stops[1:], strict=False):
            for task in stop.tasks:
                if task.action is Action.LOAD:
                    aboard.append(task.haul)
                elif task.haul in aboard:
                    aboard.remove(task.haul)
            on_deck = tuple(by_haul[haul] for haul in aboard)
            yield Leg(stop.site, following.site, stop.leave_min, following.arrive_min, on_deck)

    @property
    def start_min(self) -> int:
        """Arrival at the first pickup."""
        return self.stops[0].arrive_min

    @property
    def end_min(self) -> int:
        """The last item off: when the last stop is left."""
        return self.stops[-1].leave_min


@dataclass(frozen=True, slots=True)
class Outing:
    """From leaving the yard to returning; ``breaks`` are (start, end) pauses of the driver taken on the road."""

    leave_min: int
    trips: tuple[Trip, ...]
    return_min: int
    breaks: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class RigDay:
    """A rig's outings, in time order."""

    rig: str
    outings: tuple[Outing, ...]


class Outcome(StrEnum):
    """How the search ended."""

    PROVED = "proved"
    STOPPED_WITH_PLAN = "stopped with a plan"
    STOPPED_WITHOUT_PLAN = "stopped without a plan"


@dataclass(frozen=True, slots=True)
class Level:
    """One goal: its value in the plan and a bound that no plan can beat. ``proved``: value equals bound.

    Names are ``left out`` (sum of priorities), ``trips`` (count) and ``cost`` (cents), in the order solved.
    """

    name: str
    value: float
    bound: float
    proved: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """A day. ``left_out`` are names of moves; ``notes`` say what limits a proof or cut the search short."""

    rig_days: tuple[RigDay, ...]
    left_out: tuple[str, ...]
    levels: tuple[Level, ...]
    outcome: Outcome
    notes: tuple[str, ...] = ()

    def trips(self) -> Iterator[Trip]:
        """Every trip: rigs in problem order, then by time."""
        for day in self.rig_days:
            for outing in day.outings:
                yield from outing.trips

    def level(self, name: str) -> Level:
        """The level of that name; raises KeyError when it was not reached."""
        for level in self.levels:
            if level.name == name:
                return level
        raise KeyError(name)
