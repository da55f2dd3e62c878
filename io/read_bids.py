"""Rows of Mobilisation -> bids, with every contradiction within a bid noted at its cell."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal

from dispatch.io.cells import folded, nearest, shown
from dispatch.io.input_problems import Findings, Where
from dispatch.io.layout_mobilisation import FIRST_PHASE, KIND_COLUMNS, KIND_FIGURES, MOBILISATION
from dispatch.io.typed_rows import Row

from dispatch.items import Contact, Facing, Item, Kind, LoadsBy, WeightBasis
from dispatch.mobilisation.bid import Bid, BidLine
from dispatch.problem import Problem
from dispatch.settings import Settings
from dispatch.travel import Travel

MOST_MACHINES = 200
"""Of one bid; a thousand typed into Quantity by mistake should not keep anybody waiting."""


def read_bids(rows: Sequence[Row], problem: Problem, findings: Findings) -> tuple[Bid, ...]:
    """The bids, in the order of their first rows; rows with a problem are left out of them."""
    items = {item.name: item for item in problem.items}
    kinds = _kinds(rows)
    by_bid: dict[str, list[Row]] = {}
    for row in rows:
        if row.values.get("Bid") and "Bid" not in row.bad:
            by_bid.setdefault(folded(row["Bid"]), []).append(row)
    return tuple(_bid(own, items, kinds, problem, findings) for own in by_bid.values())


def note_no_bid(rows: Sequence[Row], files: str, findings: Findings) -> None:
    """Without a row there is nothing to price."""
    if not rows:
        findings.problem(Where(files, MOBILISATION.name), "", f"at least one row in {MOBILISATION.name}")


def _bid(
    rows: Sequence[Row],
    items: Mapping[str, Item],
    kinds: Mapping[str, Row],
    problem: Problem,
    findings: Findings,
) -> Bid:
    phases = _phase_names(rows)
    in_by = _one_day(rows, "In by", findings)
    out_after = _one_day(rows, "Out after", findings)
    _days_in_order(rows, in_by, out_after, problem.settings, findings)
    _note_twice(rows, findings)
    travel = Travel(problem.sites, problem.roads, problem.settings)
    lines, machines = [], 0
    for number, row in enumerate(rows, start=1):
        item = _item(row, items, kinds, problem.settings, findings)
        _note_places(row, rows, problem, travel, findings)
        if item is None or not row.ok:
            continue
        machines += row["Quantity"]
        if machines > MOST_MACHINES:
            expected = f"at most {MOST_MACHINES} machines in a bid; this row makes {machines}"
            findings.problem(row.where("Quantity"), shown(row.raw.get("Quantity")), expected)
            break
        phase = folded(row["Phase"] or FIRST_PHASE)
        out_to = row["Out to"] or row["From"]
        lines.append(
            BidLine(
                number=number,
                item=item,
                chosen=bool(row["Item"]),
                quantity=row["Quantity"],
                origin=row["From"],
                destination=row["To"],
                out_to=None if out_to == row["To"] else out_to,
                phase=phases[phase],
                in_by=in_by.get(phase),
                out_after=out_after.get(phase),
                standby_days=Decimal(f"{row['Standby days']:.10g}"),
                permit=row["Permit"] or "",
            )
        )
    return Bid(rows[0]["Bid"], tuple(lines))


def _phase_names(rows: Iterable[Row]) -> dict[str, str]:
    """Every phase as its first row spells it."""
    found: dict[str, str] = {}
    for row in rows:
        phase = str(row.values.get("Phase") or FIRST_PHASE)
        found.setdefault(folded(phase), phase)
    return found


# -- the machine -------------------------------------------------------------------------------------------------


def _kinds(rows: Iterable[Row]) -> dict[str, Row]:
    """The first row of each kind that states its weight and size."""
    found: dict[str, Row] = {}
    for row in rows:
        if row.values.get("Kind") and all(name in row.given for name in KIND_FIGURES) and not row.bad:
            found.setdefault(folded(row["Kind"]), row)
    return found


def _item(
    row: Row, items: Mapping[str, Item], kinds: Mapping[str, Row], settings: Settings, findings: Findings
) -> Item | None:
    if row.values.get("Item"):
        for column in KIND_COLUMNS:
            if column in row.given:
                remark = f"has no effect: the sheet Items has the figures of {row['Item']}"
                findings.warning(row.where(column), shown(row.raw[column]), remark)
        return items.get(row["Item"])
    if "Item" in row.bad or "merged cells" in row.bad:
        return None
    if not row.values.get("Kind"):
        findings.problem(
            row.where("Item"), "", "an Item, or a Kind with its weight and size; both cells are empty"
        )
        return None
    stated = _stated(row, kinds, items, findings)
    return None if stated is None or not stated.ok else kind_item(row["Kind"], stated, settings)


def _stated(row: Row, kinds: Mapping[str, Row], items: Mapping[str, Item], findings: Findings) -> Row | None:
    """The row that states the kind's figures: this one, or another of the same kind where this has none."""
    given = [name for name in KIND_FIGURES if name in row.given]
    missing = [name for name in KIND_FIGURES if name not in row.given]
    if not missing:
        return row
    if not given and folded(row["Kind"]) in kinds:
        return kinds[folded(row["Kind"])]
    if any(name in row.bad for name in KIND_FIGURES):
        return None
    for name in missing:
        expected = f"the {name.lower()} of the kind, here or on another row of the same Kind"
        if not given:
            expected = "a kind whose weight and size stand on this row or on another one of the same Kind"
        likely = nearest(row["Kind"], (other["Kind"] for other in kinds.values()))
        likely = likely or nearest(row["Kind"], items)
        column = name if given else "Kind"
        findings.problem(row.where(column), "" if given else shown(row.raw["Kind"]), expected, likely)
        if not given:
            break
    return None


def kind_item(name: str, row: Row, settings: Settings) -> Item:
    """What stands for a machine that is not chosen yet: centre of gravity in the middle, facing either.

    The contact is the whole length, so a machine on wheels is taken as an even load: no axles are known.
    """
    length_in, width_in = row["Length"], row["Width"]
    return Item(
        name=name,
        description="kind, no machine chosen yet",
        kind=Kind.MACHINE,
        weight=settings.weight(row["Weight"], WeightBasis(row["Weight basis"])),
        length_in=length_in,
        width_in=width_in,
        height_in=row["Height"],
        cg_in=length_in / 2,
        contact_from_in=0.0,
        contact_length_in=length_in,
        contact_width_in=width_in,
        contact=Contact(row["Contact type"]),
        two_axles=False,
        loads_by=LoadsBy(row["Loads by"]),
        facings=(Facing.FORWARD, Facing.REARWARD),
        tie_down_points=4,
    )


# -- days and places ----------------------------------------------------------------------------------------------


def _one_day(rows: Sequence[Row], column: str, findings: Findings) -> dict[str, date]:
    """The day of each phase; a second, different one within a phase is a problem."""
    found: dict[str, Row] = {}
    for row in rows:
        if column not in row.given or column in row.bad:
            continue
        phase = folded(row.values.get("Phase") or FIRST_PHASE)
        first = found.setdefault(phase, row)
        if first[column] != row[column]:
            expected = f"one day for a phase, which moves together: {first[column]}, as at {first.where(column)}"
            findings.problem(row.where(column), shown(row.raw[column]), expected, str(first[column]))
    return {phase: row[column] for phase, row in found.items()}


def _days_in_order(
    rows: Sequence[Row],
    in_by: Mapping[str, date],
    out_after: Mapping[str, date],
    settings: Settings,
    findings: Findings,
) -> None:
    for row in rows:
        phase = folded(row.values.get("Phase") or FIRST_PHASE)
        first, last = in_by.get(phase), out_after.get(phase)
        if "Out after" in row.given and "Out after" not in row.bad and first and last and last < first:
            expected = f"a day after the phase is in: In by says {first}"
            findings.problem(row.where("Out after"), shown(row.raw["Out after"]), expected, str(first))
        if "In by" in row.given and "In by" not in row.bad and first and first.isoformat() < settings.day:
            remark = f"is before the day of the price, {settings.day} (Settings, Day)"
            findings.warning(row.where("In by"), shown(row.raw["In by"]), remark)


def _note_twice(rows: Iterable[Row], findings: Findings) -> None:
    """A machine that goes the same way twice in a phase: a warning, since each row is hauled and priced."""
    found: dict[tuple[str, ...], Row] = {}
    for row in rows:
        if not row.ok or not row["Item"]:
            continue
        key = (folded(row["Item"]), folded(row["Phase"] or FIRST_PHASE), row["From"], row["To"])
        first = found.setdefault(key, row)
        if first is not row:
            remark = (
                f"goes the same way in the same phase as at {first.where('Item')}: it is hauled and priced again"
            )
            findings.warning(row.where("Item"), shown(row.raw["Item"]), remark)


def _note_places(row: Row, rows: Sequence[Row], problem: Problem, travel: Travel, findings: Findings) -> None:
    """A job that is where the machine stands, and roads without a distance, among the places of its phase."""
    known = _places(row, problem)
    if known.get("From") == known.get("To") is not None:
        expected = "a job elsewhere: From and To are the same site, so nothing has to be hauled"
        findings.problem(row.where("To"), shown(row.raw["To"]), expected)
        return
    phase = folded(row.values.get("Phase") or FIRST_PHASE)
    alike = [one for one in rows if folded(one.values.get("Phase") or FIRST_PHASE) == phase]
    others = [site for one in alike for site in _places(one, problem).values()]
    others += [place for rig in problem.rigs for place in (rig.yard, rig.end) if place in problem.sites]
    for column, site in known.items():
        other = next((one for one in others if not _has_road(travel, site, one)), None)
        if other is not None:
            expected = f"a site with a road to {other}: a row in Distances, or coordinates of both in Sites"
            findings.problem(row.where(column), shown(row.raw[column]), expected)


def _places(row: Row, problem: Problem) -> dict[str, str]:
    """The row's sites that are known, by column."""
    ends = ((column, str(row.values.get(column))) for column in ("From", "To", "Out to") if column not in row.bad)
    return {column: site for column, site in ends if site in problem.sites}


def _has_road(travel: Travel, site: str, other: str) -> bool:
    try:
        travel.tenths(site, other)
        travel.tenths(other, site)
    except KeyError:
        return False
    return True
