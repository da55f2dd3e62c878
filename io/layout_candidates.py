"""The sheets Candidates and Options: trailers on offer, and what each can be ordered with."""

from __future__ import annotations

from dispatch.io.layout_columns import (
    Column,
    Reads,
    Sheet,
    length,
    money,
    named,
    one_of,
    per_cent,
    plain,
    refers,
    refers_many,
    weight,
)
from dispatch.io.layout_fleet import TRAILERS
from dispatch.io.layout_variants import DAYS_PER_YEAR, INTEREST, VARIANT_COLUMNS
from dispatch.io.unit_names import Dimension

from dispatch.comparison.option_sets import MOST_OPTIONS

JOINS, REPLACES = "joins", "replaces"
TRAILER_COLUMNS: tuple[Column, ...] = tuple(
    column for column in TRAILERS.columns[1:] if column not in VARIANT_COLUMNS
)
"""What a candidate has of the sheet Trailers: everything but the name and the variants."""
CHANGEABLE: tuple[str, ...] = tuple(column.name for column in TRAILER_COLUMNS)

CANDIDATES = Sheet(
    name="Candidates",
    purpose="Trailers on offer, read and checked like rows of Trailers: `haulday compare` plans every day of the "
    "history with each of them in the first fleet of Variants (today's, where there is no sheet Variants) and "
    "ranks them by what they are worth a year. A brochure's empty weights are no scale ticket: fill in Weight "
    "basis.",
    keys=("Candidate",),
    columns=(
        named("Candidate", "Name of the trailer on offer.", example="L-40"),
        refers_many(
            "Behind",
            "Rigs",
            "Rigs of the first fleet whose truck, driver, yard, shift, gear and costs it works with, ; between "
            "them. Only rigs and Not rigs of a move that name such a rig hold with the candidate, too.",
            required=True,
            example="R-1",
        ),
        one_of(
            "Use",
            (JOINS, REPLACES),
            "joins: one trailer more, and truck and driver take turns between the two. replaces: these rigs have "
            "it in place of their own trailer; take what that one still brings off Price.",
            value=JOINS,
            example="joins",
        ),
        money(
            "Price",
            "Price without options.",
            where="A written quotation, delivered, with tax.",
            required=True,
            above=0,
            usual=(1_000, 500_000),
            example="58,000",
        ),
        plain(
            "Life",
            "Years that it is kept.",
            unit_text="years",
            required=True,
            above=0,
            usual=(2, 30),
            example="12",
        ),
        per_cent(
            "Salvage",
            "What it still brings at the end of its life, of its price with options.",
            value=0,
            example="",
        ),
        INTEREST,
        money(
            "Licence-insurance-tax per year",
            "What a year costs whether it works or not.",
            value=0,
            usual=(0, 100_000),
            example="",
        ),
        DAYS_PER_YEAR,
        money(
            "Cost per hour",
            "Paid time of driver and rig with it.",
            Dimension.MONEY_PER_HOUR,
            default="as the rig with its own trailer",
            usual=(0, 500),
            example="",
        ),
        money(
            "Cost per mile",
            "Road cost of truck and trailer with it.",
            Dimension.MONEY_PER_MILE,
            default="as the rig with its own trailer",
            usual=(0, 20),
            example="",
        ),
        *TRAILER_COLUMNS,
    ),
)

OPTIONS = Sheet(
    name="Options",
    purpose="What a candidate can be ordered with; `haulday compare` looks for the set of options that pays best. "
    "Several rows with the same candidate and option are one option that changes several columns. At most "
    f"{MOST_OPTIONS} options a candidate. Options that give one column different values must exclude each other.",
    keys=("Option", "Candidate"),
    repeats=True,
    columns=(
        refers("Candidate", "Candidates", "The trailer that it is an option of.", required=True, example="L-40"),
        named("Option", "Name of the option.", example="winch"),
        weight(
            "Adds weight",
            "What it adds to the empty weight; negative: it is lighter. Give it in one row of the option. Blank "
            "where the option changes Empty coupler or Empty axles itself.",
            least=-20_000,
            default="0",
            usual=(-3_000, 8_000),
            example="350",
        ),
        length(
            "Weight at",
            "Where that weight sits, behind the coupler: it is shared between coupler and axles by levers. "
            "Negative: ahead of the coupler.",
            where="The maker's drawing; a winch on the neck is near 0, a third axle is where that axle is.",
            least=-20,
            most=80,
            default="in the proportion in which the empty trailer stands on coupler and axles",
            usual=(-6, 60),
            example="5",
        ),
        money(
            "Adds price",
            "What it adds to the price; negative: it is cheaper. Give it in one row of the option.",
            least=-500_000,
            default="0",
            usual=(-50_000, 200_000),
            example="4,200",
        ),
        Column(
            name="Changes",
            reads=Reads.NAME,
            meaning="A column of Trailers that it changes; blank: it changes weight or price only.",
            default="nothing",
            example="Winch pull",
        ),
        Column(
            name="To",
            reads=Reads.TEXT,
            meaning="What that column holds then, with its unit; a bare number counts in the unit that the "
            "column has in Candidates.",
            example="12,000 lb",
        ),
        refers_many(
            "Excludes",
            "Options",
            "Options of the same candidate that cannot be had with it, ; between them; one of the two says it.",
            default="none",
            example="",
        ),
    ),
)
