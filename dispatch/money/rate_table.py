"""The rates that a price is made of: name, unit, meaning, default. The sheet Rates is declared from this table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from types import MappingProxyType


class Rate(StrEnum):
    """Names of rates as the sheet writes them."""

    HOURLY = "Hourly cost"
    MILEAGE = "Mileage cost"
    WAGE = "Driver wage"
    WAGE_BURDEN = "Wage burden"
    FUEL_PRICE = "Fuel price"
    FUEL_USE = "Fuel use"
    MINIMUM_PER_TRIP = "Minimum per trip"
    MINIMUM_PER_BID = "Minimum per bid"
    WAITING = "Waiting"
    WAITING_FREE = "Waiting free"
    WAITING_STEP = "Waiting step"
    STANDBY = "Standby"
    OVERHEAD = "Overhead"
    CONTINGENCY = "Contingency"
    PROFIT = "Profit"


@dataclass(frozen=True, slots=True)
class RateSpec:
    """One rate: its unit, what it means, and what holds where the sheet has no row.

    ``default``: holds without a row, and the assumptions say so; ``None``: there is none. ``required``: every bid
    needs the row, if only to say 0. ``other_units``: units that a row may have instead, each with its factor into
    ``unit``.
    """

    rate: Rate
    unit: str
    meaning: str
    default: Decimal | None = None
    required: bool = False
    other_units: Mapping[str, Decimal] = field(default_factory=dict)

    def in_own_unit(self, value: Decimal, unit: str) -> Decimal:
        """The value in the table's unit; an empty unit means that one. Raises KeyError for any other unit."""
        if unit in ("", self.unit):
            return value
        return value * self.other_units[unit]


_PER_MILE = {"USD/km": Decimal("1.609344")}
"""Exact: the statute mile is 1.609344 km (NIST SP 811, appendix B.8)."""
_PER_GALLON = {"USD/L": Decimal("3.785411784")}
"""Exact: the US gallon is 231 cubic inches, 3.785411784 litres (NIST SP 811, appendix B.8)."""
_MINUTES = {"h": Decimal(60)}

_SPECS = (
    RateSpec(
        Rate.HOURLY,
        "USD/h",
        "What an hour of a rig costs, leaving the yard to returning. Takes the place of every rig's own cost per "
        "hour. With a driver wage it is the cost of truck and trailer alone.",
    ),
    RateSpec(
        Rate.MILEAGE,
        "USD/mi",
        "What a mile costs, loaded or empty. Takes the place of every rig's own cost per mile. With a fuel price "
        "it is the cost of the mile without fuel.",
        other_units=_PER_MILE,
    ),
    RateSpec(
        Rate.WAGE,
        "USD/h",
        "Driver's wage, added to the hourly cost. Needs an hourly cost: the rig's own may hold a wage already.",
    ),
    RateSpec(Rate.WAGE_BURDEN, "%", "Taxes and insurance on the wage, per cent of it.", default=Decimal(0)),
    RateSpec(
        Rate.FUEL_PRICE,
        "USD/gal",
        "Price of fuel, added to the mileage cost as price / fuel use. Needs a fuel use and a mileage cost: the "
        "rig's own may hold fuel already.",
        other_units=_PER_GALLON,
    ),
    RateSpec(Rate.FUEL_USE, "mi/gal", "Miles on a gallon, loaded and empty alike."),
    RateSpec(
        Rate.MINIMUM_PER_TRIP,
        "USD/trip",
        "The least that a trip of the own rigs is charged, before permits, escorts and mark-ups.",
        default=Decimal(0),
    ),
    RateSpec(
        Rate.MINIMUM_PER_BID, "USD", "The least price of a whole bid, after all mark-ups.", default=Decimal(0)
    ),
    RateSpec(Rate.WAITING, "USD/h", "Waiting at a site past the free time."),
    RateSpec(
        Rate.WAITING_FREE,
        "min",
        "Waiting at a stop that is not charged; 30 min in a hire schedule of the United Kingdom.",
        default=Decimal(30),
        other_units=_MINUTES,
    ),
    RateSpec(
        Rate.WAITING_STEP,
        "min",
        "Waiting past the free time is charged for every started step: 60 by the started hour, 1 by the minute.",
        default=Decimal(60),
        other_units=_MINUTES,
    ),
    RateSpec(Rate.STANDBY, "USD/day", "A machine kept on the job without work, a day."),
    RateSpec(Rate.OVERHEAD, "%", "Overhead, per cent of the direct cost.", required=True),
    RateSpec(
        Rate.CONTINGENCY,
        "%",
        "For what is not foreseen, per cent of direct cost and overhead together.",
        default=Decimal(0),
    ),
    RateSpec(
        Rate.PROFIT,
        "%",
        "Profit, per cent of direct cost, overhead and contingency together.",
        required=True,
    ),
)

RATE_TABLE: Mapping[Rate, RateSpec] = MappingProxyType({spec.rate: spec for spec in _SPECS})
"""Every rate by name, in the order of the sheet."""
