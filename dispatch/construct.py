"""A first plan, quickly: trips put into rigs' days one by one where they cost least."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from dispatch.rig_days import Column, DayRules, Step, work_out
from dispatch.rig_groups import RigGroup
from dispatch.trips import Candidate


@dataclass(frozen=True, slots=True)
class Offer:
    """A trip that a rig of a group could make. ``rig``: its number within the group."""

    group: int
    rig: int
    trip: Candidate


@dataclass(slots=True)
class Draft:
    """A day under construction: the steps of each day of each group, and the day that they make."""

    rules: DayRules
    groups: Sequence[RigGroup]
    after: Sequence[int]
    clash: Callable[[Sequence[Column]], bool] = lambda _: False
    steps: dict[tuple[int, int], tuple[Step, ...]] = field(default_factory=dict)
    columns: dict[tuple[int, int], Column] = field(default_factory=dict)
    hauled: int = 0

    def insert(self, offer: Offer) -> bool:
        """Puts the trip where it adds least to cost; says whether there was a place."""
        if self.hauled & offer.trip.units:
            return False
        best: tuple[int, int, tuple[Step, ...], Column] | None = None
        for copy in range(self.groups[offer.group].count):
            for steps, column in self._places(offer, copy):
                before = self.columns.get((offer.group, copy))
                added = column.cents - (before.cents if before else 0)
                if best is None or added < best[0]:
                    best = (added, copy, steps, column)
            if (offer.group, copy) not in self.columns:
                break
        if best is None:
            return False
        _, copy, steps, column = best
        self.steps[offer.group, copy], self.columns[offer.group, copy] = steps, column
        self.hauled |= offer.trip.units
        return True

    def _places(self, offer: Offer, copy: int) -> Iterable[tuple[tuple[Step, ...], Column]]:
        old = self.steps.get((offer.group, copy), ())
        for place in range(len(old) + 1):
            order = [*((step.rig, step.trip) for step in old)]
            order.insert(place, (offer.rig, offer.trip))
            if not self._in_sequence([trip for _, trip in order]):
                continue
            steps = tuple(
                Step(rig, trip, from_yard=number == 0 or order[number - 1][0] != rig)
                for number, (rig, trip) in enumerate(order)
            )
            column = work_out(self.rules, self.groups[offer.group], steps)
            if column is None:
                continue
            others = [day for key, day in self.columns.items() if key != (offer.group, copy)]
            if not self.clash([*others, column]):
                yield steps, column

    def _in_sequence(self, trips: Sequence[Candidate]) -> bool:
        done = 0
        for trip in trips:
            for unit, later in enumerate(self.after):
                if trip.units >> unit & 1 and later & done:
                    return False
            done |= trip.units
        return True

    def days(self) -> tuple[Column, ...]:
        """The days so far."""
        return tuple(self.columns[key] for key in sorted(self.columns))


def fill(draft: Draft, offers: Iterable[Offer], stop: Callable[[], bool]) -> Draft:
    """Goes once through the offers, in their order, and puts in what fits."""
    for offer in offers:
        if stop():
            break
        draft.insert(offer)
    return draft


def largest_first(offers: Iterable[Offer], urgency: Callable[[int], int]) -> list[Offer]:
    """Trips with most units first, then the most urgent, then the shortest."""
    return sorted(
        offers,
        key=lambda offer: (
            -offer.trip.count,
            urgency(offer.trip.units),
            offer.trip.block.duration,
            offer.trip.units,
            offer.group,
            offer.rig,
        ),
    )


def urgent_first(offers: Iterable[Offer], urgency: Callable[[int], int]) -> list[Offer]:
    """The most urgent first, then the most units, then the shortest."""
    return sorted(
        offers,
        key=lambda offer: (
            urgency(offer.trip.units),
            -offer.trip.count,
            offer.trip.block.duration,
            offer.trip.units,
            offer.group,
            offer.rig,
        ),
    )
