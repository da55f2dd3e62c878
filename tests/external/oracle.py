"""An exhaustive search of tiny days, for the optimiser to be compared with.

It shares nothing with enumeration, placement, timing or the model. Placements: every whole inch of every item,
in every order, facing and deck, with the statics written out again over arrays and the worst case over all
corners of the weight tolerances; a placement that is found must satisfy the verifier. Time: every order of trips
by forward propagation, state by state, keeping what nothing else beats in every respect. Nothing is bounded,
relaxed or rounded. Days must be short-haul (no pause from driving is looked for).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise, permutations, product
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from dispatch.axle_loads import contact_load_beyond
from dispatch.bridge import axle_group_limits
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item, LoadsBy
from dispatch.moves import Permit
from dispatch.plan import Action, Outcome, Outing, Placed, Plan, RigDay, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.travel import Travel
from dispatch.verify_findings import NumberedTrip
from dispatch.verify_gear import gear_violations

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
NOISE_LB = 0.01
NOISE_IN = 0.001
PART = 3_000
"""Placements looked at together: a legal one ends the search; every part holds places from all over the deck."""
NEVER = 1_000_000
NOT_YET = -NEVER
"""Stands for the return of a rig that has not been out."""
T = TypeVar("T")


# Statics over arrays


@dataclass(frozen=True)
class State:
    """Who is aboard on one leg, and its ends."""

    aboard: tuple[int, ...]
    origin: str
    destination: str


class Deckhand:
    """Tries every placement of a set of items on one rig."""

    def __init__(self, problem: Problem, rig: Rig) -> None:
        self.problem, self.rig = problem, rig
        truck, trailer = rig.truck, rig.trailer
        first = trailer.coupler_to_first_axle_in
        at = [first + i * trailer.axle_spacing_in for i in range(trailer.axles)]
        self.group_in = sum(s * x for s, x in zip(trailer.shares, at, strict=True))
        half = (truck.rear_axles - 1) / 2
        rear = [truck.wheelbase_in + (i - half) * truck.rear_axle_spacing_in for i in range(truck.rear_axles)]
        self.coupler_in = truck.wheelbase_in - truck.coupler_ahead_in
        self.axles_in = [0.0, *rear, *(self.coupler_in + x for x in at)]
        self.groups = axle_group_limits(self.axles_in, problem.rules)

    def patterns(
        self, order: tuple[Task, ...], states: Sequence[State]
    ) -> dict[tuple[bool, ...], tuple[Placed, ...]]:
        """Which legs must rely on a permit: every least choice of such legs, with a placement that has it."""
        found: dict[tuple[bool, ...], tuple[Placed, ...]] = {}
        for layout in self._layouts(order):
            for over, placements in self._try(layout, order, states):
                found.setdefault(over, placements)
                if not any(over):
                    return {over: placements}
        return {
            over: placed
            for over, placed in found.items()
            if not any(
                other != over and all(b or not a for a, b in zip(other, over, strict=True)) for other in found
            )
        }

    def _layouts(self, order: tuple[Task, ...]) -> Iterator[tuple[tuple[int, Deck, Facing], ...]]:
        """Every order of the items from the front, with every deck and facing."""
        hauls = [task.haul for task in order if task.action is Action.LOAD]
        for line in permutations(hauls):
            decks = [self._decks(haul) for haul in line]
            for chosen in product(*decks):
                if self._order_holds(order, dict(zip(line, chosen, strict=True)), line):
                    facings = [self._facings(haul) for haul in line]
                    for facing in product(*facings):
                        yield tuple(zip(line, chosen, facing, strict=True))

    def _decks(self, haul: int) -> tuple[Deck, ...]:
        lifted = self.problem.hauls[haul].how is LoadsBy.LIFTED
        return (Deck.MAIN, Deck.NECK) if lifted and self.rig.trailer.neck is not None else (Deck.MAIN,)

    def _facings(self, haul: int) -> tuple[Facing, ...]:
        item = self.problem.hauls[haul].item
        same_cg = item.cg_in * 2 == item.length_in
        same_patch = item.contact_from_in * 2 + item.contact_length_in == item.length_in
        return item.facings[:1] if same_cg and same_patch else item.facings

    def _order_holds(self, order: tuple[Task, ...], decks: dict[int, Deck], line: tuple[int, ...]) -> bool:
        """What rolls comes on and off with nothing behind it on the main deck."""
        aboard: set[int] = set()
        for task in order:
            if self.problem.hauls[task.haul].how is not LoadsBy.LIFTED:
                behind = line[line.index(task.haul) + 1 :]
                if any(other in aboard and decks[other] is Deck.MAIN for other in behind):
                    return False
            (aboard.add if task.action is Action.LOAD else aboard.discard)(task.haul)
        return True

    def _try(
        self, layout: tuple[tuple[int, Deck, Facing], ...], order: tuple[Task, ...], states: Sequence[State]
    ) -> Iterator[tuple[tuple[bool, ...], tuple[Placed, ...]]]:
        whole = self._grid(layout)
        parts = len(whole) // PART + 1
        loads = [task.haul for task in order if task.action is Action.LOAD]
        for part in range(parts):
            grid = whole[part::parts]
            over = np.zeros((len(grid), len(states)), dtype=bool)
            for number, state in sorted(enumerate(states), key=lambda pair: -len(pair[1].aboard)):
                if len(grid):
                    legal, over[:, number] = self._leg(layout, grid, state)
                    grid, over = grid[legal], over[legal]
            for flags in np.unique(over, axis=0):
                row = grid[np.flatnonzero((over == flags).all(axis=1))[0]]
                placed = {h: Placed(h, deck, int(x), way) for (h, deck, way), x in zip(layout, row, strict=True)}
                yield tuple(bool(flag) for flag in flags), tuple(placed[haul] for haul in loads)

    def _grid(self, layout: tuple[tuple[int, Deck, Facing], ...]) -> NDArray[np.int64]:
        """All whole-inch front edges (own deck) that keep clearance, contact, gap, overhang; one row a placement.

        Items are gone through from the front; all are taken to be on deck together, which holds for any two
        items of a trip as long as it has one loading phase.
        """
        ranges = [self._range(*one) for one in layout]
        gap = self.problem.settings.gap_in
        room = np.inf
        for number, (shift, low, high, length) in reversed(list(enumerate(ranges))):
            highest = min(high, room - length - shift)
            ranges[number] = (shift, low, highest, length)
            room = shift + highest - gap
        rows: NDArray[np.int64] = np.empty((1, 0), dtype=np.int64)
        ends = np.array([-np.inf])
        for shift, low, high, length in ranges:
            places = np.arange(int(np.ceil(low - NOISE_IN)), int(np.floor(high + NOISE_IN)) + 1)
            before_it, at = np.nonzero(places[None, :] + shift >= ends[:, None] + gap - NOISE_IN)
            if not len(at):
                return np.empty((0, len(layout)), dtype=np.int64)
            rows = np.column_stack((rows[before_it], places[at]))
            ends = places[at] + shift + length
        return rows

    def _range(self, haul: int, deck: Deck, facing: Facing) -> tuple[float, float, float, float]:
        """Deck front behind the coupler, least and greatest front edge on that deck, and body length."""
        settings, trailer = self.problem.settings, self.rig.trailer
        item, neck = self.problem.hauls[haul].item, self.rig.trailer.neck
        shift, deck_in, width = trailer.deck_from_coupler_in, trailer.deck_length_in, trailer.deck_width_in
        main_end = shift + deck_in + settings.rear_overhang_in
        if deck is Deck.NECK and neck is not None:
            shift, deck_in, width = neck.from_coupler_in, neck.length_in, neck.width_in
        before = item.contact_from_in
        if facing is Facing.REARWARD:
            before = item.length_in - item.contact_from_in - item.contact_length_in
        low = max(settings.front_clearance_in, -before)
        high = min(deck_in - before - item.contact_length_in, main_end - item.length_in - shift)
        fits = item.contact_width_in <= width + NOISE_IN
        return shift, low, high if fits else low - 1, item.length_in

    def _leg(
        self, layout: tuple[tuple[int, Deck, Facing], ...], grid: NDArray[np.int64], state: State
    ) -> tuple[Bools, Bools]:
        """Row by row: whether the leg is legal, and whether it relies on a permit."""
        columns = [i for i, (haul, _, _) in enumerate(layout) if haul in state.aboard]
        items = [self.problem.hauls[layout[i][0]].item for i in columns]
        permit = len(columns) == 1 and self.problem.hauls[layout[columns[0]][0]].permit is not None
        fronts, cgs = self._places(layout, grid, columns)
        ok = self._sizes(layout, columns, items, fronts, state)
        ok &= self._deck_ratings(layout, grid, columns, items)
        over = self._oversize(layout, columns, items, fronts)
        if not permit:
            ok &= ~over
        left = np.flatnonzero(ok)
        for *weights, coupler, axles in self._corners(items):
            moment = cgs[left] @ np.array(weights)
            on_axles = axles + moment / self.group_in
            on_coupler = coupler + sum(weights) - moment / self.group_in
            holds = self._ratings_hold(on_coupler, on_axles)
            holds &= self._site_gross_holds(on_coupler + on_axles, state)
            lawful = self._law_holds(on_coupler, on_axles)
            over[left] |= ~lawful
            left = left[holds if permit else holds & lawful]
            if not len(left):
                break
        ok = np.zeros(len(grid), dtype=bool)
        ok[left] = True
        return ok, over

    def _corners(self, items: Sequence[Item]) -> Iterable[tuple[float, ...]]:
        trailer = self.rig.trailer
        weights = [*(item.weight for item in items), trailer.empty_coupler, trailer.empty_axles]
        return product(*((w.high_lb, w.low_lb) for w in weights))

    def _places(
        self, layout: tuple[tuple[int, Deck, Facing], ...], grid: NDArray[np.int64], columns: Sequence[int]
    ) -> tuple[Floats, Floats]:
        """Front edges and centres of gravity behind the coupler."""
        neck = self.rig.trailer.neck
        fronts = np.empty((len(grid), len(columns)))
        cgs = np.empty_like(fronts)
        for place, i in enumerate(columns):
            haul, deck, facing = layout[i]
            item = self.problem.hauls[haul].item
            shift = self.rig.trailer.deck_from_coupler_in
            if deck is Deck.NECK and neck is not None:
                shift = neck.from_coupler_in
            fronts[:, place] = grid[:, i] + shift
            cg = item.cg_in if facing is Facing.FORWARD else item.length_in - item.cg_in
            cgs[:, place] = fronts[:, place] + cg
        return fronts, cgs

    def _ratings_hold(self, coupler: Floats, axles: Floats) -> Bools:
        truck, trailer, settings = self.rig.truck, self.rig.trailer, self.problem.settings
        whole = coupler + axles
        on_rear = self.coupler_in / truck.wheelbase_in
        front, rear = truck.empty_front_lb + coupler * (1 - on_rear), truck.empty_rear_lb + coupler * on_rear
        band = settings.coupler_bands[trailer.hitch]
        heaviest = axles * max(trailer.shares)
        axle_lb = min(trailer.axle_rating_lb, trailer.tyre_rating_lb or np.inf)
        upper: list[tuple[Floats, float | None]] = [
            (whole, trailer.gvwr_lb),
            (heaviest, axle_lb),
            (axles, trailer.axles * axle_lb),
            (coupler, trailer.coupler_rating_lb),
            (coupler, truck.hitch_rating_lb),
            (coupler - band.most_pct / 100 * whole, 0.0),
            (band.least_pct / 100 * whole - coupler, 0.0),
            (-coupler, 0.0),
            (front, truck.front_rating_lb),
            (front, truck.front_tyre_rating_lb),
            (rear, truck.rear_rating_lb),
            (rear, truck.rear_tyre_rating_lb),
            (front + rear, truck.gvwr_lb),
            (front + rear + axles, truck.gcwr_lb),
            (whole, truck.tow_rating_lb),
            (front + rear + axles, truck.registered_weight_lb),
            (truck.empty_front_lb * settings.steer_least_pct / 100 - front, 0.0),
        ]
        ok = np.ones(len(coupler), dtype=bool)
        for value, limit in upper:
            if limit is not None:
                ok &= value <= limit + NOISE_LB
        return ok

    def _law_holds(self, coupler: Floats, axles: Floats) -> Bools:
        truck, trailer = self.rig.truck, self.rig.trailer
        on_rear = self.coupler_in / truck.wheelbase_in
        front, rear = truck.empty_front_lb + coupler * (1 - on_rear), truck.empty_rear_lb + coupler * on_rear
        each = [front, *[rear / truck.rear_axles] * truck.rear_axles, *(axles * s for s in trailer.shares)]
        ok = np.ones(len(coupler), dtype=bool)
        carried = front
        for group in self.groups:
            carried = each[group.last] + (carried if group.last > group.first else 0)
            ok &= carried <= group.limit_lb + NOISE_LB
        gross = self.problem.rules.value("gross_lb")
        return ok if gross is None else ok & (front + rear + axles <= gross + NOISE_LB)

    def _site_gross_holds(self, trailer_lb: Floats, state: State) -> Bools:
        ok = np.ones(len(trailer_lb), dtype=bool)
        gross = trailer_lb + self.rig.truck.empty_front_lb + self.rig.truck.empty_rear_lb
        for name in (state.origin, state.destination):
            limit = self.problem.sites[name].heaviest_gross_lb
            if limit is not None:
                ok &= gross <= limit + NOISE_LB
        return ok

    def _heights(self, layout: tuple[tuple[int, Deck, Facing], ...], columns: Sequence[int]) -> float:
        trailer = self.rig.trailer
        tops = [trailer.deck_height_in, self.rig.truck.height_in or 0.0]
        for i in columns:
            haul, deck, _ = layout[i]
            neck = trailer.neck
            floor = neck.height_in if deck is Deck.NECK and neck is not None else trailer.deck_height_in
            tops.append(floor + self.problem.hauls[haul].item.height_in)
        return max(tops)

    def _lengths(self, items: Sequence[Item], fronts: Floats) -> Floats:
        truck, trailer = self.rig.truck, self.rig.trailer
        tail = trailer.deck_from_coupler_in + trailer.deck_length_in + trailer.deck_to_rear_in
        ends = fronts + np.array([item.length_in for item in items])
        longest: Floats = np.maximum(ends.max(axis=1), tail) + truck.front_overhang_in + self.coupler_in
        return longest

    def _sizes(
        self,
        layout: tuple[tuple[int, Deck, Facing], ...],
        columns: Sequence[int],
        items: Sequence[Item],
        fronts: Floats,
        state: State,
    ) -> Bools:
        """Limits of the sites, which no permit lifts."""
        ok = np.ones(len(fronts), dtype=bool)
        for name in (state.origin, state.destination):
            site = self.problem.sites[name]
            if site.longest_rig_in is not None:
                ok &= self._lengths(items, fronts) <= site.longest_rig_in + NOISE_IN
            if site.highest_load_in is not None:
                ok &= self._heights(layout, columns) <= site.highest_load_in + NOISE_IN
        return ok

    def _oversize(
        self,
        layout: tuple[tuple[int, Deck, Facing], ...],
        columns: Sequence[int],
        items: Sequence[Item],
        fronts: Floats,
    ) -> Bools:
        """Over a width, height or length of law."""
        width = max([self.rig.trailer.deck_width_in, *(item.width_in for item in items)])
        limits = self.problem.rules
        over = np.zeros(len(fronts), dtype=bool)
        for value, key in (
            (width, "width_in"),
            (self._heights(layout, columns), "height_in"),
            (self._lengths(items, fronts), "length_in"),
        ):
            limit = limits.value(key)
            if limit is not None:
                over |= value > limit + NOISE_IN
        return over

    def _deck_ratings(
        self,
        layout: tuple[tuple[int, Deck, Facing], ...],
        grid: NDArray[np.int64],
        columns: Sequence[int],
        items: Sequence[Item],
    ) -> Bools:
        """Dovetail and neck deck with every item at its heaviest."""
        trailer = self.rig.trailer
        tail_lb, neck_lb = np.zeros(len(grid)), 0.0
        hinge = trailer.deck_length_in - trailer.dovetail_length_in
        for i, item in zip(columns, items, strict=True):
            _, deck, facing = layout[i]
            if deck is Deck.NECK:
                neck_lb += item.weight.high_lb
            elif trailer.dovetail_length_in > 0:
                share = {
                    x: contact_load_beyond(item, facing, float(x), item.weight.high_lb, hinge)
                    for x in np.unique(grid[:, i])
                }
                tail_lb += np.array([share[x] for x in grid[:, i]])
        ok = np.ones(len(grid), dtype=bool)
        if trailer.dovetail_length_in > 0 and trailer.dovetail_rating_lb is not None:
            ok &= tail_lb <= trailer.dovetail_rating_lb + NOISE_LB
        if trailer.neck is not None and trailer.neck.rating_lb is not None:
            ok &= neck_lb <= trailer.neck.rating_lb + NOISE_LB
        return ok


# Trips


@dataclass(frozen=True)
class Route:
    """A legal trip without times: its stops and tasks, where it stands on deck, and which legs need the permit."""

    rig: int
    units: int
    stops: tuple[tuple[str, tuple[Task, ...]], ...]
    placements: tuple[Placed, ...]
    permit_legs: tuple[bool, ...]
    loaded_min: int

    @property
    def first(self) -> str:
        return self.stops[0][0]

    @property
    def last(self) -> str:
        return self.stops[-1][0]


@dataclass(frozen=True)
class Times:
    """Arrival and departure at every stop, and when each haul is off."""

    stops: tuple[tuple[int, int], ...]
    off: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Done:
    """A trip of a plan in the making; ``leave``: when the outing that it begins leaves the yard."""

    route: Route
    leave: int | None
    stops: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Progress:
    """How far a team has come: per rig where it is, since when, whether out; per driver the minutes driven.

    ``dropped``: when a machine that has a further move was last brought, by haul. ``log``: what was done.
    """

    place: tuple[str, ...]
    time: tuple[int, ...]
    out: tuple[bool, ...]
    driven: tuple[int, ...]
    dropped: tuple[tuple[int, int], ...]
    trips: int
    log: tuple[Done, ...] = field(compare=False, default=())

    def beats(self, other: Progress) -> bool:
        """Whether nothing about it is worse; both have hauled the same and stand at the same places."""
        return (
            self.trips <= other.trips
            and all(a <= b for a, b in zip(self.time, other.time, strict=True))
            and all(a <= b for a, b in zip(self.driven, other.driven, strict=True))
            and all(a[1] <= b[1] for a, b in zip(self.dropped, other.dropped, strict=True))
        )


@dataclass(frozen=True)
class Answer:
    """Least sum of priorities left out, fewest trips for it, and a plan that does it (its cost is not least)."""

    left_out: float
    trips: int
    plan: Plan


class Oracle:
    """Solves one tiny day by trying everything."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.travel = Travel(problem.sites, problem.roads, problem.settings)
        self.units = [group for group in problem.together if any(h < len(problem.moves) for h in group)]
        self.routes = [route for rig in range(len(problem.rigs)) for route in self._routes(rig)]

    # which trips there are

    def _routes(self, rig: int) -> Iterator[Route]:
        deckhand = Deckhand(self.problem, self.problem.rigs[rig])
        memo: dict[object, dict[tuple[bool, ...], tuple[Placed, ...]]] = {}
        for mask in range(1, 1 << len(self.units)):
            hauls = [haul for i, unit in enumerate(self.units) if mask >> i & 1 for haul in unit]
            several = mask.bit_count() > 1
            if several and len(hauls) > self.problem.settings.most_items_per_trip:
                continue
            if self._may_ride(rig, hauls) and not self._too_long(rig, hauls):
                yield from self._routes_with(rig, mask, hauls, deckhand, memo)

    def _may_ride(self, rig: int, hauls: Sequence[int]) -> bool:
        problem, own = self.problem, self.problem.rigs[rig]
        moves = {move.name: move for move in problem.moves}
        for number in hauls:
            haul = problem.hauls[number]
            move = moves[haul.move]
            if (move.only_rigs and own.name not in move.only_rigs) or own.name in move.not_rigs:
                return False
            sites = (problem.sites[haul.origin], problem.sites[haul.destination])
            if haul.how is LoadsBy.LIFTED and not all(site.lift_on_site for site in sites):
                return False
        return not any(a in hauls and b in hauls for a, b in problem.successors)

    def _too_long(self, rig: int, hauls: Sequence[int]) -> bool:
        """Whether the items, all on deck at one moment, are too long wherever they stand."""
        settings, trailer = self.problem.settings, self.problem.rigs[rig].trailer
        items = [self.problem.hauls[haul].item for haul in hauls]
        front = trailer.deck_from_coupler_in
        if trailer.neck is not None:
            front = min(front, trailer.neck.from_coupler_in)
        room = trailer.deck_from_coupler_in + trailer.deck_length_in + settings.rear_overhang_in - front
        room -= settings.front_clearance_in + settings.gap_in * (len(items) - 1)
        return sum(item.length_in for item in items) > room + NOISE_IN

    def _too_heavy(self, rig: int, state: State) -> bool:
        """Whether what is aboard on a leg is over the trailer's rating at its lightest, wherever it stands."""
        trailer = self.problem.rigs[rig].trailer
        lightest = sum(self.problem.hauls[haul].item.weight.low_lb for haul in state.aboard)
        return lightest + trailer.empty_coupler.low_lb + trailer.empty_axles.low_lb > trailer.gvwr_lb + NOISE_LB

    def _routes_with(
        self,
        rig: int,
        mask: int,
        hauls: Sequence[int],
        deckhand: Deckhand,
        memo: dict[object, dict[tuple[bool, ...], tuple[Placed, ...]]],
    ) -> Iterator[Route]:
        for on in permutations(hauls):
            for off in permutations(hauls):
                order = (*(Task(Action.LOAD, h) for h in on), *(Task(Action.UNLOAD, h) for h in off))
                if not self._last_on_first_off(on, off):
                    continue
                stops = self._stops(order)
                states = self._states(stops)
                if any(self._too_heavy(rig, state) for state in states):
                    continue
                if not self._could_be_timely(rig, stops) or not self._gear_holds(rig, on, stops):
                    continue
                key = (self._deck_key(order), tuple(states))
                if key not in memo:
                    memo[key] = deckhand.patterns(order, states)
                for permit_legs, placed in memo[key].items():
                    by_haul = {one.haul: one for one in placed}
                    yield self._route(rig, mask, stops, tuple(by_haul[h] for h in on), permit_legs)

    def _last_on_first_off(self, on: Sequence[int], off: Sequence[int]) -> bool:
        """A quick necessary test; the places on deck decide."""
        rolling = [h for h in on if self.problem.hauls[h].how is not LoadsBy.LIFTED]
        return [h for h in off if h in rolling] == rolling[::-1]

    def _deck_key(self, order: tuple[Task, ...]) -> object:
        """Orders with the same rule for the deck: who is aboard whenever something rolls on or off."""
        aboard: set[int] = set()
        moments = []
        for task in order:
            if self.problem.hauls[task.haul].how is not LoadsBy.LIFTED:
                moments.append((task, frozenset(aboard)))
            (aboard.add if task.action is Action.LOAD else aboard.discard)(task.haul)
        return tuple(moments)

    def _stops(self, order: Sequence[Task]) -> tuple[tuple[str, tuple[Task, ...]], ...]:
        stops: list[tuple[str, tuple[Task, ...]]] = []
        for task in order:
            haul = self.problem.hauls[task.haul]
            site = haul.origin if task.action is Action.LOAD else haul.destination
            if stops and stops[-1][0] == site:
                stops[-1] = (site, (*stops[-1][1], task))
            else:
                stops.append((site, (task,)))
        return tuple(stops)

    def _states(self, stops: tuple[tuple[str, tuple[Task, ...]], ...]) -> list[State]:
        aboard: set[int] = set()
        states = []
        for (site, tasks), (following, _) in pairwise(stops):
            for task in tasks:
                (aboard.add if task.action is Action.LOAD else aboard.discard)(task.haul)
            states.append(State(tuple(sorted(aboard)), site, following))
        return states

    def _could_be_timely(self, rig: int, stops: tuple[tuple[str, tuple[Task, ...]], ...]) -> bool:
        """Whether the trip could be done if it were the first of the day, whatever the permit's hours."""
        own = self.problem.rigs[rig]
        route = self._route(rig, 0, stops, (), (False,) * (len(stops) - 1))
        fastest = min(self._minutes(place, route.first, False) for place in self.problem.sites)
        times = self.times(route, own.shift_start_min + fastest, {})
        return times is not None and times.stops[-1][1] <= own.shift_end_min

    def _route(
        self,
        rig: int,
        mask: int,
        stops: tuple[tuple[str, tuple[Task, ...]], ...],
        placed: tuple[Placed, ...],
        permit_legs: tuple[bool, ...],
    ) -> Route:
        sites = [site for site, _ in stops]
        loaded = sum(self._minutes(a, b, True) for a, b in pairwise(sites))
        return Route(rig, mask, stops, placed, permit_legs, loaded)

    def _gear_holds(self, rig: int, on: Sequence[int], stops: tuple[tuple[str, tuple[Task, ...]], ...]) -> bool:
        name = self.problem.rigs[rig].name
        trip = Trip(
            name,
            tuple(Stop(site, 0, 0, tasks) for site, tasks in stops),
            tuple(Placed(h, Deck.MAIN, 0, Facing.FORWARD) for h in on),
        )
        return not gear_violations(self.problem, self.problem.rigs[rig], NumberedTrip(1, name, 0, trip))

    # how long they take

    def _minutes(self, origin: str, destination: str, loaded: bool) -> int:
        return self.travel.minutes(origin, destination, loaded=loaded)

    def times(self, route: Route, arrive: int, there: Mapping[int, int]) -> Times | None:
        """The trip when its first stop is reached at ``arrive``; ``None``: too late.

        ``there``: when a machine that is brought by another move of the day is there, by haul.
        """
        stops: list[tuple[int, int]] = []
        off: list[tuple[int, int]] = []
        clock = arrive
        for number, (name, tasks) in enumerate(route.stops):
            site, begun = self.problem.sites[name], clock
            extra = site.extra_load_min
            for task in tasks:
                haul = self.problem.hauls[task.haul]
                clock = max(clock, site.opens_min or 0)
                if task.action is Action.LOAD:
                    clock = max(clock, haul.ready_min or 0, there.get(task.haul, 0))
                    clock += extra + haul.load_min
                else:
                    clock += extra + haul.unload_min
                    off.append((task.haul, clock))
                    if haul.due_min is not None and clock > haul.due_min:
                        return None
                extra = 0
                if site.closes_min is not None and clock > site.closes_min:
                    return None
            bound = number < len(route.permit_legs) and route.permit_legs[number]
            permit = self._permit(route, number) if bound else None
            if permit is not None and permit.from_min is not None and clock < permit.from_min:
                clock = permit.from_min
                late = site.closes_min is not None and clock > site.closes_min
                if late and name != self.problem.rigs[route.rig].yard:
                    return None
            stops.append((begun, clock))
            if number + 1 < len(route.stops):
                clock += self._minutes(name, route.stops[number + 1][0], True)
            if permit is not None and permit.to_min is not None and clock > permit.to_min:
                return None
        return Times(tuple(stops), tuple(off))

    def _permit(self, route: Route, leg: int) -> Permit | None:
        (haul,) = self._states(route.stops)[leg].aboard
        return self.problem.hauls[haul].permit

    # which trips, by whom, in which order

    def solve(self) -> Answer:
        """The best that any plan can do."""
        best: dict[int, tuple[int, tuple[Done, ...]]] = {0: (0, ())}
        for team in self._teams():
            reached = self._team_days(team)
            joined: dict[int, tuple[int, tuple[Done, ...]]] = {}
            for mask, (trips, done) in best.items():
                for more, (other_trips, other_done) in reached.items():
                    if not mask & more:
                        both = (trips + other_trips, done + other_done)
                        old = joined.get(mask | more)
                        if old is None or both[0] < old[0]:
                            joined[mask | more] = both
            best = joined
        left, trips, mask = min((self._left_out(mask), trips, mask) for mask, (trips, _) in best.items())
        return Answer(float(left), trips, self._plan(mask, best[mask][1]))

    def _left_out(self, mask: int) -> Fraction:
        moves = self.problem.moves
        missing = [h for i, unit in enumerate(self.units) if not mask >> i & 1 for h in unit if h < len(moves)]
        return sum((Fraction(str(moves[h].priority)) for h in missing), Fraction(0))

    def _teams(self) -> list[tuple[int, ...]]:
        """Rigs that have to be looked at together: all of them when a machine may change rigs."""
        rigs = self.problem.rigs
        if self.problem.successors:
            return [tuple(range(len(rigs)))]
        teams: list[list[int]] = []
        for rig in range(len(rigs)):
            linked = [team for team in teams if any(self._share(rig, other) for other in team)]
            teams = [team for team in teams if team not in linked] + [[rig, *(r for t in linked for r in t)]]
        return [tuple(sorted(team)) for team in teams]

    def _share(self, first: int, second: int) -> bool:
        a, b = self.problem.rigs[first], self.problem.rigs[second]
        same_driver = bool(a.driver) and a.driver == b.driver
        return a.truck.name == b.truck.name or a.trailer.name == b.trailer.name or same_driver

    def _team_days(self, team: tuple[int, ...]) -> dict[int, tuple[int, tuple[Done, ...]]]:
        """For every set of units that the team can haul and be home: fewest trips, and how."""
        routes = [route for route in self.routes if route.rig in team]
        start = Progress(
            tuple(self.problem.rigs[rig].yard for rig in team),
            (NOT_YET,) * len(team),
            (False,) * len(team),
            (0,) * len(team),
            (),
            0,
        )
        layers: dict[int, list[Progress]] = {0: [start]}
        reached: dict[int, tuple[int, tuple[Done, ...]]] = {}
        for mask in range(1 << len(self.units)):
            for state in layers.pop(mask, []):
                fewest = reached[mask][0] if mask in reached else NEVER
                if state.trips < fewest and self._all_home(team, state):
                    reached[mask] = (state.trips, state.log)
                for route in routes:
                    if not route.units & mask and self._brought(route, state):
                        for longer in self._with(team, state, route):
                            _keep(layers.setdefault(mask | route.units, []), longer)
        return reached

    def _brought(self, route: Route, state: Progress) -> bool:
        """Whether every machine that another move brings has been brought."""
        on = {placed.haul for placed in route.placements}
        brought = {haul for haul, _ in state.dropped}
        return all(first in brought for first, second in self.problem.successors if second in on)

    def _with(self, team: tuple[int, ...], state: Progress, route: Route) -> Iterator[Progress]:
        """The route appended: straight on from where the rig is, or in a new outing from the yard."""
        own = team.index(route.rig)
        if state.out[own]:
            arrive_from = state.place[own], state.time[own]
            longer = self._append(team, state, own, route, arrive_from, False)
            if longer is not None:
                yield longer
        fresh = self._from_yard(team, state, own)
        if fresh is not None:
            state, leave = fresh
            longer = self._append(team, state, own, route, (self.problem.rigs[route.rig].yard, leave), True)
            if longer is not None:
                yield longer

    def _from_yard(self, team: tuple[int, ...], state: Progress, own: int) -> tuple[Progress, int] | None:
        """Everyone who shares with the rig, and the rig itself, back at the yard; and when it may leave."""
        rig = self.problem.rigs[team[own]]
        leave = rig.shift_start_min
        for number, other in enumerate(team):
            if number != own and not self._share(team[own], other):
                continue
            if state.out[number]:
                yard = self.problem.rigs[other].yard
                home = self._homeward(team, state, number, yard)
                if home is None:
                    return None
                state = home
            hook = 0 if number == own else self.problem.settings.hook_min
            leave = max(leave, state.time[number] + hook)
        return state, leave

    def _homeward(self, team: tuple[int, ...], state: Progress, number: int, end: str) -> Progress | None:
        """The rig back at ``end``; ``None``: not within shift and driving limit."""
        rig = self.problem.rigs[team[number]]
        minutes = self._minutes(state.place[number], end, False)
        time = state.time[number] + minutes
        driven = self._driving(team, state, number, minutes)
        if time > rig.shift_end_min or driven is None or not self._has_room(rig, end):
            return None
        return replace(
            state,
            place=_put(state.place, number, end),
            time=_put(state.time, number, time),
            out=_put(state.out, number, False),
            driven=driven,
        )

    def _has_room(self, rig: Rig, place: str) -> bool:
        """Whether the empty rig may come to a place; where it loads or unloads, the longer loaded rig decides."""
        truck, trailer, longest = rig.truck, rig.trailer, self.problem.sites[place].longest_rig_in
        tail = trailer.deck_from_coupler_in + trailer.deck_length_in + trailer.deck_to_rear_in
        length = truck.front_overhang_in + truck.wheelbase_in - truck.coupler_ahead_in + tail
        return longest is None or length <= longest + NOISE_IN

    def _driving(
        self, team: tuple[int, ...], state: Progress, number: int, minutes: int
    ) -> tuple[int, ...] | None:
        """Minutes at the wheel with some more; ``None``: over the limit of the driver or of his rig."""
        rigs = self.problem.rigs
        name = rigs[team[number]].driver
        wheel = next(i for i, r in enumerate(team) if i == number or (name and rigs[r].driver == name))
        driven = _put(state.driven, wheel, state.driven[wheel] + minutes)
        own = rigs[team[number]].driving_limit_min
        law = self.problem.rules.value("driving_h")
        limit = own if own is not None else None if law is None else law * 60
        return None if limit is not None and driven[wheel] > limit else driven

    def _append(
        self,
        team: tuple[int, ...],
        state: Progress,
        own: int,
        route: Route,
        ready: tuple[str, int],
        fresh: bool,
    ) -> Progress | None:
        origin, depart = ready
        minutes = self._minutes(origin, route.first, False)
        dropped = dict(state.dropped)
        there = {second: dropped[first] for first, second in self.problem.successors if first in dropped}
        times = self.times(route, depart + minutes, there)
        if times is None or times.stops[-1][1] > self.problem.rigs[route.rig].shift_end_min:
            return None
        driven = self._driving(team, state, own, minutes + route.loaded_min)
        if driven is None:
            return None
        firsts = {first for first, _ in self.problem.successors}
        brought = tuple(sorted((*state.dropped, *((h, t) for h, t in times.off if h in firsts))))
        return Progress(
            _put(state.place, own, route.last),
            _put(state.time, own, times.stops[-1][1]),
            _put(state.out, own, True),
            driven,
            brought,
            state.trips + 1,
            (*state.log, Done(route, depart if fresh else None, times.stops)),
        )

    def _all_home(self, team: tuple[int, ...], state: Progress) -> bool:
        current: Progress | None = state
        for number, rig in enumerate(team):
            if current is not None and current.out[number]:
                current = self._homeward(team, current, number, self.problem.rigs[rig].end)
        return current is not None

    # the plan

    def _plan(self, mask: int, log: Sequence[Done]) -> Plan:
        days = []
        for number, rig in enumerate(self.problem.rigs):
            own = [done for done in log if done.route.rig == number]
            pieces: list[list[Done]] = []
            for done in own:
                if done.leave is not None:
                    pieces.append([])
                pieces[-1].append(done)
            outings = tuple(
                self._outing(rig, piece, rig.end if i + 1 == len(pieces) else rig.yard)
                for i, piece in enumerate(pieces)
            )
            days.append(RigDay(rig.name, outings))
        hauled = {haul for i, unit in enumerate(self.units) if mask >> i & 1 for haul in unit}
        left = tuple(move.name for i, move in enumerate(self.problem.moves) if i not in hauled)
        return Plan(tuple(days), left, (), Outcome.STOPPED_WITH_PLAN)

    def _outing(self, rig: Rig, piece: Sequence[Done], end: str) -> Outing:
        trips = []
        for done in piece:
            pairs = zip(done.route.stops, done.stops, strict=True)
            stops = tuple(Stop(site, arrive, leave, tasks) for (site, tasks), (arrive, leave) in pairs)
            trips.append(Trip(rig.name, stops, done.route.placements))
        last = trips[-1].stops[-1]
        leave = piece[0].leave
        assert leave is not None
        return Outing(leave, tuple(trips), last.leave_min + self._minutes(last.site, end, False))


def _put(values: tuple[T, ...], number: int, value: T) -> tuple[T, ...]:
    return (*values[:number], value, *values[number + 1 :])


def _keep(states: list[Progress], new: Progress) -> None:
    """Adds a state unless another of the same set, at the same places, beats it."""
    for old in states:
        if old.place == new.place and old.out == new.out and old.beats(new):
            return
    states[:] = [s for s in states if not (s.place == new.place and s.out == new.out and new.beats(s))]
    states.append(new)
