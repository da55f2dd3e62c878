"""The sheet Tickets: its grammar, what is wrong with broken ones, what comes out, the scenario, other units."""

from __future__ import annotations

import io
import re
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from dispatch.io import sheet_styles as styles
from dispatch.io.cells import BadCell, ShownWith
from dispatch.io.exit_codes import ExitCode
from dispatch.io.output_units import OutputUnits
from dispatch.io.read_tickets import standing_of, tolerance_of
from dispatch.io.read_workbook import InputResult, read_inputs
from dispatch.io.run_check import run_check
from dispatch.io.ticket_sheets import TABLES, ticket_sheets, tickets_text

from dispatch.fleet import Deck
from dispatch.items import Facing
from dispatch.settings import Settings
from dispatch.tickets import ScaleTolerance
from dispatch.units import LB_PER_KG
from dispatch.weighing import weigh
from dispatch.weighing_results import Weighing
from tests import factories as make
from tests.io.books import Book, only, read
from tests.test_scenarios import metric_copy

SCENARIOS = Path(__file__).parents[2] / "scenarios"
ITEMS = {name: make.item(name) for name in ("ME-4", "BK-24", "a@b")}

HEADER = [
    "Ticket",
    "Date",
    "Rig",
    "Load or empty",
    "Truck alone or hitched",
    "Front (lb)",
    "Rear (lb)",
    "Trailer (lb)",
    "Items on deck",
    "Scale tolerance",
]
ROWS: list[list[Any]] = [
    ["S-1", date(2026, 11, 20), "R-1", "empty", "alone", 4_800, 3_900, None, None, None],
    ["S-2", "2026-11-20", "R-1", "empty", "hitched", 4_850, 5_450, 6_400, None, "20 lb"],
    [
        "S-3",
        None,
        "r 1",
        "loaded",
        None,
        4_900,
        7_340,
        12_700,
        "ex 07 @ 8 ft; Bucket 24 @ 300 in rearward",
        "0.2 %",
    ],
]


def book(**changes: Any) -> Book:
    """The sound book with three tickets; ``changes``: cells of row 4 by header, blanks as underscores."""
    found = Book()
    found.sheets["Tickets"] = [list(row) for row in (HEADER, *ROWS)]
    for header, value in changes.items():
        found.set("Tickets", 4, header.replace("_", " "), value)
    return found


# -- the grammar of what stood where ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "edge_in", "facing", "deck"),
    [
        ("ME-4 @ 3 ft 2 in forward", 38, Facing.FORWARD, Deck.MAIN),
        ("me 4 @ 3' 2\"", 38, Facing.FORWARD, Deck.MAIN),
        ("ME-4@38in Rearward", 38, Facing.REARWARD, Deck.MAIN),
        ("ME-4 @ 6 in neck", 6, Facing.FORWARD, Deck.NECK),
        ("ME-4 @ 0.5 ft neck rearward", 6, Facing.REARWARD, Deck.NECK),
        ("ME-4 @ 0 in rearward main", 0, Facing.REARWARD, Deck.MAIN),
        ("ME-4 @ 2.54 m", 100, Facing.FORWARD, Deck.MAIN),
    ],
)
def test_places_are_read(text: str, edge_in: float, facing: Facing, deck: Deck) -> None:
    standing = standing_of(text, ITEMS)
    assert standing.item.name == "ME-4"
    assert standing.front_edge_in == pytest.approx(edge_in)
    assert (standing.facing, standing.deck) == (facing, deck)


def test_a_name_may_hold_the_sign() -> None:
    assert standing_of("a@b @ 6 in", ITEMS).item.name == "a@b"


@pytest.mark.parametrize(
    ("text", "expected", "mend"),
    [
        ("ME-4 3 ft", "item @ place with its unit", "ME-4 @ 3 ft 2 in"),
        ("@ 3 ft", "item @ place with its unit", ""),
        ("ME4 @ 3 ft", "a name from the sheet Items before the @", "ME-4"),
        ("ME-4 @ 38", "a place with its unit", "ME-4 @ 38 in"),
        ("ME-4 @", "a place behind the @", ""),
        ("ME-4 @ rearward", "a place behind the @", ""),
        ("ME-4 @ 3 ft forward rearward", "one of forward, rearward", ""),
        ("ME-4 @ 3 ft neck neck", "each once", ""),
        ("ME-4 @ 3 ft sideways", "a length such as", ""),
        ("ME-4 @ 3 lb", '"lb" is a unit of weight', ""),
        ("ME-4 @ 3 1/2 ft", "write fractions as decimals", "3.5 ft"),
    ],
)
def test_what_is_no_place_is_refused(text: str, expected: str, mend: str) -> None:
    with pytest.raises(BadCell) as found:
        standing_of(text, ITEMS)
    assert expected in found.value.expected
    assert found.value.mend == mend


@pytest.mark.parametrize(
    ("cell", "tolerance"),
    [
        ("20 lb", ScaleTolerance(20.0)),
        ("10 kg", ScaleTolerance(10 * LB_PER_KG)),
        ("0.2 %", ScaleTolerance(0.0, 0.2)),
        (ShownWith(0.002, "%"), ScaleTolerance(0.0, 0.2)),
        (ShownWith(10, "kg"), ScaleTolerance(10 * LB_PER_KG)),
    ],
)
def test_tolerances_are_read(cell: Any, tolerance: ScaleTolerance) -> None:
    found = tolerance_of(cell)
    assert (found.lb, found.pct) == (pytest.approx(tolerance.lb), pytest.approx(tolerance.pct))


@pytest.mark.parametrize(
    ("cell", "expected"), [("20", "with its unit"), (20, "with its unit"), ("0 lb", "above 0"), ("12 %", "10 %")]
)
def test_what_is_no_tolerance_is_refused(cell: Any, expected: str) -> None:
    with pytest.raises(BadCell, match=expected):
        tolerance_of(cell)


# -- the sheet --------------------------------------------------------------------------------------------------


def test_a_sound_sheet(tmp_path: Path) -> None:
    result = read(book().xlsx(tmp_path / "day.xlsx"))
    assert [str(one) for one in (*result.problems, *result.warnings)] == []
    alone, empty, loaded = result.tickets
    assert (alone.alone, alone.day, alone.tolerance) == (True, "2026-11-20", ScaleTolerance(20.0, 0.2))
    assert (empty.empty_rig, empty.trailer_lb, empty.tolerance) == (True, 6_400, ScaleTolerance(20.0))
    assert (loaded.loaded, loaded.rig.name, loaded.tolerance) == (True, "R-1", ScaleTolerance(0.0, 0.2))
    assert [(one.item.name, one.front_edge_in, one.facing) for one in loaded.on_deck] == [
        ("EX-07", 96, Facing.FORWARD),
        ("Bucket 24", 300, Facing.REARWARD),
    ]


def test_settings_hold_the_usual_tolerance(tmp_path: Path) -> None:
    sound = book(Scale_tolerance=None)
    sound.sheets["Settings"] += [
        ["Scale tolerance (kg)", 10],
        ["Scale tolerance share", 0.1],
        ["Tape tolerance", 2],
    ]
    result = read(sound.xlsx(tmp_path / "day.xlsx"))
    assert result.problem is not None
    assert result.tickets[2].tolerance == ScaleTolerance(pytest.approx(10 * LB_PER_KG), 0.1)
    assert result.problem.settings.tape_tolerance_in == 2


def test_a_rig_that_is_out_today_may_have_been_weighed(tmp_path: Path) -> None:
    sound = book()
    sound.set("Rigs", 2, "Available", "no")
    sound.set("Moves", 3, "Only rigs", None)
    result = read(sound.xlsx(tmp_path / "day.xlsx"))
    assert not result.problems
    assert len(result.tickets) == 3


AT = "day.xlsx, Tickets, row 4, column"
FORM = "item @ place with its unit, such as ME-4 @ 3 ft 2 in forward; BK-24 @ 6 in neck"
FAULTS: dict[str, tuple[dict[str, Any], str]] = {
    "no trailer reading": (
        {"Trailer": None},
        f"{AT} H Trailer (lb): expected the weight on the trailer axles: the rig was weighed hitched; "
        "or write alone",
    ),
    "nothing on deck": (
        {"Items_on_deck": None},
        f"{AT} I Items on deck: expected what stood on deck, Load or empty says loaded: {FORM}",
    ),
    "empty with items": (
        {"Load_or_empty": "empty"},
        f'{AT} I Items on deck: "ex 07 @ 8 ft; Bucket 24 @ 300 in rearward" - expected nothing: '
        "Load or empty says empty",
    ),
    "alone and loaded": (
        {"Truck_alone_or_hitched": "alone", "Trailer": None},
        f'{AT} D Load or empty: "loaded" - expected empty: a truck alone carries nothing here',
    ),
    "alone with a trailer": (
        {"Truck_alone_or_hitched": "alone", "Load_or_empty": "empty", "Items_on_deck": None},
        f'{AT} H Trailer (lb): "12700" - expected nothing: the truck was weighed alone',
    ),
    "unknown rig": (
        {"Rig": "R-9"},
        f'{AT} C Rig: "R-9" - expected a name from the sheet Rigs; nearest: R-2',
    ),
    "unknown item": (
        {"Items_on_deck": "EX-70 @ 8 ft"},
        f'{AT} I Items on deck: "EX-70 @ 8 ft" - expected a name from the sheet Items before the @; '
        "nearest: EX-07",
    ),
    "one item twice": (
        {"Items_on_deck": "EX-07 @ 8 ft; EX-07 @ 9 ft"},
        f'{AT} I Items on deck: "EX-07 @ 9 ft" - expected EX-07 once on a ticket',
    ),
    "no neck deck": (
        {"Items_on_deck": "Bucket 24 @ 6 in neck"},
        f'{AT} I Items on deck: "Bucket 24 @ 6 in neck" - expected main: the trailer G-24 has no neck deck',
    ),
    "off the deck": (
        {"Items_on_deck": "EX-07 @ 28 ft"},
        f'{AT} I Items on deck: "EX-07 @ 28 ft" - expected a front edge on the deck: from 0 to 336 in',
    ),
    "bare place": (
        {"Items_on_deck": "EX-07 @ 8"},
        f'{AT} I Items on deck: "EX-07 @ 8" - expected a place with its unit, such as 3 ft 2 in, 38 in or 0.97 m; '
        "nearest: EX-07 @ 8 in",
    ),
    "bare tolerance": (
        {"Scale_tolerance": 20},
        f'{AT} J Scale tolerance: "20" - expected a tolerance with its unit, such as 20 lb or 0.2 %; '
        "nearest: 20 lb",
    ),
    "no weight": (
        {"Front": "?"},
        f'{AT} F Front (lb): "?" - expected a weight such as 12,400, 12,400 lb or 5.6 t, a bare number in lb',
    ),
    "the same name twice": (
        {"Ticket": "S-2"},
        f'{AT} A Ticket: "S-2" - expected a name of its own; day.xlsx, Tickets, row 3, column A Ticket '
        "has it already",
    ),
    "another state": (
        {"Load_or_empty": "full"},
        f'{AT} D Load or empty: "full" - expected one of empty, loaded',
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_broken_sheet_says_where_and_what(name: str, tmp_path: Path) -> None:
    changes, message = FAULTS[name]
    result = read(book(**changes).xlsx(tmp_path / "day.xlsx"))
    assert str(only(result.problems)) == message
    assert result.problem is None


def test_a_bad_item_row_is_not_blamed_on_the_ticket(tmp_path: Path) -> None:
    bent = book()
    bent.set("Items", 2, "Weight", "heavy")
    result = read(bent.xlsx(tmp_path / "day.xlsx"))
    assert only(result.problems).where.sheet == "Items"


# -- the scenario -------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def scenario() -> InputResult:
    result = read_inputs([SCENARIOS / "morning", SCENARIOS / "tickets"], need_moves=False)
    assert [str(one) for one in (*result.problems, *result.warnings)] == []
    return result


@pytest.fixture(scope="module")
def weighing(scenario: InputResult) -> Weighing:
    assert scenario.problem is not None
    return weigh(scenario.tickets, scenario.problem.settings)


def test_the_scenario_says_what_its_story_says(weighing: Weighing) -> None:
    assert {(row.name, row.column) for row in weighing.new_figures} == {
        ("ME-4", "Weight"),
        ("ME-4", "CG from front"),
        ("T-1", "Empty front"),
        ("G-30", "Empty axles"),
    }
    pairs = [one for one in weighing.contradictions if one.test == "within tolerances"]
    assert {one.tickets for one in pairs} == {("W-7", "W-8")}
    assert any(one.test.startswith("chi-square") for one in weighing.contradictions)


def test_the_story_quotes_the_figures(weighing: Weighing) -> None:
    text = (SCENARIOS / "tickets" / "README.md").read_text(encoding="utf-8")
    quoted = re.search(r"```text\n(.*?)```", text, flags=re.S)
    assert quoted is not None
    said = tickets_text(weighing, OutputUnits())
    assert [line for line in quoted[1].splitlines() if line != "..." and line not in said.splitlines()] == []


def test_no_input_is_edited(scenario: InputResult) -> None:
    """The sheets' figures go on unchanged: what the tickets say is offered and not used."""
    assert scenario.problem is not None
    assert {item.name: item.weight.nominal_lb for item in scenario.problem.items}["ME-4"] == 11_650


# -- what comes out ---------------------------------------------------------------------------------------------


def workbook_of(weighing: Weighing, units: OutputUnits) -> Any:
    workbook = styles.new_workbook()
    styles.first_sheet(workbook, "first")
    ticket_sheets(workbook, weighing, units)
    buffer = io.BytesIO()
    workbook.save(buffer)
    return openpyxl.load_workbook(io.BytesIO(buffer.getvalue()))


def rows_of(workbook: Any, title: str) -> list[dict[str, Any]]:
    head, *rows = workbook[title].iter_rows(values_only=True)
    return [dict(zip(head, row, strict=True)) for row in rows]


def test_sheets_and_columns(weighing: Weighing) -> None:
    workbook = workbook_of(weighing, OutputUnits())
    assert workbook.sheetnames == ["first", *(title for title, *_ in TABLES)]
    tickets = rows_of(workbook, "Tickets")
    assert len(tickets) == 22
    first = tickets[0]
    assert (first["Ticket"], first["State"], first["Axles"]) == ("W-1", "truck alone", "Front")
    assert (first["Predicted (lb)"], first["Weighed (lb)"], first["Difference (lb)"]) == (7_900, 7_940, 40)
    assert first["Verdict"] == "outside by 20 lb"
    assert tickets[1]["Verdict"] == "within tolerance"
    (weight,) = (
        row for row in rows_of(workbook, "New rows") if (row["Name"], row["Column"]) == ("ME-4", "Weight")
    )
    assert (weight["Sheet"], weight["Now"], weight["New"], weight["Unit"]) == ("Items", 11_650, 12_020, "lb")
    assert weight["Weight basis"] == "scale ticket"
    assert weight["Plus or minus"] == pytest.approx(46.97, abs=0.01)
    (place,) = (row for row in rows_of(workbook, "New rows") if row["Column"] == "CG from front")
    assert (place["Unit"], place["New"]) == ("ft", pytest.approx(134.2 / 12, abs=1e-3))
    assert {row["Test"] for row in rows_of(workbook, "Contradictions")} == {
        "within tolerances",
        "chi-square, 1 % level",
    }


def test_no_tickets_no_sheets_no_text() -> None:
    nothing = weigh([], Settings())
    assert workbook_of(nothing, OutputUnits()).sheetnames == ["first"]
    assert tickets_text(nothing, OutputUnits()) == ""


def test_the_text_is_ascii(weighing: Weighing) -> None:
    assert tickets_text(weighing, OutputUnits()).isascii()
    assert tickets_text(weighing, OutputUnits(metric_weight=True, metric_distance=True)).isascii()


def test_kilograms_and_metres_tell_the_same(weighing: Weighing, tmp_path: Path) -> None:
    """The whole scenario in kg and m, tolerances too: every estimate and verdict is the same."""
    metric_copy(SCENARIOS / "morning", tmp_path)
    metric_copy(SCENARIOS / "tickets", tmp_path)
    path = tmp_path / "Tickets.csv"
    text = path.read_text(encoding="utf-8")
    assert "Front (kg)" in text
    path.write_text(text.replace("20 lb", f"{20 * 0.45359237!r} kg"), encoding="utf-8")
    result = read_inputs([tmp_path], need_moves=False)
    assert result.problem is not None, "\n".join(map(str, result.problems))
    other = weigh(result.tickets, result.problem.settings)
    for one, same in zip(weighing.estimates, other.estimates, strict=True):
        assert (one.value, one.u) == (pytest.approx(same.value), pytest.approx(same.u))
        assert (one.name, one.figure, one.agrees, one.remark) == (same.name, same.figure, same.agrees, same.remark)
    assert [row.outside_lb for row in weighing.comparisons] == pytest.approx(
        [row.outside_lb for row in other.comparisons], abs=1e-6
    )
    assert [one.about for one in weighing.contradictions] == [one.about for one in other.contradictions]
    assert weighing.new_figures[0].value == other.new_figures[0].value


# -- the command --------------------------------------------------------------------------------------------------


def test_check_reads_tickets_without_moves_or_loads(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], weighing: Weighing
) -> None:
    for name in ("Items", "Trucks", "Trailers", "Rigs", "Sites"):
        shutil.copy(SCENARIOS / "morning" / f"{name}.csv", tmp_path)
    output = tmp_path / "checks.xlsx"
    code = run_check((tmp_path, SCENARIOS / "tickets"), output, (20.0,), force=False, quiet=False)
    assert code is ExitCode.DONE
    assert tickets_text(weighing, OutputUnits()) in capsys.readouterr().out
    assert openpyxl.load_workbook(output).sheetnames[-4:] == [title for title, *_ in TABLES]


# -- the page -----------------------------------------------------------------------------------------------------


def test_every_example_of_the_page_is_a_test() -> None:
    root = Path(__file__).parents[2]
    page = (root / "docs" / "scale-tickets.md").read_text(encoding="utf-8")
    tests = (root / "tests" / "dispatch" / "test_weighing.py").read_text(encoding="utf-8")
    named = set(re.findall(r"`(test_\w+)`", page))
    assert len(named) >= 12
    assert [name for name in sorted(named) if f"\ndef {name}(" not in tests] == []
