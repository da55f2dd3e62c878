"""Own rig or outside haulier, trip by trip, and what has no price."""

from __future__ import annotations

from decimal import Decimal

import pytest

from dispatch.mobilisation.bid import Direction
from dispatch.mobilisation.bid_price import fleet_of, jobs_of, price_whole_bid
from dispatch.mobilisation.job_price import Haulier, PricedJob, price_job
from dispatch.mobilisation.phase_plan import Effort
from dispatch.money.escorts import EscortRow
from dispatch.money.outside_haul import OutsideRow
from dispatch.money.permits import FeeRow
from dispatch.money.rate_table import Rate
from tests import factories as make
from tests.dispatch.mobilisation import small_bids as small

EFFORT = Effort(most_days=4)
OWN_CENTS = 15_750
"""One trip by hand: 40 min on the road and 35 at the sites at 90 USD/h, 20 mi at 2.25: 112.50 + 45.00 USD."""
WIDE = make.item("wide dozer", 9_000, 150, width_in=110.0)
"""Over the legal width of 102 in: hauled under a permit only."""


def priced(*lines, outside=(), rates=(), rigs=None, **changes) -> PricedJob:
    terms = small.terms(*rates, outside=tuple(outside), **changes)
    fleet = fleet_of(small.fleet(rigs), terms)
    return price_job(fleet, jobs_of(small.bid(*lines))[0], terms, EFFORT)


def offer(usd: str, **changes) -> OutsideRow:
    return OutsideRow(2, per_trip_usd=Decimal(usd), **changes)


def test_a_trip_by_hand() -> None:
    (trip,) = priced().trips
    assert (trip.haulier, trip.cents) == (Haulier.OWN, OWN_CENTS)
    assert trip.own is not None
    assert (trip.own.cost.haul_cents, trip.own.cost.load_cents) == (10_500, 5_250)
    assert "no outside price" in trip.reason


@pytest.mark.parametrize(
    ("usd", "haulier", "cents"),
    [("157.49", Haulier.OUTSIDE, 15_749), ("157.50", Haulier.OWN, OWN_CENTS), ("157.51", Haulier.OWN, OWN_CENTS)],
)
def test_outside_only_where_it_is_cheaper(usd: str, haulier: Haulier, cents: int) -> None:
    (trip,) = priced(outside=[offer(usd)]).trips
    assert (trip.haulier, trip.cents) == (haulier, cents)


def test_a_trip_whose_absence_spares_overtime_goes_outside_though_it_asks_more() -> None:
    """Three trips of 75 min; overtime after 150 min, doubled: 75 min x 90 USD/h = 112.50 more, 37.50 a trip.

    Outside asks 250, more than 157.50 + 37.50, but without one trip the day costs 2 x 157.50: 270.00 less.
    """
    lines = [small.line(number, make.item(f"loader {number}", 14_000, 200)) for number in (1, 2, 3)]
    rigs = [make.rig(overtime_after_min=150, overtime_factor=2.0)]
    plain = priced(*lines, rigs=rigs)
    assert [trip.cents for trip in plain.trips] == [19_500] * 3
    found = priced(*lines, rigs=rigs, outside=[offer("250")])
    assert sorted((trip.haulier.value, trip.cents) for trip in found.trips) == [
        ("outside", 25_000),
        ("own", OWN_CENTS),
        ("own", OWN_CENTS),
    ]
    (outside,) = [trip for trip in found.trips if trip.haulier is Haulier.OUTSIDE]
    assert outside.reason == "55.00 USD dearer than the own rig, and spares its day more in overtime"
    assert priced(*lines, rigs=rigs, outside=[offer("270")]).cents == plain.cents  # the same: own


def test_a_trip_comes_back_from_outside_when_the_overtime_is_gone() -> None:
    """Outside asks 170 a trip: less than 195 with overtime, more than 157.50 without. So one trip, not three."""
    lines = [small.line(number, make.item(f"loader {number}", 14_000, 200)) for number in (1, 2, 3)]
    found = priced(*lines, rigs=[make.rig(overtime_after_min=150, overtime_factor=2.0)], outside=[offer("170")])
    assert sorted((trip.haulier.value, trip.cents) for trip in found.trips) == [
        ("outside", 17_000),
        ("own", OWN_CENTS),
        ("own", OWN_CENTS),
    ]


def test_what_no_own_rig_hauls_goes_outside_and_the_rest_does_not() -> None:
    giant = make.item("giant", 60_000, 180)
    job = priced(small.line(1), small.line(2, item=giant), outside=[offer("900")])
    assert [(trip.machines, trip.haulier) for trip in job.trips] == [
        (("loader",), Haulier.OWN),
        (("giant",), Haulier.OUTSIDE),
    ]
    assert job.trips[1].reason.startswith("no own rig hauls it: rig 1:")
    assert job.proved


def test_what_nobody_hauls_is_listed_and_not_nought() -> None:
    giant = make.item("giant", 60_000, 180)
    job = priced(small.line(1), small.line(2, item=giant), outside=[offer("900", up_to_weight_lb=20_000)])
    (gap,) = job.not_priced
    assert gap.item == "giant"
    assert "goes up to 20,000 lb" in gap.reason
    assert job.trips[1].cents == 0
    bid = price_whole_bid(small.fleet(), small.bid(small.line(1, item=giant)), small.terms(), EFFORT)
    assert not bid.price.whole
    assert {(gap.item, gap.way.value) for gap in bid.price.not_priced} == {("giant", "in"), ("giant", "out")}


def test_a_permit_without_a_fee_is_no_price() -> None:
    job = priced(small.line(item=WIDE, permit="state"))
    (gap,) = job.not_priced
    assert "no row of fees for the permit 'state'" in gap.reason
    assert job.trips[0].haulier is Haulier.NOBODY


def test_a_permit_and_an_escort_are_part_of_the_trip() -> None:
    guard = EscortRow("front car", over_width_in=108.0, minimum_usd=Decimal(200), row=2)
    (trip,) = priced(
        small.line(item=WIDE, permit="state"), fees=(FeeRow("state", Decimal(30)),), escorts=(guard,)
    ).trips
    assert trip.own is not None
    assert (trip.own.permit_cents, trip.own.escort_cents) == (3_000, 20_000)
    assert trip.cents == OWN_CENTS + 23_000
    assert any("110 in wide, over 108" in words for words in trip.own.workings)


def test_a_permit_that_is_not_needed_is_not_charged_and_says_so() -> None:
    (trip,) = priced(small.line(permit="state"), fees=(FeeRow("state", Decimal(30)),)).trips
    assert trip.cents == OWN_CENTS
    assert trip.own is not None
    assert trip.own.cautions == ("permit state is not charged: the load is within the law on rig 1",)


def test_without_a_permit_an_oversize_machine_is_not_hauled() -> None:
    job = priced(small.line(item=WIDE))
    (gap,) = job.not_priced
    assert "permit" in gap.reason


def test_rates_take_the_place_of_the_rigs_own() -> None:
    """30 USD/h and 1 USD/mi: 75 min are 37.50, 20 mi are 20.00."""
    (trip,) = priced(rates=((Rate.HOURLY, "30"), (Rate.MILEAGE, "1"))).trips
    assert trip.cents == 5_750


def test_the_minimum_per_trip_tops_up() -> None:
    (trip,) = priced(rates=((Rate.MINIMUM_PER_TRIP, "325"),)).trips
    assert trip.cents == 32_500
    assert trip.own is not None
    assert trip.own.cost.minimum_added_cents == 32_500 - OWN_CENTS


def test_both_ways_of_every_phase_that_goes_out() -> None:
    bid = small.bid(small.line(1), small.line(2, phase="2", out_to=None))
    assert [(job.phase, job.direction) for job in jobs_of(bid)] == [
        ("1", Direction.IN),
        ("1", Direction.OUT),
        ("2", Direction.IN),
    ]
