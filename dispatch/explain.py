"""Why a move was left out or an item fits no rig, in numbers, and what would change it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations

from dispatch.checks import Check, tightest
from dispatch.driver_hours import hours_rule
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item, LoadsBy, WeightBasis
from dispatch.legality import rig_length_in
from dispatch.misfit import misfit
from dispatch.moves import Haul, Move, Permit
from dispatch.placement import DeckState, Load, LoadRequest, Placer
from dispatch.plan import Placed, Plan
from dispatch.problem import Problem
from dispatch.sites import Site
from dispatch.travel import Travel
from dispatch.units import MIN_PER_H, SLACK_IN, clock, feet_inches

NEUTRAL = "(any site)"
"""A site without limits of its own, for judging an item and a rig by themselves."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why one rig cannot (or did not) carry a move: text with numbers for people."""

    rig: str
    text: str


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A move left out: one reason a rig, and what would change it (may be empty)."""

    move: str
    item: str
    reasons: tuple[Reason, ...]
    change: str


@dataclass(frozen=True, slots=True)
class Ride:
    """Whether an item rides alone on a rig. ``tightest`` is its tightest check at the best place, if it rides."""

    item: str
    rig: str
    ok: bool
    tightest: Check | None
    place: str
    why_not: str


# -- items by rigs -------------------------------------------------------------------------------------------


def item_by_rig(problem: Problem) -> tuple[Ride, ...]:
    """Every item against every rig, alone and away from any site's own limits; items in input order.

    An item with a move is judged with that move's permit and as dead or running as the move says.
    """
    alone = _alone(problem)
    placer = Placer(alone)
    return tuple(_ride(alone, placer, rig, haul) for haul in alone.hauls for rig in alone.rigs)


def _alone(problem: Problem) -> Problem:
    """The problem with one haul an item, between neutral sites."""
    by_item: dict[str, Haul] = {}
    for haul in problem.hauls:
        by_item.setdefault(haul.item.name, haul)
    hauls = []
    for number, item in enumerate(problem.items):
        known = by_item.get(item.name)
        how, permit = (item.loads_by, None) if known is None else (known.how, known.permit)
        hauls.append(Haul(number, "", item, NEUTRAL, NEUTRAL, 0, 0, None, None, how, permit=permit))
    return replace(
        problem, sites={NEUTRAL: Site(NEUTRAL)}, moves=(), hauls=tuple(hauls), together=(), successors=()
    )


def _ride(problem: Problem, placer: Placer, rig: Rig, haul: Haul) -> Ride:
    request = _one_leg((haul.index,), NEUTRAL, NEUTRAL)
    load = placer.best(rig, request)
    if load is None:
        words = misfit(problem, rig, haul.index, NEUTRAL, NEUTRAL).words
        return Ride(haul.item.name, rig.name, False, None, "", words)
    checks = placer.checks(rig, request, load.placements)[0]
    return Ride(haul.item.name, rig.name, True, tightest(checks), _place_text(load.placements[0]), "")


def _place_text(placed: Placed) -> str:
    deck = "" if placed.deck is Deck.MAIN else " on the neck deck"
    facing = "" if placed.facing is Facing.FORWARD else ", facing rearward"
    return f"{feet_inches(placed.front_edge_in)} behind deck front{deck}{facing}"


def _one_leg(order: tuple[int, ...], origin: str, destination: str) -> LoadRequest:
    return LoadRequest(order, order[::-1], (DeckState(order, origin, destination),))


# -- moves left out ------------------------------------------------------------------------------------------


def left_out(problem: Problem, plan: Plan) -> tuple[LeftOut, ...]:
    """Every move the plan leaves out, with a reason for each rig and the nearest change that would help."""
    if not plan.left_out:
        return ()
    placer = Placer(problem)
    travel = Travel(problem.sites, problem.roads, problem.settings)
    names = set(plan.left_out)
    return tuple(
        _left_out(problem, placer, travel, n, names) for n, move in enumerate(problem.moves) if move.name in names
    )


def _left_out(problem: Problem, placer: Placer, travel: Travel, number: int, left_out: Collection[str]) -> LeftOut:
    move = problem.moves[number]
    reasons = tuple(
        Reason(rig.name, _reason(problem, placer, travel, rig, number, left_out)) for rig in problem.rigs
    )
    change = _change(problem, placer, travel, number)
    return LeftOut(move.name, move.item.name, reasons, change)


def _reason(
    problem: Problem, placer: Placer, travel: Travel, rig: Rig, number: int, left_out: Collection[str]
) -> str:
    move = problem.moves[number]
    if not problem.may_carry(rig, move):
        return _not_allowed(problem, move)
    blocked = _no_lift(problem, problem.hauls[number])
    if blocked:
        return blocked
    load = placer.find(rig, _one_leg((number,), move.origin, move.destination))
    group = _group(problem, number)
    if load is None and len(group) == 1:
        return misfit(problem, rig, number, move.origin, move.destination).words
    if len(group) > 1 and not _rides_together(problem, placer, rig, group):
        others = ", ".join(problem.hauls[h].item.name for h in group if h != number)
        alone = "rides alone" if load else misfit(problem, rig, number, move.origin, move.destination).words
        return f"{alone}; no legal load together with {others}"
    return (
        _too_late(problem, travel, rig, move, load)
        or _beyond_the_rig(problem, travel, rig, move)
        or _machine_not_there(problem, number, left_out)
        or _worth_nothing(move)
        or "rides legally and in time by itself; every plan found that hauls it leaves out moves of the same or "
        "higher priority"
    )


def _not_allowed(problem: Problem, move: Move) -> str:
    absent = [name for name in move.only_rigs if name not in {rig.name for rig in problem.rigs}]
    if absent and len(absent) == len(move.only_rigs):
        return f"Only rigs names {', '.join(absent)}, not available today"
    return "not allowed by Only rigs / Not rigs"


def _no_lift(problem: Problem, haul: Haul) -> str:
    missing = _missing_lifts(problem, haul)
    return f"is lifted, and there is no lift at {missing}" if missing else ""


def _missing_lifts(problem: Problem, haul: Haul) -> str:
    """The ends of a lifted item's way that have no lift; empty text when both have or it needs none."""
    if haul.how is not LoadsBy.LIFTED:
        return ""
    ends = (haul.origin, haul.destination)
    return " and ".join(name for name in ends if not problem.sites[name].lift_on_site)


def _group(problem: Problem, number: int) -> tuple[int, ...]:
    return next(group for group in problem.together if number in group)


def _rides_together(problem: Problem, placer: Placer, rig: Rig, group: Sequence[int]) -> bool:
    """Whether the group rides on one full leg; exact when all go from and to the same sites."""
    first = problem.hauls[group[0]]
    return any(
        placer.find(rig, _one_leg(order, first.origin, first.destination)) is not None
        for order in permutations(group)
    )


def _too_late(problem: Problem, travel: Travel, rig: Rig, move: Move, load: Load | None) -> str:
    """Why the move does not fit the rig's empty day, in times; empty text when it does."""
    origin, destination = problem.sites[move.origin], problem.sites[move.destination]
    start = rig.shift_start_min + travel.minutes(rig.yard, move.origin, loaded=False)
    start = max(start, move.ready_min or 0, origin.opens_min or 0)
    loaded = start + origin.extra_load_min + move.load_min
    if origin.closes_min is not None and loaded > origin.closes_min:
        return f"cannot be loaded before {clock(loaded)}, {origin.name} closes at {clock(origin.closes_min)}"
    permit = move.permit if load is not None and any(load.permit_legs) else None
    if permit is not None:
        loaded = max(loaded, permit.from_min or 0)
    arrive = loaded + travel.minutes(move.origin, move.destination, loaded=True)
    if permit is not None and permit.to_min is not None and arrive > permit.to_min:
        return f"arrives at {clock(arrive)} at the earliest, permit hours end at {clock(permit.to_min)}"
    off = max(arrive, destination.opens_min or 0) + destination.extra_load_min + move.unload_min
    for limit, what in ((move.due_min, "Deliver by"), (destination.closes_min, f"{destination.name} closes")):
        if limit is not None and off > limit:
            return f"unloaded at {clock(off)} at the earliest, {what} {clock(limit)}"
    home = off + travel.minutes(move.destination, rig.end, loaded=False)
    if home > rig.shift_end_min:
        return f"back at {clock(home)} at the earliest, the shift ends at {clock(rig.shift_end_min)}"
    return ""


def _beyond_the_rig(problem: Problem, travel: Travel, rig: Rig, move: Move) -> str:
    """Why the rig cannot make the move on any empty day: its own length in its yard, the driver's hours."""
    own_in = rig_length_in(rig)
    for name in dict.fromkeys((rig.yard, rig.end)):
        longest_in = problem.sites[name].longest_rig_in
        if longest_in is not None and own_in > longest_in + SLACK_IN:
            return f"the rig is {feet_inches(own_in)} long, {name} takes {feet_inches(longest_in)}"
    drive = (
        travel.minutes(rig.yard, move.origin, loaded=False)
        + travel.minutes(move.origin, move.destination, loaded=True)
        + travel.minutes(move.destination, rig.end, loaded=False)
    )
    extra = sum(problem.sites[name].extra_load_min for name in (move.origin, move.destination))
    out = drive + move.load_min + move.unload_min + extra
    hours = hours_rule(problem.rules, rig.driving_limit_min)
    for need, limit, what, basis in (
        (drive, hours.driving_min, "driving", hours.driving_basis),
        (out, hours.window_min, "away from the yard", hours.window_basis),
    ):
        if limit is not None and need > limit:
            return f"{_hours(need)} {what}, limit {_hours(limit)} ({basis})"
    return ""


def _hours(minutes: int) -> str:
    return f"{minutes // MIN_PER_H} h {minutes % MIN_PER_H:02d} min"


def _machine_not_there(problem: Problem, number: int, left_out: Collection[str]) -> str:
    """The move that should have brought the item and is left out as well; empty text when there is none."""
    for first, second in problem.successors:
        if second == number and problem.hauls[first].move in left_out:
            return f"is not at {problem.hauls[number].origin}: move {problem.hauls[first].move} is left out"
    return ""


def _worth_nothing(move: Move) -> str:
    """Why a move that could ride need not; empty text for one with a Priority."""
    return (
        "" if move.priority else "rides legally and in time by itself; with Priority 0 leaving it out is no loss"
    )


# -- what would change it --------------------------------------------------------------------------------------


def _change(problem: Problem, placer: Placer, travel: Travel, number: int) -> str:
    """The changes that would let some rig carry the move, nearest first; may be empty."""
    move = problem.moves[number]
    rigs = [rig for rig in problem.rigs if problem.may_carry(rig, move)]
    if not rigs:
        return "another rig in Only rigs / Not rigs"
    request = _one_leg((number,), move.origin, move.destination)
    if any(placer.find(rig, request) is not None for rig in rigs):
        return "; ".join(_time_changes(problem, placer, travel, rigs, number))
    return "; ".join(_load_changes(problem, rigs, number))


def _time_changes(
    problem: Problem, placer: Placer, travel: Travel, rigs: Sequence[Rig], number: int
) -> Iterator[str]:
    move, group = problem.moves[number], _group(problem, number)
    missing = _missing_lifts(problem, problem.hauls[number])
    if missing:
        yield f"a lift at {missing}"
        return
    if len(group) > 1:
        yield f"without riding along: {', '.join(problem.hauls[h].item.name for h in group if h != number)}"
    request = _one_leg((number,), move.origin, move.destination)
    able = [(rig, load) for rig in rigs if (load := placer.find(rig, request)) is not None]
    beyond = [rig for rig, _ in able if _beyond_the_rig(problem, travel, rig, move)]
    late = [(rig.name, reason) for rig, load in able if (reason := _too_late(problem, travel, rig, move, load))]
    for name, reason in late[:1]:
        yield f"a later window on {name} ({reason})"
    if len(beyond) == len(able):
        yield "a rig that starts nearer or is shorter"
    elif len(late) < len(rigs) and len(group) == 1:
        yield "another rig or driver, a longer shift, wider windows, or a higher Priority"


def _load_changes(problem: Problem, rigs: Sequence[Rig], number: int) -> Iterator[str]:
    haul = problem.hauls[number]
    item = haul.item
    weighed = _reweighed(problem, item, item.weight.nominal_lb)
    turned = replace(item, facings=tuple(Facing))
    trials = (
        ("weighed on a scale", _with_item(problem, number, weighed)),
        ("with an oversize or overweight permit, alone on the deck", _with_permit(problem, number)),
        ("if it may face either way", _with_item(problem, number, turned)),
    )
    for words, trial in trials:
        able = [rig.name for rig in rigs if _rides(trial, rig, number)]
        if able:
            yield f"legal {words} on {', '.join(able)}"
    best = max(((_heaviest(problem, rig, number), rig.name) for rig in rigs), default=(0.0, ""))
    if best[0] > 0:
        yield f"legal on {best[1]} at {best[0]:,.0f} lb or less ({item.weight.nominal_lb - best[0]:,.0f} lb off)"


def _rides(problem: Problem, rig: Rig, number: int) -> bool:
    haul = problem.hauls[number]
    return Placer(problem).find(rig, _one_leg((number,), haul.origin, haul.destination)) is not None


def _with_item(problem: Problem, number: int, item: Item) -> Problem:
    hauls = list(problem.hauls)
    hauls[number] = replace(hauls[number], item=item)
    return replace(problem, hauls=tuple(hauls))


def _with_permit(problem: Problem, number: int) -> Problem:
    hauls = list(problem.hauls)
    hauls[number] = replace(hauls[number], permit=Permit("to be applied for"))
    return replace(problem, hauls=tuple(hauls))


def _reweighed(problem: Problem, item: Item, nominal_lb: float) -> Item:
    return replace(item, weight=problem.settings.weight(nominal_lb, WeightBasis.SCALE_TICKET))


def _heaviest(problem: Problem, rig: Rig, number: int) -> float:
    """Greatest weight (whole tens of pounds, same basis) found legal below the stated one; 0 when none is.

    Halving finds it where legality has one edge below the stated weight; balance limits can have others, so it
    is an answer that is legal, not always the greatest one.
    """
    item = problem.hauls[number].item

    def legal(tens: int) -> bool:
        weight = problem.settings.weight(tens * 10.0, item.weight.basis)
        return _rides(_with_item(problem, number, replace(item, weight=weight)), rig, number)

    high = int(item.weight.nominal_lb // 10)
    low = high // 2
    if not legal(low):
        return 0.0
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if legal(middle) else (low, middle)
    return low * 10.0
