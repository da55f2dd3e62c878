"""The sheets Items and Moves."""

from __future__ import annotations

from dispatch.io.layout_columns import (
    Column,
    Reads,
    Sheet,
    clock_time,
    duration,
    length,
    money,
    named,
    one_of,
    permit,
    plain,
    refers,
    refers_many,
    text,
    weight,
    whole,
    yes,
)

from dispatch.items import Contact, Kind, LoadsBy, WeightBasis
from dispatch.moves import Status

FACINGS = ("either", "forward", "rearward")

ITEMS = Sheet(
    name="Items",
    purpose="Machines, attachments and material: what there is to haul, as it travels.",
    required=True,
    keys=("Item",),
    columns=(
        named("Item", "Name of the machine, attachment or bundle; every other sheet uses it.", example="EX-07"),
        text("Description", "What it is, for people.", example="mini excavator, cab, blade"),
        one_of("Kind", Kind, "What the tie-down rules take it for.", value="machine", example="machine"),
        weight(
            "Weight",
            "Weight as it travels, with attachments, fuel and guards on it.",
            where="Scale ticket first; else the machine's data plate. A catalogue weight leaves options out.",
            required=True,
            above=0,
            usual=(50, 150_000),
            example="8,200",
        ),
        one_of(
            "Weight basis",
            WeightBasis,
            "Where the weight comes from; Settings holds each basis's tolerance.",
            value="data plate",
            example="scale ticket",
        ),
        length(
            "Length",
            "Overall length as transported.",
            where="Transport dimensions in the operator's manual, or a tape.",
            required=True,
            above=0,
            usual=(1, 60),
            example="13' 6\"",
        ),
        length(
            "Width",
            "Overall width as transported.",
            where="Transport dimensions in the operator's manual, or a tape.",
            required=True,
            above=0,
            usual=(0.5, 16),
            example="5.6",
        ),
        length(
            "Height",
            "Overall height as transported, from the deck up.",
            where="Transport dimensions in the operator's manual, or a tape.",
            required=True,
            above=0,
            usual=(0.2, 14),
            example="8.1",
        ),
        length(
            "CG from front",
            "Centre of gravity behind the item's own front end.",
            where="Operator's manual, lifting or tie-down page; or two axle weights on a scale.",
            default="middle of the contact",
            example="6.5",
        ),
        length(
            "Contact from front",
            "Where what touches the deck begins, behind the item's own front end.",
            where="A tape: front end to the first point of track, wheel or skid on the ground.",
            value=0,
            example="2.5",
        ),
        length(
            "Contact length",
            "Length of what touches the deck. Wheels: from axle to axle, which makes them two point loads.",
            where="A tape: track on ground, or wheelbase.",
            above=0,
            default="the length behind Contact from front",
            example="7.5",
        ),
        length(
            "Contact width",
            "Width over tracks, tyres or skids.",
            where="A tape: outside to outside.",
            above=0,
            default="the width",
            example="5.2",
        ),
        one_of("Contact type", Contact, "What touches the deck.", value="tracks", example="tracks"),
        one_of(
            "Loads by",
            LoadsBy,
            "How it comes on and off the deck. Only lifted items ride on a neck deck.",
            value="drives on",
            example="drives on",
        ),
        one_of(
            "Facing",
            FACINGS,
            "Which way it may face; forward is nose to the truck.",
            value="either",
            example="either",
        ),
        whole(
            "Tie-down points",
            "Points on the item made for tie-downs.",
            where="Count the marked points.",
            value=4,
            usual=(1, 20),
            example="4",
        ),
        money("Value", "What it is worth.", example="62,000"),
    ),
)

MOVES = Sheet(
    name="Moves",
    purpose="What must be hauled on the day: one item from one site to another, in a time window.",
    required=True,
    keys=("Move",),
    columns=(
        named("Move", "Name or number of the move.", example="101"),
        refers("Item", "Items", "What is hauled.", required=True, example="EX-07"),
        refers("From", "Sites", "Where it stands.", required=True, example="North yard"),
        refers("To", "Sites", "Where it goes.", required=True, example="Mill Road"),
        Column(
            name="Day",
            reads=Reads.DAY_NAME,
            meaning="The day of the move: a date, or a name. Several days are a history for `haulday compare`; "
            "`haulday plan --day` picks one. A move's name may repeat on another day.",
            default="Settings, Day",
            example="",
        ),
        clock_time("Ready", "Loading starts no earlier.", default="any time", example="7:30"),
        clock_time("Deliver by", "Unloading is finished by then.", default="any time", example="14:00"),
        duration(
            "Load", "Minutes to load and chain.", default="Settings, Load minutes", usual=(1, 240), example="25"
        ),
        duration("Unload", "Minutes to unload.", default="Settings, Unload minutes", usual=(1, 240), example="15"),
        plain(
            "Priority",
            "Importance: a higher number is more important; 0 may be left out for nothing.",
            value=1,
            usual=(0, 1_000),
            example="1",
        ),
        text("Job", "Job or cost code.", example="J-1140"),
        yes("Runs", "no: a dead machine that must be winched on and off.", True, example="yes"),
        refers_many(
            "With",
            "Items",
            "Items that must ride on the same trip, ; between them. One without a move of its own rides from here "
            "to there with this move.",
            example="Bucket 24",
        ),
        refers_many("Only rigs", "Rigs", "Rigs that may carry it, ; between them.", default="any", example=""),
        refers_many("Not rigs", "Rigs", "Rigs that may not carry it, ; between them.", default="none", example=""),
        permit(
            "Permit",
            "Number of the permit in hand. Allows the item alone on the deck to be oversize or overweight.",
            where="The permit itself.",
            example="",
        ),
        Column(
            name="Permit hours",
            reads=Reads.TIME_SPAN,
            meaning="Travel hours of the permit, from departure to arrival.",
            default="any time",
            where="The permit's conditions.",
            example="",
        ),
        money("Permit cost", "What the permit costs.", value=0, example=""),
        text("Note", "Anything the driver should know.", example="gate code at the office"),
        one_of("Status", Status, "For planning the rest of a day again.", value="open", example="open"),
        refers("Rig", "Rigs", "For planning again: the rig that carries it.", example=""),
        clock_time("Start", "For planning again: when its trip started.", example=""),
    ),
)
