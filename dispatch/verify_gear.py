"""The verifier's checks once a trip: ramp, winch, and tie-downs shared out by a search of its own."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from dispatch.fleet import Rig
from dispatch.items import Contact, Item, Kind, LoadsBy
from dispatch.problem import Problem
from dispatch.securement import least_tie_downs
from dispatch.units import SLACK_LB
from dispatch.verify_findings import NumberedTrip, Violation, aboard_when_leaving, known
from dispatch.working_loads import securement_rule


def gear_violations(problem: Problem, rig: Rig, one: NumberedTrip) -> list[Violation]:
    """Ramp, Winch, Tie-downs and Tie-down WLL of a trip."""
    found: list[Violation] = []
    for placed in one.trip.placements:
        if known(problem, placed.haul):
            found += _over_the_tail(problem, rig, placed.haul, one.where)
    decks = {
        tuple(sorted(haul for haul in state if known(problem, haul))) for state in aboard_when_leaving(one.trip)
    }
    for deck in sorted(decks):
        found += _tie_downs(rig, [problem.hauls[haul].item for haul in deck], one.where)
    return found


def _over_the_tail(problem: Problem, rig: Rig, index: int, where: str) -> Iterator[Violation]:
    haul, trailer = problem.hauls[index], rig.trailer
    if haul.how is LoadsBy.LIFTED:
        return
    weight_lb = haul.item.weight.high_lb
    if trailer.ramp_rating_lb is not None and weight_lb > trailer.ramp_rating_lb + SLACK_LB:
        yield Violation("Ramp", where, weight_lb, trailer.ramp_rating_lb, f"{haul.item.name}: lb over the ramp")
    if haul.how is LoadsBy.WINCHED:
        pull_lb = _line_pull_lb(problem, rig, haul.item)
        if pull_lb > trailer.winch_pull_lb + SLACK_LB:
            yield Violation("Winch", where, pull_lb, trailer.winch_pull_lb, f"{haul.item.name}: lb of line pull")


def _line_pull_lb(problem: Problem, rig: Rig, item: Item) -> float:
    """W (sin a + r cos a) for the greatest true weight, halved by a snatch block, pounds."""
    angle = math.radians(rig.trailer.loading_angle_deg)
    wheels = item.contact is Contact.WHEELS
    resistance = problem.settings.rolling_wheels if wheels else problem.settings.rolling_tracks
    pull_lb = item.weight.high_lb * (math.sin(angle) + resistance * math.cos(angle))
    return pull_lb / 2 if rig.trailer.snatch_block else pull_lb


def _tie_downs(rig: Rig, items: Sequence[Item], where: str) -> Iterator[Violation]:
    names = ", ".join(item.name for item in items)
    if not can_hold(rig, items, rated=False):
        carried = f"{rig.chains} chains, {rig.straps} straps, {rig.trailer.anchor_points} anchor points"
        yield Violation("Tie-downs", where, names, carried, "too few to hold everything on deck")
    elif not can_hold(rig, items, rated=True):
        text = "lb of least aggregate; the gear carried does not reach it on every item"
        needed_lb = sum(item.weight.high_lb for item in items) * securement_rule().weight_share
        yield Violation("Tie-down WLL", where, needed_lb, names, text)


def can_hold(rig: Rig, items: Sequence[Item], *, rated: bool) -> bool:
    """Whether some sharing of chains, straps and anchor points holds every item.

    Walks through the items and keeps every undominated rest of gear (chains, straps, anchor points left).
    ``rated``: also by working load limit. Ratings that are not known, and anchor points that are not given, do
    not bind. Rules: 49 CFR 393.106, 393.108, 393.110, 393.130.
    """
    anchors = rig.trailer.anchor_points
    rests = {(rig.chains, rig.straps, math.inf if anchors is None else anchors)}
    for item in items:
        uses = _uses(rig, item, rated=rated)
        rests = {
            (chains - c, straps - s, left - a)
            for chains, straps, left in rests
            for c, s, a in uses
            if c <= chains and s <= straps and a <= left
        }
    return bool(rests)


def _uses(rig: Rig, item: Item, *, rated: bool) -> list[tuple[int, int, int]]:
    """Chains, straps and anchor points that hold one item: every number of chains with the fewest straps."""
    machine = item.kind is Kind.MACHINE
    rule = securement_rule()
    heavy = (
        machine and item.contact is not Contact.SKIDS and item.weight.high_lb >= rule.machine_from_lb - SLACK_LB
    )
    least = max(least_tie_downs(item.length_in, item.weight.high_lb), rule.machine_least if heavy else 0)
    straps_at_most = 0 if heavy else rig.straps
    chain_lb, strap_lb = (_counted_lb(rig, own, machine) for own in (rig.chain_rating_lb, rig.strap_rating_lb))
    needed_lb = item.weight.high_lb * rule.weight_share - SLACK_LB
    found = []
    for chains in range(rig.chains + 1):
        for straps in range(straps_at_most + 1):
            held_lb = (chains * chain_lb if chains else 0.0) + (straps * strap_lb if straps else 0.0)
            if chains + straps >= least and (not rated or held_lb >= needed_lb):
                found.append((chains, straps, (chains + straps) * (1 if machine else 2)))
                break
    return found


def _counted_lb(rig: Rig, own_lb: float | None, direct: bool) -> float:
    """What one tie-down adds to the aggregate, pounds: half when direct; infinite when its rating is not known."""
    if own_lb is None:
        return math.inf
    anchor_lb = rig.trailer.anchor_rating_lb
    rating_lb = own_lb if anchor_lb is None else min(own_lb, anchor_lb)
    return rating_lb / 2 if direct else rating_lb
