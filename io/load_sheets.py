"""The tables of hand-made loads: verdicts, places, checks, windows, mends."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from dispatch.io import sheet_styles as styles
from dispatch.io.driver_sheets import write_loaded_rig
from dispatch.io.output_units import OutputUnits
from dispatch.io.printed_page import Page
from dispatch.io.schedule_sheets import (
    LOAD_PLAN,
    WEIGHTS,
    Column,
    place,
    plain,
    use_pct,
    wide,
    write_sheet,
)
from dispatch.io.terminal import table
from openpyxl.workbook import Workbook

from dispatch.checks import Check
from dispatch.load_report import LoadReport, fault_words, state_rows
from dispatch.mends import Mend
from dispatch.place_windows import Stretch, Window
from dispatch.plan import Placed
from dispatch.report import GENERAL_CAUTIONS, LoadRow


@dataclass(frozen=True, slots=True)
class _LoadLine:
    """One load in the sheet Loads."""

    report: LoadReport

    @property
    def check(self) -> Check:
        """The tightest check, or the one broken most."""
        return self.report.judged.tightest


@dataclass(frozen=True, slots=True)
class _PlanLine:
    """One item in the sheet Load plan."""

    load: str
    row: LoadRow
    given: str


@dataclass(frozen=True, slots=True)
class _WindowLine:
    """One stretch of one item's window; ``number`` is its line, from 1."""

    load: str
    item: str
    number: int
    placed: Placed
    window: Window
    stretch: Stretch | None

    @property
    def at_in(self) -> int:
        """Where the item stands."""
        return self.placed.front_edge_in

    @property
    def from_in(self) -> int | None:
        """First place of the stretch."""
        return self.stretch[0] if self.stretch else None

    @property
    def to_in(self) -> int | None:
        """Last place of the stretch."""
        return self.stretch[1] if self.stretch else None

    @property
    def best_in(self) -> int | None:
        """The best place of all."""
        return self.window.best_in


@dataclass(frozen=True, slots=True)
class _MendLine:
    """One mend, numbered within its load."""

    load: str
    number: int
    mend: Mend

    @property
    def check(self) -> Check:
        """The tightest check afterwards."""
        return self.mend.tightest


def _of_row(column: Column) -> Column:
    """A column of the schedule's load plan over the row inside a ``_PlanLine``."""

    def value(line: Any, units: OutputUnits) -> Any:
        return column.value(line.row, units)

    return replace(column, value=value)


def _items_of(line: _LoadLine, _: OutputUnits) -> str:
    return line.report.load.items


LOADS = (
    Column("Load", wide(styles.TEXT, 10), lambda line, _: line.report.load.name, "name of the load"),
    Column("Rig", wide(styles.TEXT, 12), lambda line, _: line.report.load.rig, "what carries it"),
    Column("Items (load order)", wide(styles.LONG_TEXT, 26), _items_of, "what is carried, first on first"),
    Column(
        "Verdict",
        wide(styles.TEXT, 12),
        lambda line, _: line.report.verdict,
        "legal: with everything aboard and after every item that comes off, last on first off; legal while full: "
        "only with everything aboard",
    ),
    Column(
        "Tightest check",
        wide(styles.TEXT, 18),
        lambda line, _: line.check.name,
        "in any state; of a load that is not legal the check broken most",
    ),
    Column("Use", styles.PERCENT, use_pct, "its worst case / limit; blank where a limit of zero is broken", "%"),
    Column(
        "Broken",
        wide(styles.LONG_TEXT, 44),
        lambda line, _: line.report.why_not,
        "what is not met, in numbers, where it is broken most: at most four checks; Weights has them all",
    ),
    Column(
        "Smallest change that mends it",
        wide(styles.LONG_TEXT, 44),
        lambda line, _: first_mend(line.report),
        "the first row of the sheet Mends",
    ),
    Column(
        "Places left blank",
        wide(styles.TEXT, 16),
        lambda line, _: _blanks(line.report),
        "best: the largest least margin; rough: no place is legal, an orientation only",
    ),
)


def first_mend(report: LoadReport) -> str:
    """The smallest change that mends a load; nothing for a legal one."""
    if report.mends:
        return report.mends[0].words
    return "" if report.judged.legal else "no single change found"


def _blanks(report: LoadReport) -> str:
    if all(line.front_edge_in is not None for line in report.load.lines):
        return "none"
    return "best" if report.judged.fits else "rough: no place is legal"


LOAD_ROWS = (
    Column("Load", wide(styles.TEXT, 10), plain("load"), "name of the load"),
    *(_of_row(column) for column in LOAD_PLAN if column.name not in ("Trip", "Move")),
    Column("Place", wide(styles.TEXT, 9), plain("given"), "given in the sheet Loads, or found"),
)

STATES = (
    Column("Load", wide(styles.TEXT, 10), plain("load"), "name of the load"),
    Column(
        "State",
        wide(styles.COUNT, 7),
        lambda row, _: row.state or "all",
        "1 with everything aboard, then one item less each; `all` for a check made once a load",
    ),
    Column("On deck", wide(styles.LONG_TEXT, 26), plain("on_deck"), "what is aboard in that state"),
    *WEIGHTS[4:],
)

WINDOWS = (
    Column("Load", wide(styles.TEXT, 10), plain("load"), "name of the load"),
    Column("Item", wide(styles.TEXT, 17), plain("item"), "the item that may move, all others staying"),
    Column("Order", styles.COUNT, plain("number"), "1 is loaded first"),
    Column("Deck", wide(styles.TEXT, 7), lambda line, _: line.placed.deck.value, "the deck it stands on"),
    Column("Facing", wide(styles.TEXT, 10), lambda line, _: line.placed.facing.value, "as it stands"),
    Column("Stands at", wide(styles.FIGURE, 10), place("at_in"), "front edge behind the deck's front", "position"),
    Column(
        "In its window",
        wide(styles.TEXT, 9),
        lambda line, _: "yes" if line.window.inside else "no",
        "whether it stands where the load is legal",
    ),
    Column("From", wide(styles.FIGURE, 10), place("from_in"), "first legal place of the stretch", "position"),
    Column("To", wide(styles.FIGURE, 10), place("to_in"), "last legal place of the stretch", "position"),
    Column(
        "Window",
        wide(styles.TEXT, 26),
        lambda line, units: window_text(line.stretch, units),
        "the same for people; every whole inch within keeps the load legal in every state",
    ),
    Column("Best place", wide(styles.FIGURE, 10), place("best_in"), "largest least margin", "position"),
)

MENDS = (
    Column("Load", wide(styles.TEXT, 10), plain("load"), "name of the load"),
    Column("No", styles.COUNT, plain("number"), "1 changes least"),
    Column(
        "Change",
        wide(styles.TEXT, 16),
        lambda line, _: line.mend.change.name.replace("_", " ").lower(),
        "kind of the change",
    ),
    Column("What to do", wide(styles.LONG_TEXT, 60), lambda line, _: line.mend.words, "verified by every check"),
    Column(
        "Moved in all",
        wide(styles.FIGURE, 10),
        lambda line, units: units.to_position(line.mend.inches),
        "sum over the items of how far each moves",
        "position",
    ),
    Column("Tightest check then", wide(styles.TEXT, 18), lambda line, _: line.check.name, "afterwards"),
    Column("Use", styles.PERCENT, use_pct, "its use", "%"),
)


def window_text(stretch: Stretch | None, units: OutputUnits) -> str:
    """A stretch for people: ``3 ft 2 in to 6 ft 8 in``."""
    if stretch is None:
        return "none"
    first, last = (units.place_text(inches) for inches in stretch)
    return first if first == last else f"{first} to {last}"


def _verdict_lines(report: LoadReport) -> Iterator[_LoadLine]:
    yield _LoadLine(report)


def _plan_lines(report: LoadReport) -> Iterator[_PlanLine]:
    for line, row in zip(report.load.lines, report.rows, strict=True):
        yield _PlanLine(report.load.name, row, "found" if line.front_edge_in is None else "given")


def _window_lines(report: LoadReport) -> Iterator[_WindowLine]:
    for number, (line, window) in enumerate(zip(report.load.lines, report.windows, strict=True), start=1):
        for stretch in window.stretches or (None,):
            yield _WindowLine(report.load.name, line.item.name, number, window.placed, window, stretch)


def _mend_lines(report: LoadReport) -> Iterator[_MendLine]:
    for number, mend in enumerate(report.mends, start=1):
        yield _MendLine(report.load.name, number, mend)


TABLES: tuple[tuple[str, str, Sequence[Column], Callable[[LoadReport], Iterator[object]]], ...] = (
    ("Loads", "Loads", LOADS, _verdict_lines),
    ("Load plan", "LoadPlan", LOAD_ROWS, _plan_lines),
    ("Weights", "Weights", STATES, state_rows),
    ("Windows", "Windows", WINDOWS, _window_lines),
    ("Mends", "Mends", MENDS, _mend_lines),
)
"""Sheet, table, columns and the rows of one load."""


def write_load_sheets(workbook: Workbook, loads: Sequence[LoadReport], units: OutputUnits) -> None:
    """Append the tables of all loads, then their side views; nothing when there is no load."""
    if not loads:
        return
    for title, name, columns, rows in TABLES:
        write_sheet(workbook, title, name, columns, [row for report in loads for row in rows(report)], units)
    _side_views(workbook, loads, units)


def _side_views(workbook: Workbook, loads: Sequence[LoadReport], units: OutputUnits) -> None:
    """A printed page a load: verdict, what is broken and what mends it, the drawing, axle loads in every state."""
    page = Page(workbook.create_sheet("Side views"), metric=units.metric_distance, upright=True)
    page.line("Hand-made loads", styles.TITLE)
    page.line(" ".join(GENERAL_CAUTIONS), styles.SMALL)
    page.end_titles()
    for number, report in enumerate(loads):
        if number:
            page.new_page()
        page.section(f"{report.load.name} on {report.load.rig}: {report.verdict.upper()}")
        if report.why_not:
            page.line(f"Broken: {report.why_not}.", styles.BOLD)
        if not report.judged.legal:
            page.line(f"Smallest change: {first_mend(report)}.")
        write_loaded_rig(page, report.judged.problem, report.page, "Loaded as drawn", units)


def loads_text(loads: Sequence[LoadReport]) -> str:
    """The verdicts for a terminal: load, rig, items, verdict, tightest check, what mends it."""
    heads = ("load", "rig", "items (load order)", "verdict", "tightest check", "use %", "smallest change")
    return table(heads, [_text_line(report) for report in loads], last_uncut=True)


def _text_line(report: LoadReport) -> tuple[str, ...]:
    line = _LoadLine(report)
    use = use_pct(line, OutputUnits())
    words = fault_words(line.check) if report.judged.broken else line.check.name
    shown = f"{use:.1f}" if isinstance(use, float) else ""
    return report.load.name, report.load.rig, report.load.items, report.verdict, words, shown, first_mend(report)
