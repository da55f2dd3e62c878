"""Partial days as arrays: one row a partial day, one array a quantity."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from dispatch.trip_arrays import Bools, Floats, Ints, Words


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """Partial days; the run begun is (duration, earliest, latest), ``closed`` are paid minutes before it."""

    parent: Ints
    trip: Ints
    from_yard: Bools
    mask: Words
    rig: Ints
    site: Ints
    duration: Ints
    earliest: Ints
    latest: Ints
    closed: Ints
    drive: Ints
    since: Ints
    lin: Floats

    def __len__(self) -> int:
        return len(self.trip)

    def take(self, rows: Ints | Bools) -> Layer:
        """The layer with these rows only."""
        return Layer(*(getattr(self, field.name)[rows] for field in fields(self)))


def first_of_their_kind(group: Ints, criteria: Floats) -> Ints:
    """Rows that no other row of their group is no worse than; rows sorted by group, then by criteria.

    Round by round the first open row of every group stays and strikes out what it stands for.
    """
    kept: list[Ints] = []
    rows = np.arange(len(group))
    while len(rows):
        leads = np.ones(len(rows), dtype=np.bool_)
        leads[1:] = group[rows[1:]] != group[rows[:-1]]
        kept.append(rows[leads])
        leader = rows[leads][np.cumsum(leads) - 1]
        struck = leads.copy()
        better = np.ones(len(rows), dtype=np.bool_)
        for column in criteria.T:
            better &= column[leader] <= column[rows] + 1e-9
        rows = rows[~(struck | better)]
    return np.concatenate(kept)


def with_changes(layer: Layer, **changes: object) -> Layer:
    """The layer with some of its arrays replaced."""
    values = {field.name: getattr(layer, field.name) for field in fields(layer)}
    return Layer(**{**values, **changes})


def stacked(parts: Sequence[Layer], like: Layer) -> Layer:
    """The layers one under the other; ``like`` gives the shapes of an empty one."""
    if not parts:
        return like.take(np.zeros(0, dtype=np.int64))
    return Layer(*(np.concatenate([getattr(part, field.name) for part in parts]) for field in fields(like)))
