"""Tie-downs by 49 CFR 393.100 to 393.136: how many, how strong, and who gets which chain and strap."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from dispatch.allocation import Allocation, Demand, Gear, allocate, least_short, ways_to_hold
from dispatch.fleet import Rig
from dispatch.items import Contact, Item, Kind
from dispatch.units import SLACK_IN, SLACK_LB
from dispatch.working_loads import assembly_wll_lb, securement_rule


class Hold(StrEnum):
    """How a tie-down runs: vehicle to cargo, back to the same side, or over the top from side to side."""

    DIRECT = "direct"
    SAME_SIDE = "same_side"
    OVER = "over"


@dataclass(frozen=True, slots=True)
class TieDowns:
    """A number of like tie-downs with the working load limit of one, pounds."""

    count: int
    wll_lb: float
    hold: Hold


@dataclass(frozen=True, slots=True)
class Holding:
    """How one item is held. ``least``: tie-downs that its length, weight and kind ask for by number.

    ``needed_wll_lb``: aggregate that it needs; ``aggregate_wll_lb``: what its chains and straps give, ``None``
    when a rating is not known. ``least_wll_lb``: rating that makes the aggregate suffice when every tie-down
    of the item has it.
    """

    item: str
    chains: int
    straps: int
    hold: Hold
    anchors: int
    least: int
    needed_wll_lb: float
    aggregate_wll_lb: float | None
    least_wll_lb: float
    basis: str

    @property
    def tie_downs(self) -> int:
        """Chains and straps together."""
        return self.chains + self.straps

    @property
    def wll_checked(self) -> bool:
        """Whether the ratings of all its tie-downs are known, so that its aggregate was checked."""
        return self.aggregate_wll_lb is not None


@dataclass(frozen=True, slots=True)
class Securement:
    """How a set of items is held on a rig: an allocation that uses fewest tie-downs, then fewest chains.

    Where none exists ``enough`` is false, the holdings show the allocation that asks for the least further gear
    and ``shortage`` says in words what is short. ``count_enough``: enough by number, whatever the ratings.
    """

    holdings: tuple[Holding, ...]
    gear: Gear
    enough: bool
    count_enough: bool
    shortage: str

    @property
    def chains(self) -> int:
        """Chains in use (or needed)."""
        return sum(holding.chains for holding in self.holdings)

    @property
    def straps(self) -> int:
        """Straps in use (or needed)."""
        return sum(holding.straps for holding in self.holdings)

    @property
    def tie_downs(self) -> int:
        """Chains and straps in use (or needed)."""
        return self.chains + self.straps

    @property
    def anchors(self) -> int:
        """Anchor points in use (or needed)."""
        return sum(holding.anchors for holding in self.holdings)

    @property
    def needed_wll_lb(self) -> float:
        """Aggregate working load limit that all items need, pounds."""
        return sum(holding.needed_wll_lb for holding in self.holdings)

    @property
    def aggregate_wll_lb(self) -> float | None:
        """Aggregate working load limit of the tie-downs shown, pounds; ``None`` when a rating is not known."""
        known = [h.aggregate_wll_lb for h in self.holdings if h.aggregate_wll_lb is not None]
        return sum(known) if len(known) == len(self.holdings) else None

    @property
    def wll_checked(self) -> bool:
        """Whether every item's aggregate was checked against known ratings."""
        return all(holding.wll_checked for holding in self.holdings)


def least_tie_downs(length_in: float, weight_lb: float, blocked_forward: bool = False) -> int:
    """Least number of tie-downs of an article by its length, inches, and weight, pounds.

    Not blocked forward: up to 5 ft 1 (2 when over 1,100 lb), up to 10 ft 2, and 1 more for each further 10 ft or
    part; blocked forward: 1 for each 10 ft or part. Source: 49 CFR 393.110(b), (c). 10 ft 6 in -> 3.
    """
    rule = securement_rule()
    if blocked_forward:
        return max(1, math.ceil((length_in - SLACK_IN) / rule.per_length_in))
    if length_in <= rule.short_length_in + SLACK_IN:
        return 1 if weight_lb <= rule.light_weight_lb + SLACK_LB else 2
    further_in = max(0.0, length_in - SLACK_IN - rule.per_length_in)
    return 2 + math.ceil(further_in / rule.per_length_in)


def machine_least(length_in: float, weight_lb: float, blocked_forward: bool = False) -> tuple[int, str]:
    """Least number of tie-downs of a wheeled or tracked machine, and the clause that asks for them.

    From 10,000 lb at least four, by chains (49 CFR 393.130(c)); lighter machines by 49 CFR 393.110.
    """
    rule = securement_rule()
    count = least_tie_downs(length_in, weight_lb, blocked_forward)
    if is_heavy_machine(weight_lb) and count <= rule.machine_least:
        return rule.machine_least, rule.machine_clause
    return count, rule.count_clause


def light_vehicle_least(weight_lb: float) -> tuple[int, str]:
    """Least number of tie-downs of a car, light truck or van, and the clause: two (49 CFR 393.128(b)).

    Raises ValueError when it weighs more than the clause covers (10,000 lb).
    """
    rule = securement_rule()
    if weight_lb > rule.light_vehicle_up_to_lb + SLACK_LB:
        raise ValueError(f"{weight_lb:,.0f} lb is over {rule.light_vehicle_up_to_lb:,.0f} lb: not a light vehicle")
    return rule.light_vehicle_least, rule.light_vehicle_clause


def is_heavy_machine(weight_lb: float) -> bool:
    """Whether a wheeled or tracked machine of this weight, pounds, falls under 49 CFR 393.130 (10,000 lb up)."""
    return weight_lb >= securement_rule().machine_from_lb - SLACK_LB


def required_wll_lb(weight_lb: float) -> float:
    """Aggregate working load limit that an article needs, pounds: half its weight (49 CFR 393.106(d))."""
    return securement_rule().weight_share * weight_lb


def aggregate_wll_lb(tie_downs: Iterable[TieDowns]) -> float:
    """Aggregate working load limit, pounds: half of each direct or same-side tie-down, all of one over the top.

    Source: 49 CFR 393.106(d). Four direct chains of 6,600 lb give 13,200 lb.
    """
    return sum(_share(group.hold) * group.count * group.wll_lb for group in tie_downs)


def tie_downs_needed(
    length_in: float, weight_lb: float, wll_lb: float, hold: Hold, blocked_forward: bool = False
) -> int:
    """Number of like tie-downs of ``wll_lb`` each that an article needs, by number and by aggregate."""
    by_rating = math.ceil((required_wll_lb(weight_lb) - SLACK_LB) / (_share(hold) * wll_lb))
    return max(least_tie_downs(length_in, weight_lb, blocked_forward), by_rating)


def is_secure(items: Sequence[Item], rig: Rig) -> bool:
    """Whether the rig's gear can hold these items at once: the quick form of ``secure`` for many item sets."""
    return allocate(tuple(_demand(item) for item in items), gear_of(rig)) is not None


def holding_options(item: Item, rig: Rig) -> Hashable:
    """All that decides whether the rig's gear holds the item beside others: equal for items that ask the same.

    The pairs (chains, straps) that would hold it, and the anchor points of each tie-down.
    """
    demand = _demand(item)
    return ways_to_hold(demand, gear_of(rig)), demand.anchors_each


def secure(items: Sequence[Item], rig: Rig) -> Securement:
    """How the rig's chains, straps and anchor points hold the items, each at its greatest true weight.

    Machines are held directly: one anchor and half the rating each; wheeled or tracked ones of 10,000 lb or more
    by chains only. Everything else is held over the top: two anchors and the full rating. A tie-down's rating
    is the lower of its own and the anchor's; a kind without a rating is not checked for strength, anchor points
    that are not given are not counted. An allocation is found whenever one exists.
    Source: 49 CFR 393.106, 393.108, 393.110, 393.130.
    """
    gear = gear_of(rig)
    demands = tuple(_demand(item) for item in items)
    found = allocate(demands, gear)
    if found is not None:
        return Securement(_holdings(items, demands, found, gear), gear, True, True, "")
    by_count = allocate(demands, gear.unrated())
    shown = least_short(demands, gear)
    words = _shortage(items, demands, gear, shown, by_count)
    if shown is None:
        shown = by_count or tuple((demand.least, 0) for demand in demands)
    return Securement(_holdings(items, demands, shown, gear), gear, False, by_count is not None, words)


def gear_of(rig: Rig) -> Gear:
    """What a rig carries to hold loads with; ratings already the lower of tie-down and anchor."""
    trailer = rig.trailer

    def rated(own_lb: float | None) -> float | None:
        return None if own_lb is None else assembly_wll_lb(own_lb, trailer.anchor_rating_lb)

    return Gear(
        rig.chains, rated(rig.chain_rating_lb), rig.straps, rated(rig.strap_rating_lb), trailer.anchor_points
    )


def _share(hold: Hold) -> float:
    rule = securement_rule()
    return rule.over_share if hold is Hold.OVER else rule.direct_share


def _hold(item: Item) -> Hold:
    return Hold.DIRECT if item.kind is Kind.MACHINE else Hold.OVER


def _rolls(item: Item) -> bool:
    """Whether 49 CFR 393.130 can apply: a wheeled or tracked machine."""
    return item.kind is Kind.MACHINE and item.contact is not Contact.SKIDS


def _least(item: Item) -> tuple[int, str]:
    if _rolls(item):
        return machine_least(item.length_in, item.weight.high_lb)
    return least_tie_downs(item.length_in, item.weight.high_lb), securement_rule().count_clause


def _demand(item: Item) -> Demand:
    hold = _hold(item)
    return Demand(
        least=_least(item)[0],
        needed_wll_lb=required_wll_lb(item.weight.high_lb),
        share=_share(hold),
        anchors_each=2 if hold is Hold.OVER else 1,
        chains_only=_rolls(item) and is_heavy_machine(item.weight.high_lb),
    )


def _holdings(
    items: Sequence[Item], demands: tuple[Demand, ...], found: Allocation, gear: Gear
) -> tuple[Holding, ...]:
    return tuple(
        Holding(
            item=item.name,
            chains=chains,
            straps=straps,
            hold=_hold(item),
            anchors=demand.anchors_each * (chains + straps),
            least=demand.least,
            needed_wll_lb=demand.needed_wll_lb,
            aggregate_wll_lb=demand.aggregate_lb(chains, straps, gear),
            least_wll_lb=demand.needed_wll_lb / (demand.share * (chains + straps)),
            basis=_least(item)[1],
        )
        for item, demand, (chains, straps) in zip(items, demands, found, strict=True)
    )


def _shortage(
    items: Sequence[Item],
    demands: tuple[Demand, ...],
    gear: Gear,
    shown: Allocation | None,
    by_count: Allocation | None,
) -> str:
    """What is short, in words: needed against carried, and the rating that would do with what is carried."""
    if shown is None:
        weak = [item.name for item, demand in zip(items, demands, strict=True) if not demand.holdable(gear)]
        words = f"the ratings are too low to hold {', '.join(weak)}"
    else:
        chains, straps = sum(c for c, _ in shown), sum(s for _, s in shown)
        anchors = sum(d.anchors_each * (c + s) for d, (c, s) in zip(demands, shown, strict=True))
        lines = [("chain", chains, gear.chains), ("strap", straps, gear.straps)]
        if gear.anchors is not None:
            lines.append(("anchor point", anchors, gear.anchors))
        words = "; ".join(
            f"needs {_count(needed, noun)}, carries {carried}"
            for noun, needed, carried in lines
            if needed > carried
        )
    if by_count is None:
        return words
    least_lb = max(d.needed_wll_lb / (d.share * (c + s)) for d, (c, s) in zip(demands, by_count, strict=True))
    return f"{words}; or {_count(sum(c + s for c, s in by_count), 'tie-down')} rated {least_lb:,.0f} lb each"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" + ("" if number == 1 else "s")
