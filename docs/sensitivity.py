"""How the margins of two loads of the demo morning hang on each input, as tables of the calculation notes.

``python docs/sensitivity.py`` rewrites them. Every figure is a difference of two runs of the product's own checks:
the load as it is, and with one input a unit higher. Deterministic.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from dispatch.io.read_workbook import read_inputs

from dispatch.checks import Check
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item, Weight
from dispatch.legality import leg_checks
from dispatch.plan import Leg, Placed
from dispatch.problem import Problem

NOTES = Path(__file__).with_name("calculation-notes.md")
MORNING = Path(__file__).parents[1] / "scenarios" / "morning"
FURTHEST = 40
"""Units tried in each direction."""


@dataclass(frozen=True)
class Load:
    """A rig with its items on deck between two sites, and the margins to show."""

    problem: Problem
    rig: Rig
    leg: Leg

    def checks(self) -> dict[str, Check]:
        """Every check of the leg by its name."""
        return {check.name: check for check in leg_checks(self.problem, self.rig, self.leg)}

    def names(self) -> list[str]:
        """Items in the order of their placements."""
        return [self.problem.hauls[placed.haul].item.name for placed in self.leg.on_deck]

    def with_item(self, name: str, change: Callable[[Item], Item]) -> Load:
        """The load with one item changed."""
        hauls = [replace(h, item=change(h.item)) if h.item.name == name else h for h in self.problem.hauls]
        return replace(self, problem=replace(self.problem, hauls=tuple(hauls)))

    def shifted(self, name: str, by_in: int) -> Load:
        """The load with one item's front edge farther back."""
        on_deck = tuple(
            replace(placed, front_edge_in=placed.front_edge_in + by_in) if item == name else placed
            for item, placed in zip(self.names(), self.leg.on_deck, strict=True)
        )
        return replace(self, leg=replace(self.leg, on_deck=on_deck))

    def on_trailer(self, field: str, by: float) -> Load:
        """The load on a trailer with one length longer, inches, or one weight heavier, per cent."""
        old = getattr(self.rig.trailer, field)
        new = heavier(old, by) if isinstance(old, Weight) else old + by
        return replace(self, rig=replace(self.rig, trailer=replace(self.rig.trailer, **{field: new})))

    def on_truck(self, field: str, by: float) -> Load:
        """The load behind a truck with one length longer, inches."""
        new = getattr(self.rig.truck, field) + by
        return replace(self, rig=replace(self.rig, truck=replace(self.rig.truck, **{field: new})))


Change = Callable[[Load, int], Load]
"""The load with an input so many units higher."""


def heavier(weight: Weight, by_pct: float) -> Weight:
    """A weight so many per cent higher, its tolerance with it."""
    factor = 1 + by_pct / 100
    scaled = (lb * factor for lb in (weight.nominal_lb, weight.low_lb, weight.high_lb))
    return Weight(*scaled, weight.basis)


def of_item(name: str) -> dict[str, Change]:
    """What one item's figures change."""
    return {
        f"{name}: weight, 1 %": lambda load, n: load.with_item(
            name, lambda item: replace(item, weight=heavier(item.weight, n))
        ),
        f"{name}: CG, 1 in farther from its front": lambda load, n: load.with_item(
            name, lambda item: replace(item, cg_in=item.cg_in + n)
        ),
        f"{name}: front edge, 1 in back": lambda load, n: load.shifted(name, n),
    }


def of_rig(load: Load) -> dict[str, Change]:
    """What the rig's figures change."""
    changes: dict[str, Change] = {
        "trailer: empty coupler, 1 %": lambda load, n: load.on_trailer("empty_coupler", n),
        "trailer: empty axles, 1 %": lambda load, n: load.on_trailer("empty_axles", n),
        "trailer: coupler to first axle, 1 in": lambda load, n: load.on_trailer("coupler_to_first_axle_in", n),
        "trailer: axle spacing, 1 in": lambda load, n: load.on_trailer("axle_spacing_in", n),
        "truck: wheelbase, 1 in": lambda load, n: load.on_truck("wheelbase_in", n),
        "truck: coupler ahead of rear axle, 1 in": lambda load, n: load.on_truck("coupler_ahead_in", n),
    }
    if load.rig.trailer.dovetail_length_in:
        changes["trailer: dovetail, 1 in longer"] = lambda load, n: load.on_trailer("dovetail_length_in", n)
    return changes


def inputs(load: Load, heavy: Sequence[str]) -> dict[str, Change]:
    """Every input that is varied: the figures of the heavy items, then the rig's."""
    found: dict[str, Change] = {}
    for name in heavy:
        found |= of_item(name)
    return found | of_rig(load)


@cache
def morning() -> Problem:
    """The demo morning."""
    problem = read_inputs([MORNING]).problem
    assert problem is not None
    return problem


def standing(rig: str, origin: str, destination: str, *places: tuple[str, Deck, int, Facing]) -> Load:
    """Items of the morning at places on one of its rigs."""
    problem = morning()
    index = {haul.item.name: number for number, haul in enumerate(problem.hauls)}
    on_deck = tuple(Placed(index[item], deck, edge, facing) for item, deck, edge, facing in places)
    return Load(problem, problem.rig(rig), Leg(origin, destination, 0, 0, on_deck))


def two_machines() -> Load:
    """The morning's first trip with the excavator 32 in farther back, its tracks across the dovetail's hinge."""
    return standing(
        *("Gooseneck", "Home yard", "Hilltop School"),
        ("R-2", Deck.MAIN, 6, Facing.REARWARD),
        ("ME-4", Deck.MAIN, 150, Facing.REARWARD),
        ("BK-24", Deck.NECK, 6, Facing.FORWARD),
    )


def permit_dozer() -> Load:
    """The morning's permit load: one dozer on the lowbed."""
    return standing("Lowbed", "Quarry Bend", "Fairground Lot", ("D-8", Deck.MAIN, 8, Facing.FORWARD))


TABLES: Mapping[str, tuple[Callable[[], Load], tuple[str, ...], tuple[str, ...]]] = {
    "gooseneck": (
        two_machines,
        ("ME-4", "R-2"),
        *(
            (
                "Trailer GVWR",
                "Trailer axle group",
                "Coupler share least",
                "Truck rear axles",
                "Steer least",
                "Dovetail",
            ),
        ),
    ),
    "lowbed": (
        permit_dozer,
        ("D-8",),
        *(
            (
                "Trailer axle group",
                "Truck rear axles",
                "Truck front axle",
                "Truck GVWR",
                "Registered weight",
                "GCWR",
            ),
        ),
    ),
}
"""By name: the load, the items whose figures are varied, the checks to show."""


def differences(load: Load, change: Change) -> dict[str, float]:
    """What each check's margin gains by one unit more of the input, in the check's unit."""
    before, after = load.checks(), change(load, 1).checks()
    return {name: after[name].margin - check.margin for name, check in before.items() if name in after}


def first_broken(load: Load, change: Change, way: int) -> tuple[int, str] | None:
    """Units, with their sign, at which the load is first refused, and the check; None within reach."""
    for units in range(way, way * (FURTHEST + 1), way):
        broken = [check for check in change(load, units).checks().values() if not check.ok]
        if broken:
            return units, broken[0].name
    return None


def legal_until(load: Load, change: Change) -> str:
    """In words: at how many units less and more the load is first refused, and by which check."""
    ends = [first_broken(load, change, way) for way in (-1, 1)]
    return "; ".join(f"{end[0]:+d} {end[1]}" for end in ends if end is not None)


def table(name: str) -> str:
    """One table as Markdown."""
    build, heavy, shown = TABLES[name]
    load = build()
    units = {check: load.checks()[check].unit for check in shown}

    def figure(check: str, value: float, sign: str = "+") -> str:
        digits = 2 if units[check] == "%" else 1 if sign else 0
        said = f"{value:{sign},.{digits}f}"
        return "0" if float(said.replace(",", "")) == 0 else said

    rows = [
        ["one unit more of", *(f"{check} ({unit})" for check, unit in units.items()), "first refused at"],
        ["---"] + ["---:"] * len(shown) + ["---"],
        ["*margin as it is*", *(figure(check, load.checks()[check].margin, "") for check in shown), ""],
    ]
    for label, change in inputs(load, heavy).items():
        gained = differences(load, change)
        rows.append([label, *(figure(check, gained[check]) for check in shown), legal_until(load, change)])
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def rewritten(notes: str) -> str:
    """The notes with every table anew, between its marks."""
    for name in TABLES:
        marks = f"<!-- {name} -->", f"<!-- end of {name} -->"
        pattern = f"({re.escape(marks[0])}\n).*?({re.escape(marks[1])})"
        fresh = table(name)
        notes = re.sub(pattern, lambda found, fresh=fresh: f"{found[1]}\n{fresh}\n\n{found[2]}", notes, flags=re.S)  # type: ignore[misc]
    return notes


if __name__ == "__main__":
    NOTES.write_text(rewritten(NOTES.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")
