"""Rows of Trucks, Trailers and Rigs -> the core's types. Every row given here has been read without a problem."""

from __future__ import annotations

from collections.abc import Mapping

from dispatch.io.cells import folded
from dispatch.io.input_problems import Findings
from dispatch.io.typed_rows import Row

from dispatch.fleet import Hitch, Licence, NeckDeck, Rig, Trailer, Truck
from dispatch.items import WeightBasis
from dispatch.limits import RuleSet
from dispatch.settings import Settings
from dispatch.units import whole_minutes_up


def truck_of(row: Row) -> Truck:
    """The truck of a row."""
    return Truck(
        name=row["Truck"],
        gvwr_lb=row["GVWR"],
        gcwr_lb=row["GCWR"],
        front_rating_lb=row["Front axle rating"],
        rear_rating_lb=row["Rear axle rating"],
        empty_front_lb=row["Empty front"],
        empty_rear_lb=row["Empty rear"],
        wheelbase_in=row["Wheelbase"],
        coupler_ahead_in=row["Coupler ahead of rear axle"],
        rear_axles=row["Rear axles"],
        rear_axle_spacing_in=row["Rear axle spacing"],
        front_tyre_rating_lb=row["Front tyre rating"],
        rear_tyre_rating_lb=row["Rear tyre rating"],
        front_tyre_width_in=row["Front tyre width"],
        rear_tyre_width_in=row["Rear tyre width"],
        rear_tyres=row["Rear tyres"],
        tow_rating_lb=row["Tow rating"],
        hitch_rating_lb=row["Hitch rating"],
        hitch=Hitch(row["Hitch"]),
        registered_weight_lb=row["Registered weight"],
        front_overhang_in=row["Front overhang"],
        height_in=row["Height"],
    )


def trailer_of(row: Row, settings: Settings, named: str = "Trailer") -> Trailer:
    """The trailer of a row, its name from column ``named``; empty weights get the tolerance of their basis."""
    basis = WeightBasis(row["Weight basis"])
    return Trailer(
        name=row[named],
        hitch=Hitch(row["Hitch"]),
        gvwr_lb=row["GVWR"],
        axles=row["Axles"],
        axle_rating_lb=row["Axle rating"],
        axle_spacing_in=row["Axle spacing"],
        coupler_to_first_axle_in=row["Coupler to first axle"],
        empty_coupler=settings.weight(row["Empty coupler"], basis),
        empty_axles=settings.weight(row["Empty axles"], basis),
        shares=_shares(row),
        deck_from_coupler_in=row["Coupler to deck"],
        deck_length_in=row["Deck length"],
        deck_width_in=row["Deck width"],
        deck_height_in=row["Deck height"],
        tyre_rating_lb=row["Tyre rating"],
        tyres_per_axle=row["Tyres per axle"],
        tyre_width_in=row["Tyre width"],
        coupler_rating_lb=row["Coupler rating"],
        dovetail_length_in=row["Dovetail length"],
        dovetail_rating_lb=row["Dovetail rating"],
        ramp_rating_lb=row["Ramp rating"],
        loading_angle_deg=row["Loading angle"],
        deck_to_rear_in=row["Deck to rear"],
        neck=_neck(row),
        winch_pull_lb=row["Winch pull"],
        snatch_block=row["Snatch block"],
        anchor_points=row["Anchor points"],
        anchor_rating_lb=row["Anchor rating"],
        options_note=row["Options note"],
    )


def _shares(row: Row) -> tuple[float, ...]:
    parts = row["Axle shares"] or (1.0,) * row["Axles"]
    return tuple(part / sum(parts) for part in parts)


NECK_COLUMNS = ("Neck deck from coupler", "Neck deck length", "Neck deck width", "Neck deck height")
"""What a neck deck needs: all of it or none."""


def neck_given(row: Row) -> tuple[str, ...]:
    """Which of the neck deck's columns are filled in; a length of 0 says that there is none."""
    filled = tuple(name for name in (*NECK_COLUMNS, "Neck deck rating") if name in row.given)
    no_length = "Neck deck length" in filled and not row["Neck deck length"]
    return () if no_length else filled


def _neck(row: Row) -> NeckDeck | None:
    if not neck_given(row):
        return None
    return NeckDeck(
        from_coupler_in=row["Neck deck from coupler"],
        length_in=row["Neck deck length"],
        width_in=row["Neck deck width"],
        height_in=row["Neck deck height"],
        rating_lb=row["Neck deck rating"],
    )


def rig_of(row: Row, trucks: Mapping[str, Truck], trailers: Mapping[str, Trailer], rules: RuleSet) -> Rig | None:
    """The rig of a row; ``None`` when its truck or trailer has a problem of its own.

    A blank licence is the highest class of the rule set.
    """
    truck, trailer = trucks.get(row["Truck"]), trailers.get(row["Trailer"])
    if truck is None or trailer is None:
        return None
    return Rig(
        name=row["Rig"],
        truck=truck,
        trailer=trailer,
        driver=row["Driver"],
        licence=_licence(row, rules),
        yard=row["Yard"],
        end=row["End"] or row["Yard"],
        shift_start_min=row["Shift start"],
        shift_end_min=row["Shift end"],
        driving_limit_min=_whole(row["Driving limit"]),
        chains=row["Chains"],
        chain_rating_lb=row["Chain rating"],
        straps=row["Straps"],
        strap_rating_lb=row["Strap rating"],
        cost_per_hour_usd=(row["Cost per hour"] or 0.0),
        cost_per_mile_usd=row["Cost per mile"] or 0.0,
        cost_per_trip_usd=row["Cost per trip"],
        overtime_after_min=_whole(row["Overtime after"]),
        overtime_factor=row["Overtime factor"],
    )


def _licence(row: Row, rules: RuleSet) -> Licence:
    if "Licence" in row.given or not rules.licences:
        return Licence(row["Licence"])
    return Licence(rules.licences[-1].name)


def _whole(minutes: float | None) -> int | None:
    return None if minutes is None else whole_minutes_up(minutes)


def name_drivers_alike(rows: list[Row]) -> None:
    """One driver on two rigs is one person however the name's case and blanks are typed."""
    spelled: dict[str, str] = {}
    for row in rows:
        driver = row.values.get("Driver") or ""
        row.values["Driver"] = spelled.setdefault(folded(driver), driver)


def end_means_yard(rows: list[Row], site_names: Mapping[str, str]) -> None:
    """``yard`` in the column End means the rig's own yard, unless a site is called so."""
    for row in rows:
        if folded(row.values.get("End") or "") == "yard" and "yard" not in site_names:
            row.values["End"] = ""
            row.given.discard("End")


def note_partial_necks(rows: list[Row], findings: Findings) -> None:
    """A neck deck is given whole (edge, length, width, height) or not at all."""
    for row in rows:
        given = neck_given(row)
        for name in NECK_COLUMNS if given else ():
            if name not in given and name not in row.bad:
                row.bad.add(name)
                expected = f"a length: {', '.join(NECK_COLUMNS)} belong together, and {given[0]} is filled in"
                findings.problem(row.where(name), "", expected)
