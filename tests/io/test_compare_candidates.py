"""``haulday compare`` with trailers on offer, from files to files."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from dispatch.io import run_compare as verb
from dispatch.io.comparison_document import ComparisonDocument
from dispatch.io.exit_codes import ExitCode
from dispatch.io.run_compare import run_compare
from dispatch.io.write_comparison import PARTS, comparison_workbook
from openpyxl import load_workbook

from dispatch.comparison.jobs import Job, run_job
from dispatch.plan import Plan
from tests.io.test_candidates_input import L_40, OPTION_HEADS, offered
from tests.io.test_compare import here, request

DOCS = Path(__file__).parents[2] / "docs"


def history(folder: Path) -> Path:
    """A history without variants: today's fleet, a candidate with an option, and a cheaper one without."""
    book = offered(["winch", 350, 5, 4_200, "Winch pull", "12,000 lb"])
    del book.sheets["Variants"]
    book.set("Rigs", 3, "Variants", None)
    for row in (2, 3):
        book.set("Rigs", row, "Cost per hour (USD/h)", 85)
    book.sheets["Candidates"].append(["L-41", "R-2", "replaces", 9_000, *L_40[4:]])
    book.sheets["Outside haul"] = [["Price per trip (USD)"], [650]]
    return book.xlsx(folder / "offers.xlsx")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which the offers have been compared, without the pictures."""
    place = tmp_path_factory.mktemp("offers")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(verb, "in_processes", here)
        patch.setattr(verb, "comparison_workbook", partial(comparison_workbook, parts=PARTS[:-1]))
        assert run_compare(request(place, inputs=(history(place),))) is ExitCode.DONE
    return place


@pytest.fixture
def document(folder: Path) -> Any:
    return json.loads((folder / "out.json").read_text(encoding="utf-8"))


def tables(path: Path) -> dict[str, list[dict[str, Any]]]:
    """The tables of the sheet Candidates by name, a dictionary a row."""
    sheet = load_workbook(path)["Candidates"]
    found = {}
    for name, table in sheet.tables.items():
        heads, *rows = sheet[str(table)]
        found[name] = [
            {str(head.value).partition(" (")[0]: cell.value for head, cell in zip(heads, row, strict=True)}
            for row in rows
        ]
    return found


def test_candidates_alone_are_enough_for_a_comparison(folder: Path, document: Any) -> None:
    book = load_workbook(folder / "out.xlsx")
    assert book.sheetnames == ["Summary", "Days", "Candidates", "Use"]
    assert book["Summary"]["A2"].value == document["candidates_answer"]
    assert document["candidates_answer"].startswith("None of 2 candidates pays. The best is L-41 (9,000.00 USD)")
    assert (document["answer"], document["variants"], document["years"]) == ("", ["today"], [])
    sections = [cell.value for cell in book["Summary"]["A"]]
    assert "Which trailer?" in sections
    assert "On these days something changes" not in sections


def test_workbook_and_document_tell_the_same(folder: Path, document: Any) -> None:
    found = tables(folder / "out.xlsx")
    assert [row["Candidate"] for row in found["Candidates"]] == ["L-41", "L-40"]
    assert [one["candidate"] for one in document["candidates"]] == ["L-41", "L-40"]
    sets = [(one["candidate"], each) for one in document["candidates"] for each in one["option_sets"]]
    assert len(found["OptionSets"]) == len(sets) == 3
    for row, (name, each) in zip(found["OptionSets"], sets, strict=True):
        assert (row["Candidate"], row["Options"]) == (name, ", ".join(each["options"]) or "none")
        assert (row["Price"], row["Net a year"]) == (each["price_usd"], each["net_usd"])
        assert each["net_usd"] == pytest.approx(each["saved_usd"] - each["ownership_usd"], abs=0.011)
    assert [row["Options weigh"] for row in found["OptionSets"]] == [0, 0, 350]
    assert found["CandidateWork"][0]["Use"] == "in place of the trailer of R-2"
    assert found["CandidateWork"][1]["Search"] == "all 2 sets of options tried"


def test_the_document_reads_back(document: Any) -> None:
    assert [one.sets_count for one in ComparisonDocument.model_validate(document).candidates] == [1, 2]


def test_the_page_names_every_table_and_column(folder: Path) -> None:
    page = (DOCS / "compare-workbook.md").read_text(encoding="utf-8").partition("## Candidates")[2]
    for rows in tables(folder / "out.xlsx").values():
        assert [head for head in rows[0] if f"| {head} |" not in page] == []


def test_a_run_that_was_stopped_gives_what_a_fresh_one_gives(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    allowed = [3]
    done: list[str] = []

    def stops(_: int) -> Any:
        def work(jobs: Mapping[str, Job]) -> Iterator[tuple[str, Plan]]:
            for key, job in jobs.items():
                if allowed[0] == 0:
                    raise KeyboardInterrupt
                allowed[0] -= 1
                done.append(key)
                yield key, run_job(job)

        return work

    monkeypatch.setattr(verb, "in_processes", stops)
    asked = request(tmp_path, inputs=(folder / "offers.xlsx",), output=None)
    assert run_compare(asked) is ExitCode.STOPPED
    allowed[0] = 1_000
    assert run_compare(asked) is ExitCode.DONE
    assert len(done) == len(set(done)), "nothing is planned twice"
    assert (tmp_path / "out.json").read_bytes() == (folder / "out.json").read_bytes()


def test_nothing_is_written_for_a_bad_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = offered(["winch", 350, None, None, "Winch pul", 9_000])
    assert book.sheets["Options"][0] == OPTION_HEADS
    asked = request(tmp_path, inputs=(book.xlsx(tmp_path / "bad.xlsx"),))
    assert run_compare(asked) is ExitCode.INPUT_PROBLEMS
    assert "Options, row 2, column F Changes" in capsys.readouterr().err
    assert sorted(path.suffix for path in tmp_path.iterdir()) == [".xlsx", ".xlsx"]
