"""Rows of Items, Sites, Moves and Distances -> the core's types. Every row has been read without a problem."""

from __future__ import annotations

from collections.abc import Mapping

from dispatch.io.cells import shown
from dispatch.io.input_problems import Findings
from dispatch.io.typed_rows import Row

from dispatch.items import Contact, Facing, Item, Kind, LoadsBy, WeightBasis
from dispatch.moves import Move, Permit, Status
from dispatch.settings import Settings
from dispatch.sites import Road, Site
from dispatch.units import tenths_of_miles, whole_minutes_up

_FACINGS = {
    "either": (Facing.FORWARD, Facing.REARWARD),
    "forward": (Facing.FORWARD,),
    "rearward": (Facing.REARWARD,),
}


def item_of(row: Row, settings: Settings) -> Item:
    """The item of a row, with the tolerance of its weight's basis."""
    start = row["Contact from front"]
    contact_length = row["Contact length"] or row["Length"] - start
    contact = Contact(row["Contact type"])
    middle = start + contact_length / 2
    return Item(
        name=row["Item"],
        description=row["Description"],
        kind=Kind(row["Kind"]),
        weight=settings.weight(row["Weight"], WeightBasis(row["Weight basis"])),
        length_in=row["Length"],
        width_in=row["Width"],
        height_in=row["Height"],
        cg_in=middle if row["CG from front"] is None else row["CG from front"],
        contact_from_in=start,
        contact_length_in=contact_length,
        contact_width_in=row["Contact width"] or row["Width"],
        contact=contact,
        two_axles=contact is Contact.WHEELS and "Contact length" in row.given,
        loads_by=LoadsBy(row["Loads by"]),
        facings=_FACINGS[row["Facing"]],
        tie_down_points=row["Tie-down points"],
        value_usd=row["Value"],
    )


def site_of(row: Row) -> Site:
    """The site of a row."""
    return Site(
        name=row["Site"],
        address=row["Address"],
        latitude=row["Latitude"],
        longitude=row["Longitude"],
        opens_min=row["Opens"],
        closes_min=row["Closes"],
        contact=row["Contact"],
        longest_rig_in=row["Longest rig"],
        highest_load_in=row["Highest load"],
        heaviest_gross_lb=row["Heaviest gross"],
        extra_load_min=whole_minutes_up(row["Load minutes extra"]),
        lift_on_site=row["Lift on site"],
        note=row["Note"],
    )


def move_of(row: Row, items: Mapping[str, Item], settings: Settings) -> Move | None:
    """The move of a row; ``None`` when its item has a problem of its own."""
    item = items.get(row["Item"])
    if item is None:
        return None
    return Move(
        name=row["Move"],
        item=item,
        origin=row["From"],
        destination=row["To"],
        load_min=settings.load_min if row["Load"] is None else whole_minutes_up(row["Load"]),
        unload_min=settings.unload_min if row["Unload"] is None else whole_minutes_up(row["Unload"]),
        ready_min=row["Ready"],
        due_min=row["Deliver by"],
        priority=row["Priority"],
        job=row["Job"],
        runs=row["Runs"],
        companions=tuple(dict.fromkeys(name for name in row["With"] if name in items)),
        only_rigs=row["Only rigs"],
        not_rigs=row["Not rigs"],
        permit=_permit(row),
        note=row["Note"],
        status=Status(row["Status"]),
        rig=row["Rig"],
        start_min=row["Start"],
    )


def _permit(row: Row) -> Permit | None:
    if not row["Permit"]:
        return None
    from_min, to_min = row["Permit hours"] or (None, None)
    return Permit(row["Permit"], from_min, to_min, row["Permit cost"])


def note_idle_permits(rows: list[Row], findings: Findings) -> None:
    """Permit hours or a permit's cost without a permit have no effect: a warning."""
    for row in rows:
        if "Permit" not in row.given:
            for column in ("Permit hours", "Permit cost"):
                if column in row.given:
                    findings.warning(row.where(column), shown(row.raw[column]), "has no effect: Permit is blank")


def note_loaded_moves(rows: list[Row], findings: Findings) -> None:
    """A loaded item is planned from its pickup all the same: a warning until plans can start under way."""
    for row in rows:
        if row.values.get("Status") == Status.LOADED:
            remark = "is planned as not yet loaded, from its From: plans do not start with items on deck"
            findings.warning(row.where("Status"), shown(row.raw["Status"]), remark)


def road_of(row: Row) -> Road:
    """The road of a row: tenths of a mile, minutes up to a whole one, both rounded here and once."""
    minutes = row["Minutes"]
    return Road(
        origin=row["From"],
        destination=row["To"],
        tenths_mi=tenths_of_miles(row["Distance"]),
        minutes=None if minutes is None else whole_minutes_up(minutes),
        oneway=row["Oneway"],
    )
