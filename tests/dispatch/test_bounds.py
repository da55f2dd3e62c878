"""The floor under trips: partitions worked by hand, and the cross-check that must be able to fail."""

from __future__ import annotations

from fractions import Fraction

import pytest

from dispatch.bounds import BoundContradicted, cross_check, fewest_trips
from dispatch.master import Shape
from dispatch.trips import Unit


def shape(*weights: int) -> Shape:
    units = tuple(Unit(number, (number,), Fraction(weight)) for number, weight in enumerate(weights))
    return Shape(units, weights, (), ())


SINGLES = [0b0001, 0b0010, 0b0100, 0b1000]


def test_pairs_halve_the_trips() -> None:
    assert fewest_trips(shape(1, 1, 1, 1), [*SINGLES, 0b0011, 0b1100], 0) == (2, (0b0011, 0b1100))


def test_a_set_is_no_cover_of_its_parts() -> None:
    """Three pairs in a triangle leave one unit over; a pair may not carry one unit alone."""
    assert fewest_trips(shape(1, 1, 1), [0b011, 0b101, 0b110, 0b001], 0)[0] == 2
    assert fewest_trips(shape(1, 1, 1), [0b011, 0b101, 0b110], 1)[0] == 1


def test_leaving_out_within_the_allowance_saves_trips() -> None:
    assert fewest_trips(shape(1, 1, 5), SINGLES[:3], 0)[0] == 3
    assert fewest_trips(shape(1, 1, 5), SINGLES[:3], 2)[0] == 1
    assert fewest_trips(shape(1, 1, 5), SINGLES[:3], 1)[0] == 2


def test_nothing_to_haul() -> None:
    assert fewest_trips(shape(), [], 0) == (0, ())


def test_a_fractional_mix_is_rounded_up() -> None:
    """Every pair of three units, and singles: the mix of halves needs 1.5 trips, so two."""
    assert fewest_trips(shape(1, 1, 1), [0b011, 0b101, 0b110, 1, 2, 4], 0)[0] == 2


def test_a_plan_below_its_bound_is_a_bug() -> None:
    cross_check("trips", 4, 4)
    with pytest.raises(BoundContradicted, match=r"trips: the plan has 3, below the bound 4"):
        cross_check("trips", 3, 4)
