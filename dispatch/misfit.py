"""The least illegal place of one item alone on a rig, and how far over each limit it is there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from dispatch.checks import Check, Sense
from dispatch.fleet import Deck, Rig
from dispatch.items import Item, LoadsBy
from dispatch.legality import gear_checks, leg_checks
from dispatch.load_rules import load_rules
from dispatch.load_tables import Rows, Spot, contributions, excess, rows_of, spot
from dispatch.plan import Leg, Placed
from dispatch.problem import Problem
from dispatch.units import SLACK_IN, feet_inches


@dataclass(frozen=True, slots=True)
class Misfit:
    """What stands against an item riding alone: broken checks at its least illegal place, or no place at all.

    ``place`` is ``None`` when it cannot stand on the deck at all; then ``words`` says why.
    """

    place: Placed | None
    broken: tuple[Check, ...]
    words: str


def misfit(problem: Problem, rig: Rig, haul: int, origin: str, destination: str) -> Misfit:
    """The item's least illegal place on the rig between two sites, with every check broken there."""
    item = problem.hauls[haul].item
    rows = rows_of(rig, problem.settings, load_rules(rig, problem.settings, problem.rules))
    candidates = [(_least_excess(rig, rows, item, place), place) for place in _spots(problem, rig, haul)]
    gear = gear_checks(problem, rig, [problem.hauls[haul]], [(item,)])
    broken_gear = tuple(check for check in gear if not check.ok)
    if not candidates:
        words = "; ".join([_no_place(problem, rig, item), *(shortfall(check) for check in broken_gear)])
        return Misfit(None, broken_gear, words)
    (_, front), place = min(candidates, key=lambda c: c[0])
    placed = Placed(haul, place.deck, front, place.facing)
    checks = leg_checks(problem, rig, Leg(origin, destination, 0, 0, (placed,)))
    broken = (*(check for check in checks if not check.ok), *broken_gear)
    words = "; ".join(shortfall(check) for check in telling(broken))
    depends = any(check.unit in ("lb", "%") for check in broken if check not in broken_gear)
    where = (
        f" at the best position ({feet_inches(front)} behind the {place.deck.value} deck's front)"
        if depends
        else ""
    )
    return Misfit(placed, broken, words + where)


def _spots(problem: Problem, rig: Rig, haul: int) -> Iterator[Spot]:
    item = problem.hauls[haul].item
    decks = (Deck.MAIN, Deck.NECK) if problem.hauls[haul].how is LoadsBy.LIFTED else (Deck.MAIN,)
    for deck in decks:
        for facing in item.facings:
            place = spot(rig, problem.settings, item, deck, facing)
            if place is not None:
                yield place


def _least_excess(rig: Rig, rows: Rows, item: Item, place: Spot) -> tuple[float, int]:
    """Smallest greatest excess over the places (relative to each row's bound), and the place."""
    over = excess(rows, contributions(rig, rows, item, place))
    best = int(np.argmin(over))
    return float(over[best]), place.first + best


def _no_place(problem: Problem, rig: Rig, item: Item) -> str:
    trailer, settings = rig.trailer, problem.settings
    if item.contact_width_in > trailer.deck_width_in + SLACK_IN:
        need, have = feet_inches(item.contact_width_in), feet_inches(trailer.deck_width_in)
        return f"needs a deck {need} wide, {trailer.name} has {have}"
    need_in = settings.front_clearance_in + item.length_in - settings.rear_overhang_in
    need, have = feet_inches(need_in), feet_inches(trailer.deck_length_in)
    return f"needs {need} of deck with the front clearance, {trailer.name} has {have}"


def telling(broken: tuple[Check, ...]) -> tuple[Check, ...]:
    """The broken checks worth telling: of axle rows that say the same, the one that is furthest over."""
    kept: dict[str, Check] = {}
    for check in broken:
        kind = _kind(check.name)
        if kind not in kept or check.use > kept[kind].use:
            kept[kind] = check
    return tuple(sorted(kept.values(), key=lambda check: -check.use))[:4]


def _kind(name: str) -> str:
    if name.startswith("Legal axle"):
        return "Legal axles"
    return "Trailer axles" if name.startswith("Trailer axle") or name == "Trailer tyres" else name


def shortfall(check: Check) -> str:
    """A broken check in words: ``Trailer axle group 1,420 lb over``."""
    if check.name == "Licence":
        return f"Licence short ({check.basis})"
    if check.unit == "count":
        return f"{check.name} short: needs {check.worst:,.0f}, has {check.limit:,.0f} ({check.basis})"
    if check.unit == "%":
        word = "at most" if check.sense is Sense.MOST else "at least"
        return f"Coupler share {check.worst:.1f} %, {word} {check.limit:.1f} %"
    if check.name == "Winch" and check.limit == 0:
        return f"no winch, needs {check.worst:,.0f} lb of line pull"
    word = "over" if check.sense is Sense.MOST else "under"
    return f"{check.name} {_amount(-check.margin, check.unit)} {word}"


def _amount(over: float, unit: str) -> str:
    """How far, for people; what would round to nothing keeps its decimals."""
    if over < 0.5:
        return f"{over:.2f} {unit}"
    return feet_inches(over) if unit == "in" else f"{over:,.0f} lb"
