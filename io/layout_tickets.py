"""The sheet Tickets."""

from __future__ import annotations

from dispatch.io.layout_columns import Column, Reads, Sheet, named, one_of, refers, text, weight

LOAD_STATES = ("empty", "loaded")
COUPLED = ("alone", "hitched")
ON_DECK = "Items on deck"
TOLERANCE = "Scale tolerance"

TICKETS = Sheet(
    name="Tickets",
    purpose="Scale tickets: compared with what the other sheets predict, and weights worked out of them.",
    keys=("Ticket",),
    columns=(
        named("Ticket", "Name or number of the ticket.", example="S-1041"),
        Column(name="Date", reads=Reads.DAY, meaning="The day of the weighing, for people.", example="2026-05-04"),
        refers("Rig", "Rigs", "The rig that was weighed.", required=True, example="R-1"),
        one_of("Load or empty", LOAD_STATES, "Whether anything stood on deck.", required=True, example="loaded"),
        one_of(
            "Truck alone or hitched",
            COUPLED,
            "Whether the trailer was coupled; a truck alone is weighed empty.",
            value="hitched",
            example="hitched",
        ),
        weight(
            "Front",
            "The truck's front axle.",
            where="The ticket: steer axle.",
            required=True,
            above=0,
            usual=(1_000, 25_000),
            example="5,020",
        ),
        weight(
            "Rear",
            "The truck's rear axles.",
            where="The ticket: drive axles.",
            required=True,
            above=0,
            usual=(500, 80_000),
            example="9,480",
        ),
        weight(
            "Trailer",
            "All trailer axles, coupled.",
            where="The ticket: trailer axles.",
            above=0,
            default="nothing; blank for a truck alone",
            usual=(300, 120_000),
            example="12,100",
        ),
        text(
            ON_DECK,
            "What stood where: item @ place of the edge nearest the truck behind the front of its own deck, with "
            "its unit; then forward (or nothing) or rearward, main (or nothing) or neck; ; between items.",
            where="A tape, on the scale.",
            default="nothing",
            example="EX-07 @ 9 ft 4 in rearward",
        ),
        text(
            TOLERANCE,
            "How far each reading may be off, either way: pounds or kilograms, or per cent of the reading.",
            where="The scale's certificate or its smallest step.",
            default="the Settings'",
            example="20 lb",
        ),
    ),
)
