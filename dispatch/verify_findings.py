"""What the verifier reports: a violation, and the few helpers that all of its parts use."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dispatch.plan import Action, Plan, Trip
from dispatch.problem import Problem


@dataclass(frozen=True, slots=True)
class Violation:
    """Something in a plan that the input does not allow.

    ``kind`` is a stable plain name: a check name (``Coupler share least``) or a rule (``hauled twice``).
    ``seen`` and ``allowed`` are in the unit that ``text`` names; times are minutes after midnight.
    """

    kind: str
    where: str
    seen: float | str
    allowed: float | str
    text: str

    def __str__(self) -> str:
        return f"{self.where}: {self.kind}: {self.text} (seen {_plain(self.seen)}, allowed {_plain(self.allowed)})"


def _plain(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:,.2f}".rstrip("0").rstrip(".")


@dataclass(frozen=True, slots=True)
class NumberedTrip:
    """A trip of the plan with its place in it: trip number from 1, rig, number of the outing from 0."""

    number: int
    rig: str
    outing: int
    trip: Trip

    @property
    def where(self) -> str:
        """How the report calls it."""
        return f"trip {self.number} ({self.rig})"


def numbered_trips(plan: Plan) -> tuple[NumberedTrip, ...]:
    """Every trip of the plan in its order."""
    found: list[NumberedTrip] = []
    for day in plan.rig_days:
        for outing_number, outing in enumerate(day.outings):
            for trip in outing.trips:
                found.append(NumberedTrip(len(found) + 1, day.rig, outing_number, trip))
    return tuple(found)


def known(problem: Problem, haul: int) -> bool:
    """Whether the haul number exists."""
    return 0 <= haul < len(problem.hauls)


def actions(trip: Trip) -> Iterator[tuple[int, Action, int]]:
    """Stop number from 0, action and haul of every task, in order."""
    for number, stop in enumerate(trip.stops):
        for task in stop.tasks:
            yield number, task.action, task.haul


def aboard_when_leaving(trip: Trip) -> tuple[tuple[int, ...], ...]:
    """Haul numbers on deck when each stop is left, in load order; a wrong unload takes nothing off."""
    aboard: list[int] = []
    states = []
    for stop in trip.stops:
        for task in stop.tasks:
            if task.action is Action.LOAD:
                aboard.append(task.haul)
            elif task.haul in aboard:
                aboard.remove(task.haul)
        states.append(tuple(aboard))
    return tuple(states)
