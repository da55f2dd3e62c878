"""What an axle's tyres carry: ratings, single and dual fitment, and limits by tyre width."""

from __future__ import annotations

from functools import lru_cache

from dispatch.limits import read_table
from dispatch.units import LB_PER_KG

PASSENGER_DERATE = 1.10
"""A passenger tyre's rating on a truck or trailer is divided by this (49 CFR 571.110 and 571.120)."""


def axle_capacity_lb(tyre_rating_lb: float, tyres: int) -> float:
    """Capacity, pounds, of an axle on ``tyres`` like tyres, each rated as fitted (single or dual).

    Four tyres in dual of 2,778 lb carry 11,112 lb; the single rating of 3,042 would be wrong there.
    """
    return tyre_rating_lb * tyres


def passenger_rating_lb(sidewall_lb: float) -> float:
    """Rating, pounds, of a passenger tyre on a truck or trailer: sidewall / 1.10 (49 CFR 571.120 S5.1.2)."""
    return sidewall_lb / PASSENGER_DERATE


def load_index_lb(index: int) -> float:
    """Rating, pounds, of a tyre by its load index (100 to 160), from memory. Raises KeyError outside the table."""
    return _load_index_kg()[index] * LB_PER_KG


def width_limit_lb(lb_per_in: float, tyre_width_in: float, tyres: int) -> float:
    """Legal axle load, pounds, by a rule of so many pounds per inch of tyre width: 650 x 11 in x 2 = 14,300."""
    return lb_per_in * tyre_width_in * tyres


def axle_limit_lb(*limits_lb: float | None) -> float | None:
    """The most restrictive of an axle's limits, pounds (legal cap, width rule, tyre rating); ``None`` if none."""
    return min((limit for limit in limits_lb if limit is not None), default=None)


def meets_axle_rating(capacity_lb: float, axle_rating_lb: float) -> bool:
    """Whether the tyres carry at least what the axle is rated for. Source: 49 CFR 571.120 S5.1.2 (from memory)."""
    return capacity_lb >= axle_rating_lb


@lru_cache(maxsize=1)
def _load_index_kg() -> dict[int, float]:
    return {int(index): float(kg) for index, kg in read_table("load_index.toml")["kg"].items()}
