"""Tyre ratings and width rules beyond the published cases."""

from __future__ import annotations

import pytest

from dispatch.tyres import axle_capacity_lb, axle_limit_lb, load_index_lb, meets_axle_rating, width_limit_lb


def test_one_tyre_size_three_printed_ratings() -> None:
    """ST235/80R16 E is printed as 3,420, 3,500 and (from memory) 3,520: only the first fails a 7,000 lb axle."""
    verdicts = [meets_axle_rating(axle_capacity_lb(rated, 2), 7_000) for rated in (3_420, 3_500, 3_520)]
    assert verdicts == [False, True, True]


def test_most_restrictive_limit_decides() -> None:
    assert axle_limit_lb(20_000, width_limit_lb(600, 10, 4), None) == 20_000
    assert axle_limit_lb(20_000, width_limit_lb(600, 10, 2), 11_500) == 11_500
    assert axle_limit_lb(None, None) is None


def test_load_index_grows_and_ends() -> None:
    ratings_lb = [load_index_lb(index) for index in range(100, 161)]
    assert ratings_lb == sorted(set(ratings_lb))
    assert load_index_lb(143) == pytest.approx(6_005, abs=5)  # from memory
    with pytest.raises(KeyError):
        load_index_lb(161)
