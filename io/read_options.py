"""Rows of Options -> each candidate's options: what they add, what they change, what they cannot be had with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import combinations
from typing import Any

from dispatch.io.cells import folded, is_blank, nearest, shown
from dispatch.io.input_problems import Findings
from dispatch.io.layout import CANDIDATES
from dispatch.io.layout_candidates import CHANGEABLE
from dispatch.io.typed_rows import Row, store

from dispatch.comparison.option_sets import MOST_OPTIONS

EMPTY_WEIGHTS = ("Empty coupler", "Empty axles")
"""Columns by which an option can say itself where its weight goes."""
_AGREE_LB = 1.0
"""Adds weight and a change of the empty weights may differ by a pound of rounding."""


@dataclass(slots=True)
class Option:
    """One option. ``changes``: canonical values by column of Candidates; ``rows``: the rows that it is made of."""

    name: str
    rows: list[Row]
    adds_lb: float = 0.0
    at_in: float | None = None
    adds_usd: Decimal = Decimal(0)
    changes: dict[str, Any] = field(default_factory=dict)
    places: dict[str, Row] = field(default_factory=dict)
    excludes: set[str] = field(default_factory=set)

    @property
    def ok(self) -> bool:
        """Whether all of its rows could be read."""
        return all(row.ok for row in self.rows)


def read_options(
    rows: Iterable[Row], candidates: Sequence[Row], findings: Findings
) -> dict[str, tuple[Option, ...]]:
    """The options by folded candidate, in the order of their first rows; what is wrong with them is noted."""
    owners = {folded(row["Candidate"]): row for row in candidates if row.values.get("Candidate")}
    grouped: dict[str, dict[str, Option]] = {name: {} for name in owners}
    for row in rows:
        candidate, name = row.values.get("Candidate"), row.values.get("Option")
        if candidate and not owners:
            expected = f"the name of a row of {CANDIDATES.name}; there is none"
            _bad(row, "Candidate", findings, candidate, expected)
        if candidate and name and folded(candidate) in owners:
            option = grouped[folded(candidate)].setdefault(folded(name), Option(name, []))
            option.rows.append(row)
            _add_row(option, row, owners[folded(candidate)], findings)
    for name, options in grouped.items():
        _check(list(options.values()), owners[name], findings)
    return {name: tuple(options.values()) for name, options in grouped.items()}


def excluded_pairs(options: Sequence[Option]) -> frozenset[frozenset[str]]:
    """The pairs of options, by name, that cannot be had together."""
    return frozenset(
        frozenset((one.name, other.name))
        for one, other in combinations(options, 2)
        if folded(other.name) in one.excludes or folded(one.name) in other.excludes
    )


def _bad(row: Row, column: str, findings: Findings, value: str, expected: str, mend: str = "") -> None:
    row.bad.add(column)
    findings.problem(row.where(column), value, expected, mend)


def _add_row(option: Option, row: Row, owner: Row, findings: Findings) -> None:
    for column in ("Adds weight", "Weight at", "Adds price"):
        _add_once(option, row, column, findings)
    option.excludes |= {folded(name) for name in row.values.get("Excludes") or ()}
    if "Changes" not in row.bad and row["Changes"]:
        _add_change(option, row, owner, findings)
    elif "To" in row.given and "Changes" not in row.bad:
        _bad(row, "Changes", findings, "", f"the column that becomes {shown(row.raw['To'])}", "")
    elif not row.given - {"Candidate", "Option", "Excludes"} and row.ok:
        findings.warning(row.where("Option"), option.name, "adds no weight and no price and changes nothing")


def _add_once(option: Option, row: Row, column: str, findings: Findings) -> None:
    if column not in row.given or column in row.bad:
        return
    earlier = next((one for one in option.rows[:-1] if column in one.given), None)
    if earlier is not None:
        where = earlier.where(column)
        _bad(
            row, column, findings, shown(row.raw[column]), f"one figure for {option.name}; {where} has it already"
        )
    elif column == "Adds weight":
        option.adds_lb = row[column]
    elif column == "Weight at":
        option.at_in = row[column]
    else:
        option.adds_usd = Decimal(str(row[column]))


def _add_change(option: Option, row: Row, owner: Row, findings: Findings) -> None:
    """Reads To as its column reads it; a bare number counts in the unit of the column's header in Candidates."""
    name = next((one for one in CHANGEABLE if folded(one) == folded(row["Changes"])), "")
    if not name:
        expected = "a column that Candidates shares with Trailers: " + ", ".join(CHANGEABLE)
        _bad(row, "Changes", findings, row["Changes"], expected, nearest(row["Changes"], CHANGEABLE))
        return
    if "To" not in row.given:
        _bad(row, "To", findings, "", f"what {name} holds with {option.name}; the cell is empty")
        return
    if name in option.changes:
        where = option.places[name].where("Changes")
        _bad(row, "Changes", findings, row["Changes"], f"every column once; {where} changes it already")
        return
    header = owner.table.headers.get(name)
    column = CANDIDATES.column(name)
    if store(row, column, row.raw["To"], header.unit if header else column.unit, findings, day=None, at="To"):
        option.changes[name] = row.values[name]
        option.places[name] = row


def _check(options: Sequence[Option], owner: Row, findings: Findings) -> None:
    if len(options) > MOST_OPTIONS:
        first = options[MOST_OPTIONS].rows[0]
        expected = f"at most {MOST_OPTIONS} options of {owner['Candidate']}; put together what is bought together"
        _bad(first, "Option", findings, options[MOST_OPTIONS].name, expected)
    known = {folded(one.name): one.name for one in options}
    for option in options:
        _check_excludes(option, known, owner, findings)
        _check_weight(option, owner, findings)
    pairs = excluded_pairs(options)
    for one, other in combinations(options, 2):
        if frozenset((one.name, other.name)) not in pairs:
            _note_clash(one, other, findings)


def _check_excludes(option: Option, known: Mapping[str, str], owner: Row, findings: Findings) -> None:
    for row in option.rows:
        for name in row.values.get("Excludes") or ():
            if folded(name) == folded(option.name):
                _bad(row, "Excludes", findings, name, "other options than the option itself")
            elif folded(name) not in known and "Excludes" not in row.bad:
                others = [one for one in known.values() if one != option.name]
                expected = f"options of {owner['Candidate']}: {', '.join(others) or 'it has no other'}"
                _bad(row, "Excludes", findings, name, expected, nearest(name, others))


def _check_weight(option: Option, owner: Row, findings: Findings) -> None:
    """An option that changes the empty weights says its weight by that; a figure beside it must agree."""
    weighed = next((row for row in option.rows if "Adds weight" in row.given), None)
    for row in option.rows:
        if "Weight at" in row.given and weighed is None and row.ok:
            findings.warning(row.where("Weight at"), shown(row.raw["Weight at"]), "has no effect: no Adds weight")
    changed = [name for name in EMPTY_WEIGHTS if name in option.changes]
    if not changed or weighed is None or any(owner.values.get(name) is None for name in changed):
        return
    by_change = sum(option.changes[name] - owner[name] for name in changed)
    if abs(by_change - option.adds_lb) > _AGREE_LB:
        expected = (
            f"an empty cell, or the {by_change:,.0f} lb by which the option changes {' and '.join(changed)}: it "
            "says its weight there"
        )
        _bad(weighed, "Adds weight", findings, shown(weighed.raw["Adds weight"]), expected)
    option.adds_lb = 0.0


def _note_clash(one: Option, other: Option, findings: Findings) -> None:
    """Two options that may be had together and give one column different values: which of them holds?"""
    for name in one.changes.keys() & other.changes.keys():
        if one.changes[name] != other.changes[name] or name in EMPTY_WEIGHTS:
            row = other.places[name]
            expected = f"a column that {one.name} does not change as well, or Excludes {one.name}"
            value = name if is_blank(row.raw.get("Changes")) else shown(row.raw["Changes"])
            _bad(row, "Changes", findings, value, expected)
