"""Sharing chains, straps and anchor points: against exhaustive search, and how it moves with the input."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from dispatch.allocation import Allocation, Demand, Gear, allocate, least_short

RATINGS = st.sampled_from([None, 0.0, 1_000.0, 2_500.0, 4_700.0])
GEAR = st.builds(
    Gear,
    chains=st.integers(0, 5),
    chain_lb=RATINGS,
    straps=st.integers(0, 4),
    strap_lb=RATINGS,
    anchors=st.one_of(st.none(), st.integers(0, 14)),
)


def demand(least: int, needed_lb: float, over: bool, chains_only: bool) -> Demand:
    return Demand(least, needed_lb, 1.0 if over else 0.5, 2 if over else 1, chains_only and not over)


DEMANDS = st.lists(
    st.builds(demand, st.integers(1, 4), st.integers(0, 6_000), st.booleans(), st.booleans()),
    min_size=1,
    max_size=3,
).map(tuple)


def holds(one: Demand, chains: int, straps: int, gear: Gear) -> bool:
    """The rule, written out again from its text."""
    if chains + straps < one.least or (one.chains_only and straps):
        return False
    if (chains and gear.chain_lb is None) or (straps and gear.strap_lb is None):
        return True
    given_lb = one.share * (chains * (gear.chain_lb or 0) + straps * (gear.strap_lb or 0))
    return given_lb >= one.needed_wll_lb - 0.01


def all_allocations(demands: tuple[Demand, ...], gear: Gear) -> list[Allocation]:
    """Every way to hold every item within the gear, by trying all of them."""
    pairs = list(product(range(gear.chains + 1), range(gear.straps + 1)))
    good = [[pair for pair in pairs if holds(one, *pair, gear)] for one in demands]
    found = []
    for choice in product(*good):
        anchors = sum(one.anchors_each * sum(pair) for one, pair in zip(demands, choice, strict=True))
        if (
            sum(chains for chains, _ in choice) <= gear.chains
            and sum(straps for _, straps in choice) <= gear.straps
            and (gear.anchors is None or anchors <= gear.anchors)
        ):
            found.append(choice)
    return found


def cost(allocation: Allocation) -> tuple[int, int]:
    return sum(c + s for c, s in allocation), sum(c for c, _ in allocation)


@given(DEMANDS, GEAR)
def test_exhaustive_search_agrees(demands: tuple[Demand, ...], gear: Gear) -> None:
    every = all_allocations(demands, gear)
    found = allocate(demands, gear)
    if found is None:
        assert every == []
    else:
        assert found in every
        assert cost(found) == min(map(cost, every))


@given(DEMANDS, GEAR)
def test_what_is_short_would_be_enough(demands: tuple[Demand, ...], gear: Gear) -> None:
    """With exactly the further gear that the shortage names, an allocation exists; with none short, one did."""
    asked = least_short(demands, gear)
    if asked is None:
        assert not all(one.holdable(gear) for one in demands)
        return
    chains, straps = sum(c for c, _ in asked), sum(s for _, s in asked)
    anchors = sum(one.anchors_each * (c + s) for one, (c, s) in zip(demands, asked, strict=True))
    most = None if gear.anchors is None else max(anchors, gear.anchors)
    mended = Gear(max(chains, gear.chains), gear.chain_lb, max(straps, gear.straps), gear.strap_lb, most)
    assert allocate(demands, mended) is not None
    assert (mended == gear) is (allocate(demands, gear) is not None)


@given(DEMANDS, GEAR, st.integers(1, 4), st.integers(0, 6_000))
def test_a_further_item_never_needs_fewer_tie_downs(
    demands: tuple[Demand, ...], gear: Gear, least: int, needed_lb: int
) -> None:
    before = allocate(demands, gear)
    after = allocate((*demands, demand(least, needed_lb, False, False)), gear)
    if after is not None:
        assert before is not None
        assert cost(after)[0] >= cost(before)[0] + least


def test_ties_are_settled_the_same_way() -> None:
    """Fewest tie-downs, then fewest chains, then the first in order."""
    two = (demand(2, 0, False, False), demand(2, 0, False, False))
    assert allocate(two, Gear(8, None, 3, None, None)) == ((0, 2), (1, 1))
    assert allocate(two, Gear(8, None, 4, None, None)) == ((0, 2), (0, 2))
    strong_chains = Gear(8, 4_700, 4, 1_000, None)
    assert allocate((demand(2, 4_700, False, False),), strong_chains) == ((2, 0),)
