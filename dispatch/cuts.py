"""Cuts of the linear programme: three units of which at most one day can have two or more.

Source: Jepsen, Petersen, Spoorendonk, Pisinger, "Subset-row inequalities applied to the vehicle-routing problem
with time windows", Operations Research 56 (2008). Valid because every unit is hauled at most once.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from dispatch.rig_days import Day

MOST_CUTS = 64
"""One bit each in the labels of pricing."""
MOST_A_ROUND = 16
MOST_A_UNIT = 4
LEAST_BREACH = 0.03
AT_ONCE = 20_000


def broken(days: Sequence[Day], shares: Sequence[float], units: Sequence[int], known: Sequence[int]) -> list[int]:
    """Cuts that the mix of days breaks, the most broken first, as masks; none of the ``known`` ones."""
    mixed = [(day, share) for day, share in zip(days, shares, strict=True) if share > 1e-6]
    split = [unit for unit in units if _is_split(unit, mixed)]
    if len(split) < 3:
        return []
    share = np.array([amount for _, amount in mixed])
    holds = np.array([[day.units >> unit & 1 for unit in split] for day, _ in mixed], dtype=np.int8)
    triples = np.array(list(combinations(range(len(split)), 3)), dtype=np.int32)
    breach = np.concatenate(
        [_breach(holds, share, triples[begin : begin + AT_ONCE]) for begin in range(0, len(triples), AT_ONCE)]
    )
    found: list[int] = []
    often = dict.fromkeys(split, 0)
    room = min(MOST_A_ROUND, MOST_CUTS - len(known))
    for place in np.argsort(-breach, kind="stable"):
        if breach[place] < LEAST_BREACH or len(found) >= room:
            break
        own = [split[number] for number in triples[place]]
        mask = sum(1 << unit for unit in own)
        if mask in known or any(often[unit] >= MOST_A_UNIT for unit in own):
            continue
        for unit in own:
            often[unit] += 1
        found.append(mask)
    return found


def _is_split(unit: int, mixed: Sequence[tuple[Day, float]]) -> bool:
    return any(day.units >> unit & 1 and share < 1 - 1e-6 for day, share in mixed)


def _breach(holds: np.ndarray, share: np.ndarray, triples: np.ndarray) -> np.ndarray:
    """By how much more than one day has two or three units of each triple."""
    count = holds[:, triples[:, 0]] + holds[:, triples[:, 1]] + holds[:, triples[:, 2]]
    breach: np.ndarray = share @ (count > 1) - 1.0
    return breach
