"""The sheet Mobilisation: what a bid brings to its jobs and takes away again."""

from __future__ import annotations

from dispatch.io.layout_columns import (
    Column,
    Reads,
    Sheet,
    length,
    one_of,
    plain,
    refers,
    text,
    weight,
    whole,
)

from dispatch.items import Contact, LoadsBy, WeightBasis

FIRST_PHASE = "1"
STAYS = "stays"
KIND_FIGURES = ("Weight", "Length", "Width", "Height")
"""What a kind without a chosen machine has to state, on one of its rows."""
KIND_COLUMNS = (*KIND_FIGURES, "Weight basis", "Contact type", "Loads by")
"""Columns that have no effect beside an Item: its own row on the sheet Items holds them."""


def _day(name: str, meaning: str, example: str) -> Column:
    return Column(name=name, reads=Reads.DAY, meaning=meaning, default="not stated", example=example)


MOBILISATION = Sheet(
    name="Mobilisation",
    purpose="What a bid brings to its jobs and takes away again; `haulday price` puts a price on it. One row is "
    "one machine, or several alike. The rows of one Phase are hauled together, over as many days as that takes.",
    keys=("Bid", "Phase"),
    repeats=True,
    columns=(
        Column(
            name="Bid",
            reads=Reads.NAME,
            meaning="Name or number of the bid, on each of its rows. One bid is priced at a time.",
            required=True,
            example="B-27",
        ),
        refers(
            "Item",
            "Items",
            "The machine, when it is chosen. Leave it blank and fill in Kind when it is not.",
            default="none chosen: Kind",
            example="EX-07",
        ),
        text(
            "Kind",
            "What kind of machine, when none is chosen yet, with its weight and size here or on another row "
            "of the same Kind. Beside an Item it is a note.",
            example="single-drum roller, 84 in",
        ),
        whole("Quantity", "How many, all alike.", least=1, most=200, value=1, usual=(1, 20), example="1"),
        refers(
            "From",
            "Sites",
            "Where it stands before: the yard, or the last job.",
            required=True,
            example="North yard",
        ),
        refers("To", "Sites", "The job.", required=True, example="Mill Road"),
        refers(
            "Out to",
            "Sites",
            "Where it goes when the phase ends; the job itself when it stays there.",
            default="From",
            example="North yard",
        ),
        text("Phase", "Name or number of the phase.", value=FIRST_PHASE, example="1"),
        _day(
            "In by",
            "Everything of the phase is on the job by the end of this day; the same on all its rows.",
            "2027-03-05",
        ),
        _day(
            "Out after", "Nothing of the phase is fetched before this day; the same on all its rows.", "2027-05-28"
        ),
        plain(
            "Standby days",
            "Days that each of these machines stands by on the job, paid at the rate Standby.",
            value=0,
            most=1000,
            usual=(0, 60),
            example="0",
        ),
        refers(
            "Permit",
            "Permit fees",
            "Name of the permit that will be bought, as the sheet Permit fees has it; then each of these machines "
            "may be hauled alone oversize or overweight. One that a trip turns out not to need is not charged.",
            default="none: within the law",
            example="",
        ),
        weight(
            "Weight",
            "Of a Kind: weight as it travels, with attachments and fuel.",
            above=0,
            default="that of another row of the same Kind",
            usual=(50, 150_000),
            where="The heaviest machine that may be chosen.",
            example="",
        ),
        one_of(
            "Weight basis", WeightBasis, "Of a Kind: where the weight comes from.", value="estimate", example=""
        ),
        length(
            "Length",
            "Of a Kind: overall length as transported.",
            above=0,
            default="that of another row of the same Kind",
            usual=(1, 60),
            example="",
        ),
        length(
            "Width",
            "Of a Kind: overall width as transported.",
            above=0,
            default="that of another row of the same Kind",
            usual=(0.5, 16),
            example="",
        ),
        length(
            "Height",
            "Of a Kind: overall height as transported.",
            above=0,
            default="that of another row of the same Kind",
            usual=(0.2, 14),
            example="",
        ),
        one_of(
            "Contact type",
            Contact,
            "Of a Kind: what touches the deck, over its whole length.",
            value="tracks",
            example="",
        ),
        one_of("Loads by", LoadsBy, "Of a Kind: how it comes on and off the deck.", value="drives on", example=""),
    ),
)
