"""The sheet Loads and the workbook of ``haulday check``: broken rows with their messages, sheets, pictures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from dispatch.io import command
from dispatch.io.fit_chart import Curve, Standing, fit_chart
from dispatch.io.fit_sheets import fit_text, stretches
from dispatch.io.load_sheets import loads_text
from dispatch.io.output_units import OutputUnits
from dispatch.io.read_workbook import InputResult
from dispatch.io.run_check import run_check
from dispatch.io.write_checks import PARTS, CheckResults, checks_workbook
from openpyxl import Workbook, load_workbook
from typer.testing import CliRunner

from dispatch.capacity import Allowed, heaviest_items
from dispatch.explain import item_by_rig
from dispatch.fleet import Deck
from dispatch.items import Facing, LoadsBy
from dispatch.load_report import load_report
from tests.io.books import Book, read

HEADS = ["Load", "Rig", "Item", "Order", "Front edge behind deck front (ft)", "Facing", "Deck", "Runs", "Permit"]
FRONT = "Front edge behind deck front"
SCENARIOS = Path(__file__).parents[2] / "scenarios"


def with_loads(*rows: list[Any], heads: list[str] | None = None) -> Book:
    book = Book()
    book.sheets["Loads"] = [list(heads or HEADS), *(row + [None] * (len(HEADS) - len(row)) for row in rows)]
    return book


def sound() -> Book:
    return with_loads(
        ["L-1", "R-1", "EX-07", 2, None, "rearward"],
        ["l-1", None, "Bucket 24", 1, "1 ft 6 in", None, "main"],
        ["L-2", "R-2", "SS-2", None, 9, None, None, "no", "OS-7"],
    )


def result_of(book: Book, tmp_path: Path, **more: Any) -> InputResult:
    return read(book.xlsx(tmp_path / "day.xlsx"), **more)


# -- reading -----------------------------------------------------------------------------------------------------


def test_rows_of_one_load_form_the_load_in_loading_order(tmp_path: Path) -> None:
    result = result_of(sound(), tmp_path)
    assert [str(one) for one in (*result.problems, *result.warnings)] == []
    first, second = result.loads
    assert (first.name, first.rig, first.items) == ("L-1", "R-1", "Bucket 24, EX-07")
    assert [line.front_edge_in for line in first.lines] == [18, None]
    assert [line.facing for line in first.lines] == [None, Facing.REARWARD]
    assert [line.deck for line in first.lines] == [Deck.MAIN, None]
    (line,) = second.lines
    assert (line.front_edge_in, line.runs, line.permit, line.how) == (108, False, "OS-7", LoadsBy.WINCHED)


def test_without_an_order_the_rows_are_it_and_the_unit_may_be_any(tmp_path: Path) -> None:
    heads = [head.replace("(ft)", "(in)") for head in HEADS]
    book = with_loads(["L-1", "R-1", "EX-07", None, 90], ["L-1", None, "SS-2", None, "20 ft"], heads=heads)
    (load,) = result_of(book, tmp_path).loads
    assert [(line.item.name, line.front_edge_in) for line in load.lines] == [("EX-07", 90), ("SS-2", 240)]


def test_a_place_off_the_inch_grid_is_taken_to_it_with_a_warning(tmp_path: Path) -> None:
    result = result_of(with_loads(["L-1", "R-1", "EX-07", None, "1.5 m"]), tmp_path)
    (load,) = result.loads
    assert load.lines[0].front_edge_in == 59  # 59.06 in
    assert [str(one) for one in result.warnings] == [
        'day.xlsx, Loads, row 2, column E Front edge behind deck front (ft): "1.5 m" - is taken as 4 ft 11 in: '
        "places count in whole inches"
    ]


def test_loads_need_no_moves_and_a_day_needs_no_loads(tmp_path: Path) -> None:
    book = sound()
    del book.sheets["Moves"]
    assert len(result_of(book, tmp_path, need_moves=False).loads) == 2
    assert read(Book().xlsx(tmp_path / "other.xlsx")).loads == ()


def neck_deck(book: Book) -> None:
    for column, value in (
        ("Neck deck from coupler (ft)", -2),
        ("Neck deck length (ft)", 8),
        ("Neck deck width (ft)", 8),
        ("Neck deck height (ft)", 5),
    ):
        book.set("Trailers", 2, column, value)


def forward_only(book: Book) -> None:
    book.set("Items", 2, "Facing", "forward")


def idle(book: Book) -> None:
    book.set("Rigs", 2, "Available", "no")


WHERE = "day.xlsx, Loads, row"
FAULTS: dict[str, tuple[list[list[Any]], Callable[[Book], None] | None, list[str]]] = {
    "unknown rig": (
        [["L-1", "R-9", "EX-07"]],
        None,
        [f'{WHERE} 2, column B Rig: "R-9" - expected a name from the sheet Rigs; nearest: R-2'],
    ),
    "no rig": (
        [["L-1", None, "EX-07"], ["L-1", None, "SS-2"]],
        None,
        [f"{WHERE} 2, column B Rig: expected a rig on at least one row of the load; nearest: R-1"],
    ),
    "two rigs": (
        [["L-1", "R-1", "EX-07"], ["L-1", "R-2", "SS-2"]],
        None,
        [
            f'{WHERE} 3, column B Rig: "R-2" - expected one rig for all rows of a load: R-1, as at '
            f"{WHERE} 2, column B Rig; nearest: R-1"
        ],
    ),
    "idle rig": (
        [["L-1", "R-1", "EX-07"]],
        idle,
        [f'{WHERE} 2, column B Rig: "R-1" - expected a rig that is available today; nearest: R-2'],
    ),
    "unknown item": (
        [["L-1", "R-1", "EX-70"]],
        None,
        [f'{WHERE} 2, column C Item: "EX-70" - expected a name from the sheet Items; nearest: EX-07'],
    ),
    "no item": (
        [["L-1", "R-1", None]],
        None,
        [
            f"{WHERE} 2, column C Item: expected a name from another sheet such as EX-07; the cell is empty",
        ],
    ),
    "item twice": (
        [["L-1", "R-1", "EX-07"], ["L-1", None, "ex-07"]],
        None,
        [
            f'{WHERE} 3, column C Item: "ex-07" - expected an item once in a load; '
            f"{WHERE} 2, column C Item has it already"
        ],
    ),
    "order twice": (
        [["L-1", "R-1", "EX-07", 1], ["L-1", None, "SS-2", 1]],
        None,
        [
            f'{WHERE} 3, column D Order: "1" - expected an order once in a load; '
            f"{WHERE} 2, column D Order has it already"
        ],
    ),
    "order on some rows": (
        [["L-1", "R-1", "EX-07", 1], ["L-1", None, "SS-2"]],
        None,
        [f"{WHERE} 3, column D Order: expected an order on every row of a load, or on none; nearest: 2"],
    ),
    "order below one": (
        [["L-1", "R-1", "EX-07", 0]],
        None,
        [f'{WHERE} 2, column D Order: "0" - expected 1 or more; nearest: 1'],
    ),
    "place is no number": (
        [["L-1", "R-1", "EX-07", None, "front"]],
        None,
        [f'{WHERE} 2, column E Front edge behind deck front (ft): "front" - expected a length such as'],
    ),
    "place ahead of the deck": (
        [["L-1", "R-1", "EX-07", None, -1]],
        None,
        [f'{WHERE} 2, column E Front edge behind deck front (ft): "-1" - expected 0 ft or more; nearest: 0'],
    ),
    "unknown facing": (
        [["L-1", "R-1", "EX-07", None, None, "foreward"]],
        None,
        [f'{WHERE} 2, column F Facing: "foreward" - expected one of forward, rearward; nearest: forward'],
    ),
    "facing that the item does not allow": (
        [["L-1", "R-1", "EX-07", None, None, "rearward"]],
        forward_only,
        [
            f'{WHERE} 2, column F Facing: "rearward" - expected forward: the sheet Items lets EX-07 face that way '
            "only; nearest: forward"
        ],
    ),
    "driven on to the neck deck": (
        [["L-1", "R-1", "EX-07", None, None, None, "neck"]],
        neck_deck,
        [
            f'{WHERE} 2, column G Deck: "neck" - expected main: EX-07 is not lifted, and only lifted items ride '
            "on a neck deck; nearest: main"
        ],
    ),
    "no neck deck": (
        [["L-1", "R-1", "Bucket 24", None, None, None, "neck"]],
        None,
        [f'{WHERE} 2, column G Deck: "neck" - expected main: trailer G-24 has no neck deck; nearest: main'],
    ),
    "three at once": (
        [["L-1", "R-1", "EX-07", None, "x"], ["L-2", "R-9", "SS-2"], ["L-3", "R-2", "Bucket 24", 1.5]],
        None,
        [f"{WHERE} 2, column E", f"{WHERE} 3, column B", f"{WHERE} 4, column D"],
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_broken_loads_are_reported_with_their_addresses(fault: str, tmp_path: Path) -> None:
    rows, bend, messages = FAULTS[fault]
    book = with_loads(*rows)
    if bend is not None:
        bend(book)
    result = result_of(book, tmp_path)
    assert result.problem is None
    found = [str(one) for one in result.problems]
    assert len(found) == len(messages), found
    for said, wanted in zip(found, messages, strict=True):
        assert said.startswith(wanted)


def test_a_load_on_a_broken_rig_or_item_makes_no_second_problem(tmp_path: Path) -> None:
    book = sound()
    book.set("Items", 2, "Weight", "8,2")
    book.set("Rigs", 3, "Shift end", "25:00")
    assert [problem.where.sheet for problem in result_of(book, tmp_path).problems] == ["Items", "Rigs"]


# -- the workbook -------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> CheckResults:
    book = with_loads(
        ["L-1", "R-1", "EX-07", 1, 5, "forward"],
        ["L-1", None, "Bucket 24", 2, 20],
        ["L-2", "R-2", "EX-07", None, 0.5],
    )
    read_in = read(book.xlsx(tmp_path_factory.mktemp("loads") / "day.xlsx"))
    problem = read_in.problem
    assert problem is not None
    lengths = (48.0, 120.0)
    return CheckResults(
        problem,
        item_by_rig(problem),
        tuple(load_report(problem, load, lengths) for load in read_in.loads),
        heaviest_items(problem, lengths),
    )


@pytest.fixture(scope="module")
def workbook(results: CheckResults) -> Workbook:
    return load_workbook(BytesIO(checks_workbook(results)))


def rows_of(workbook: Workbook, sheet: str) -> list[dict[str, Any]]:
    heads, *rows = workbook[sheet].iter_rows(values_only=True)
    return [dict(zip(map(str, heads), row, strict=True)) for row in rows]


def test_the_sheets_in_their_order(workbook: Workbook) -> None:
    assert workbook.sheetnames == [
        "Loads",
        "Load plan",
        "Weights",
        "Windows",
        "Mends",
        "Side views",
        "What still fits",
        "Payload left",
        "Fit pictures",
        "Item by rig",
    ]


def test_each_load_has_its_verdict(workbook: Workbook, results: CheckResults) -> None:
    rows = rows_of(workbook, "Loads")
    assert [row["Load"] for row in rows] == ["L-1", "L-2"]
    assert (
        [row["Verdict"] for row in rows] == [report.verdict for report in results.loads] == ["legal", "not legal"]
    )
    assert rows[0]["Broken"] is None
    assert "Coupler share" in rows[1]["Broken"]
    assert rows[1]["Smallest change that mends it"] == results.loads[1].mends[0].words


def test_every_check_of_every_state_is_there(workbook: Workbook, results: CheckResults) -> None:
    rows = rows_of(workbook, "Weights")
    wanted = sum(
        len(report.judged.once) + sum(len(leg.checks) for leg in report.judged.trip.legs)
        for report in results.loads
    )
    assert len(rows) == wanted
    states = {(row["Load"], row["State"], row["On deck"]) for row in rows}
    assert ("L-1", 1, "EX-07, Bucket 24") in states
    assert ("L-1", 2, "EX-07") in states
    once = {row["Check"] for row in rows if row["State"] == "all"}
    deck = {"Contact on deck", "Contact width", "Front clearance", "Gap", "Loading order"}
    assert once == deck | {"Tie-downs"}
    gap = next(row for row in rows if row["Check"] == "Gap")
    assert (gap["Value"], gap["Limit"], gap["Unit"]) == (pytest.approx(20 - 5 - 13.5, abs=1e-3), 1, "ft")


def test_windows_and_mends_are_told_in_feet_and_inches(workbook: Workbook, results: CheckResults) -> None:
    window = results.loads[0].windows[0]
    row = rows_of(workbook, "Windows")[0]
    assert (row["Item"], row["Stands at (in)"], row["In its window"]) == ("EX-07", 60, "yes")
    assert (row["From (in)"], row["To (in)"]) == window.stretches[0]
    assert " ft " in row["Window"]
    assert " to " in row["Window"]
    assert row["Best place (in)"] == window.best_in
    mend = rows_of(workbook, "Mends")[0]
    assert (mend["Load"], mend["No"], mend["Change"]) == ("L-2", 1, "move one")
    assert mend["What to do"].startswith("move EX-07 ")


def test_what_still_fits_has_a_row_a_rig_and_length(workbook: Workbook, results: CheckResults) -> None:
    rows = rows_of(workbook, "What still fits")
    assert [(row["Rig"], row["Item length (ft)"]) for row in rows] == [
        ("R-1", 4),
        ("R-1", 10),
        ("R-2", 4),
        ("R-2", 10),
    ]
    assert [row["Heaviest (lb)"] for row in rows] == [one.weight_lb for one in results.heaviest]
    left = rows_of(workbook, "Payload left")
    assert {row["Load"] for row in left} == {"L-1"}
    assert {row["Where"] for row in left} <= {"behind", "ahead"}
    assert any(row["Best"] == "yes" for row in left)


def test_every_load_and_rig_has_its_picture(workbook: Workbook) -> None:
    assert len(workbook["Side views"]._images) == 2
    assert len(workbook["Fit pictures"]._images) == 1 + 2


def test_metric_output(results: CheckResults) -> None:
    settings = replace(results.problem.settings, metric_weight=True, metric_distance=True)
    metric = replace(results, problem=replace(results.problem, settings=settings))
    rows = rows_of(load_workbook(BytesIO(checks_workbook(metric))), "Windows")
    assert rows[0]["Stands at (m)"] == pytest.approx(60 * 0.0254)
    assert rows[0]["Window"].endswith(" m")


def test_a_part_may_be_added(results: CheckResults) -> None:
    def part(workbook: Workbook, results: CheckResults, units: OutputUnits) -> None:
        workbook.create_sheet(f"{len(results.loads)} {units.weight}")

    data = checks_workbook(results, (*PARTS, part))
    assert load_workbook(BytesIO(data)).sheetnames[-1] == "2 lb"


def test_the_chart_is_the_same_byte_for_byte_and_grey() -> None:
    places = tuple(Allowed(at, 0 if at < 40 else 200, 5_000 - 10 * at) for at in range(6, 200))
    drawn = [
        fit_chart(
            [Curve("6 ft", places), Curve("8 ft", places)], [Standing("A", 10, 60)], 240, 60, OutputUnits(), "svg"
        )
        for _ in range(2)
    ]
    assert drawn[0] == drawn[1]
    assert b"dovetail" in drawn[0] or len(drawn[0]) > 10_000


def test_texts_for_the_terminal(results: CheckResults) -> None:
    text = loads_text(results.loads)
    assert text.isascii()
    assert [line.split()[0] for line in text.splitlines()[2:]] == ["L-1", "L-2"]
    fits = fit_text(results.heaviest, OutputUnits())
    assert fits.isascii()
    assert len(fits.splitlines()) == 2 + 2
    assert stretches((3, 4, 5, 9)) == [(3, 5), (9, 9)]


# -- the command --------------------------------------------------------------------------------------------------


def test_check_with_loads_and_without_moves(tmp_path: Path) -> None:
    book = sound()
    del book.sheets["Moves"]
    day, output = book.xlsx(tmp_path / "day.xlsx"), tmp_path / "loads.xlsx"
    arguments = ["check", day, "-o", output, "--length", "8", "--length", "6.5"]
    done = CliRunner().invoke(command.app, [str(argument) for argument in arguments])
    assert done.exit_code == 0, done.stderr
    assert "L-1" in done.stdout
    assert "6 ft 6 in  8 ft 0 in" in done.stdout
    assert load_workbook(output)["Loads"].max_row == 3


def test_check_without_loads_has_no_sheets_of_loads(tmp_path: Path) -> None:
    output = tmp_path / "checks.xlsx"
    run_check((Book().xlsx(tmp_path / "day.xlsx"),), output, (6.0,), force=False, quiet=True)
    assert load_workbook(output).sheetnames == ["What still fits", "Fit pictures", "Item by rig"]


# -- the scenario -------------------------------------------------------------------------------------------------


def test_the_scenario_is_what_its_page_says() -> None:
    result = read(SCENARIOS / "morning", SCENARIOS / "hand-loads")
    assert [str(one) for one in (*result.problems, *result.warnings)] == []
    problem = result.problem
    assert problem is not None
    found = {load.name: load_report(problem, load, (72.0,)) for load in result.loads}
    assert {name: report.verdict for name, report in found.items()} == {
        "L-1": "legal while full",
        "L-2": "legal",
        "L-3": "not legal",
        "L-4": "not legal",
        "L-5": "not legal",
        "L-6": "not legal",
        "L-7": "legal",
    }
    assert found["L-1"].why_not == "Coupler share 32.3 %, at most 30.0 %"
    assert found["L-1"].mends[1].words == "move ME-4 and BK-24 1 ft 0 in rearward"
    assert found["L-2"].windows[0].stretches == ((6, 90),)
    assert found["L-2"].left[0].best.most_lb == 6_970
    assert found["L-3"].mends[0].words == "move CTL-1 0 ft 10 in forward"
    assert found["L-3"].windows[1].stretches == ((161, 166),)
    assert found["L-4"].mends[0].words == "move D-3 0 ft 5 in rearward"
    assert found["L-5"].why_not == "Legal axles 4-5 2,049 lb over"
    assert found["L-5"].mends[0].words == "EX-7 facing rearward, front edge at 0 ft 6 in"
    assert [mend.after.rig.name for mend in found["L-6"].mends] == ["Gooseneck"]
    assert found["L-7"].judged.fits
