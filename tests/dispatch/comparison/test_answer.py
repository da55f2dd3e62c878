"""The answer in words, on comparisons put together from plain figures."""

from __future__ import annotations

from dataclasses import replace

import pytest
from dispatch.io.run_compare import told

from dispatch.comparison.answer import answer, work_saved
from tests.plain_comparisons import Figures, plain


@pytest.mark.parametrize(
    ("own_usd", "start", "end"),
    [
        (
            900,
            "No: more hauls no more and saves no trip on any of 2 days; owning it costs 14,500.00 USD",
            " a year.",
        ),
        (
            800,
            "Yes: more hauls no more",
            "its own trips cost 200.00 USD less: that is 20,000.00 USD a year, 5,500.00 USD more",
        ),
        (
            850,
            "No: more hauls no more",
            "its own trips cost 100.00 USD less: that is 10,000.00 USD a year, 4,500.00 USD less",
        ),
        (
            950,
            "No: more hauls no more",
            "its own trips cost 100.00 USD more: that is -10,000.00 USD a year, 24,500.00 USD less",
        ),
    ],
)
def test_a_fleet_that_does_the_same_work_may_pay_by_what_its_trips_cost(
    own_usd: int, start: str, end: str
) -> None:
    """200 days a year, 14,500 USD of ownership: yes and no as on the sheet Money, not by trips alone."""
    days = {"1": {"today": Figures(3), "more": Figures(3, own_usd=own_usd)}}
    words = answer(plain(days | {"2": days["1"]}))
    assert words.startswith(start)
    assert end in words


def test_what_other_moves_cost_outside_is_not_put_down_to_own_trips() -> None:
    """As much is left out, of equal priority, but something that the haulier takes for less."""
    days = {"1": {"today": Figures(2, left=1), "more": Figures(2, left=1, outside_usd=600)}}
    words = answer(plain(days))
    assert (
        "over these days the other moves that stay behind cost 50.00 USD less outside: that is 10,000.00" in words
    )
    assert "own trips" not in words


def test_a_history_of_one_day_is_told_so() -> None:
    assert "on the one day" in answer(plain({"1": {"today": Figures(3), "more": Figures(3)}}))


def test_what_is_not_proved_is_told_behind_the_trips() -> None:
    days = {"1": {"today": Figures(2, left=2, fewest=-1), "more": Figures(4)}}
    (whole,) = plain(days).totals
    assert work_saved(whole) == "saves 2 outside hauls (with 2 trips more of its own, as found, not proved)"


def test_searches_that_the_clock_cut_short_are_told_on_the_terminal() -> None:
    found = plain({"1": {"today": Figures(3), "more": Figures(3)}})
    assert not any("clock" in line for line in told(found))
    cut = replace(found, outcomes=tuple(replace(one, cut=True) for one in found.outcomes))
    assert [line for line in told(cut) if "The clock cut 2 of the searches short" in line]
