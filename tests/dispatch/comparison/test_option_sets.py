"""Sets of options: all that may be bought together, in a fixed order, and steps between them."""

from __future__ import annotations

from itertools import chain, combinations

from dispatch.comparison.option_sets import legal_sets, neighbours


def test_without_exclusions_every_subset_is_a_set() -> None:
    names = ["a", "b", "c", "d"]
    every = chain.from_iterable(combinations(names, size) for size in range(5))
    assert list(legal_sets(names, frozenset())) == list(every)
    assert list(legal_sets([], frozenset())) == [()]


def test_no_set_holds_two_that_exclude_each_other() -> None:
    found = list(legal_sets(["a", "b", "c"], {frozenset("ab"), frozenset("bc")}))
    assert found == [(), ("a",), ("b",), ("c",), ("a", "c")]


def test_a_step_adds_or_drops_one_or_puts_one_in_place_of_another() -> None:
    sets = list(legal_sets(["a", "b", "c"], {frozenset("bc")}))
    assert list(neighbours(sets, ())) == [("a",), ("b",), ("c",)]
    assert list(neighbours(sets, (), swaps=True)) == []
    assert list(neighbours(sets, ("a", "b"))) == [("a",), ("b",)]
    assert list(neighbours(sets, ("a", "b"), swaps=True)) == [("a", "c")]
