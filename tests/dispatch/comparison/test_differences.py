"""Intervals of what is saved, worked by hand."""

from __future__ import annotations

import pytest

from dispatch.comparison.differences import Span, saves, span
from dispatch.comparison.outcomes import Goal

PROVED = Goal(7, 7)


@pytest.mark.parametrize(
    ("base", "other", "expected"),
    [
        (Goal(9, 9), Goal(7, 7), (2, 2, 2)),  # both proved
        (Goal(9, 9), Goal(7, 6), (2, 2, 3)),  # the other may be one better
        (Goal(9, 8), Goal(7, 7), (2, 1, 2)),  # the base may be one better
        (Goal(9, 8), Goal(7, 6), (2, 1, 3)),
        (Goal(9, None), Goal(7, 7), (2, None, 2)),  # nothing is known of the base
        (Goal(9, 9), Goal(7, None), (2, 2, None)),
    ],
)
def test_the_best_plans_differ_by_no_less_and_no_more(
    base: Goal, other: Goal, expected: tuple[float, ...]
) -> None:
    found = span(base, other, contained=False)
    assert (found.found, found.least, found.most) == expected


def test_a_fleet_that_contains_the_base_cannot_be_worse() -> None:
    assert span(Goal(9, 7), Goal(9, 8), contained=False) == Span(0, -2, 1)
    assert span(Goal(9, 7), Goal(9, 8), contained=True) == Span(0, 0, 1)


def test_ends_add_up_over_days_and_one_unknown_end_makes_the_sum_unknown() -> None:
    days = [Span(1, 1, 1), Span(2, 1, 3)]
    assert Span.total(days) == Span(3, 2, 4)
    assert Span.total([*days, Span(1, None, 2)]) == Span(4, None, 6)
    assert Span.total([]) == Span(0, 0, 0)


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (Span(2, 2, 2), "saves 2 trips"),
        (Span(1, 1, 1), "saves 1 trip"),
        (Span(2, 2, 3), "saves 2 to 3 trips"),
        (Span(0, 0, 2), "saves 0 to 2 trips"),
        (Span(0, 0, 0), "saves no trips"),
        (Span(-1, -1, -1), "needs 1 trip more"),
        (Span(-2, -3, -1), "needs 1 to 3 trips more"),
        (Span(0, -1, 2), "between 1 trip more and 2 fewer"),
        (Span(3, None, 4), "saves 3 trips as found, not proved"),
    ],
)
def test_words_say_what_is_known(found: Span, words: str) -> None:
    assert saves(found, "trip", "trips") == words
