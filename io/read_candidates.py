"""Rows of Candidates with their options -> trailers on offer; every set of options must make a trailer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from dispatch.io.cells import folded, shown
from dispatch.io.input_problems import Findings
from dispatch.io.layout import CANDIDATES, OPTIONS, RIGS, TRAILERS
from dispatch.io.layout_candidates import REPLACES
from dispatch.io.read_fleet import NECK_COLUMNS, neck_given, trailer_of
from dispatch.io.read_options import Option, excluded_pairs, read_options
from dispatch.io.typed_rows import Row

from dispatch.axle_loads import axle_group_in
from dispatch.comparison.candidates import Build, Candidate, new_rigs, rig_name
from dispatch.comparison.option_sets import MOST_OPTIONS, legal_sets
from dispatch.cross_check import rig_faults, sharing_faults, trailer_faults
from dispatch.fleet import Rig, Trailer
from dispatch.problem import Fault
from dispatch.settings import Settings

Rows = Mapping[str, list[Row]]


@dataclass(frozen=True, slots=True)
class BaseFleet:
    """Today's fleet: the rigs that could be read, the names of all rigs that are available in it."""

    rigs: Mapping[str, Rig]
    names: frozenset[str]


def read_candidates(rows: Rows, fleet: BaseFleet, settings: Settings, findings: Findings) -> tuple[Candidate, ...]:
    """The candidates that could be read; all that is wrong with them and their options is noted.

    Options that could not be read are left out, so that the others are looked at all the same.
    """
    candidates = rows[CANDIDATES.name]
    options = read_options(rows[OPTIONS.name], candidates, findings)
    taken = {sheet: _names(rows[sheet], key) for sheet, key in ((TRAILERS.name, "Trailer"), (RIGS.name, "Rig"))}
    found = []
    for row in candidates:
        _note_names(row, fleet, taken, findings)
        own = options.get(folded(row.values.get("Candidate") or ""), ())
        good = [option for option in own if option.ok][:MOST_OPTIONS]
        candidate = _candidate(row, good, fleet, settings, findings) if row.ok else None
        found += [candidate] if candidate else []
    return tuple(found)


def _names(rows: Iterable[Row], column: str) -> dict[str, str]:
    return {folded(row.values[column]): row.values[column] for row in rows if row.values.get(column)}


def _note_names(row: Row, fleet: BaseFleet, taken: Mapping[str, Mapping[str, str]], findings: Findings) -> None:
    """A name that a trailer or rig has already; a rig that today's fleet lacks."""
    name = row.values.get("Candidate") or ""
    rigs = row.values.get("Behind") or () if "Behind" not in row.bad else ()
    made = [rig_name(rig, name) for rig in rigs if row.values.get("Use") != REPLACES]
    for sheet, names in ((TRAILERS.name, [name]), (RIGS.name, made)):
        clash = next((taken[sheet][folded(one)] for one in names if folded(one) in taken[sheet]), "")
        if clash and "Candidate" not in row.bad:
            row.bad.add("Candidate")
            findings.problem(row.where("Candidate"), name, f"a name of its own; {sheet} has {clash} already")
    for rig in rigs:
        if rig not in fleet.names:
            row.bad.add("Behind")
            listed = ", ".join(sorted(fleet.names)) or "it has none"
            findings.problem(row.where("Behind"), rig, f"a rig of the first fleet that is available: {listed}")


def _candidate(
    row: Row, options: Sequence[Option], fleet: BaseFleet, settings: Settings, findings: Findings
) -> Candidate | None:
    """The candidate with all its builds; ``None`` when one of them is no possible trailer, which is noted."""
    by_name = {option.name: option for option in options}
    sets = [[by_name[name] for name in chosen] for chosen in legal_sets(list(by_name), excluded_pairs(options))]
    trial = _Trial(row, fleet, settings)
    faulty: list[tuple[str, frozenset[str]]] = []
    builds = []
    for chosen in sets:
        names = frozenset(option.name for option in chosen)
        build, faults = trial.build(chosen)
        for fault in faults:
            if not any(column == fault.column and smaller <= names for column, smaller in faulty):
                faulty.append((fault.column, names))
                _note_fault(fault, row, chosen, findings)
        builds += [build] if build else []
    return None if faulty else replace(trial.shell, builds=tuple(builds))


class _Trial:
    """Makes trailers of one candidate row and sets of its options, and finds what is wrong with them."""

    def __init__(self, row: Row, fleet: BaseFleet, settings: Settings) -> None:
        self._row, self._fleet, self._settings = row, fleet, settings
        self.shell = _shell(row)

    def build(self, chosen: Sequence[Option]) -> tuple[Build | None, list[Fault]]:
        """The candidate with these options, and its faults; no build where it cannot be put together."""
        row = _changed(self._row, chosen)
        name = self.shell.name
        given = neck_given(row)
        lacking = [column for column in NECK_COLUMNS if given and row.values.get(column) is None]
        if lacking:
            expected = f"a length: {', '.join(NECK_COLUMNS)} belong together"
            return None, [Fault(CANDIDATES.name, name, column, "", expected, "") for column in lacking]
        bare = trailer_of(row, self._settings, CANDIDATES.keys[0])
        if len(bare.shares) != bare.axles:
            return None, list(trailer_faults(bare))
        trailer = _weighed(bare, chosen, self._settings)
        price = Decimal(str(row["Price"])) + sum((option.adds_usd for option in chosen), Decimal(0))
        build = Build(tuple(option.name for option in chosen), trailer, price)
        return build, [*_own_faults(trailer, price), *trailer_faults(trailer), *self._rig_faults(build)]

    def _rig_faults(self, build: Build) -> Iterator[Fault]:
        """What is wrong with the rigs that it makes, at the column Behind."""
        here = [name for name in self.shell.behind if name in self._fleet.rigs]
        made = new_rigs(self._fleet.rigs, replace(self.shell, behind=tuple(here)), build)
        found = [fault for rig in made.values() for fault in rig_faults(rig) if fault.column == "Trailer"]
        others = [rig for rig in self._fleet.rigs.values() if not (self.shell.replaces and rig.name in made)]
        before = set(sharing_faults(tuple(self._fleet.rigs.values())))
        found += [one for one in sharing_faults((*others, *made.values())) if one not in before]
        for fault in found:
            yield Fault(CANDIDATES.name, self.shell.name, "Behind", "; ".join(here), fault.expected, "")


def _shell(row: Row) -> Candidate:
    return Candidate(
        name=row["Candidate"],
        behind=tuple(dict.fromkeys(row["Behind"])),
        replaces=row["Use"] == REPLACES,
        builds=(),
        life_years=_money(row["Life"]),
        salvage_pct=_money(row["Salvage"]),
        interest_pct=_money(row["Interest"]),
        fixed_usd=_money(row["Licence-insurance-tax per year"]),
        days_per_year=_money(row["Days per year"]),
        cost_per_hour_usd=row["Cost per hour"],
        cost_per_mile_usd=row["Cost per mile"],
    )


def _money(figure: float) -> Decimal:
    """The figure as it was typed."""
    return Decimal(str(figure))


def _changed(row: Row, chosen: Iterable[Option]) -> Row:
    """The candidate's row with the columns that the options change."""
    changes = {name: value for option in chosen for name, value in option.changes.items()}
    return Row(row.table, row.number, row.raw, row.values | changes, row.given | changes.keys())


def _weighed(trailer: Trailer, chosen: Iterable[Option], settings: Settings) -> Trailer:
    """The trailer with what the options add to its empty weights.

    A weight W at x behind the coupler puts W x / g on the axles, g: middle of the axle group. Without a place it
    is shared as the empty trailer is, after the columns have changed and before any weight is added.
    """
    coupler, axles = trailer.empty_coupler.nominal_lb, trailer.empty_axles.nominal_lb
    group_in, proportion = axle_group_in(trailer), axles / (coupler + axles)
    for option in chosen:
        on_axles = option.adds_lb * (proportion if option.at_in is None else option.at_in / group_in)
        axles += on_axles
        coupler += option.adds_lb - on_axles
    basis = trailer.empty_axles.basis
    return replace(
        trailer, empty_coupler=settings.weight(coupler, basis), empty_axles=settings.weight(axles, basis)
    )


def _own_faults(trailer: Trailer, price_usd: Decimal) -> Iterator[Fault]:
    """Weights that the options turn to less than nothing, and a price likewise."""
    for column, weight, is_bad in (
        ("Empty coupler", trailer.empty_coupler, trailer.empty_coupler.nominal_lb < 0),
        ("Empty axles", trailer.empty_axles, trailer.empty_axles.nominal_lb <= 0),
    ):
        if is_bad:
            expected = f"options that leave some weight there; with these it is {weight.nominal_lb:,.0f} lb"
            yield Fault(CANDIDATES.name, trailer.name, column, "", expected, "")
    if price_usd <= 0:
        expected = f"options that leave a price; with these it is {price_usd:,.2f} USD"
        yield Fault(CANDIDATES.name, trailer.name, "Price", "", expected, "")


_ADDED: Mapping[str, str] = {
    "Empty coupler": "Adds weight",
    "Empty axles": "Adds weight",
    "GVWR": "Adds weight",
    "Price": "Adds price",
}
"""The column of Options by which an option that changes no column brings a fault about."""


def _note_fault(fault: Fault, row: Row, chosen: Sequence[Option], findings: Findings) -> None:
    """At the candidate's own cell, or at the cell of the option that brings it about."""
    if not chosen:
        raw = row.raw.get(fault.column)
        findings.problem(row.where(fault.column), shown(raw) or fault.value, fault.expected, fault.mend)
        return
    names = " and ".join(option.name for option in chosen)
    cause, column = _cause(fault, chosen)
    said = f"{fault.expected} ({row['Candidate']} with {names}: {fault.column})"
    mend = fault.mend or (f"{chosen[0].name} in Excludes" if len(chosen) > 1 else "")
    findings.problem(cause.where(column), shown(cause.raw.get(column)), said, mend)


_BY_RIG = ("Hitch", "Coupler to first axle", "Axle spacing", *NECK_COLUMNS)
"""What an option can change that a rig then cannot couple."""


def _cause(fault: Fault, chosen: Sequence[Option]) -> tuple[Row, str]:
    """The row and the column of Options that a fault is told at."""
    wanted = _BY_RIG if fault.column == "Behind" else (fault.column, *_NEAR.get(fault.column, ()))
    for option in reversed(chosen):
        for column in wanted:
            if column in option.places:
                return option.places[column], "To"
    column = _ADDED.get(fault.column, "")
    for option in reversed(chosen):
        for row in option.rows:
            if column and column in row.given:
                return row, column
    last = chosen[-1]
    return last.rows[0], "Option"


_NEAR: Mapping[str, tuple[str, ...]] = {
    "Axle shares": ("Axles",),
    "Empty axles": ("Axle rating", "Axles"),
    "Dovetail length": ("Deck length",),
    "Neck deck length": ("Neck deck from coupler", "Coupler to deck", "Hitch"),
    **{column: NECK_COLUMNS for column in NECK_COLUMNS if column != "Neck deck length"},
}
"""Columns whose change can be what makes another column's figure impossible."""
