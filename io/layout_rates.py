"""The sheet Rates: what a bid is priced with, each figure with its source and date."""

from __future__ import annotations

from dispatch.io.layout_columns import Column, Reads, Sheet, text

from dispatch.money.rate_table import RATE_TABLE


def _meanings() -> str:
    """Every rate with its unit and its meaning, for the note on the header and the reference."""
    parts = []
    for rate, spec in RATE_TABLE.items():
        blank = (
            "required" if spec.required else "optional" if spec.default is None else f"{spec.default} if missing"
        )
        parts.append(f"{rate} ({spec.unit}; {blank}): {spec.meaning}")
    return " ".join(parts)


RATES = Sheet(
    name="Rates",
    purpose=f"What a bid is priced with, for `haulday price`. A later row for the same rate wins. {_meanings()}",
    keys=("Rate",),
    later_wins=True,
    columns=(
        Column(
            name="Rate",
            reads=Reads.CHOICE,
            meaning="Name of the rate.",
            choices=tuple(str(rate) for rate in RATE_TABLE),
            required=True,
            example="Overhead",
        ),
        text("Value", "Its value in Unit; a cell may carry its own unit, as 17 %.", required=True, example="12"),
        text(
            "Unit",
            "Unit of the value: "
            + ", ".join(
                dict.fromkeys(unit for spec in RATE_TABLE.values() for unit in (spec.unit, *spec.other_units))
            )
            + ".",
            default="the rate's own",
            example="%",
        ),
        text("Source", "Where the figure is from; the price's page of assumptions shows it.", example="books, Q3"),
        Column(
            name="Date",
            reads=Reads.DAY,
            meaning="When the figure held. One older than Settings, Rates stale after, gives a warning.",
            default="not dated: a warning",
            example="2026-10-01",
        ),
    ),
)
