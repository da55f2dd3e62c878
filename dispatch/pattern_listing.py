"""All loads that a packing of so many boxes can hold: those that waste no more than there is to waste."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from dispatch.pattern_pricing import Ints, Kinds, Pattern, earnings, next_kinds, room_steps

MOST_LISTED = 20_000
MOST_STEPS = 60_000


def full_loads(kinds: Kinds, boxes: int, refused: Collection[Pattern]) -> list[Pattern] | None:
    """Every load of which ``boxes`` could hold everything; ``None`` when there are too many to list.

    So many boxes have room to waste in each measure, and no box of a packing wastes more than all may.
    """
    least = kinds.room - (boxes * kinds.room - kinds.sizes.T @ kinds.counts)
    if (least > kinds.room).any():
        return []
    search = _Listing(kinds, least, refused)
    complete = all(search.grow((int(kind),)) for kind in np.flatnonzero(kinds.counts > 0))
    return search.found if complete else None


class _Listing:
    def __init__(self, kinds: Kinds, least: Ints, refused: Collection[Pattern]) -> None:
        self.kinds, self.least, self.refused = kinds, least, refused
        self.tight = int(np.argmax(least / np.maximum(kinds.room, 1)))
        sizes = kinds.sizes[:, self.tight]
        self.steps, self.room = room_steps(sizes, int(kinds.room[self.tight]))
        self.reach = earnings(self.steps, self.room, kinds.counts, sizes.astype(np.float64))
        self.found: list[Pattern] = []
        self.spent = 0

    def grow(self, pattern: Pattern) -> bool:
        """Every load that begins so; whether there was room to list them all."""
        self.spent += 1
        if self.spent > MOST_STEPS or len(self.found) > MOST_LISTED:
            return False
        total = self.kinds.sizes[list(pattern)].sum(axis=0)
        if (total >= self.least).all() and (total <= self.kinds.room).all() and pattern not in self.refused:
            self.found.append(pattern)
        kinds = next_kinds(self.kinds, pattern)
        after = self.room - int(self.steps[list(pattern)].sum()) - self.steps[kinds]
        size = total[self.tight] + self.kinds.sizes[kinds, self.tight]
        most = size + self.reach[kinds, np.maximum(after, 0)]
        return all(self.grow((*pattern, int(kind))) for kind in kinds[most >= self.least[self.tight] - 0.5])
