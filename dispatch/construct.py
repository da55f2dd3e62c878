"""A first plan, quickly: trips put into rigs' days one by one where they cost least."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from dispatch.rig_days import Column, DayRules, Step, work_out
from dispatch.rig_groups import RigGroup
from dispatch.rig_trips import RigTrips
from dispatch.trips import Candidate

MOST_TRIED = 60
"""Trips tried in one rebuilding, besides those of single units."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A trip that a rig of a group could make. ``rig``: its number within the group."""

    group: int
    rig: int
    trip: Candidate
    trips: RigTrips


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
        """Puts the trip where it adds least to cost; says whether there was a place and a legal load."""
        if self.hauled & offer.trip.units:
            return False
        best = self._best_place(offer)
        if best is not None and offer.trip.load is None:
            trip = offer.trips.judge(offer.trip)
            best = None if trip is None else self._best_place(replace(offer, trip=trip))
        if best is None:
            return False
        key, steps, column = best
        self.steps[key], self.columns[key] = steps, column
        self.hauled |= offer.trip.units
        return True

    def _best_place(self, offer: Offer) -> tuple[tuple[int, int], tuple[Step, ...], Column] | None:
        best: tuple[tuple[int, int], tuple[Step, ...], Column] | None = None
        least = 0
        for copy in range(self.groups[offer.group].count):
            key = offer.group, copy
            before = self.columns[key].cents if key in self.columns else 0
            for steps, column in self._places(offer, copy):
                if best is None or column.cents - before < least:
                    best, least = (key, steps, column), column.cents - before
            if key not in self.columns:
                break
        return best

    def _places(self, offer: Offer, copy: int) -> Iterable[tuple[tuple[Step, ...], Column]]:
        old = self.steps.get((offer.group, copy), ())
        for place in range(len(old) + 1):
            if not self._in_time([step.trip for step in old[:place][-1:]], offer.trip, old[place : place + 1]):
                continue
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

    def append(self, offer: Offer) -> bool:
        """Puts a trip with a legal load at the end of the first day with time for it; says whether one had."""
        trip, rules, group = offer.trip, self.rules, self.groups[offer.group]
        for copy in range(group.count if trip.load is not None and not self.hauled & trip.units else 0):
            key = (offer.group, copy)
            old = self.steps.get(key, ())
            steps = (*old, Step(offer.rig, trip, from_yard=not old or old[-1].rig != offer.rig))
            column = work_out(rules, group, steps) if self._in_sequence([step.trip for step in steps]) else None
            others = [day for other, day in self.columns.items() if other != key]
            if column is not None and not self.clash([*others, column]):
                self.steps[key], self.columns[key] = steps, column
                self.hauled |= trip.units
                return True
        return False

    def _in_time(self, before: Sequence[Candidate], trip: Candidate, after: Sequence[Step]) -> bool:
        """Whether the trip may lie between its neighbours by the fastest travel: a look before the full one."""
        row = [*before, trip, *(step.trip for step in after)]
        fastest, number = self.rules.table.fastest_min, self.rules.table.number
        return all(
            first.block.earliest_end + fastest[number[first.last], number[second.first]] <= second.block.latest
            for first, second in pairwise(row)
        )

    def _in_sequence(self, trips: Sequence[Candidate]) -> bool:
        if not any(self.after):
            return True
        done = 0
        for trip in trips:
            for unit, later in enumerate(self.after):
                if trip.units >> unit & 1 and later & done:
                    return False
            done |= trip.units
        return True

    def without(self, gone: int) -> Draft:
        """A copy without the trips that carry any of the units ``gone``."""
        draft = Draft(self.rules, self.groups, self.after, self.clash)
        for key, steps in self.steps.items():
            left = [step for step in steps if not step.trip.units & gone]
            again = tuple(
                replace(step, from_yard=place == 0 or left[place - 1].rig != step.rig or step.from_yard)
                for place, step in enumerate(left)
            )
            column = work_out(self.rules, self.groups[key[0]], again) if again else None
            if column is not None:
                draft.steps[key], draft.columns[key] = again, column
                draft.hauled |= column.units
        return draft

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


class Rebuilder:
    """Takes some trips out of a plan and fills it again, over and over, keeping what is no worse."""

    def __init__(self, offers: Sequence[Offer], score: Callable[[Sequence[Column]], tuple[int, ...]]) -> None:
        self.offers = offers
        self.score = score
        self._by_least: defaultdict[int, list[Offer]] = defaultdict(list)
        for offer in offers:
            self._by_least[(offer.trip.units & -offer.trip.units).bit_length() - 1].append(offer)

    def improve(self, draft: Draft, units: int, rounds: int, seed: int, stop: Callable[[], bool]) -> Draft:
        """The draft after so many rounds, or fewer when nothing is left out and stopped."""
        rng = random.Random(seed)
        best = self.score(draft.days())
        for _ in range(rounds):
            if stop():
                break
            fresh = self._rebuilt(draft, units, rng, stop)
            score = self.score(fresh.days())
            if score <= best:
                draft, best = fresh, score
        return draft

    def _rebuilt(self, draft: Draft, units: int, rng: random.Random, stop: Callable[[], bool]) -> Draft:
        gone = (1 << units) - 1 & ~draft.hauled
        trips = [step.trip.units for steps in draft.steps.values() for step in steps]
        for units_of_trip in rng.sample(trips, min(len(trips), rng.randint(2, 4))):
            gone |= units_of_trip
        fresh = draft.without(gone)
        missing = (1 << units) - 1 & ~fresh.hauled
        least = (unit for unit in range(units) if missing >> unit & 1)
        fitting = [offer for unit in least for offer in self._by_least[unit] if not offer.trip.units & ~missing]
        few = [rng.choice(fitting) for _ in range(min(len(fitting), MOST_TRIED))] if fitting else []
        few.sort(key=lambda offer: -offer.trip.count + rng.random() * 2)
        alone = [offer for offer in fitting if offer.trip.count == 1]
        return fill(fresh, [*few, *alone], stop)
