"""The command as a user types it: exit codes, what goes where, and that nothing is written when it must not be."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from dispatch.io import command, run_check, run_plan
from dispatch.io.terminal import say, table
from openpyxl import load_workbook
from typer.testing import CliRunner

from dispatch.plan import Outcome, Plan
from dispatch.problem import Problem
from dispatch.verify_findings import Violation
from tests.io.books import Book, read
from tests.small_day import small_plan

RUNNER = CliRunner()


@pytest.fixture
def day(tmp_path: Path) -> Path:
    return Book().xlsx(tmp_path / "day.xlsx")


def run(*arguments: object) -> Any:
    return RUNNER.invoke(command.app, [str(argument) for argument in arguments])


def files(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_plan_writes_both_outputs_and_prints_the_trips(day: Path, tmp_path: Path) -> None:
    result = run("plan", day, "-o", tmp_path / "plan.xlsx", "--json", tmp_path / "plan.json")
    assert result.exit_code == 0, result.stderr
    assert load_workbook(tmp_path / "plan.xlsx").sheetnames[0] == "Summary"
    document = json.loads((tmp_path / "plan.json").read_bytes())
    assert document["used"]["inputs"][0]["name"] == "day.xlsx"
    assert f"{document['summary']['trips']} trips" in result.stdout
    assert "EX-07, Bucket 24" in result.stdout
    assert files(tmp_path) == {"day.xlsx", "plan.xlsx", "plan.json"}


def test_terminal_text_is_ascii_and_a_table(day: Path, tmp_path: Path) -> None:
    result = run("plan", day, "-o", tmp_path / "plan.xlsx")
    assert result.stdout.isascii()
    assert result.stdout.splitlines()[1].startswith("----  ---")


def test_the_same_input_gives_the_same_json(day: Path, tmp_path: Path) -> None:
    for name in ("a.json", "b.json"):
        assert run("plan", day, "--json", tmp_path / name, "--quiet").exit_code == 0
    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()


def test_quiet_prints_nothing(day: Path, tmp_path: Path) -> None:
    result = run("plan", day, "-o", tmp_path / "plan.xlsx", "--quiet")
    assert (result.exit_code, result.stdout, result.stderr) == (0, "", "")


def test_a_move_left_out_is_exit_4_with_its_reasons(tmp_path: Path) -> None:
    book = Book()
    book.set("Items", 2, "Weight (lb)", 82_000)
    result = run("plan", book.xlsx(tmp_path / "day.xlsx"), "-o", tmp_path / "plan.xlsx")
    assert result.exit_code == 4, result.stderr
    assert "left out: 101 (EX-07)" in result.stdout
    assert "  R-1: " in result.stdout
    assert (tmp_path / "plan.xlsx").exists()


def test_input_problems_are_all_listed_and_nothing_is_written(tmp_path: Path) -> None:
    book = Book()
    book.set("Items", 2, "Weight (lb)", "8,2")
    book.set("Moves", 2, "From", "nowhere")
    result = run("plan", book.xlsx(tmp_path / "day.xlsx"), "-o", tmp_path / "plan.xlsx")
    assert result.exit_code == 3
    assert "row 2" in result.stderr
    assert "nowhere" in result.stderr
    assert "8,2" in result.stderr
    assert result.stdout == ""
    assert files(tmp_path) == {"day.xlsx"}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["plan", "no.xlsx", "-o", "plan.xlsx"], "no.xlsx"),
        (["plan", "{day}"], "nothing to write"),
        (["plan", "{day}", "-o", "plan.csv"], "must end in .xlsx"),
        (["plan", "{day}", "-o", "{day}", "--force"], "is an input"),
        (["plan", "{day}", "-o", "{day}"], "is an input"),
        (["plan", "{day}", "-o", "{folder}/no/plan.xlsx"], "does not exist"),
        (["plan", "{day}", "-o", "{folder}/p.xlsx", "--json", "{folder}/p.xlsx"], "same file"),
        (["plan", "{day}", "-o", "{folder}/p.xlsx", "--time-limit", "0"], "time-limit"),
        (["plan", "{day}", "-o", "{folder}/p.xlsx", "--colour"], "colour"),
        (["compare", "{day}"], "nothing to write"),
        (["compare", "{day}", "-o", "compare.csv"], "must end in .xlsx"),
        (["fly"], "fly"),
    ],
)
def test_wrong_usage_is_exit_2_and_says_why(
    day: Path, tmp_path: Path, arguments: list[str], words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    before = day.read_bytes()
    result = run(*(part.format(day=day, folder=tmp_path) for part in arguments))
    assert result.exit_code == 2
    assert words in result.stderr
    assert files(tmp_path) == {"day.xlsx"}
    assert day.read_bytes() == before


def test_an_existing_output_needs_force(day: Path, tmp_path: Path) -> None:
    output = tmp_path / "plan.xlsx"
    output.write_bytes(b"old")
    assert run("plan", day, "-o", output).exit_code == 2
    assert output.read_bytes() == b"old"
    assert run("plan", day, "-o", output, "--force").exit_code == 0
    assert output.read_bytes()[:2] == b"PK"


def test_a_disagreeing_verifier_is_exit_1_and_writes_nothing(
    day: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    violation = Violation("Trailer GVWR", "trip 1, leg 1", 25_000.0, 24_000.0, "over by 1,000 lb")
    monkeypatch.setattr(run_plan, "verify", lambda problem, plan: (violation,))
    result = run("plan", day, "-o", tmp_path / "plan.xlsx", "--json", tmp_path / "plan.json")
    assert result.exit_code == 1
    assert "over by 1,000 lb" in result.stderr
    assert files(tmp_path) == {"day.xlsx"}


def test_a_stop_before_any_plan_is_exit_5(day: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(problem: Problem, **_: object) -> Plan:
        raise KeyboardInterrupt

    monkeypatch.setattr(run_plan, "solve", interrupted)
    assert run("plan", day, "-o", tmp_path / "plan.xlsx").exit_code == 5
    without = small_plan(rig_days=(), levels=(), outcome=Outcome.STOPPED_WITHOUT_PLAN)
    monkeypatch.setattr(run_plan, "solve", lambda problem, **_: without)
    assert run("plan", day, "-o", tmp_path / "plan.xlsx").exit_code == 5
    assert files(tmp_path) == {"day.xlsx"}


def test_options_reach_the_search(day: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: dict[str, object] = {}

    def note_and_stop(problem: Problem, **options: object) -> Plan:
        seen.update(options)
        return small_plan(rig_days=(), levels=(), outcome=Outcome.STOPPED_WITHOUT_PLAN)

    monkeypatch.setattr(run_plan, "solve", note_and_stop)
    run("plan", day, "-o", tmp_path / "p.xlsx", "--time-limit", "7.5", "--seed", "3", "--workers", "2")
    assert (seen["time_limit_s"], seen["seed"], seen["workers"]) == (7.5, 3, 2)
    assert seen["on_progress"] is None  # stderr is no terminal here
    run("plan", day, "-o", tmp_path / "p.xlsx")
    assert seen["time_limit_s"] == 60.0  # the default of Settings


def test_check_prints_and_writes_the_item_by_rig_table(day: Path, tmp_path: Path) -> None:
    result = run("check", day, "-o", tmp_path / "checks.xlsx")
    assert result.exit_code == 0, result.stderr
    assert [line.split()[:1] for line in result.stdout.splitlines()[2:]].count(["EX-07"]) == 2
    sheet = load_workbook(tmp_path / "checks.xlsx")["Item by rig"]
    assert [cell.value for cell in sheet[1]][:5] == ["Item", "Rig", "Rides alone", "Tightest check", "Use (%)"]
    assert sheet.max_row == 7
    assert "ItemByRig" in sheet.tables


def test_check_needs_no_moves(tmp_path: Path) -> None:
    book = Book()
    del book.sheets["Moves"]
    result = run("check", book.xlsx(tmp_path / "fleet.xlsx"))
    assert result.exit_code == 0, result.stderr


def test_check_says_why_an_item_does_not_ride(tmp_path: Path) -> None:
    book = Book()
    book.set("Items", 2, "Weight (lb)", 82_000)
    result = run("check", book.xlsx(tmp_path / "day.xlsx"))
    (line, *_) = [line for line in result.stdout.splitlines() if line.startswith("EX-07")]
    assert " no " in line
    assert "lb" in line


def test_check_lists_problems(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    book = Book()
    book.set("Items", 2, "Weight (lb)", "8,2")
    result = run("check", book.xlsx(tmp_path / "day.xlsx"), "-o", tmp_path / "checks.xlsx")
    assert result.exit_code == 3
    assert files(tmp_path) == {"day.xlsx"}
    monkeypatch.setattr(run_check, "read_inputs", interrupt)
    assert run("check", tmp_path / "day.xlsx").exit_code == 5


def interrupt(*_: object, **__: object) -> None:
    raise KeyboardInterrupt


def test_template_can_be_read_and_is_not_replaced(tmp_path: Path) -> None:
    output = tmp_path / "moves.xlsx"
    assert run("template", "-o", output).exit_code == 0
    assert run("template", "-o", output).exit_code == 2
    result = run("plan", output, "-o", tmp_path / "plan.xlsx")
    assert result.exit_code == 3
    assert "Moves" in result.stderr


@pytest.mark.parametrize("verb", ["plan", "check", "compare", "template"])
def test_every_verb_helps_with_an_example(verb: str) -> None:
    result = run(verb, "--help")
    assert result.exit_code == 0
    assert f"Example: haulday {verb} " in result.stdout
    assert result.stdout.isascii()


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys, dispatch.io.command\n"
        "heavy = {'ortools', 'pandas', 'numpy', 'matplotlib', 'openpyxl', 'pydantic', 'pint', 'rich', 'highspy'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_table_cuts_long_texts_and_keeps_columns() -> None:
    text = table(("a", "b"), [("x" * 50, "1"), ("y", "2")], widest=10)
    assert text.splitlines() == ["a           b", "----------  -", "xxxxxxxx..  1", "y           2"]


def test_control_signs_do_not_reach_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    say("a\x1b[31mb\tc")
    assert capsys.readouterr().out == "a?[31mb?c\n"


@pytest.mark.parametrize("options", [[], ["--metric"]])
def test_the_demo_template_is_an_input_without_problems(tmp_path: Path, options: list[str]) -> None:
    output = tmp_path / "demo.xlsx"
    assert run("template", "-o", output, "--demo", *options).exit_code == 0
    problem = read(output).problem
    assert problem is not None
    assert len(problem.moves) >= 14
