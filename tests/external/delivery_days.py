"""Pickup-and-delivery instances with time windows as days of the product: load-then-unload, three items a trip.

A request is a machine that goes from its pickup node to its drop node; each node is a site whose hours are the
node's window, so that work begins within the window. Each trip can have a rig of its own that leaves the depot at
0 and is back by the horizon: the fewest trips of the day are the fewest vehicles of one trip each.

Time is scaled by a whole number of minutes a unit, as many as the product's longest day allows, and every road is
rounded up to the whole minute: ``minutes``. Windows, work and horizon are whole units and lose nothing. Whoever
compares must use these minutes, not the unrounded distances. Source of the instances: ``data/lilim/README.md``.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from dispatch.limits import LimitOverride, load_rule_set
from dispatch.problem import Problem
from dispatch.settings import Settings
from dispatch.sites import Road
from dispatch.timing import NEVER_MIN
from tests import factories as make

DATA = Path(__file__).parent / "data" / "lilim" / "lilim_requests_100.csv"
MOST_ITEMS = 3
ITEM_LB, ITEM_IN, DECK_IN = 3_000.0, 60.0, 400.0
HOURS = ("driving_h", "duty_window_h", "break_after_h")


@dataclass(frozen=True)
class Node:
    """A place with its window for the start of work, and the work, in units of time."""

    number: int
    x: float
    y: float
    opens: int
    closes: int
    work: int


@dataclass(frozen=True)
class Instance:
    """Requests as (pickup, drop), and the depot with the horizon as its window."""

    name: str
    depot: Node
    requests: tuple[tuple[Node, Node], ...]

    @property
    def minutes_a_unit(self) -> int:
        """The scale: the horizon stays within the longest day that the product can reckon."""
        return (NEVER_MIN - 1) // self.depot.closes

    def minutes(self, a: Node, b: Node) -> int:
        """Driving time, scaled and rounded up to the whole minute."""
        exact = self.minutes_a_unit**2 * (round(a.x - b.x) ** 2 + round(a.y - b.y) ** 2)
        root = math.isqrt(exact)
        return root if root * root == exact else root + 1


def instances() -> dict[str, Instance]:
    """All 56 by name."""
    rows: dict[str, list[dict[str, str]]] = {}
    with DATA.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            rows.setdefault(row["instance"], []).append(row)
    return {name: _instance(name, own) for name, own in rows.items()}


def _instance(name: str, rows: Sequence[dict[str, str]]) -> Instance:
    def node(row: dict[str, str], kind: str, letter: str) -> Node:
        times = (int(row[f"{letter}_{key}"]) for key in ("ready", "due", "service"))
        number = int(row["pickup_node" if kind == "p" else "drop_node"])
        return Node(number, float(row[f"{kind}x"]), float(row[f"{kind}y"]), *times)

    depot = next(row for row in rows if row["pickup_node"] == "0")
    requests = [row for row in rows if row["pickup_node"] != "0"]
    return Instance(
        name, node(depot, "p", "p"), tuple((node(row, "p", "p"), node(row, "d", "d")) for row in requests)
    )


def day_of(instance: Instance, requests: int | None = None) -> Problem:
    """The instance as a day, or its first requests only."""
    scale, depot = instance.minutes_a_unit, instance.depot
    wanted = instance.requests[:requests]
    nodes = [node for request in wanted for node in request]
    sites = [
        make.site(
            f"node {node.number}", opens_min=scale * node.opens, closes_min=scale * (node.closes + node.work)
        )
        for node in nodes
    ]
    rigs = [
        make.rig(
            f"rig {number + 1}",
            trailer=make.trailer(f"rig {number + 1} trailer", deck_length_in=DECK_IN),
            yard="depot",
            shift_start_min=0,
            shift_end_min=scale * depot.closes,
            cost_per_hour_usd=0.0,
            cost_per_mile_usd=0.0,
        )
        for number in range(len(wanted))
    ]
    moves = [
        make.move(
            f"request {pickup.number}",
            make.item(f"machine {pickup.number}", ITEM_LB, ITEM_IN),
            origin=f"node {pickup.number}",
            destination=f"node {drop.number}",
            load_min=scale * pickup.work,
            unload_min=scale * drop.work,
        )
        for pickup, drop in wanted
    ]
    return make.problem(
        moves,
        rigs,
        sites=[make.site("depot"), *sites],
        roads=_roads(instance, nodes),
        settings=Settings(most_items_per_trip=MOST_ITEMS),
        rule_set=load_rule_set("US federal", [LimitOverride(key, None) for key in HOURS]),
    )


def _roads(instance: Instance, nodes: Sequence[Node]) -> list[Road]:
    named = [("depot", instance.depot), *((f"node {node.number}", node) for node in nodes)]
    return [
        Road(first, second, tenths_mi=instance.minutes(a, b), minutes=instance.minutes(a, b))
        for place, (first, a) in enumerate(named)
        for second, b in named[place + 1 :]
    ]
