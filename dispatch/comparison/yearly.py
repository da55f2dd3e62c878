"""What a fleet is worth a year: saving, ownership, break-even, payback, and what the answer hangs on. Cents.

The saving of the history's days stands for the year: mean saving of a day x days a year. Plans are not made anew
when a price is moved; only what they cost is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from dispatch.comparison.history import Variant
from dispatch.comparison.outcomes import DayOutcome
from dispatch.money.amounts import exact_cents, round_cents
from dispatch.money.ownership import Ownership, break_even, payback_years, whole_trips, yearly_ownership

SWING_PCT = 20
"""By how much each figure of the tornado table is moved down and up, per cent."""
DRAWS = 2_000
CONFIDENCE_PCT = 90
"""Resamples of the bootstrap over the days, and the share of them that its interval holds."""


@dataclass(frozen=True, slots=True)
class DaySaving:
    """What one day saves, cents, by what it is saved on; the sum is what the day saves."""

    outside: Fraction
    hours: Fraction
    miles: Fraction
    other: Fraction

    @property
    def cents(self) -> Fraction:
        """Everything together."""
        return self.outside + self.hours + self.miles + self.other


@dataclass(frozen=True, slots=True)
class Swing:
    """One figure moved down and up by ``SWING_PCT``, and the net saving of a year with it, cents."""

    figure: str
    low_cents: int
    high_cents: int

    @property
    def width(self) -> int:
        """How far the answer moves."""
        return abs(self.high_cents - self.low_cents)


@dataclass(frozen=True, slots=True)
class Confidence:
    """The bootstrap over the days: the middle ``CONFIDENCE_PCT`` of net savings a year; share that is positive."""

    low_cents: int
    high_cents: int
    share_positive: float
    draws: int
    seed: int


@dataclass(frozen=True, slots=True)
class Yearly:
    """A variant's year against the base's. ``None`` where a figure does not exist or would have no meaning.

    ``trip_saving_cents``: what one outside haul avoided saves: the whole saving by the hauls avoided.
    ``priced``: every outside haul has a price; otherwise the money is not whole.
    """

    variant: str
    days: int
    days_per_year: Fraction
    saving_per_day_cents: int
    saving_cents: int
    ownership_cents: int
    ownership: Ownership | None
    net_cents: int
    hauls_avoided: int
    trip_saving_cents: int | None
    break_even_trips: int | None
    break_even_days: int | None
    payback_years: Fraction | None
    tornado: tuple[Swing, ...]
    confidence: Confidence
    priced: bool

    @property
    def pays(self) -> bool:
        """Whether the year ends with more than it costs to own."""
        return self.net_cents > 0


def ownership_of(variant: Variant) -> tuple[int, Ownership | None]:
    """What owning the variant costs a year, cents: as given, or from its purchase, and its parts.

    What is given holds licence, insurance and tax already; they are not added to it.
    """
    if variant.ownership_usd is not None:
        return round_cents(exact_cents(variant.ownership_usd)), None
    if variant.purchase is None:
        return round_cents(exact_cents(variant.fixed_usd)), None
    bought = variant.purchase
    parts = yearly_ownership(
        bought.price_usd, bought.life_years, bought.salvage_pct, bought.interest_pct, variant.fixed_usd
    )
    return parts.cents, parts


def day_savings(base: Sequence[DayOutcome], other: Sequence[DayOutcome]) -> tuple[DaySaving, ...]:
    """The savings of each day, the days in the same order."""
    return tuple(_day_saving(one, two) for one, two in zip(base, other, strict=True))


def _day_saving(base: DayOutcome, other: DayOutcome) -> DaySaving:
    hours = base.own.hours_cents - other.own.hours_cents
    miles = base.own.miles_cents - other.own.miles_cents
    own = base.own.cents - other.own.cents
    outside = base.outside_cents - other.outside_cents
    return DaySaving(Fraction(outside), Fraction(hours), Fraction(miles), Fraction(own - hours - miles))


def yearly(
    variant: Variant, base: Variant, ours: Sequence[DayOutcome], theirs: Sequence[DayOutcome], *, seed: int
) -> Yearly:
    """The variant's year. ``ours``: its days; ``theirs``: the base's, in the same order, at least one."""
    savings = day_savings(theirs, ours)
    days_per_year = Fraction(variant.days_per_year)
    (owned, parts), base_owned = ownership_of(variant), ownership_of(base)[0]
    more_owned = owned - base_owned
    mean = sum((day.cents for day in savings), Fraction(0)) / len(savings)
    saving = mean * days_per_year
    avoided = sum(len(day.outside) for day in theirs) - sum(len(day.outside) for day in ours)
    per_trip = round_cents(mean * len(savings) / avoided) if avoided > 0 else None
    trips = break_even(more_owned, per_trip, 0) if per_trip is not None else None
    year = _Year(savings, days_per_year, Fraction(more_owned))
    return Yearly(
        variant=variant.name,
        days=len(savings),
        days_per_year=days_per_year,
        saving_per_day_cents=round_cents(mean),
        saving_cents=round_cents(saving),
        ownership_cents=more_owned,
        ownership=parts,
        net_cents=round_cents(saving - more_owned),
        hauls_avoided=avoided,
        trip_saving_cents=per_trip,
        break_even_trips=None if trips is None else max(0, whole_trips(trips)),
        break_even_days=max(0, whole_trips(more_owned / mean)) if mean > 0 else None,
        payback_years=_payback(variant, saving),
        tornado=year.tornado(),
        confidence=_confidence(year, seed),
        priced=not any(day.not_priced for day in (*ours, *theirs)),
    )


def _payback(variant: Variant, saving: Fraction) -> Fraction | None:
    """Years until the price is back: by the saving less licence, insurance and tax; ``None`` without a price."""
    if variant.purchase is None:
        return None
    price = round_cents(exact_cents(variant.purchase.price_usd))
    return payback_years(price, round_cents(saving - exact_cents(variant.fixed_usd)))


@dataclass(frozen=True, slots=True)
class _Year:
    """What the net saving of a year is made of."""

    savings: tuple[DaySaving, ...]
    days_per_year: Fraction
    owned: Fraction

    def net(
        self,
        outside: Fraction = Fraction(1),
        hours: Fraction = Fraction(1),
        miles: Fraction = Fraction(1),
        days: Fraction = Fraction(1),
        owned: Fraction = Fraction(1),
    ) -> Fraction:
        """Net saving with each figure multiplied by its factor."""
        total = sum(
            (one.outside * outside + one.hours * hours + one.miles * miles + one.other for one in self.savings),
            Fraction(0),
        )
        return total / len(self.savings) * self.days_per_year * days - self.owned * owned

    def tornado(self) -> tuple[Swing, ...]:
        """Each figure moved alone, the one that moves the answer most first."""
        moved: dict[str, Callable[[Fraction], Fraction]] = {
            "outside price": lambda factor: self.net(outside=factor),
            "days a year": lambda factor: self.net(days=factor),
            "cost per hour": lambda factor: self.net(hours=factor),
            "cost per mile": lambda factor: self.net(miles=factor),
            "ownership a year": lambda factor: self.net(owned=factor),
        }
        down, up = 1 - Fraction(SWING_PCT, 100), 1 + Fraction(SWING_PCT, 100)
        swings = [Swing(name, round_cents(net(down)), round_cents(net(up))) for name, net in moved.items()]
        return tuple(sorted(swings, key=lambda one: -one.width))


def _confidence(year: _Year, seed: int) -> Confidence:
    """Days drawn again and again with replacement: how far the yearly figure hangs on which days these were."""
    cents = np.array([float(day.cents) for day in year.savings])
    rng = np.random.default_rng(seed)
    means = rng.choice(cents, size=(DRAWS, len(cents))).mean(axis=1)
    nets = means * float(year.days_per_year) - float(year.owned)
    tail = (100 - CONFIDENCE_PCT) / 2
    low, high = np.percentile(nets, [tail, 100 - tail])
    return Confidence(round(float(low)), round(float(high)), float((nets > 0).mean()), DRAWS, seed)
