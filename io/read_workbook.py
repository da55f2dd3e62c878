"""Input files -> the day's problem, or every input problem found in one run."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TypeVar

from dispatch.io import layout
from dispatch.io.cells import folded, nearest
from dispatch.io.fault_addresses import note_faults
from dispatch.io.fleet_variants import (
    meet,
    note_fractions,
    note_ownership,
    note_variants,
    rows_of,
    variant_names,
    variant_of,
)
from dispatch.io.input_files import Source, read_files
from dispatch.io.input_problems import Findings, InputProblem, Where
from dispatch.io.layout_columns import Sheet
from dispatch.io.move_days import fill_days, same_day, wanted_day
from dispatch.io.read_bid_terms import read_bid_terms
from dispatch.io.read_bids import note_no_bid, read_bids
from dispatch.io.read_candidates import BaseFleet, read_candidates
from dispatch.io.read_fleet import (
    end_means_yard,
    name_drivers_alike,
    note_partial_necks,
    rig_of,
    trailer_of,
    truck_of,
)
from dispatch.io.read_hand_loads import hand_loads
from dispatch.io.read_loads import item_of, move_of, note_idle_permits, note_loaded_moves, road_of, site_of
from dispatch.io.read_outside_haul import outside_rows
from dispatch.io.read_settings import Changed, DaySettings, read_settings
from dispatch.io.read_tickets import read_tickets
from dispatch.io.sheet_grids import Grid
from dispatch.io.stand_ins import completed, is_named, windows_only
from dispatch.io.tables import Table, table_of
from dispatch.io.typed_rows import Row, known_names, note_repeats, resolve, typed_rows

from dispatch.assemble import assemble
from dispatch.comparison.candidates import Candidate
from dispatch.comparison.history import TODAY, DayVariant, History, Variant
from dispatch.cross_check import cross_check, move_faults, rig_faults, site_faults
from dispatch.fleet import Rig, Trailer, Truck
from dispatch.hand_loads import HandLoad
from dispatch.items import Item
from dispatch.mobilisation.bid import Bid
from dispatch.mobilisation.bid_terms import BidTerms
from dispatch.problem import Fault, Problem
from dispatch.tickets import Ticket

T = TypeVar("T")
Rows = Mapping[str, list[Row]]
_ROW_SHEETS = (
    layout.ITEMS,
    layout.TRUCKS,
    layout.TRAILERS,
    layout.RIGS,
    layout.SITES,
    layout.MOVES,
    layout.DISTANCES,
    layout.LOADS,
    layout.TICKETS,
    layout.VARIANTS,
    layout.CANDIDATES,
    layout.OPTIONS,
    layout.MOBILISATION,
    layout.RATES,
    layout.PERMIT_FEES,
    layout.ESCORTS,
    layout.OUTSIDE_HAUL,
)


@dataclass(frozen=True, slots=True)
class InputResult:
    """What the input gave: the problem to plan (``None`` when there are problems), findings, what was used."""

    problem: Problem | None
    problems: tuple[InputProblem, ...]
    warnings: tuple[InputProblem, ...]
    sources: tuple[Source, ...]
    changed_settings: tuple[Changed, ...]
    changed_limits: tuple[Changed, ...]
    loads: tuple[HandLoad, ...] = ()
    tickets: tuple[Ticket, ...] = ()
    history: History | None = None
    bids: tuple[Bid, ...] = ()
    terms: BidTerms | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """What of the input is wanted: one day under one variant (empty: the only day, the first variant), or all.

    Without ``need_moves`` the sheet Moves may be missing or empty; with ``bids`` there must be one to price.
    """

    day: str = ""
    variant: str = ""
    all_days: bool = False
    need_moves: bool = True
    bids: bool = False


def read_inputs(
    paths: Sequence[Path], *, today: date | None = None, need_moves: bool = True, wanted: Wanted | None = None
) -> InputResult:
    """Reads and cross-checks the files; later files add rows to the sheets of earlier ones.

    ``today`` is the day where Settings names none. Without ``wanted``: the only day under the first variant;
    without ``need_moves`` the sheet Moves may be missing or empty.
    """
    wanted = wanted or Wanted(need_moves=need_moves)
    findings = Findings()
    grids, sources = read_files(paths, findings)
    tables = _tables(grids, findings)
    _note_missing_sheets(tables, grids, findings, need_moves=wanted.need_moves)
    day = read_settings(tables[layout.SETTINGS.name], tables[layout.LIMITS.name], findings, today or date.today())
    rows, days = _rows(tables, day.settings.day, findings)
    names = variant_names(rows)
    note_variants(rows, names, findings)
    if wanted.all_days:
        _note_no_history(rows, grids, findings)
    chosen = _chosen(rows, wanted, days, names, findings)
    candidates = read_candidates(rows, _base_fleet(rows_of(rows, names[0], names), day), day.settings, findings)
    history = _history(rows, day, days, names, candidates, findings) if wanted.all_days else None
    ours = _of_day(rows_of(rows, chosen.variant, names), chosen.day)
    day = replace(day, settings=replace(day.settings, day=chosen.day or day.settings.day))
    problem = _checked(ours, day, findings)
    loads = hand_loads(ours[layout.LOADS.name], problem, _idle_rigs(rows, ours), findings)
    tickets = _weighed(ours, problem, day, findings)
    bids, terms = _bids(ours, problem, day, grids, findings) if wanted.bids else ((), None)
    problems = findings.problems()
    return InputResult(
        problem=None if problems else problem,
        problems=problems,
        warnings=findings.warnings(),
        sources=sources,
        changed_settings=day.changed,
        changed_limits=day.changed_limits,
        loads=loads,
        tickets=tickets,
        history=None if problems else history,
        bids=bids,
        terms=terms,
    )


def _bids(
    rows: Rows, problem: Problem, day: DaySettings, grids: Sequence[Grid], findings: Findings
) -> tuple[tuple[Bid, ...], BidTerms]:
    """The bids and what they are priced by; no bid at all is a problem."""
    files = ", ".join(dict.fromkeys(grid.file for grid in grids)) or "input"
    bids = read_bids(rows[layout.MOBILISATION.name], problem, findings)
    note_no_bid(rows[layout.MOBILISATION.name], files, findings)
    return bids, read_bid_terms(dict(rows), bids, day, files, findings)


def _chosen(
    rows: Rows, wanted: Wanted, days: Sequence[str], names: Sequence[str], findings: Findings
) -> DayVariant:
    """The one day and variant to plan or check; with all days wanted the first of both."""
    where = _sheet_address(rows[layout.MOVES.name], layout.MOVES)
    need_one = wanted.need_moves and not wanted.all_days
    day = wanted_day(days, wanted.day, where, findings, need_one=need_one)
    variant = next((name for name in names if folded(name) == folded(wanted.variant)), names[0])
    if wanted.variant and folded(variant) != folded(wanted.variant):
        where = _sheet_address(rows[layout.VARIANTS.name], layout.VARIANTS)
        expected = (
            f"a name from the sheet {layout.VARIANTS.name}: {', '.join(filter(None, names)) or 'there is none'}"
        )
        findings.problem(where, wanted.variant, expected, nearest(wanted.variant, names))
    return DayVariant(day, variant)


def _sheet_address(rows: Sequence[Row], sheet: Sheet) -> Where:
    return rows[0].table.where(None) if rows else Where("", sheet.name)


def _note_no_history(rows: Rows, grids: Sequence[Grid], findings: Findings) -> None:
    """Two variants are the least that can be compared, or one with a candidate."""
    found = rows[layout.VARIANTS.name]
    if len(found) < 2 and not rows[layout.CANDIDATES.name]:
        files = ", ".join(dict.fromkeys(grid.file for grid in grids)) or "input"
        where = _sheet_address(found, layout.VARIANTS) if found else Where(files, layout.VARIANTS.name)
        expected = (
            f"at least two rows in {layout.VARIANTS.name}: today's fleet first, then what it is compared with; or "
            f"a row in {layout.CANDIDATES.name}"
        )
        findings.problem(where, "", expected)


def _history(
    rows: Rows,
    day: DaySettings,
    days: Sequence[str],
    names: Sequence[str],
    candidates: tuple[Candidate, ...],
    findings: Findings,
) -> History | None:
    """Every day under every variant, each checked on its own; ``None`` without days.

    Without variants there is one fleet, today's.
    """
    problems = {}
    for name in names:
        fleet = rows_of(rows, name, names)
        for one in days:
            settings = replace(day.settings, day=one)
            problems[DayVariant(one, name or TODAY)] = _checked(
                _of_day(fleet, one), replace(day, settings=settings), findings
            )
    variants = tuple(variant_of(row) for row in _good(rows, layout.VARIANTS)) or (Variant(TODAY),)
    if not days:
        return None
    outside = outside_rows(rows[layout.OUTSIDE_HAUL.name], findings)
    return History(tuple(days), variants, problems, outside, candidates)


def _of_day(rows: Rows, day: str) -> dict[str, list[Row]]:
    """The rows with the moves of one day only."""
    return dict(rows) | {layout.MOVES.name: [row for row in rows[layout.MOVES.name] if row.values["Day"] == day]}


def _tables(grids: Sequence[Grid], findings: Findings) -> dict[str, list[Table]]:
    tables: dict[str, list[Table]] = {sheet.name: [] for sheet in layout.SHEETS}
    for grid in grids:
        sheet = layout.sheet_named(grid.title)
        if sheet is not None:
            table = table_of(grid, sheet, findings)
            tables[sheet.name] += [table] if table else []
        elif grid.rows and folded(grid.title) not in map(folded, layout.IGNORED_SHEETS):
            mend = nearest(grid.title, (one.name for one in layout.SHEETS))
            findings.warning(Where(grid.file, grid.title), grid.title, "is no input sheet and is not read", mend)
    return tables


def _note_missing_sheets(
    tables: Mapping[str, list[Table]], grids: Sequence[Grid], findings: Findings, *, need_moves: bool
) -> None:
    files = ", ".join(dict.fromkeys(grid.file for grid in grids)) or "input"
    titles = [grid.title for grid in grids if layout.sheet_named(grid.title) is None]
    for sheet in layout.SHEETS:
        if not sheet.required or (sheet is layout.MOVES and not need_moves):
            continue
        if not tables[sheet.name]:
            likely = nearest(sheet.name, titles)
            rename = f" (is it {likely}? rename it)" if likely else ""
            findings.problem(Where(files, sheet.name), "", f"a sheet {sheet.name}; there is none{rename}")
        elif not any(table.rows for table in tables[sheet.name]):
            findings.problem(tables[sheet.name][0].where(None), "", f"at least one row in {sheet.name}")


def _rows(
    tables: Mapping[str, list[Table]], day: str, findings: Findings
) -> tuple[dict[str, list[Row]], tuple[str, ...]]:
    """The rows of every sheet, read, with references resolved and repeated names noted; the days of the moves."""
    planned = date.fromisoformat(day)
    rows = {
        sheet.name: [row for table in tables[sheet.name] for row in typed_rows(table, findings, planned)]
        for sheet in _ROW_SHEETS
    }
    days = fill_days(rows[layout.MOVES.name], day)
    names = {sheet.name: known_names(rows[sheet.name], sheet) for sheet in _ROW_SHEETS if tables[sheet.name]}
    name_drivers_alike(rows[layout.RIGS.name])
    end_means_yard(rows[layout.RIGS.name], names.get(layout.SITES.name, {}))
    for sheet in _ROW_SHEETS:
        resolve(rows[sheet.name], names, findings)
    variants = variant_names(rows)
    of_fleet = {sheet.name: partial(meet, variants) for sheet in (layout.TRUCKS, layout.TRAILERS, layout.RIGS)}
    together: dict[str, Callable[[Row, Row], bool]] = {**of_fleet, layout.MOVES.name: same_day}
    for sheet in _ROW_SHEETS:
        if not (sheet.later_wins or sheet.repeats or sheet is layout.LOADS):
            note_repeats(rows[sheet.name], findings, together.get(sheet.name, lambda _one, _other: True))
    note_partial_necks(rows[layout.TRAILERS.name], findings)
    note_ownership(rows[layout.VARIANTS.name], findings)
    note_fractions((*rows[layout.VARIANTS.name], *rows[layout.CANDIDATES.name]), findings)
    return rows, days


def _checked(rows: Rows, day: DaySettings, findings: Findings) -> Problem:
    """The problem made of the rows; contradictions among those that could be read are noted.

    Items, trucks and trailers with a bad cell are stood in for, so that the moves and rigs which name them are
    checked all the same.
    """
    settings = day.settings
    items = {row["Item"]: item_of(row, settings) for row in _complete(rows, layout.ITEMS)}
    trucks = {row["Truck"]: truck_of(row) for row in _complete(rows, layout.TRUCKS)}
    trailers = {row["Trailer"]: trailer_of(row, settings) for row in _complete(rows, layout.TRAILERS)}
    sites = {row["Site"]: site_of(row) for row in _good(rows, layout.SITES)}
    available = [row for row in _good(rows, layout.RIGS) if row["Available"]]
    _note_no_rigs(rows[layout.RIGS.name], findings)
    rigs = _present(rig_of(row, trucks, trailers, day.rules) for row in available)
    moves = _present(move_of(row, items, settings) for row in _good(rows, layout.MOVES))
    note_idle_permits(rows[layout.MOVES.name], findings)
    note_loaded_moves(rows[layout.MOVES.name], findings)
    roads = [road_of(row) for row in _good(rows, layout.DISTANCES)]
    problem = assemble(tuple(items.values()), rigs, sites, moves, roads, settings, day.rules)
    faults = [*cross_check(problem, trucks.values(), trailers.values())]
    faults += _faults_of_bad_rows(rows, items, trucks, trailers, day)
    note_faults(faults, problem, rows, day.rows, findings)
    return problem


def _idle_rigs(rows: Rows, ours: Rows) -> frozenset[str]:
    """Rigs that are not available, or not in the variant."""
    at_work = {row["Rig"] for row in _good(ours, layout.RIGS) if row["Available"]}
    return frozenset(row["Rig"] for row in _good(rows, layout.RIGS)) - at_work


def _weighed(rows: Rows, problem: Problem, day: DaySettings, findings: Findings) -> tuple[Ticket, ...]:
    """The scale tickets; also of rigs that are not available today."""
    items = {item.name: item for item in problem.items}
    return read_tickets(rows[layout.TICKETS.name], _all_rigs(rows, day), items, day.settings, findings)


def _all_rigs(rows: Rows, day: DaySettings) -> dict[str, Rig]:
    """The rigs of the rows by name, also those that are not available."""
    trucks = {row["Truck"]: truck_of(row) for row in _complete(rows, layout.TRUCKS)}
    trailers = {row["Trailer"]: trailer_of(row, day.settings) for row in _complete(rows, layout.TRAILERS)}
    rigs = _present(rig_of(row, trucks, trailers, day.rules) for row in _good(rows, layout.RIGS))
    return {rig.name: rig for rig in rigs}


def _base_fleet(rows: Rows, day: DaySettings) -> BaseFleet:
    """The rigs that candidates may stand behind: those that are available."""
    names = {row["Rig"] for row in rows[layout.RIGS.name] if row.values.get("Available") and row.values.get("Rig")}
    return BaseFleet({name: rig for name, rig in _all_rigs(rows, day).items() if name in names}, frozenset(names))


def _good(rows: Rows, sheet: Sheet) -> Iterator[Row]:
    return (row for row in rows[sheet.name] if row.ok)


def _complete(rows: Rows, sheet: Sheet) -> Iterator[Row]:
    return (completed(row) for row in rows[sheet.name] if is_named(row))


def _present(found: Iterable[T | None]) -> list[T]:
    return [one for one in found if one is not None]


def _note_no_rigs(rows: list[Row], findings: Findings) -> None:
    if rows and not any("Available" in row.bad or row.values["Available"] for row in rows):
        findings.problem(rows[0].where("Available"), "no", "at least one rig that is available today", "yes")


def _faults_of_bad_rows(
    rows: Rows,
    items: Mapping[str, Item],
    trucks: Mapping[str, Truck],
    trailers: Mapping[str, Trailer],
    day: DaySettings,
) -> Iterator[Fault]:
    for sheet in (layout.RIGS, layout.SITES, layout.MOVES):
        for row in rows[sheet.name]:
            if row.ok or not is_named(row):
                continue
            stand_in = completed(row)
            found: Iterable[Fault] = ()
            if sheet is layout.RIGS and (rig := rig_of(stand_in, trucks, trailers, day.rules)):
                found = rig_faults(rig)
            elif sheet is layout.SITES:
                found = site_faults(site_of(stand_in))
            elif sheet is layout.MOVES and (move := move_of(stand_in, items, day.settings)):
                found = move_faults(move)
            yield from windows_only(list(found), row)
