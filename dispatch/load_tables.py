"""What an item adds to each weight rule at every whole inch of a deck: the arrays that placement searches.

Every rule is written as "sum of contributions <= bound": a lower limit is negated. Contributions are worst
cases, exact because each rule is linear in the item weights.

As an item moves rearward each contribution only grows or only falls: a rule's worst case is the larger of two
multiples of a coefficient that is linear in place, and what stands behind a hinge never gets less. The search for
places relies on it, and on the former being convex in place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from dispatch.axle_loads import cg_in, contact_in, contact_load_beyond, to_coupler
from dispatch.checks import Sense
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item
from dispatch.load_rules import LoadRule, share_rules
from dispatch.settings import Settings
from dispatch.units import SLACK_IN, SLACK_LB

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Marks = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Rows:
    """The rules of a rig in "<= bound" form: slopes, bounds and which are law (liftable by a permit).

    ``at_coupler`` and ``per_inch`` are +1 or -1 times the rule's own for an upper or a lower limit.
    ``lifted``: the bounds of a leg under a permit. The last two rows are the dovetail's and the neck deck's
    ratings (bound infinite where not rated).
    """

    at_coupler: Floats
    per_inch: Floats
    bounds: Floats
    lifted: Floats
    law: Marks

    @property
    def slopes(self) -> Floats:
        """Pounds a pound and inch of every row; 0 for those that are not linear in place."""
        return np.concatenate([self.per_inch, [0.0, 0.0]])


def rows_of(rig: Rig, settings: Settings, rules: Sequence[LoadRule], target: float | None = None) -> Rows:
    """The rules as rows. With a ``target``, the limits that depend on place ask for no more use than that.

    A target above 1 asks only limits of law under a permit, which then still count: over the limit, but as
    little as may be.
    """
    share_target = 1.0 if target is None else min(target, 1.0)
    shares = {rule.name: rule for rule in share_rules(rig, settings, share_target)}
    rules = [shares.get(rule.name, rule) for rule in rules]
    signs = [1.0 if rule.sense is Sense.MOST else -1.0 for rule in rules]
    bounds = [_bound(rig, rule, share_target) for rule in rules]
    lifted = [
        bound
        if not rule.law
        else math.inf
        if target is None or not rule.depends_on_place
        else _bound(rig, rule, target)
        for rule, bound in zip(rules, bounds, strict=True)
    ]
    trailer = rig.trailer
    dovetail = trailer.dovetail_rating_lb if trailer.dovetail_length_in > 0 else None
    neck = trailer.neck.rating_lb if trailer.neck is not None else None
    ends = [
        math.inf if dovetail is None else dovetail * share_target + _slack_lb(share_target),
        math.inf if neck is None else neck + SLACK_LB,
    ]
    return Rows(
        at_coupler=np.array([s * r.form.at_coupler for s, r in zip(signs, rules, strict=True)]),
        per_inch=np.array([s * r.form.per_inch for s, r in zip(signs, rules, strict=True)]),
        bounds=np.array(bounds + ends),
        lifted=np.array(lifted + ends),
        law=np.array([rule.law for rule in rules] + [False, False]),
    )


def _slack_lb(target: float) -> float:
    """No slack where a target is asked for: a search for less use must not find the same load again."""
    return SLACK_LB if target == 1.0 else 0.0


def _bound(rig: Rig, rule: LoadRule, target: float) -> float:
    """What the items may add, in "<= bound" form, at ``target`` times the limit."""
    limit, slack = rule.limit_lb, SLACK_LB
    if rule.depends_on_place:
        slack = _slack_lb(target)
        if rule.share is None:
            limit = limit * target if rule.sense is Sense.MOST else limit / target
    sign = 1.0 if rule.sense is Sense.MOST else -1.0
    return sign * (limit - rule.form.empty_worst(rig.trailer, rule.sense)) + slack


@dataclass(frozen=True, slots=True)
class Compact:
    """Rows without those that another row implies, and the heaviest load that rows without a place allow.

    ``heaviest_lb`` (``heaviest_lifted_lb`` on a leg under a permit): greatest sum of high item weights.
    """

    rows: Rows
    heaviest_lb: float
    heaviest_lifted_lb: float


def compact(rows: Rows) -> Compact:
    """The same limits with fewer rows: of rows with parallel coefficients only the tightest stays.

    Many ratings bind one and the same load (an axle's, its tyres', its group's): they differ by a factor only.
    """
    count = rows.at_coupler.size
    placed = np.flatnonzero(rows.per_inch)
    flat = np.flatnonzero((rows.per_inch == 0) & (rows.at_coupler > 0))
    steepness = np.abs(rows.per_inch[placed])
    alike: dict[tuple[bool, float], list[int]] = {}
    for row, scale in zip(placed, steepness, strict=True):
        key = (bool(rows.per_inch[row] > 0), round(float(rows.at_coupler[row] / scale), 6))
        alike.setdefault(key, []).append(int(row))
    kept: set[int] = set()
    for group in alike.values():
        for bounds in (rows.bounds, rows.lifted):
            kept.add(min(group, key=lambda row: float(bounds[row] / abs(rows.per_inch[row]))))
    keep = np.array(sorted(kept), dtype=np.intp)
    ends = np.array([*keep, count, count + 1], dtype=np.intp)
    return Compact(
        Rows(rows.at_coupler[keep], rows.per_inch[keep], rows.bounds[ends], rows.lifted[ends], rows.law[ends]),
        min((float(rows.bounds[i] / rows.at_coupler[i]) for i in flat), default=math.inf),
        min((float(rows.lifted[i] / rows.at_coupler[i]) for i in flat), default=math.inf),
    )


@dataclass(frozen=True, slots=True)
class Spot:
    """Whole-inch places of one item, facing one way on one deck: ``first`` to ``last`` inclusive (own deck)."""

    deck: Deck
    facing: Facing
    first: int
    last: int
    origin_in: float
    length_in: float


def spot(rig: Rig, settings: Settings, item: Item, deck: Deck, facing: Facing) -> Spot | None:
    """Where the item may stand on a deck, by clearance, contact patch, overhang and width; None: nowhere."""
    trailer = rig.trailer
    length, width = trailer.deck_length_in, trailer.deck_width_in
    if deck is Deck.NECK:
        if trailer.neck is None:
            return None
        length, width = trailer.neck.length_in, trailer.neck.width_in
    if item.contact_width_in > width + SLACK_IN:
        return None
    start, end = contact_in(item, facing, 0.0)
    first = max(settings.front_clearance_in, -start)
    last = length - end
    if deck is Deck.MAIN:
        last = min(last, length + settings.rear_overhang_in - item.length_in)
    low, high = math.ceil(first - SLACK_IN), math.floor(last + SLACK_IN)
    if low > high:
        return None
    return Spot(deck, facing, low, high, to_coupler(trailer, deck, 0.0), item.length_in)


def stretch(rig: Rig, item: Item, deck: Deck, facing: Facing, first: int, last: int) -> Spot:
    """Places from ``first`` to ``last`` as they are asked for, whether or not the item may stand there."""
    return Spot(deck, facing, first, last, to_coupler(rig.trailer, deck, 0.0), item.length_in)


@lru_cache(maxsize=4096)
def _beyond(item: Item, facing: Facing, first: int, last: int, hinge_in: float) -> tuple[float, ...]:
    """Greatest true load behind the hinge at each place, pounds; the same however limits are tightened."""
    high_lb = item.weight.high_lb
    return tuple(contact_load_beyond(item, facing, x, high_lb, hinge_in) for x in range(first, last + 1))


def contributions(rig: Rig, rows: Rows, item: Item, place: Spot) -> Floats:
    """Worst-case contribution of the item to every row at each of its places: shape (rows, places), pounds."""
    inches = np.arange(place.first, place.last + 1, dtype=np.float64)
    cgs = cg_in(item, place.facing, place.origin_in) + inches
    factors = rows.at_coupler[:, None] + rows.per_inch[:, None] * cgs[None, :]
    weight = item.weight
    worst = np.where(factors > 0, factors * weight.high_lb, factors * weight.low_lb)
    dovetail = np.zeros((1, inches.size))
    if place.deck is Deck.MAIN and math.isfinite(rows.bounds[-2]):
        hinge = rig.trailer.deck_length_in - rig.trailer.dovetail_length_in
        dovetail[0] = _beyond(item, place.facing, place.first, place.last, hinge)
    neck = np.full((1, inches.size), weight.high_lb if place.deck is Deck.NECK else 0.0)
    return np.concatenate([worst, dovetail, neck])


def excess(rows: Rows, table: Floats) -> Floats:
    """Greatest excess over the rows' bounds at every place, as a share of each bound; negative: all hold."""
    finite = np.isfinite(rows.bounds)
    scale = np.maximum(np.abs(rows.bounds[finite]), 1_000.0)
    greatest: Floats = ((table[finite] - rows.bounds[finite, None]) / scale[:, None]).max(axis=0)
    return greatest
