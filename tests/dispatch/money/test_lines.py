"""The lines of a bid: worked by hand, and to the cent for thousands of random bids."""

from __future__ import annotations

from collections import Counter
from dataclasses import fields, replace
from decimal import Decimal
from random import Random

import pytest

from dispatch.money.allocation import Rider, ShareRule
from dispatch.money.lines import (
    Amounts,
    BidItem,
    BidPrice,
    ItemLine,
    NotPriced,
    PricedTrip,
    UnitPrice,
    Way,
    price_bid,
    unit_prices,
)
from dispatch.money.mark_ups import Addition, MarkUp, PriceRules, price_cents
from tests.dispatch.money.random_bids import random_bid

DOZER = Rider("dozer", 30_000, 400, 180)
ROLLER = Rider("roller", 10_000, 400, 180)
ITEMS = (BidItem("dozer", "grading", 1), BidItem("roller", "paving", 2, standby_cents=41_250))
TRIPS = (
    PricedTrip("in 1", Way.IN, 40_000, 8_000, 0, 0, (DOZER, ROLLER)),
    PricedTrip("out 1", Way.OUT, 30_001, 4_000, 4_500, 25_000, (DOZER,)),
    PricedTrip("out 2", Way.OUT, 20_000, 4_000, 0, 0, (ROLLER,)),
)
RULES = PriceRules((MarkUp(Addition.OVERHEAD, Decimal(10)), MarkUp(Addition.PROFIT, Decimal(5))), 1, 0, 2_500)


def priced(*more: PricedTrip, rule: ShareRule = ShareRule.WEIGHT_MILES) -> BidPrice:
    return price_bid(ITEMS, [*TRIPS, *more], rule, RULES)


def test_lines_by_hand() -> None:
    """Weight-miles three to one: in 300 + 100, load 60 + 20 with the ways out's own; 1,767.51 direct."""
    dozer, roller = (line.amounts for line in priced().lines)
    assert dozer == replace(
        dozer, in_cents=30_000, out_cents=30_001, load_cents=10_000, permit_cents=4_500, escort_cents=25_000
    )
    assert roller == replace(roller, in_cents=10_000, out_cents=20_000, load_cents=6_000, standby_cents=41_250)
    assert (dozer.direct_cents, roller.direct_cents) == (99_501, 77_250)


def test_price_by_hand() -> None:
    """1,767.51 + 10 % = 1,944.26, + 5 % = 2,041.47, to the nearest 25: 2,050. Rounding is a column of its own."""
    price = priced()
    assert [step.sum_cents for step in price.steps] == [194_426, 204_147, 204_147, 205_000]
    assert price.price_cents == price.total.total_cents == 205_000
    assert price.total.rounding_cents == 853
    assert {phase: amounts.total_cents for phase, amounts in price.phases().items()} == {
        "grading": 115_403,
        "paving": 89_597,
    }


def test_what_has_no_price_is_told() -> None:
    gap = NotPriced("crane", Way.IN, "the load weighs 180,000 lb; the sheet Outside haul goes up to 90,000 lb")
    price = price_bid(ITEMS, TRIPS, ShareRule.DECK_LENGTH, RULES, [gap])
    assert price.not_priced == (gap,)
    assert not price.whole
    assert priced().whole


def test_an_items_share_falls_when_another_rides_along_and_the_price_does_not() -> None:
    """The one case in which a line gets cheaper as a machine is added: the same trip, shared by more. By hand."""
    plate = Rider("plate", 10_000, 400, 60)
    items = (*ITEMS, BidItem("plate", "paving", 3))
    shared = replace(TRIPS[0], load_cents=10_000, riders=(DOZER, ROLLER, plate))
    before, after = priced(), price_bid(items, [shared, *TRIPS[1:]], ShareRule.WEIGHT_MILES, RULES)
    assert after.lines[0].amounts.in_cents == 24_000 < before.lines[0].amounts.in_cents
    assert after.price_cents >= before.price_cents


def test_unit_prices_and_what_they_cannot_carry() -> None:
    """Three rollers for 100.00: 33.33 each, one cent over; to the dollar 33 each, a dollar over. By hand."""
    rollers = [
        ItemLine(BidItem(f"roller {n}", "paving", 7), Amounts(in_cents=cents))
        for n, cents in enumerate((3_000, 3_000, 4_000))
    ]
    assert unit_prices(rollers) == (UnitPrice(7, 3, 3_333, 9_999, 1),)
    assert unit_prices(rollers, 100) == (UnitPrice(7, 3, 3_300, 9_900, 100),)


def test_what_cannot_be() -> None:
    with pytest.raises(KeyError):
        priced(replace(TRIPS[0], riders=(Rider("crane", 1, 1, 1),)))
    with pytest.raises(ValueError, match="at least one weight"):
        priced(replace(TRIPS[0], riders=()))
    with pytest.raises(ValueError, match="one name"):
        price_bid([ITEMS[0], ITEMS[0]], [], ShareRule.WEIGHT_MILES, RULES)


def test_an_empty_bid_costs_nothing() -> None:
    assert price_bid([], [], ShareRule.WEIGHT_MILES, replace(RULES, minimum_cents=5)).price_cents == 0


@pytest.mark.parametrize("share_rule", ShareRule)
def test_lines_items_phases_and_price_agree_to_the_cent(share_rule: ShareRule) -> None:
    for seed in range(200):
        check_sums(*random_bid(Random(seed)), share_rule)


@pytest.mark.slow
@pytest.mark.parametrize("share_rule", ShareRule)
def test_thousands_of_bids_agree_to_the_cent(share_rule: ShareRule) -> None:
    for seed in range(200, 2_200):
        check_sums(*random_bid(Random(seed)), share_rule)


@pytest.mark.parametrize("share_rule", ShareRule)
def test_a_dearer_trip_or_another_machine_never_lowers_the_price(share_rule: ShareRule) -> None:
    for seed in range(100):
        dice = Random(seed)
        items, trips, rules = random_bid(dice)
        which, more = dice.randrange(len(trips)), dice.randrange(100_000)
        dearer = [*trips]
        dearer[which] = replace(trips[which], haul_cents=trips[which].haul_cents + more)
        added = BidItem("another", "one", 99)
        own = PricedTrip("own", Way.IN, more, 0, 0, 0, (Rider("another", 1, 1, 1),))
        now = price_bid(items, trips, share_rule, rules).price_cents
        assert price_bid(items, dearer, share_rule, rules).price_cents >= now
        assert price_bid([*items, added], [*trips, own], share_rule, rules).price_cents >= now


def check_sums(items: list[BidItem], trips: list[PricedTrip], rules: PriceRules, share_rule: ShareRule) -> None:
    price = price_bid(items, trips, share_rule, rules)
    total = price.total
    direct = sum(trip.cents for trip in trips) + sum(item.standby_cents for item in items)
    assert total.direct_cents == direct
    assert total.total_cents == price.price_cents == price_cents(direct, rules)
    assert sum(phase.total_cents for phase in price.phases().values()) == price.price_cents
    ways: Counter[Way] = Counter()
    for trip in trips:
        ways[trip.way] += trip.haul_cents
    assert (total.in_cents, total.out_cents) == (ways[Way.IN], ways[Way.OUT])
    for part in ("load_cents", "permit_cents", "escort_cents"):
        assert getattr(total, part) == sum(getattr(trip, part) for trip in trips)
    for line in price.lines:
        assert all(type(getattr(line.amounts, field.name)) is int for field in fields(Amounts))
        assert line.amounts.direct_cents >= 0
    units = unit_prices(price.lines)
    assert sum(unit.extended_cents + unit.rest_cents for unit in units) == price.price_cents
