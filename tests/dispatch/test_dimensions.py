"""Dimension checks, excluded devices, divisible loads, checks en route."""

from __future__ import annotations

import pytest

from dispatch.dimensions import (
    Device,
    Separable,
    divisibility,
    height_check,
    is_excluded_from_length,
    is_excluded_from_width,
    length_check,
    load_checks_due_mi,
    overall_limit_allowed,
    width_check,
)
from dispatch.limits import LimitOverride, load_rule_set

FEDERAL = load_rule_set("US federal")


def test_width_and_height_at_the_limit() -> None:
    """23 CFR 658.15: 102 in. The default height, 13 ft 6 in, is no federal figure."""
    for check, limit_in in ((width_check, 102), (height_check, 162)):
        at, over = check(limit_in, FEDERAL), check(limit_in + 0.5, FEDERAL)
        assert at is not None
        assert over is not None
        assert (at.ok, at.margin, over.ok) == (True, 0, False)
        assert at.basis


def test_no_federal_overall_length() -> None:
    """23 CFR 658.13: none for a truck and trailer; a state's figure binds."""
    assert length_check(10_000, FEDERAL) is None
    at_home = load_rule_set("US federal", [LimitOverride("length_in", 780, "state")])
    check = length_check(781, at_home)
    assert check is not None
    assert not check.ok
    assert overall_limit_allowed(is_tractor_semitrailer=False)


def test_california_height_is_14_ft() -> None:
    check = height_check(168, load_rule_set("US California"))
    assert check is not None
    assert check.ok


@pytest.mark.parametrize(
    ("device", "projects_in", "from_width", "from_length"),
    [
        (Device.MIRROR, 12, True, True),
        (Device.OTHER, 3, True, True),
        (Device.OTHER, 3.1, False, False),
        (Device.LOADING, 24, False, True),
        (Device.LOADING, 24.1, False, False),
        (Device.AERODYNAMIC, 60, False, True),
        (Device.AERODYNAMIC, 61, False, False),
        (Device.CARRIES_PROPERTY, 0.5, False, False),
    ],
)
def test_excluded_devices(device: Device, projects_in: float, from_width: bool, from_length: bool) -> None:
    """23 CFR 658.16 and 658 Appendix D."""
    assert is_excluded_from_width(device, projects_in, FEDERAL) is from_width
    assert is_excluded_from_length(device, projects_in, FEDERAL) is from_length


def test_two_machines_over_weight_get_no_permit() -> None:
    """23 CFR 658.5: they separate in minutes, however long one of them would take to dismantle."""
    found = divisibility(2, True, FEDERAL, hours_to_dismantle=40)
    assert (found.permit_needed, found.may_have_permit, found.load) == (True, False, Separable.DIVISIBLE)


def test_one_reason_is_enough() -> None:
    """FHWA letter of 12 April 2018: more than 8 work-hours, or use or value lost."""
    assert not divisibility(1, True, FEDERAL, hours_to_dismantle=8).may_have_permit
    assert divisibility(1, True, FEDERAL, hours_to_dismantle=8.5).may_have_permit
    assert divisibility(1, True, FEDERAL, spoils_use_or_value=True).may_have_permit


def test_attachment_that_takes_long_to_remove_is_part_of_the_machine() -> None:
    found = divisibility(1, True, FEDERAL, hours_to_dismantle=12, attachment_hours=9)
    assert found.may_have_permit


def test_checks_en_route_end_before_arrival() -> None:
    """49 CFR 392.9."""
    assert load_checks_due_mi(50, 50, FEDERAL) == (0,)
    assert load_checks_due_mi(51, 50, FEDERAL) == (0, 50)
    assert load_checks_due_mi(51, 10, FEDERAL) == (0, 50)
    with pytest.raises(ValueError, match="positive"):
        load_checks_due_mi(10, 0, FEDERAL)
