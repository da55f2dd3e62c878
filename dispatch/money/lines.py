"""The lines of a bid: what every machine's way in and out costs, adding up to the cent over items and phases."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from enum import StrEnum
from fractions import Fraction
from operator import add, attrgetter

from dispatch.money.allocation import Rider, ShareRule, share_cost
from dispatch.money.amounts import round_to_step, split
from dispatch.money.mark_ups import Addition, PriceRules, Step, price_steps


class Way(StrEnum):
    """To the job or from it."""

    IN = "in"
    OUT = "out"


@dataclass(frozen=True, slots=True)
class PricedTrip:
    """A trip with its costs, whole cents, own or outside, and the items that share them.

    ``haul_cents``: road, overtime, waiting, minimum; of an outside haulier the whole price. ``load_cents``:
    loading and unloading.
    """

    name: str
    way: Way
    haul_cents: int
    load_cents: int
    permit_cents: int
    escort_cents: int
    riders: tuple[Rider, ...]

    @property
    def cents(self) -> int:
        """The whole trip."""
        return self.haul_cents + self.load_cents + self.permit_cents + self.escort_cents


@dataclass(frozen=True, slots=True)
class Amounts:
    """What a line is made of, whole cents. ``in_cents`` and ``out_cents`` are hauls."""

    in_cents: int = 0
    out_cents: int = 0
    load_cents: int = 0
    permit_cents: int = 0
    escort_cents: int = 0
    standby_cents: int = 0
    overhead_cents: int = 0
    contingency_cents: int = 0
    profit_cents: int = 0
    minimum_cents: int = 0
    rounding_cents: int = 0

    @property
    def direct_cents(self) -> int:
        """The cost before anything is added to it."""
        hauls = self.in_cents + self.out_cents + self.load_cents
        return hauls + self.permit_cents + self.escort_cents + self.standby_cents

    @property
    def total_cents(self) -> int:
        """Everything."""
        return sum(_values(self))

    def __add__(self, other: Amounts) -> Amounts:
        return Amounts(*map(add, _values(self), _values(other)))


_values: Callable[[Amounts], tuple[int, ...]] = attrgetter(*(field.name for field in fields(Amounts)))


@dataclass(frozen=True, slots=True)
class BidItem:
    """A machine of the bid: its name, the phase that it moves in, the row of the bid that it belongs to."""

    name: str
    phase: str
    line: int
    standby_cents: int = 0


@dataclass(frozen=True, slots=True)
class ItemLine:
    """One line: a machine and its amounts."""

    item: BidItem
    amounts: Amounts


@dataclass(frozen=True, slots=True)
class NotPriced:
    """A machine's way that has no price, and why. A bid with one of these has no whole price."""

    item: str
    way: Way
    reason: str


@dataclass(frozen=True, slots=True)
class BidPrice:
    """The price of a bid: its lines, the way from the direct cost to the price, and what could not be priced."""

    lines: tuple[ItemLine, ...]
    steps: tuple[Step, ...]
    not_priced: tuple[NotPriced, ...]

    @property
    def total(self) -> Amounts:
        """The sum of all lines."""
        return sum((line.amounts for line in self.lines), Amounts())

    @property
    def price_cents(self) -> int:
        """The price of everything that could be priced, cents."""
        return self.steps[-1].sum_cents

    @property
    def whole(self) -> bool:
        """Whether everything could be priced."""
        return not self.not_priced

    def phases(self) -> Mapping[str, Amounts]:
        """The sum of the lines of each phase, in the order of the lines."""
        sums: dict[str, Amounts] = {}
        for line in self.lines:
            sums[line.item.phase] = sums.get(line.item.phase, Amounts()) + line.amounts
        return sums


@dataclass(frozen=True, slots=True)
class UnitPrice:
    """The price of one of several machines alike, cents, and what so many of them make.

    ``rest_cents``: what the lines add up to beyond that; a unit price is rounded, halves up, and cannot carry it.
    """

    line: int
    quantity: int
    unit_cents: int
    extended_cents: int
    rest_cents: int


def price_bid(
    items: Sequence[BidItem],
    trips: Iterable[PricedTrip],
    share_rule: ShareRule,
    rules: PriceRules,
    not_priced: Iterable[NotPriced] = (),
) -> BidPrice:
    """The price of a bid from its priced trips.

    Each cost of a trip is shared among its riders by the rule; mark-ups, minimum and rounding are worked out once,
    on the whole, and shared by the items' direct costs. So lines, phases and price agree to the cent. Raises
    KeyError for a rider that is no item of the bid, ValueError for a trip without riders or items of one name.
    """
    direct = _direct(items, trips, share_rule)
    steps = price_steps(sum(amounts.direct_cents for amounts in direct), rules)
    weights = [amounts.direct_cents for amounts in direct]
    added = {step.addition: split(step.added_cents, weights) for step in steps} if items else {}
    lines = tuple(
        ItemLine(item, amounts + _additions({name: parts[number] for name, parts in added.items()}))
        for number, (item, amounts) in enumerate(zip(items, direct, strict=True))
    )
    return BidPrice(lines, steps, tuple(not_priced))


def _direct(items: Sequence[BidItem], trips: Iterable[PricedTrip], rule: ShareRule) -> list[Amounts]:
    found = {item.name: Amounts(standby_cents=item.standby_cents) for item in items}
    if len(found) < len(items):
        raise ValueError("two items of a bid have one name")
    for trip in trips:
        costs = (trip.haul_cents, trip.load_cents, trip.permit_cents, trip.escort_cents)
        shares = zip(*(share_cost(cents, trip.riders, rule) for cents in costs), strict=True)
        for rider, (haul, load, permit, escort) in zip(trip.riders, shares, strict=True):
            into, out = (haul, 0) if trip.way is Way.IN else (0, haul)
            found[rider.item] += Amounts(into, out, load, permit, escort)
    return [found[item.name] for item in items]


def _additions(parts: Mapping[Addition, int]) -> Amounts:
    return Amounts(
        overhead_cents=parts.get(Addition.OVERHEAD, 0),
        contingency_cents=parts.get(Addition.CONTINGENCY, 0),
        profit_cents=parts.get(Addition.PROFIT, 0),
        minimum_cents=parts.get(Addition.MINIMUM, 0),
        rounding_cents=parts.get(Addition.ROUNDING, 0),
    )


def unit_prices(lines: Iterable[ItemLine], step_cents: int = 1) -> tuple[UnitPrice, ...]:
    """The unit price of every row of the bid: its lines' sum over their number, to the nearest step, halves up."""
    sums: dict[int, list[int]] = {}
    for line in lines:
        sums.setdefault(line.item.line, []).append(line.amounts.total_cents)
    found = []
    for number, totals in sums.items():
        unit = round_to_step(Fraction(sum(totals), len(totals)), step_cents)
        extended = unit * len(totals)
        found.append(UnitPrice(number, len(totals), unit, extended, sum(totals) - extended))
    return tuple(found)
