"""The candidate trips of a group of rigs as arrays, for searching many days at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from dispatch.order_kernel import DRIVE, DURATION, EARLIEST, FIRST, LAST, LATEST, TENTHS
from dispatch.rig_days import DayRules
from dispatch.rig_groups import RigGroup
from dispatch.timing import NEVER_MIN
from dispatch.trip_rows import Picked, TripRows

Ints = npt.NDArray[np.int64]
Words = npt.NDArray[np.uint64]
Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

WORD = 64


def words(mask: int, count: int) -> list[int]:
    """A bit mask of any size as ``count`` words of 64 bits."""
    return [(mask >> (WORD * place)) & (2**WORD - 1) for place in range(count)]


def cents_per_minute(rate_usd_per_h: float) -> float:
    """Dollars an hour as cents a minute."""
    return 100 * rate_usd_per_h / 60


@dataclass(frozen=True, slots=True, eq=False)
class TripArrays:
    """Row k is trip ``trips[k]`` of rig ``rig[k]``. ``blocked``: units that must not have been hauled before it.

    ``lin_cents``: what the trip costs but for hours. Sites are numbers of the site table. ``of_set``: the row of
    ``member``, (sets of units, units), 1.0 where the set has the unit.
    """

    trips: Picked
    rig: Ints
    first: Ints
    last: Ints
    duration: Ints
    earliest: Ints
    latest: Ints
    drive: Ints
    lin_cents: Floats
    mask: Words
    blocked: Words
    of_set: Ints
    member: Floats

    def take(self, rows: Ints) -> TripArrays:
        """The trips of these rows only."""
        apart = ("trips", "of_set", "member")
        others = {f.name: getattr(self, f.name)[rows] for f in fields(self) if f.name not in apart}
        sets, of_set = np.unique(self.of_set[rows], return_inverse=True)
        return TripArrays(trips=self.trips.take(rows), of_set=of_set, member=self.member[sets], **others)

    def rewards(self, unit: Floats) -> Floats:
        """What each trip earns at these prices of the units."""
        return (self.member[:, : len(unit)] @ unit)[self.of_set]


@dataclass(frozen=True, slots=True, eq=False)
class GroupArrays:
    """What the search needs to know of a group: per rig shift, places, rates; per driver the driving limit."""

    group: RigGroup
    rules: DayRules
    trips: TripArrays
    start: Ints
    end_by: Ints
    yard: Ints
    home: Ints
    minute_cents: Floats
    overtime_cents: Floats
    overtime_after: Ints
    mile_cents: Floats
    driver: Ints
    driving: Ints
    break_after: int | None
    strict_windows: bool
    far_ends: bool


def trip_arrays(group: RigGroup, by_rig: Sequence[TripRows], units: int, after: Sequence[int]) -> TripArrays:
    """The trips of all rigs of a group; ``after[u]`` is the mask of units that must come later than unit u."""
    count = max(1, -(-units // WORD))
    rig = np.concatenate([np.full(len(rows), number, np.int64) for number, rows in enumerate(by_rig)])
    place = np.concatenate([np.arange(len(rows)) for rows in by_rig])
    masks = [mask for rows in by_rig for mask in rows.masks]
    begin = np.cumsum([0, *(len(rows.masks) for rows in by_rig)])
    of_set = np.concatenate([rows.of_set + begin[number] for number, rows in enumerate(by_rig)])

    def column(which: int) -> Ints:
        return np.concatenate([rows.column(which) for rows in by_rig])

    def as_words(values: Sequence[int]) -> Words:
        return np.array([words(value, count) for value in values], dtype=np.uint64).reshape(len(values), count)

    mask = as_words(masks)
    later = as_words([_blocked(value, after) for value in masks]) if any(after) else mask
    return TripArrays(
        trips=Picked(by_rig, rig, place),
        rig=rig,
        first=column(FIRST),
        last=column(LAST),
        duration=column(DURATION),
        earliest=column(EARLIEST),
        latest=column(LATEST),
        drive=column(DRIVE),
        lin_cents=np.concatenate([_lin_cents(group, number, rows) for number, rows in enumerate(by_rig)]),
        mask=mask[of_set],
        blocked=later[of_set],
        of_set=of_set,
        member=_member(mask, units),
    )


def _lin_cents(group: RigGroup, rig: int, rows: TripRows) -> Floats:
    own = group.rigs[rig]
    miles = 10 * own.cost_per_mile_usd * rows.column(TENTHS)
    return miles + 100 * own.cost_per_trip_usd + rows.permit_cents[rows.of_set]


def _member(mask: Words, units: int) -> Floats:
    """1.0 where the set (row) has the unit (column)."""
    unit = np.arange(units)
    word = mask[:, unit // WORD] if len(mask) else np.zeros((0, units), dtype=np.uint64)
    return ((word >> (unit % WORD).astype(np.uint64)[None, :]) & np.uint64(1)).astype(np.float64)


def _blocked(units: int, after: Sequence[int]) -> int:
    mask = units
    for unit, later in enumerate(after):
        if units >> unit & 1:
            mask |= later
    return mask


def group_arrays(rules: DayRules, group: RigGroup, trips: TripArrays) -> GroupArrays:
    """The group's figures as arrays; minutes and cents."""
    rigs = group.rigs
    number = rules.table.number
    limits = [hours.driving_min for hours in group.hours]
    with_breaks = group.number in rules.with_breaks
    return GroupArrays(
        group=group,
        rules=rules,
        trips=trips,
        start=np.array([rig.shift_start_min for rig in rigs]),
        end_by=np.array([rig.shift_end_min for rig in rigs]),
        yard=np.array([number[rig.yard] for rig in rigs]),
        home=np.array([number[rig.end] for rig in rigs]),
        minute_cents=np.array([cents_per_minute(rig.cost_per_hour_usd) for rig in rigs]),
        overtime_cents=np.array(
            [cents_per_minute(rig.cost_per_hour_usd) * (rig.overtime_factor - 1) for rig in rigs]
        ),
        overtime_after=np.array(
            [NEVER_MIN if rig.overtime_after_min is None else rig.overtime_after_min for rig in rigs]
        ),
        mile_cents=np.array([10 * rig.cost_per_mile_usd for rig in rigs]),
        driver=np.array(group.driver),
        driving=np.array([NEVER_MIN if limit is None else limit for limit in limits]),
        break_after=group.hours[0].break_after_min if with_breaks else None,
        strict_windows=_window_may_bind(group),
        far_ends=any(rig.end != rig.yard for rig in rigs),
    )


def _window_may_bind(group: RigGroup) -> bool:
    """Whether a driver's duty window can forbid what the shifts allow."""
    for own, hours in enumerate(group.hours):
        mine = [rig for rig, driver in zip(group.rigs, group.driver, strict=True) if driver == own]
        span = max(rig.shift_end_min for rig in mine) - min(rig.shift_start_min for rig in mine)
        if hours.window_min is not None and span > hours.window_min:
            return True
    return False
