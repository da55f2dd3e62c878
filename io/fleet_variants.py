"""Which rows of Trucks, Trailers and Rigs a variant of the fleet has; the rows of Variants as the core's type."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from dispatch.io.cells import shown
from dispatch.io.input_problems import Findings
from dispatch.io.layout import RIGS, TRAILERS, TRUCKS, VARIANTS
from dispatch.io.layout_variants import VARIANT_COLUMNS
from dispatch.io.typed_rows import Row

from dispatch.comparison.history import Purchase, Variant

ONLY = ("",)
"""The names of the variants where the input knows none: one, without a name."""
Rows = Mapping[str, list[Row]]
_IN, _NOT_IN = (column.name for column in VARIANT_COLUMNS)
_FLEET = (TRUCKS.name, TRAILERS.name, RIGS.name)


def variant_names(rows: Rows) -> tuple[str, ...]:
    """The variants in the order of their rows, those with a repeated or unreadable name left out."""
    names = (row["Variant"] for row in rows[VARIANTS.name] if "Variant" not in row.bad and row["Variant"])
    return tuple(dict.fromkeys(names)) or ONLY


def exists_in(row: Row, names: Sequence[str]) -> frozenset[str]:
    """The variants that have the row, by its own two columns; where they cannot be read, all of them."""
    if row.bad & {_IN, _NOT_IN, "merged cells"}:
        return frozenset(names)
    listed = row.values.get(_IN) or names
    return frozenset(listed) & frozenset(names) - frozenset(row.values.get(_NOT_IN) or ())


def meet(names: Sequence[str], first: Row, second: Row) -> bool:
    """Whether some variant has both rows."""
    return bool(exists_in(first, names) & exists_in(second, names))


def rows_of(rows: Rows, variant: str, names: Sequence[str]) -> dict[str, list[Row]]:
    """The rows that exist in the variant; a rig goes with its truck and its trailer."""
    kept = {sheet: [row for row in rows[sheet] if variant in exists_in(row, names)] for sheet in _FLEET}
    for column, sheet in (("Truck", TRUCKS.name), ("Trailer", TRAILERS.name)):
        gone = _names(rows[sheet], column) - _names(kept[sheet], column)
        kept[RIGS.name] = [row for row in kept[RIGS.name] if row.values.get(column) not in gone]
    return dict(rows) | kept


def _names(rows: Iterable[Row], column: str) -> set[str]:
    return {row.values[column] for row in rows if row.values.get(column)}


def note_variants(rows: Rows, names: Sequence[str], findings: Findings) -> None:
    """Names without a sheet, rows in no variant, rigs without truck or trailer, variants without rigs."""
    for sheet in _FLEET:
        for row in rows[sheet]:
            _note_row(row, names, findings)
    if names == ONLY:
        return
    present = {name: rows_of(rows, name, names) for name in names}
    for row in rows[RIGS.name]:
        for name in row.values.get(_IN) or ():
            if _IN in row.given and name in exists_in(row, names) and row not in present[name][RIGS.name]:
                expected = f"variants that have its truck and its trailer; {name} lacks one of them"
                findings.problem(row.where(_IN), shown(row.raw.get(_IN)), expected)
    for row in rows[VARIANTS.name]:
        name = row.values.get("Variant") or ""
        if name in present and not present[name][RIGS.name] and rows[RIGS.name]:
            expected = f"a variant with at least one rig; no row of {RIGS.name} exists in it"
            findings.problem(row.where("Variant"), name, expected)


def _note_row(row: Row, names: Sequence[str], findings: Findings) -> None:
    if names == ONLY:
        for column in (_IN, _NOT_IN):
            if column in row.given and column not in row.bad:
                expected = f"an empty cell, or a sheet {VARIANTS.name} with a row for each of these names"
                findings.problem(row.where(column), shown(row.raw.get(column)), expected)
    elif not exists_in(row, names):
        findings.warning(row.where(_NOT_IN), shown(row.raw.get(_NOT_IN)), "leaves the row in no variant at all")


def note_ownership(rows: Iterable[Row], findings: Findings) -> None:
    """A price needs a life, and what belongs to a price has no effect without one or beside a given ownership."""
    for row in rows:
        if "Price" in row.given and "Life" not in row.given and "Ownership per year" not in row.given:
            findings.problem(row.where("Life"), "", "the years that it is kept: Price is filled in")
        for column in ("Life", "Salvage", "Interest"):
            if column in row.given and "Price" not in row.given:
                findings.warning(row.where(column), shown(row.raw.get(column)), "has no effect: Price is blank")
            elif column in row.given and "Ownership per year" in row.given:
                said = "has no effect: Ownership per year is filled in and holds"
                findings.warning(row.where(column), shown(row.raw.get(column)), said)


def note_fractions(rows: Iterable[Row], findings: Findings) -> None:
    """0.07 in a column of per cent is 0.07 % and seldom meant: a spreadsheet's 7 % is 0.07 behind its format."""
    for row in rows:
        for column in ("Salvage", "Interest"):
            typed, value = shown(row.raw.get(column)), row.values.get(column) or 0
            if column in row.given and 0 < value < 1 and "%" not in typed:
                said = f"is {value:g} %: check it, {value * 100:g} % would be {value * 100:g}"
                findings.warning(row.where(column), typed, said)


def variant_of(row: Row) -> Variant:
    """The variant of a row that was read without a problem."""
    price, life = row["Price"], row["Life"]
    purchase = None
    if price is not None:
        purchase = Purchase(_money(price), _money(life or 0), _money(row["Salvage"]), _money(row["Interest"]))
    given = row["Ownership per year"]
    return Variant(
        name=row["Variant"],
        description=row["Description"],
        ownership_usd=None if given is None else _money(given),
        purchase=purchase,
        fixed_usd=_money(row["Licence-insurance-tax per year"]),
        days_per_year=_money(row["Days per year"]),
    )


def _money(figure: float) -> Decimal:
    """The figure as it was typed."""
    return Decimal(str(figure))
