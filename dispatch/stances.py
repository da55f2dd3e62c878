"""The stances of many items as arrays: an item on a deck facing one way, its places and what it adds there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dispatch.arrangements import facings_of
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item
from dispatch.load_judge import LoadJudge
from dispatch.load_tables import Floats, Ints, Rows, Spot


@dataclass(frozen=True, slots=True, eq=False)
class Stances:
    """One number a stance, one row of ``table`` a place: (places of all stances, rules), pounds.

    ``row_of``: the row of a stance's place 0 (it need not be there); ``first``, ``last``: its whole inches;
    ``origin``: front of its deck behind the coupler, ``length``: of the item, inches. ``choices``: by deck,
    (items, facings), the stances of each item in the order of its facings, -1: it has none.
    """

    table: Floats
    row_of: Ints
    first: Ints
    last: Ints
    origin: Floats
    length: Floats
    decks: tuple[Deck, ...]
    facings: tuple[Facing, ...]
    choices: dict[Deck, Ints]


def stances(judge: LoadJudge, rig: Rig, rows: Rows, items: Sequence[Item]) -> Stances:
    """Every stance of the items on the rig's decks."""
    decks = [Deck.MAIN] if rig.trailer.neck is None else [Deck.MAIN, Deck.NECK]
    most = max((len(facings_of(item)) for item in items), default=0)
    choices = {deck: np.full((len(items), most), -1, np.int64) for deck in Deck}
    spots: list[Spot] = []
    tables = [np.zeros((rows.bounds.size, 0))]
    for deck in decks:
        for number, item in enumerate(items):
            for which, facing in enumerate(facings_of(item)):
                entry = judge.table(rig, item, deck, facing, rows)
                if entry is not None:
                    choices[deck][number, which] = len(spots)
                    spots.append(entry[0])
                    tables.append(entry[1])
    first = np.array([s.first for s in spots], np.int64)
    sizes = np.array([s.last - s.first + 1 for s in spots], np.int64)
    return Stances(
        table=np.ascontiguousarray(np.concatenate(tables, axis=1).T),
        row_of=np.cumsum(sizes) - sizes - first,
        first=first,
        last=np.array([s.last for s in spots], np.int64),
        origin=np.array([s.origin_in for s in spots], np.float64),
        length=np.array([s.length_in for s in spots], np.float64),
        decks=tuple(s.deck for s in spots),
        facings=tuple(s.facing for s in spots),
        choices=choices,
    )
