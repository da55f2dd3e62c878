"""Placement against brute force over the whole one-inch grid: thousands of random ordered sets of 1 to 4 items.

The brute force knows nothing of windows, pruning or merged rows: it takes every combination of whole-inch places
and facings, evaluates every weight rule at every corner of the weight tolerances, and every deck rule, as arrays.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
import numpy.typing as npt
import pytest

from dispatch.axle_loads import cg_in, contact_in, contact_load_beyond
from dispatch.checks import Sense
from dispatch.fleet import Rig
from dispatch.items import Facing, Item, Weight
from dispatch.load_rules import LoadRule, load_rules
from dispatch.placement import DeckState, LoadRequest, Placer
from dispatch.problem import Problem
from dispatch.settings import Settings
from dispatch.units import SLACK_LB
from tests import factories as make

Floats = npt.NDArray[np.float64]
GAP_IN, CLEARANCE_IN = 6.0, 4.0


@dataclass(frozen=True)
class Case:
    problem: Problem
    rig: Rig
    request: LoadRequest


def draw(seed: int) -> Case:
    """A random rig and 1 to 4 rear-loaded items, with little spare deck so that every place can be tried."""
    rng = random.Random(seed)
    count = rng.choice([1, 2, 2, 2, 3, 3, 4])
    items = [draw_item(rng, f"m{i}", {1: 14_000, 2: 12_000, 3: 8_000, 4: 6_000}[count]) for i in range(count)]
    spare = {1: 70, 2: 30, 3: 10, 4: 5}[count]
    deck = float(
        round(sum(x.length_in for x in items) + GAP_IN * (count - 1) + CLEARANCE_IN + rng.randint(0, spare))
    )
    trailer = make.trailer(
        axles=rng.choice([2, 3]),
        deck_length_in=deck,
        coupler_to_first_axle_in=84 + deck * rng.uniform(0.3, 0.75),
        gvwr_lb=rng.choice([34_000.0, 50_000.0]),
        axle_rating_lb=rng.choice([8_000.0, 12_000.0, 16_000.0]),
        coupler_rating_lb=rng.choice([None, 6_000.0]),
        dovetail_length_in=rng.choice([0.0, round(deck * 0.3)]),
        dovetail_rating_lb=rng.choice([3_000.0, 8_000.0]),
        anchor_points=None,
    )
    truck = make.truck(
        gcwr_lb=80_000.0, gvwr_lb=30_000.0, rear_rating_lb=rng.choice([14_500.0, 20_000.0, 25_000.0])
    )
    rig = make.rig(truck=truck, trailer=trailer, chains=40, chain_rating_lb=11_300.0)
    moves = [make.move(f"M{i}", item=thing) for i, thing in enumerate(items)]
    settings = Settings(gap_in=GAP_IN, front_clearance_in=CLEARANCE_IN)
    problem = make.problem(moves, [rig], settings=settings)
    order = tuple(range(count))
    prefixes = [order[:k] for k in range(1, count + 1) if k == count or rng.random() < 0.3]
    states = tuple(DeckState(prefix, "a", "b") for prefix in prefixes)
    return Case(problem, rig, LoadRequest(order, order[::-1], states))


def draw_item(rng: random.Random, name: str, heaviest_lb: int) -> Item:
    length = rng.randint(40, 120)
    contact = length - rng.randint(8, 20)
    start = rng.randint(0, length - contact)
    return make.item(
        name,
        weight_lb=rng.randint(1_500, heaviest_lb),
        length_in=float(length),
        contact_from_in=float(start),
        contact_length_in=float(contact),
        cg_in=start + contact * rng.uniform(0.15, 0.85),
        two_axles=rng.random() < 0.3,
    )


def least_use(case: Case) -> float | None:
    """The smallest greatest use over every legal place, by trying them all; None: no place is legal."""
    hauls = [case.problem.hauls[h] for h in case.request.load_order]
    best: float | None = None
    for facings in product(*(haul.item.facings for haul in hauls)):
        edges = all_edges(case, facings)
        if edges.size:
            use = uses(case, facings, edges)
            if use.size and np.isfinite(use).any():
                least = float(use.min())
                best = least if best is None else min(best, least)
    return best


def all_edges(case: Case, facings: tuple[Facing, ...]) -> Floats:
    """Every combination of front edges that stands on the deck with its gaps: shape (combinations, items)."""
    items = [case.problem.hauls[h].item for h in case.request.load_order]
    deck = case.rig.trailer.deck_length_in
    rows: list[list[int]] = [[]]
    for number, (item, facing) in enumerate(zip(items, facings, strict=True)):
        behind = sum(other.length_in + GAP_IN for other in items[number + 1 :])
        places = [
            x
            for x in range(int(deck) + 1)
            if x >= CLEARANCE_IN
            and contact_in(item, facing, x)[0] >= 0
            and contact_in(item, facing, x)[1] <= deck
            and x + item.length_in + behind <= deck
        ]
        rows = [[*row, x] for row in rows for x in places if apart(row, x, items)]
    return np.array(rows, dtype=float).reshape(len(rows), len(items))


def apart(row: list[int], x: int, items: list[Item]) -> bool:
    return not row or x >= row[-1] + items[len(row) - 1].length_in + GAP_IN


def uses(case: Case, facings: tuple[Facing, ...], edges: Floats) -> Floats:
    """Greatest use of every combination over all legs; infinite where a leg is illegal."""
    greatest = np.zeros(len(edges))
    rules = load_rules(case.rig, case.problem.settings, case.problem.rules)
    for state in case.request.states:
        items = [case.problem.hauls[h].item for h in state.aboard]
        cgs = np.stack(
            [
                case.rig.trailer.deck_from_coupler_in + cg_in(item, facing, 0.0) + edges[:, i]
                for i, (item, facing) in enumerate(zip(items, facings, strict=False))
            ]
        )
        corner = corners(case.rig, [item.weight for item in items])
        for rule in rules:
            greatest = np.maximum(greatest, rule_use(rule, corner, cgs))
        greatest = np.maximum(greatest, dovetail_use(case, facings, items, edges))
    return greatest


def corners(rig: Rig, weights: list[Weight]) -> Floats:
    """Every corner of the tolerances: shape (corners, 2 + items), empty coupler and axles first."""
    every = [rig.trailer.empty_coupler, rig.trailer.empty_axles, *weights]
    return np.array(list(product(*((w.low_lb, w.high_lb) for w in every))))


def rule_use(rule: LoadRule, corner: Floats, cgs: Floats) -> Floats:
    """Use of a rule in its worst corner; infinite where it is broken, 0 where place does not matter."""
    form = rule.form
    empty = form.const + form.k_coupler * corner[:, 0] + form.k_axles * corner[:, 1]
    values = empty[:, None] + corner[:, 2:] @ (form.at_coupler + form.per_inch * cgs)
    shares = values
    if rule.share is not None:
        shares = rule.share + values / corner.sum(axis=1)[:, None]
    most = rule.sense is Sense.MOST
    worst = np.max(values, axis=0) if most else np.min(values, axis=0)
    over = worst - rule.limit_lb if most else rule.limit_lb - worst
    extreme, limit = worst, rule.limit_lb
    if rule.share is not None:
        extreme, limit = (np.max(shares, axis=0) if most else np.min(shares, axis=0)), rule.share
    with np.errstate(divide="ignore"):
        use = extreme / limit if most else limit / extreme
    use = np.where(use < 0, 0.0, use) if rule.form.per_inch else np.zeros(cgs.shape[1])
    return np.where(over > SLACK_LB, np.inf, use)


def dovetail_use(case: Case, facings: tuple[Facing, ...], items: list[Item], edges: Floats) -> Floats:
    trailer = case.rig.trailer
    if trailer.dovetail_length_in == 0 or trailer.dovetail_rating_lb is None:
        return np.zeros(len(edges))
    hinge = trailer.deck_length_in - trailer.dovetail_length_in
    total = np.zeros(len(edges))
    for i, (item, facing) in enumerate(zip(items, facings, strict=False)):
        shares = {x: contact_load_beyond(item, facing, x, item.weight.high_lb, hinge) for x in set(edges[:, i])}
        total += np.array([shares[x] for x in edges[:, i]])
    use = total / trailer.dovetail_rating_lb
    return np.where(total > trailer.dovetail_rating_lb + SLACK_LB, np.inf, use)


def agree(seed: int) -> bool:
    """Checks one draw; gives whether a legal place exists."""
    case = draw(seed)
    placer = Placer(case.problem)
    least = least_use(case)
    found = placer.find(case.rig, case.request)
    assert (found is not None) == (least is not None), f"seed {seed}: brute force {least}, search {found}"
    if found is None or least is None:
        return False
    best = placer.best(case.rig, case.request)
    assert best is not None
    assert placer._greatest_use(case.rig, case.request, best.placements) == pytest.approx(least, abs=2e-6), (
        f"seed {seed}"
    )
    gaps = [
        b.front_edge_in - a.front_edge_in - case.problem.hauls[a.haul].item.length_in
        for a, b in pairwise(best.placements)
    ]
    assert all(gap >= GAP_IN for gap in gaps)
    return True


def test_a_sample_agrees_every_day() -> None:
    answers = [agree(seed) for seed in range(40)]
    assert 5 < sum(answers) < 35


@pytest.mark.slow
@pytest.mark.parametrize("block", range(8))
def test_thousands_agree(block: int) -> None:
    answers = [agree(seed) for seed in range(1_000 + 125 * block, 1_000 + 125 * (block + 1))]
    assert 12 < sum(answers) < 113
