"""What a permit costs, by rows of a fee table: flat, per axle, per ton over, per axle group, by miles. Cents."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from dispatch.money.amounts import exact, exact_cents, rate_text, round_cents
from dispatch.money.fee_bands import AxleGroup, Band, Measure, PermitLoad, measured
from dispatch.units import LB_PER_TON, SLACK_LB, TENTHS_PER_MI

_GROUP_MEASURES = {Measure.GROUP_AXLES, Measure.GROUP_OVER}


class Each(StrEnum):
    """What a fee is charged for, once each."""

    TRIP = "trip"
    AXLE = "axle"
    TON_OVER = "ton over"
    AXLE_GROUP = "axle group"


@dataclass(frozen=True, slots=True)
class FeeRow:
    """A row of a fee table. It holds where all its bands hold, and what all such rows ask is added up.

    ``permit``: the permit whose table it is; empty: every permit. ``each``: charged once a trip, for every axle of
    the rig, for every started ton (2,000 lb) of gross weight over ``tons_over_lb``, or for every axle group that
    the bands hold for. ``per_miles``: times the loaded miles, in started steps of so many miles where ``started``,
    else exactly; ``None``: whatever the distance. ``row``: where it stands, for messages.
    """

    permit: str
    amount_usd: Decimal
    each: Each = Each.TRIP
    per_miles: Decimal | None = None
    started: bool = False
    tons_over_lb: float = 0.0
    bands: tuple[Band, ...] = ()
    source: str = ""
    dated: date | None = None
    row: int = 0


@dataclass(frozen=True, slots=True)
class FeePart:
    """What one row asks, whole cents, and how it was worked out."""

    cents: int
    working: str
    row: int


@dataclass(frozen=True, slots=True)
class PermitFee:
    """What a permit costs, cents: the sum of its parts."""

    cents: int
    parts: tuple[FeePart, ...]


@dataclass(frozen=True, slots=True)
class NoPermitFee:
    """Why a permit has no fee."""

    reason: str


def permit_fee(table: Sequence[FeeRow], permit: str, load: PermitLoad) -> PermitFee | NoPermitFee:
    """What the permit costs for one trip with this load; every part is rounded once, half up, to the cent.

    A permit that no row is about, or whose rows do not hold for this load, has no fee: never silently nought. Nor
    has one that is charged by axle group and has no row for one of the groups over their limits.
    """
    rows = [row for row in table if not row.permit or row.permit.casefold() == permit.casefold()]
    if not rows:
        return NoPermitFee(f"no row of fees for the permit {permit!r}")
    parts = tuple(part for row in rows for part in _parts(row, load))
    if not parts:
        return NoPermitFee(f"{_counted(len(rows))} for the permit {permit!r}, none holds for {_told(load)}")
    left = _group_without_row(rows, load)
    if left is not None:
        return NoPermitFee(f"the fees for the permit {permit!r} have no row for {_told_group(left)}")
    return PermitFee(sum(part.cents for part in parts), parts)


def fee_row_fault(row: FeeRow) -> str:
    """What is wrong with a row, empty when nothing is."""
    if row.amount_usd < 0 or not row.amount_usd.is_finite():
        return f"a fee of {row.amount_usd} USD; a fee is not negative"
    if row.per_miles is not None and row.per_miles <= 0:
        return f"charged per {row.per_miles} miles; it must be more than 0"
    grouped = any(band.measure in _GROUP_MEASURES for band in row.bands)
    if grouped and row.each is not Each.AXLE_GROUP:
        return f"a band of an axle group, but charged by {row.each}; charge it by axle group"
    for band in row.bands:
        if band.over is not None and band.up_to is not None and band.up_to <= band.over:
            return f"{band.measure} over {band.over:g} up to {band.up_to:g} holds for nothing"
    return ""


def _parts(row: FeeRow, load: PermitLoad) -> Iterator[FeePart]:
    groups: Sequence[AxleGroup | None] = load.groups if row.each is Each.AXLE_GROUP else (None,)
    for group in groups:
        if all(band.holds(measured(load, band.measure, group)) for band in row.bands):
            yield _part(row, load, group)


def _group_without_row(rows: Sequence[FeeRow], load: PermitLoad) -> AxleGroup | None:
    """A group over its limit that no row by axle group holds for: not permitted, or not in the table."""
    by_group = [row for row in rows if row.each is Each.AXLE_GROUP]
    for group in load.groups if by_group else ():
        alone = replace(load, groups=(group,))
        if group.over_lb > SLACK_LB and not any(True for row in by_group for _ in _parts(row, alone)):
            return group
    return None


def _part(row: FeeRow, load: PermitLoad, group: AxleGroup | None) -> FeePart:
    count, miles = _count(row, load), _miles(row, load)
    cents = round_cents(exact_cents(row.amount_usd) * count * miles)
    working = f"{rate_text(row.amount_usd)} USD"
    if row.each in (Each.AXLE, Each.TON_OVER):
        working += f" x {count} {'axles' if row.each is Each.AXLE else 'started tons over'}"
    if group is not None:
        working += f", {_told_group(group)}"
    if row.per_miles is not None:
        step = "miles" if row.per_miles == 1 else f"times {row.per_miles} miles"
        working += f" x {float(miles):g} {'started ' if row.started else ''}{step}"
    return FeePart(cents, working, row.row)


def _count(row: FeeRow, load: PermitLoad) -> int:
    if row.each is Each.AXLE:
        return load.axles
    if row.each is Each.TON_OVER:
        tons = exact(max(0.0, load.gross_lb - row.tons_over_lb - SLACK_LB)) / Fraction(LB_PER_TON)
        return -(-tons.numerator // tons.denominator)
    return 1


def _miles(row: FeeRow, load: PermitLoad) -> Fraction:
    """How many times the amount is charged for the distance; 1 whatever the distance."""
    if row.per_miles is None:
        return Fraction(1)
    steps = Fraction(load.tenths, TENTHS_PER_MI) / Fraction(row.per_miles)
    return Fraction(-(-steps.numerator // steps.denominator)) if row.started else steps


def _counted(rows: int) -> str:
    return "one row of fees" if rows == 1 else f"{rows} rows of fees"


def _told_group(group: AxleGroup) -> str:
    return f"{group.axles} {'axle' if group.axles == 1 else 'axles'} {group.over_lb:,.0f} lb over"


def _told(load: PermitLoad) -> str:
    return (
        f"{load.gross_lb:,.0f} lb on {load.axles} axles, {load.width_in:.0f} in wide, "
        f"{load.height_in:.0f} in high, {load.length_in:.0f} in long, {Decimal(load.tenths) / TENTHS_PER_MI} mi"
    )
