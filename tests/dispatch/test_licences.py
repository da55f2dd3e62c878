"""Licence class and commercial vehicle by weight: the boundaries."""

from __future__ import annotations

import pytest

from dispatch.fleet import Licence
from dispatch.licences import class_needed, covers, is_commercial
from dispatch.limits import LimitOverride, load_rule_set

FEDERAL = load_rule_set("US federal")


@pytest.mark.parametrize(
    ("truck_lb", "trailer_lb", "gross_lb", "needed"),
    [
        (16_000, 10_000, 0, Licence.NONE),
        (16_000, 10_001, 0, Licence.A),
        (15_999, 10_001, 0, Licence.NONE),
        (15_999, 10_001, 26_001, Licence.A),
        (26_000, 0, 0, Licence.NONE),
        (26_001, 0, 0, Licence.B),
        (33_000, 10_000, 0, Licence.B),
        (26_000, 10_000, 40_000, Licence.NONE),
    ],
)
def test_class_needed(truck_lb: float, trailer_lb: float, gross_lb: float, needed: Licence) -> None:
    """49 CFR 383.91: 26,001 lb or more, towed unit over 10,000 lb."""
    assert class_needed(truck_lb, trailer_lb, gross_lb, FEDERAL) is needed


def test_actual_weight_of_one_unit_counts_where_greater() -> None:
    """49 CFR 383.5 (from memory): a trailer rated 9,900 lb that weighs 10,500 lb is a towed unit over 10,000."""
    assert class_needed(17_000, 9_900, 0, FEDERAL) is Licence.NONE
    assert class_needed(17_000, 9_900, 0, FEDERAL, actual_trailer_lb=10_500) is Licence.A
    assert class_needed(25_500, 0, 0, FEDERAL, actual_truck_lb=26_500) is Licence.B


def test_lifted_limit_asks_for_no_class() -> None:
    lifted = load_rule_set("US federal", [LimitOverride("cdl_combination_lb", None)])
    assert class_needed(20_000, 20_000, 0, lifted) is Licence.NONE


def test_classes_cover_those_below() -> None:
    ranked = [Licence.NONE, Licence.C, Licence.B, Licence.A]
    for low, needed in enumerate(ranked):
        for high, held in enumerate(ranked):
            assert covers(held, needed, FEDERAL) is (high >= low)


def test_commercial_vehicle_boundary() -> None:
    """49 CFR 390.5: 10,001 lb or more by rating or weight, truck alone or with its trailer."""
    assert not is_commercial(10_000, FEDERAL)
    assert is_commercial(10_001, FEDERAL)
    assert is_commercial(7_000, FEDERAL, trailer_gvwr_lb=3_001)
    assert is_commercial(7_000, FEDERAL, actual_gcw_lb=10_001)
    assert not is_commercial(10_001, FEDERAL, interstate=False)
