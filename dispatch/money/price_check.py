"""A price reckoned once more, in plain decimal arithmetic and by other code than the one that made it.

Nothing here splits, rounds or marks up with the functions that made the price; only the records are shared.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, localcontext

from dispatch.money.allocation import Rider, ShareRule
from dispatch.money.lines import Amounts, BidItem, BidPrice, PricedTrip, Way
from dispatch.money.mark_ups import Addition, PriceRules

_DIGITS = 60
"""Enough that no sum of cents, weights and miles is rounded by the arithmetic itself."""
_SHARED = ("in_cents", "out_cents", "load_cents", "permit_cents", "escort_cents")
_ADDED = {
    Addition.OVERHEAD: "overhead_cents",
    Addition.CONTINGENCY: "contingency_cents",
    Addition.PROFIT: "profit_cents",
    Addition.MINIMUM: "minimum_cents",
    Addition.ROUNDING: "rounding_cents",
}


def price_faults(
    price: BidPrice, items: Sequence[BidItem], trips: Sequence[PricedTrip], rule: ShareRule, rules: PriceRules
) -> tuple[str, ...]:
    """Everything in which a price disagrees with its trips and rules, in words; empty when it agrees."""
    with localcontext() as context:
        context.prec = _DIGITS
        return (
            *_kinds(price),
            *_machines(price, items),
            *_shares(price, trips, rule),
            *_way_to_the_price(price, rules),
            *_sums(price),
        )


def _kinds(price: BidPrice) -> Iterator[str]:
    for line in price.lines:
        for field in fields(Amounts):
            if type(getattr(line.amounts, field.name)) is not int:
                yield f"{line.item.name}: {field.name} is no whole number of cents"


def _machines(price: BidPrice, items: Sequence[BidItem]) -> Iterator[str]:
    if [line.item for line in price.lines] != list(items):
        yield "the lines are not those of the bid's machines"
    for line in price.lines:
        if line.amounts.standby_cents != line.item.standby_cents:
            yield f"{line.item.name}: standby is {line.amounts.standby_cents}, not {line.item.standby_cents}"


def _shares(price: BidPrice, trips: Sequence[PricedTrip], rule: ShareRule) -> Iterator[str]:
    """Columns against the sums of the trips, exactly; each line against its exact shares, within a cent a trip."""
    exact = {line.item.name: dict.fromkeys(_SHARED, Decimal(0)) for line in price.lines}
    rides = dict.fromkeys(exact, 0)
    whole = dict.fromkeys(_SHARED, 0)
    for trip in trips:
        measures = [_measure(rider, rule) for rider in trip.riders]
        for column, cents in _columns(trip):
            whole[column] += cents
            for rider, measure in zip(trip.riders, measures, strict=True):
                part = measure / sum(measures) if any(measures) else 1 / Decimal(len(measures))
                exact[rider.item][column] += cents * part
        for rider in trip.riders:
            rides[rider.item] += 1
    for column in _SHARED:
        total = sum(getattr(line.amounts, column) for line in price.lines)
        if total != whole[column]:
            yield f"{column} of all lines is {total}, of all trips {whole[column]}"
        for line in price.lines:
            found, should = getattr(line.amounts, column), exact[line.item.name][column]
            if abs(found - should) > rides[line.item.name]:
                yield f"{line.item.name}: {column} is {found}, its share {should:.2f}"


def _columns(trip: PricedTrip) -> Iterator[tuple[str, int]]:
    yield ("in_cents" if trip.way is Way.IN else "out_cents"), trip.haul_cents
    yield "load_cents", trip.load_cents
    yield "permit_cents", trip.permit_cents
    yield "escort_cents", trip.escort_cents


def _measure(rider: Rider, rule: ShareRule) -> Decimal:
    if rule is ShareRule.WEIGHT_MILES:
        return Decimal(str(rider.weight_lb)) * rider.tenths
    return Decimal(str(rider.deck_in))


def _way_to_the_price(price: BidPrice, rules: PriceRules) -> Iterator[str]:
    """Each addition and the price, from the lines' direct costs; each line's part, within a cent."""
    direct = sum(line.amounts.direct_cents for line in price.lines)
    should = _additions(direct, rules)
    for addition, column in _ADDED.items():
        total = sum(getattr(line.amounts, column) for line in price.lines)
        if total != should[addition]:
            yield f"{addition} of all lines is {total}, by the rules {should[addition]}"
        for line in price.lines:
            part = Decimal(line.amounts.direct_cents * total) / direct if direct else Decimal(0)
            if abs(getattr(line.amounts, column) - part) > 1:
                yield f"{line.item.name}: {addition} is {getattr(line.amounts, column)}, its share {part:.2f}"
    if price.price_cents != direct + sum(should.values()):
        yield f"the price is {price.price_cents}, by the rules {direct + sum(should.values())}"


def _additions(direct: int, rules: PriceRules) -> dict[Addition, int]:
    """What the rules add to a direct cost."""
    found = dict.fromkeys(_ADDED, 0)
    total = Decimal(direct)
    for mark_up in rules.mark_ups:
        if mark_up.percent:
            after = _stepped(total * (100 + mark_up.percent) / 100, rules.step_cents, ROUND_HALF_UP)
            found[mark_up.addition] += int(after - total)
            total = after
    if not direct:
        return found
    least = max(total, Decimal(rules.minimum_cents))
    rounded = _stepped(total, rules.price_step_cents, ROUND_HALF_UP)
    if rounded < rules.minimum_cents or not rounded:
        rounded = _stepped(Decimal(max(1, rules.minimum_cents)), rules.price_step_cents, ROUND_CEILING)
    found[Addition.MINIMUM] = int(least - total)
    found[Addition.ROUNDING] = int(rounded - least)
    return found


def _stepped(cents: Decimal, step_cents: int, rounding: str) -> Decimal:
    return (cents / step_cents).quantize(Decimal(1), rounding) * step_cents


def _sums(price: BidPrice) -> Iterator[str]:
    lines = sum(line.amounts.total_cents for line in price.lines)
    phases = sum(amounts.total_cents for amounts in price.phases().values())
    if not lines == phases == price.price_cents:
        yield f"lines add up to {lines}, phases to {phases}, the price is {price.price_cents}"
