"""The sheet Variants, and the columns that say in which variant of the fleet a row exists."""

from __future__ import annotations

from dispatch.io.layout_columns import Column, Sheet, money, named, per_cent, plain, refers_many, text

VARIANT_COLUMNS: tuple[Column, ...] = (
    refers_many(
        "Variants",
        "Variants",
        "Variants of the fleet that have this row, ; between them. `haulday plan` takes the first row of Variants "
        "unless told otherwise.",
        default="all",
        example="",
    ),
    refers_many(
        "Not in variants",
        "Variants",
        "Variants of the fleet that lack this row, ; between them.",
        default="none",
        example="",
    ),
)
"""The last columns of Trucks, Trailers and Rigs."""

INTEREST = per_cent("Interest", "Cost of money a year.", value=0, usual=(0, 25), example="")
DAYS_PER_YEAR = plain(
    "Days per year",
    "Days like those of the history in a year.",
    above=0,
    most=366,
    value=250,
    usual=(20, 366),
    example="220",
)
"""The same on the sheet Candidates."""

VARIANTS = Sheet(
    name="Variants",
    purpose="Fleets to compare over the same days with `haulday compare`: the first row is today's fleet, every "
    "other one is compared with it. One name may stand for different rows of Trucks, Trailers or Rigs in "
    "different variants.",
    keys=("Variant",),
    columns=(
        named("Variant", "Name of the variant; the column Variants uses it.", example="with lowbed"),
        text("Description", "What it is, for people.", example="one lowbed more, behind the same tractor"),
        money(
            "Ownership per year",
            "What owning this fleet costs a year beyond the first row's: depreciation, interest, insurance, tax.",
            where="The books; or leave it blank and fill in Price, Life, Salvage and Interest.",
            default="from Price, Life, Salvage, Interest and Licence-insurance-tax; without these 0",
            usual=(0, 1_000_000),
            example="14,500",
        ),
        money(
            "Price",
            "What has to be bought for it.",
            where="A written quotation, delivered, with tax.",
            above=0,
            default="not known: no payback is given",
            usual=(1_000, 5_000_000),
            example="",
        ),
        plain(
            "Life",
            "Years that what is bought is kept.",
            unit_text="years",
            above=0,
            usual=(2, 30),
            example="",
        ),
        per_cent("Salvage", "What it still brings at the end of its life, of its price.", value=0, example=""),
        INTEREST,
        money(
            "Licence-insurance-tax per year",
            "What a year costs whether it works or not. Not added to Ownership per year, which holds it already; "
            "payback takes it off the saving.",
            value=0,
            usual=(0, 100_000),
            example="",
        ),
        DAYS_PER_YEAR,
    ),
)
