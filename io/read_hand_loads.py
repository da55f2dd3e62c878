"""Rows of Loads -> loads put together by hand, or what is wrong with them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping

from dispatch.io.cells import folded, shown
from dispatch.io.input_problems import Findings
from dispatch.io.typed_rows import Row

from dispatch.fleet import Deck, Rig
from dispatch.hand_loads import HandLoad, LoadLine
from dispatch.items import Facing, Item, LoadsBy
from dispatch.problem import Problem
from dispatch.units import SLACK_IN, feet_inches, round_half_up

PLACE = "Front edge behind deck front"


def hand_loads(
    rows: Iterable[Row], problem: Problem, idle: Collection[str], findings: Findings
) -> tuple[HandLoad, ...]:
    """The loads in the order of their first rows, lines in loading order; only loads without a problem.

    ``idle``: rigs that are not available.
    """
    by_load: dict[str, list[Row]] = {}
    for row in rows:
        if row.values.get("Load"):
            by_load.setdefault(folded(str(row["Load"])), []).append(row)
    items = {item.name: item for item in problem.items}
    rigs = {rig.name: rig for rig in problem.rigs}
    loads = (_load(same, items, rigs, idle, findings) for same in by_load.values())
    return tuple(load for load in loads if load is not None)


def _load(
    rows: list[Row],
    items: Mapping[str, Item],
    rigs: Mapping[str, Rig],
    idle: Collection[str],
    findings: Findings,
) -> HandLoad | None:
    rig = _rig(rows, rigs, idle, findings)
    good = [_no_item_twice(rows, findings), _orders_agree(rows, findings)]
    good += [_line_agrees(row, items, rig, findings) for row in rows]
    if rig is None or not all(good) or not all(row.ok for row in rows):
        return None
    lines = sorted(rows, key=lambda row: row["Order"] or 0)  # without orders as they stand
    return HandLoad(rows[0]["Load"], rig.name, tuple(_line(row, items, findings) for row in lines))


# -- the load as a whole -----------------------------------------------------------------------------------------


def _rig(rows: list[Row], rigs: Mapping[str, Rig], idle: Collection[str], findings: Findings) -> Rig | None:
    """The one rig that the rows name."""
    given = [row for row in rows if "Rig" in row.given and "Rig" not in row.bad]
    if not given:
        if not any("Rig" in row.bad for row in rows):
            findings.problem(
                rows[0].where("Rig"), "", "a rig on at least one row of the load", next(iter(rigs), "")
            )
        return None
    first = given[0]
    others = [row for row in given if row["Rig"] != first["Rig"]]
    for row in others:
        expected = f"one rig for all rows of a load: {first['Rig']}, as at {first.where('Rig')}"
        findings.problem(row.where("Rig"), shown(row.raw["Rig"]), expected, first["Rig"])
    if first["Rig"] in idle:
        findings.problem(first.where("Rig"), first["Rig"], "a rig that is available today", next(iter(rigs), ""))
    return None if others else rigs.get(first["Rig"])


def _no_item_twice(rows: list[Row], findings: Findings) -> bool:
    return _no_repeats(rows, "Item", "an item once in a load", findings)


def _no_repeats(rows: list[Row], column: str, expected: str, findings: Findings) -> bool:
    first: dict[object, Row] = {}
    good = True
    for row in rows:
        if column not in row.given or column in row.bad:
            continue
        earlier = first.setdefault(row[column], row)
        if earlier is not row:
            good = False
            where = earlier.where(column)
            findings.problem(row.where(column), shown(row.raw[column]), f"{expected}; {where} has it already")
    return good


def _orders_agree(rows: list[Row], findings: Findings) -> bool:
    """An order on every row or on none, each once."""
    blank = [row for row in rows if "Order" not in row.given]
    good = _no_repeats(rows, "Order", "an order once in a load", findings)
    if blank and len(blank) < len(rows):
        taken = Counter(row["Order"] for row in rows if row not in blank)
        free = next(number for number in range(1, len(rows) + 2) if number not in taken)
        for row in blank:
            expected = "an order on every row of a load, or on none"
            findings.problem(row.where("Order"), "", expected, str(free))
        return False
    return good


# -- one line ----------------------------------------------------------------------------------------------------


def _line_agrees(row: Row, items: Mapping[str, Item], rig: Rig | None, findings: Findings) -> bool:
    """Facing and deck against what the item and the rig allow."""
    item = items.get(row.values.get("Item") or "")
    if item is None:
        return False
    good = True
    if row["Facing"] is not None and Facing(row["Facing"]) not in item.facings:
        allowed = item.facings[0].value
        good = False
        expected = f"{allowed}: the sheet Items lets {item.name} face that way only"
        findings.problem(row.where("Facing"), row["Facing"], expected, allowed)
    if row["Deck"] != Deck.NECK.value:
        return good
    if item.loads_by is not LoadsBy.LIFTED:
        good = False
        expected = f"main: {item.name} is not lifted, and only lifted items ride on a neck deck"
        findings.problem(row.where("Deck"), row["Deck"], expected, Deck.MAIN.value)
    if rig is not None and rig.trailer.neck is None:
        good = False
        expected = f"main: trailer {rig.trailer.name} has no neck deck"
        findings.problem(row.where("Deck"), row["Deck"], expected, Deck.MAIN.value)
    return good


def _line(row: Row, items: Mapping[str, Item], findings: Findings) -> LoadLine:
    return LoadLine(
        item=items[row["Item"]],
        front_edge_in=_whole_inches(row, findings),
        facing=None if row["Facing"] is None else Facing(row["Facing"]),
        deck=None if row["Deck"] is None else Deck(row["Deck"]),
        runs=row["Runs"],
        permit=row["Permit"],
    )


def _whole_inches(row: Row, findings: Findings) -> int | None:
    """The place on the grid of one inch; a warning when it is not on the grid."""
    if row[PLACE] is None:
        return None
    whole = round_half_up(row[PLACE])
    if abs(whole - row[PLACE]) > SLACK_IN:
        remark = f"is taken as {feet_inches(whole)}: places count in whole inches"
        findings.warning(row.where(PLACE), shown(row.raw[PLACE]), remark)
    return whole
