"""``haulday compare`` from files to files: what is written, resumed, refused."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from dispatch.io import run_compare as verb
from dispatch.io.comparison_document import ComparisonDocument
from dispatch.io.comparison_json import schema_json
from dispatch.io.exit_codes import ExitCode
from dispatch.io.job_pool import in_processes, with_cache
from dispatch.io.job_progress import JobProgress
from dispatch.io.plan_cache import PlanCache, sources_digest
from dispatch.io.run_compare import CompareRequest, run_compare
from openpyxl import load_workbook

from dispatch.comparison.jobs import Effort, Job, run_here, run_job
from dispatch.plan import Plan
from tests import factories as make
from tests.io.test_history_input import two_days

DOCS = Path(__file__).parents[2] / "docs"
SHEETS = ["Summary", "Days", "Differences", "Limits", "Money", "Use", "Pictures"]


def here(_: int) -> Any:
    """Does the jobs in this process: as a pool of processes does them, without starting one."""

    def work(jobs: Mapping[str, Job]) -> Iterator[tuple[str, Plan]]:
        for key, job in jobs.items():
            yield key, run_job(job)

    return work


def request(folder: Path, name: str = "out", **more: Any) -> CompareRequest:
    book = folder / "history.xlsx"
    if not book.exists():
        history = two_days()
        history.sheets["Outside haul"] = [["Price per trip (USD)"], [650]]
        history.xlsx(book)
    values: dict[str, Any] = {
        "inputs": (book,),
        "output": folder / f"{name}.xlsx",
        "json": folder / f"{name}.json",
        "time_limit_s": None,
        "seed": 0,
        "workers": 1,
        "cache": None,
        "cluster": "",
        "force": False,
        "quiet": False,
    }
    return CompareRequest(**(values | more))


def cells(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    """All values of a workbook by sheet."""
    return {sheet.title: list(sheet.iter_rows(values_only=True)) for sheet in load_workbook(path).worksheets}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which the history of two days has been compared."""
    place = tmp_path_factory.mktemp("compared")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(verb, "in_processes", here)
        assert run_compare(request(place)) is ExitCode.DONE
    return place


@pytest.fixture
def document(folder: Path) -> Any:
    return json.loads((folder / "out.json").read_text(encoding="utf-8"))


def test_the_workbook_has_its_sheets_and_tables(folder: Path) -> None:
    book = load_workbook(folder / "out.xlsx")
    assert book.sheetnames == SHEETS
    assert set(book["Money"].tables) == {"Years", "Tornado"}
    assert book["Days"].max_row == 1 + 2 * 2
    assert [row[0] for row in book["Differences"].iter_rows(min_row=2, values_only=True)] == [
        "all days",
        "2026-03-03",
        "2026-03-04",
    ]


def test_workbook_and_document_tell_the_same(folder: Path, document: Any) -> None:
    book = cells(folder / "out.xlsx")
    assert book["Summary"][1][0] == document["answer"]
    heads, *rows = book["Days"]
    for row in rows:
        found = dict(zip(heads, row, strict=True))
        (day,) = [d for d in document["days"] if (d["day"], d["variant"]) == (found["Day"], found["Variant"])]
        assert found["Trips"] == day["trips"]["value_trips"]
        assert found["Cost in all (USD)"] == day["cost_usd"]
        assert found["Paid (h)"] == pytest.approx(day["paid_h"], abs=0.01)
    money = dict(zip(*book["Money"][:2], strict=True))
    assert money["Net a year (USD)"] == document["years"][0]["net_usd"]


def test_the_sums_of_the_document_add_up(document: Any) -> None:
    whole, *days = document["differences"]
    assert whole["day"] == ""
    assert whole["saved_usd"] == pytest.approx(sum(one["saved_usd"] for one in days))
    assert whole["trips"]["found_trips"] == sum(one["trips"]["found_trips"] for one in days)
    (year,) = document["years"]
    assert year["saved_a_day_usd"] == pytest.approx(whole["saved_usd"] / 2, abs=0.01)
    assert year["saved_usd"] == pytest.approx(whole["saved_usd"] / 2 * 220, abs=0.01)
    assert year["net_usd"] == pytest.approx(year["saved_usd"] - 14_500, abs=0.01)


def test_the_document_reads_back_and_its_schema_is_committed(document: Any) -> None:
    assert ComparisonDocument.model_validate(document).variants == ["today", "two rigs"]
    assert (DOCS / "compare.schema.json").read_bytes() == schema_json()


def test_the_page_names_every_sheet_and_column(folder: Path) -> None:
    page = (DOCS / "compare-workbook.md").read_text(encoding="utf-8")
    for title, rows in cells(folder / "out.xlsx").items():
        assert f"## {title}" in page
        if title not in ("Summary", "Pictures"):
            assert [head for head in rows[0] if head and f"| {str(head).partition(' (')[0]} |" not in page] == []


# -- going on where a run was stopped --------------------------------------------------------------------------


def test_finished_days_are_not_planned_again_and_give_the_same_workbook(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def nothing(_: int) -> Any:
        def work(jobs: Mapping[str, Job]) -> Iterator[tuple[str, Plan]]:
            assert not jobs, "everything is done"
            return iter(())

        return work

    monkeypatch.setattr(verb, "in_processes", nothing)
    kept = folder / "out.xlsx.days"
    assert len(list(kept.iterdir())) >= 4
    assert run_compare(request(folder, "again", cache=kept)) is ExitCode.DONE
    assert cells(folder / "again.xlsx") == cells(folder / "out.xlsx")
    assert (folder / "again.json").read_bytes() == (folder / "out.json").read_bytes()


def test_a_run_that_is_stopped_keeps_what_is_done_and_goes_on(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    done: list[str] = []

    def stops_at_the_third(_: int) -> Any:
        def work(jobs: Mapping[str, Job]) -> Iterator[tuple[str, Plan]]:
            for key, job in jobs.items():
                if len(done) == 2:
                    raise KeyboardInterrupt
                done.append(key)
                yield key, run_job(job)

        return work

    monkeypatch.setattr(verb, "in_processes", stops_at_the_third)
    assert run_compare(request(tmp_path)) is ExitCode.STOPPED
    assert "run the same command again" in capsys.readouterr().err
    assert not (tmp_path / "out.xlsx").exists()
    assert len(list((tmp_path / "out.xlsx.days").iterdir())) == 2
    first = list(done)
    done.clear()

    def rest(_: int) -> Any:
        def work(jobs: Mapping[str, Job]) -> Iterator[tuple[str, Plan]]:
            for key, job in jobs.items():
                done.append(key)
                yield key, run_job(job)

        return work

    monkeypatch.setattr(verb, "in_processes", rest)
    assert run_compare(request(tmp_path)) is ExitCode.DONE
    assert not set(first) & set(done)
    assert cells(tmp_path / "out.xlsx")["Days"] == cells(folder / "out.xlsx")["Days"]


def test_a_cache_that_lies_is_not_believed(tmp_path: Path) -> None:
    job = Job("a day", make.problem(), Effort())
    cache = PlanCache(tmp_path / "kept")
    assert cache.find(job) is None
    (plan,) = run_here([job])
    cache.keep(job, plan)
    assert cache.find(job) == plan
    (file,) = cache.folder.iterdir()
    file.write_text(file.read_text().replace('"value":1.0', '"value":0.0'))
    assert cache.find(job) is None, "the verifier counts again"
    file.write_text("{")
    assert cache.find(job) is None


def test_a_changed_program_does_not_take_over_old_plans(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another line in the core or its data gives other keys at the same version; adapters and line ends do not."""
    core = tmp_path / "dispatch"
    for name in ("solve.py", "limits/law.toml", "io/cells.py", "notes.md"):
        (core / name).parent.mkdir(parents=True, exist_ok=True)
        (core / name).write_bytes(b"first\nsecond\n")
    first = sources_digest(core)
    for name in ("io/cells.py", "notes.md"):
        (core / name).write_bytes(b"changed")
    (core / "solve.py").write_bytes(b"first\r\nsecond\r\n")
    assert sources_digest(core) == first
    (core / "solve.py").write_bytes(b"first\nchanged\n")
    second = sources_digest(core)
    (core / "limits/law.toml").write_bytes(b"changed")
    assert len({first, second, sources_digest(core)}) == 3
    monkeypatch.setattr("dispatch.io.plan_cache.versions", lambda: ("plans 1", first))
    key, job = PlanCache(tmp_path).key, Job("a day", make.problem(), Effort())
    old = key(job)
    monkeypatch.setattr("dispatch.io.plan_cache.versions", lambda: ("plans 1", second))
    assert key(job) != old


@pytest.mark.slow
def test_jobs_of_a_process_give_what_this_process_gives(tmp_path: Path) -> None:
    jobs = [Job("a", make.problem(), Effort()), Job("b", make.problem([make.move("2")]), Effort())]
    progress = JobProgress(None)
    run = with_cache(in_processes(1), PlanCache(tmp_path), progress)
    assert run(jobs) == run_here(jobs)
    assert progress.text().startswith(": 2 of 2 done. Ctrl-C")
    assert with_cache(here(1), PlanCache(tmp_path), progress)(jobs) == run_here(jobs)
    assert "(2 kept from before)" in progress.text()


# -- what is refused ---------------------------------------------------------------------------------------------


def test_nothing_is_written_for_a_bad_input(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = two_days()
    book.set("Rigs", 3, "Variants", "two rig")
    asked = request(tmp_path, inputs=(book.xlsx(tmp_path / "bad.xlsx"),))
    assert run_compare(asked) is ExitCode.INPUT_PROBLEMS
    assert "nearest: two rigs" in capsys.readouterr().err
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bad.xlsx", "history.xlsx"]


def test_an_output_that_exists_is_refused_before_any_work(folder: Path) -> None:
    assert run_compare(request(folder)) is ExitCode.USAGE


def test_missing_prices_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: Any) -> None:
    monkeypatch.setattr(verb, "in_processes", here)
    asked = request(tmp_path, inputs=(two_days().xlsx(tmp_path / "unpriced.xlsx"),))
    assert run_compare(asked) is ExitCode.DONE
    assert "there is no sheet Outside haul" in capsys.readouterr().err
