"""A floor under the number of trips that owes nothing to the schedule model or to the rig-days.

Only the candidate trips enter: which units may ride together at all. The least number of trips that hauls every
unit, but for what may be left out, is a small set-partitioning programme that HiGHS solves. No day can do with
fewer, whatever the rigs and the clock allow.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from dispatch.errors import HauldayError
from dispatch.highs import INFINITE, add_column, add_row, add_set_columns, proved_floor, quiet_highs
from dispatch.master import Shape

NODES = 2_000
MOST_WHOLE = 4_000
"""Sets of units beyond which the programme is solved without whole numbers: its floor is seldom lower."""


class BoundContradicted(HauldayError):
    """A plan lies below a proved bound: one of the two is wrong, and nothing may be claimed."""


def fewest_trips(
    shape: Shape,
    masks: Iterable[int],
    left_out: int,
    *,
    nodes: int = NODES,
    most_whole: int = MOST_WHOLE,
    seconds: float | None = None,
) -> tuple[int, tuple[int, ...]]:
    """No plan that leaves out priorities of at most ``left_out`` (scaled) has fewer trips than this.

    Also gives the sets of the partition found, if one was. ``masks``: the sets of units that some rig may carry
    on one trip, all of them. ``nodes``: branching allowed; when it runs out the bound is weaker but still holds.
    More than ``most_whole`` sets: the bound is that of the linear programme. ``seconds``: of clock, at most.
    """
    h = quiet_highs()
    h.setOptionValue("mip_max_nodes", nodes)
    if seconds is not None:
        h.setOptionValue("time_limit", max(0.1, seconds))
    units = len(shape.units)
    for _ in shape.units:
        add_row(h, 1.0, 1.0)
    add_row(h, -INFINITE, float(left_out))
    masks = sorted(set(masks))
    whole = len(masks) <= most_whole
    for unit in range(units):
        add_column(h, 0.0, {unit: 1.0, units: float(shape.weights[unit])}, whole=whole)
    add_set_columns(h, masks, units, whole=whole)
    h.run()
    share = list(h.getSolution().col_value)[units:]
    used = tuple(mask for mask, value in zip(masks, share, strict=False) if value > 0.5)
    return math.ceil(max(0.0, proved_floor(h, whole=whole)) - 1e-6), used


def cross_check(name: str, value: float, bound: float) -> None:
    """Raises BoundContradicted when a plan's value lies below the bound stated for it."""
    if value < bound - 1e-6:
        raise BoundContradicted(f"{name}: the plan has {value:g}, below the bound {bound:g}: please report this")
