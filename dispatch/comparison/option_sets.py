"""Sets of options: which may be bought together, and which differ by one step."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import combinations

MOST_OPTIONS = 12
"""Options of one candidate at most: 4,096 sets, each of which is checked for sense when the input is read."""
EXACT_SETS = 64
"""Up to so many sets of one candidate all are tried; beyond it the search goes step by step from the best."""

Options = tuple[str, ...]


def legal_sets(options: Sequence[str], excluded: Collection[frozenset[str]]) -> Iterator[Options]:
    """Every set in which no two exclude each other: none first, then by number, in the order of the options."""
    for size in range(len(options) + 1):
        for chosen in combinations(options, size):
            if not any(frozenset(pair) in excluded for pair in combinations(chosen, 2)):
                yield chosen


def neighbours(sets: Iterable[Options], start: Options, *, swaps: bool = False) -> Iterator[Options]:
    """The sets that have one option more or less; with ``swaps`` those that have one in place of another."""
    ours, wanted = frozenset(start), {(1, 1)} if swaps else {(1, 0), (0, 1)}
    for one in sets:
        theirs = frozenset(one)
        if (len(theirs - ours), len(ours - theirs)) in wanted:
            yield one
