"""What escort vehicles cost, by rows: who must come along from which size on, per hour and mile. Cents."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from dispatch.money.amounts import exact_cents, rate_text, round_cents
from dispatch.money.fee_bands import PermitLoad
from dispatch.units import MIN_PER_H, SLACK_IN, TENTHS_PER_MI


@dataclass(frozen=True, slots=True)
class EscortRow:
    """A kind of escort. It comes along when the load passes any of its sizes, inches; ``None``: not by that size.

    ``escort``: its kind (``front``, ``rear``, ``height pole``). ``vehicles``: how many. Price of each: hours on
    the loaded road and loaded miles, at least the minimum. ``row``: where it stands, for messages.
    """

    escort: str
    over_width_in: float | None = None
    over_height_in: float | None = None
    over_length_in: float | None = None
    vehicles: int = 1
    per_hour_usd: Decimal | None = None
    per_mile_usd: Decimal | None = None
    minimum_usd: Decimal | None = None
    source: str = ""
    dated: date | None = None
    row: int = 0

    @property
    def comes_by_size(self) -> bool:
        """Whether any size calls for it; a row without one never holds."""
        return any(size is not None for size in (self.over_width_in, self.over_height_in, self.over_length_in))

    @property
    def names_a_price(self) -> bool:
        """Whether any part of the price is there."""
        return any(part is not None for part in (self.per_hour_usd, self.per_mile_usd, self.minimum_usd))


@dataclass(frozen=True, slots=True)
class EscortCost:
    """What the vehicles of one kind cost together, cents, by which row, why they come, how it was worked out."""

    escort: str
    vehicles: int
    cents: int
    why: str
    working: str
    row: int


@dataclass(frozen=True, slots=True)
class Escorts:
    """All escorts of a trip. ``unpriced``: rows that call for one and name no price; then nothing is priced."""

    cents: int
    costs: tuple[EscortCost, ...]
    unpriced: tuple[EscortRow, ...] = ()


def escorts(table: Sequence[EscortRow], load: PermitLoad, loaded_min: int) -> Escorts:
    """The escorts that a load needs and what they cost; of rows of one kind that hold, the dearest counts.

    ``loaded_min``: minutes on the road with the load. What an escort does on its empty way is in its rates.
    """
    called = [row for row in table if _why(row, load)]
    unpriced = tuple(row for row in called if not row.names_a_price)
    if unpriced:
        return Escorts(0, (), unpriced)
    kinds = dict.fromkeys(row.escort.casefold() for row in called)
    costs = tuple(
        max(
            (_cost(row, load, loaded_min) for row in called if row.escort.casefold() == kind),
            key=lambda cost: (cost.cents, -cost.row),
        )
        for kind in kinds
    )
    return Escorts(sum(cost.cents for cost in costs), costs)


def _why(row: EscortRow, load: PermitLoad) -> str:
    """The sizes that call for the escort, in words; empty when none does."""
    sizes = (
        ("wide", load.width_in, row.over_width_in),
        ("high", load.height_in, row.over_height_in),
        ("long", load.length_in, row.over_length_in),
    )
    return ", ".join(
        f"{size:g} in {name}, over {over:g}"
        for name, size, over in sizes
        if over is not None and size > over + SLACK_IN
    )


def _cost(row: EscortRow, load: PermitLoad, loaded_min: int) -> EscortCost:
    hour, mile = row.per_hour_usd or Decimal(0), row.per_mile_usd or Decimal(0)
    by_work = exact_cents(hour) * loaded_min / MIN_PER_H + exact_cents(mile) * load.tenths / TENTHS_PER_MI
    each = round_cents(max(by_work, exact_cents(row.minimum_usd or Decimal(0))))
    parts = [f"{loaded_min} min x {rate_text(hour)} USD/h"] if row.per_hour_usd is not None else []
    if row.per_mile_usd is not None:
        parts.append(f"{Decimal(load.tenths) / TENTHS_PER_MI} mi x {rate_text(mile)} USD/mi")
    working = " + ".join(parts)
    if row.minimum_usd is not None:
        working += f"{', ' if parts else ''}at least {rate_text(row.minimum_usd)} USD"
    if row.vehicles != 1:
        working = f"{row.vehicles} x ({working})"
    return EscortCost(row.escort, row.vehicles, row.vehicles * each, _why(row, load), working, row.row)
