"""Pricing in several processes: the same prices, and small work stays in this process."""

from __future__ import annotations

import pytest
from dispatch.io import price_pool
from dispatch.io.price_pool import PricePool

from dispatch.mobilisation.alternatives import alternatives
from dispatch.mobilisation.bid_price import PricedBid, price_whole_bid
from dispatch.mobilisation.job_price import TaskRunner, run_tasks_here
from dispatch.mobilisation.phase_plan import Effort
from tests.dispatch.mobilisation import small_bids as small

EFFORT = Effort(most_days=3)


def priced(runner: TaskRunner) -> PricedBid:
    bid = small.bid(small.line(1, quantity=2), small.line(2, phase="2"))
    return price_whole_bid(small.fleet(), bid, small.terms(), EFFORT, runner)


def test_small_work_begins_no_process(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_, **__) -> None:
        raise AssertionError("a process was begun")

    monkeypatch.setattr(price_pool, "ProcessPoolExecutor", never)
    with PricePool(2) as pool:
        assert len(pool([])) == 0
        assert priced(pool).price.whole


@pytest.mark.slow
def test_two_processes_give_the_prices_of_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(price_pool, "SMALL_WORK", 0)
    here = priced(run_tasks_here)
    with PricePool(2) as pool:
        there = priced(pool)
        others = alternatives(there, EFFORT, pool)
    assert there.price == here.price
    assert [trip.machines for trip in there.trips] == [trip.machines for trip in here.trips]
    assert others == alternatives(here, EFFORT)
