"""Bids made up by dice, for sums that must hold whatever the bid."""

from __future__ import annotations

from decimal import Decimal
from random import Random

from dispatch.money.allocation import Rider
from dispatch.money.lines import BidItem, PricedTrip, Way
from dispatch.money.mark_ups import Addition, MarkUp, PriceRules


def random_bid(dice: Random) -> tuple[list[BidItem], list[PricedTrip], PriceRules]:
    """Up to 25 machines in three phases, all in and most out, up to four on a trip; any rules."""
    items = [
        BidItem(f"m{n}", dice.choice(["one", "two", "three"]), n // 2, dice.choice([0, dice.randrange(500_000)]))
        for n in range(dice.randint(1, 25))
    ]
    trips = []
    for way in Way:
        names = [item.name for item in items if way is Way.IN or dice.random() < 0.8]
        while names:
            many = dice.randint(1, 4)
            riders = tuple(
                Rider(
                    name, dice.choice([0, dice.uniform(500, 90_000)]), dice.randrange(3_000), dice.randrange(500)
                )
                for name in names[:many]
            )
            names = names[many:]
            costs = (dice.choice([0, dice.randrange(5_000_000)]) for _ in range(4))
            trips.append(PricedTrip(f"{way} {len(trips)}", way, *costs, riders))
    percents = [Decimal(dice.randrange(4_000)).scaleb(-2) for _ in range(3)]
    rules = PriceRules(
        tuple(map(MarkUp, (Addition.OVERHEAD, Addition.CONTINGENCY, Addition.PROFIT), percents)),
        dice.choice([1, 100]),
        dice.choice([0, dice.randrange(2_000_000)]),
        dice.choice([1, 100, 500, 2_500, 10_000]),
    )
    return items, trips, rules
