"""The sheets Permit fees and Escorts: what oversize and overweight loads cost besides the haul."""

from __future__ import annotations

from dispatch.io.layout_columns import (
    Column,
    Reads,
    Sheet,
    length,
    money,
    named,
    one_of,
    other,
    text,
    weight,
    whole,
    yes,
)
from dispatch.io.unit_names import Dimension

from dispatch.money.fee_bands import Measure
from dispatch.money.permits import Each

BANDS: dict[Measure, str] = {
    Measure.GROSS: "weight",
    Measure.AXLES: "axles",
    Measure.MILES: "distance",
    Measure.WIDTH: "width",
    Measure.HEIGHT: "height",
    Measure.LENGTH: "length",
    Measure.GROUP_AXLES: "group axles",
    Measure.GROUP_OVER: "group over",
}
"""What the columns of a band are called behind Over and Up to."""
_SAYS = {
    Measure.GROSS: "gross weight of the loaded rig",
    Measure.AXLES: "number of the rig's axles",
    Measure.MILES: "loaded distance",
    Measure.WIDTH: "width of the loaded rig",
    Measure.HEIGHT: "height of the loaded rig",
    Measure.LENGTH: "length of the loaded rig",
    Measure.GROUP_AXLES: "axles of an axle group that is over its limit (only with Each = axle group)",
    Measure.GROUP_OVER: "weight of an axle group over its limit (only with Each = axle group)",
}


def _bound(measure: Measure, side: str, words: str) -> Column:
    name, meaning = f"{side} {BANDS[measure]}", f"The row holds {words} this {_SAYS[measure]}."
    more = {"default": "no limit", "example": ""}
    if measure in (Measure.GROSS, Measure.GROUP_OVER):
        return weight(name, meaning, **more)
    if measure is Measure.MILES:
        return other(name, meaning, Dimension.DISTANCE, "mi", **more)
    if measure in (Measure.AXLES, Measure.GROUP_AXLES):
        return whole(name, meaning, **more)
    return length(name, meaning, **more)


def _source(where: str) -> tuple[Column, Column]:
    return (
        text("Source", "Where the figure is from; the page of assumptions shows it.", where=where, example=""),
        Column(
            name="Date",
            reads=Reads.DAY,
            meaning="When the figure held. One older than Settings, Rates stale after, gives a warning.",
            default="not dated: a warning",
            example="2026-10-01",
        ),
    )


PERMIT_FEES = Sheet(
    name="Permit fees",
    purpose="What permits cost, by rows, for `haulday price`. A row holds where all its bands hold; what all rows "
    "of a permit that hold ask is added up. A permit without a row that holds cannot be priced, and the price "
    "says so.",
    keys=("Permit",),
    repeats=True,
    columns=(
        named(
            "Permit",
            "Name of the permit; the sheet Mobilisation uses it. Each of its rows.",
            example="state single trip",
        ),
        money("Amount", "What the row asks.", required=True, usual=(0, 5_000), example="45"),
        one_of("Each", Each, "What the amount is charged for, once each.", value=Each.TRIP.value, example="trip"),
        other(
            "Per miles",
            "The amount is for so many loaded miles.",
            Dimension.DISTANCE,
            "mi",
            above=0,
            default="whatever the distance",
            usual=(0.1, 500),
            example="1",
        ),
        yes("Started", "yes: a started step of Per miles counts whole.", False, example="no"),
        weight(
            "Tons over",
            "With Each = ton over: gross weight from which started tons of 2,000 lb count.",
            value=0,
            example="",
        ),
        *(
            column
            for measure in BANDS
            for column in (_bound(measure, "Over", "over"), _bound(measure, "Up to", "up to"))
        ),
        *_source("The permit office's fee schedule."),
    ),
)

ESCORTS = Sheet(
    name="Escorts",
    purpose="Escort vehicles and from which size on they come along, for `haulday price`. A row holds where the "
    "loaded rig passes any of its sizes; of rows of one Escort that hold, the dearest counts.",
    keys=("Escort",),
    repeats=True,
    columns=(
        named("Escort", "Kind of the escort.", example="front car"),
        length(
            "Over width", "It comes along over this width.", default="not by width", usual=(8, 20), example="12"
        ),
        length(
            "Over height", "It comes along over this height.", default="not by height", usual=(12, 20), example=""
        ),
        length(
            "Over length", "It comes along over this length.", default="not by length", usual=(50, 200), example=""
        ),
        whole("Vehicles", "How many of them.", least=1, most=10, value=1, example="1"),
        money(
            "Per hour",
            "For every hour on the road with the load.",
            Dimension.MONEY_PER_HOUR,
            default="none",
            usual=(0, 300),
            example="75",
        ),
        money(
            "Per mile",
            "For every loaded mile.",
            Dimension.MONEY_PER_MILE,
            default="none",
            usual=(0, 20),
            example="1.95",
        ),
        money(
            "Minimum",
            "Least price of one vehicle for a trip; its empty way is in these prices.",
            default="none",
            usual=(0, 3_000),
            example="350",
        ),
        *_source("The escort firm's written offer."),
    ),
)
