"""The sheet Outside haul: what an outside haulier asks for a trip."""

from __future__ import annotations

from dispatch.io.layout_columns import Column, Reads, Sheet, money, other, text, weight
from dispatch.io.unit_names import Dimension

OUTSIDE_HAUL = Sheet(
    name="Outside haul",
    purpose="What an outside haulier asks for a trip: the cheapest row that takes the load and the distance. A "
    "trip costs Price per trip plus Per mile, and no less than Minimum. `haulday compare` prices by it what a "
    "fleet leaves out.",
    keys=("Up to weight", "Up to distance"),
    repeats=True,
    columns=(
        weight(
            "Up to weight",
            "Heaviest load of the row: everything on deck at once, at its heaviest.",
            where="The haulier's written offer.",
            above=0,
            default="any weight",
            usual=(1_000, 200_000),
            example="24,000",
        ),
        other(
            "Up to distance",
            "Longest loaded distance of the row, first pickup to last drop.",
            Dimension.DISTANCE,
            "mi",
            above=0,
            default="any distance",
            usual=(1, 3_000),
            example="30",
        ),
        money("Price per trip", "For every trip.", default="none", usual=(0, 20_000), example="350"),
        money(
            "Per mile",
            "For every loaded mile; the empty way is in the price.",
            Dimension.MONEY_PER_MILE,
            default="none",
            usual=(0, 50),
            example="6.50",
        ),
        money("Minimum", "Least price of a trip.", default="none", usual=(0, 20_000), example="450"),
        text("Source", "The offer that the row is from; the page of assumptions of a price shows it.", example=""),
        Column(
            name="Date",
            reads=Reads.DAY,
            meaning="When the offer held. For `haulday price` one older than Settings, Rates stale after, gives a "
            "warning.",
            default="not dated: a warning",
            example="2026-10-01",
        ),
    ),
)
