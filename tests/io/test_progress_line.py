"""The line of progress, and what is printed where there is no terminal."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from dispatch.io import run_plan
from dispatch.io.progress_line import ProgressLine, progress_text
from dispatch.io.run_plan import PlanRequest, next_step

from dispatch.plan import Outcome
from dispatch.report import report
from dispatch.search_limits import Progress
from tests.small_day import small_plan, small_problem


def test_the_line_says_phase_found_bound_and_time() -> None:
    line = progress_text(Progress("trips", 15, 14), 12.4, 60.0)
    assert line == "48 s left at most. Number of trips: 15 found, none below 14. Ctrl-C keeps the best plan."
    without_limit = progress_text(Progress("cost", 420_221, None), 3, None)
    assert without_limit.startswith("3 s gone. Cost of the day (USD): 4,202.21 found. ")
    assert progress_text(Progress("candidate trips"), 90.0, 60.0).startswith("0 s left at most. candidate trips. ")


def test_the_line_is_written_over_itself_and_wiped() -> None:
    stream = io.StringIO()
    with ProgressLine(stream, 60.0, clock=lambda: 0.0) as line:
        line(Progress("left out", 2, 1))
        line(Progress("trips", 3, 3))
    written = stream.getvalue()
    assert "\n" not in written
    assert "Left out (priorities): 2 found, none below 1" in written
    *_, last, end = written.split("\r")
    assert last.strip() == ""
    assert end == ""
    assert written.isascii()


def test_a_long_line_does_not_wrap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    stream = io.StringIO()
    with ProgressLine(stream, None, clock=lambda: 0.0) as line:
        line(Progress("trips", 3, 3))
    assert max(len(part) for part in stream.getvalue().split("\r")) == 29


@pytest.mark.parametrize(
    ("terminal", "term", "shown"), [(True, "xterm", True), (True, "dumb", False), (False, "", False)]
)
def test_progress_is_for_terminals(
    terminal: bool, term: str, shown: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Stream(io.StringIO):
        def isatty(self) -> bool:
            return terminal

    seen: dict[str, object] = {}
    monkeypatch.setenv("TERM", term)
    monkeypatch.setattr(run_plan.sys, "stderr", Stream())
    monkeypatch.setattr(run_plan, "solve", lambda _, **options: seen.update(options))
    run_plan._search(request(), small_problem())
    assert (seen["on_progress"] is not None) == shown


def request(output: Path | None = Path("plan.xlsx")) -> PlanRequest:
    return PlanRequest((), output, None, None, 0, 1, force=False, quiet=False)


def test_the_next_step_fits_the_plan() -> None:
    problem = small_problem()
    stopped = report(problem, small_plan())
    assert "--time-limit 120" in next_step(request(), stopped)
    proved = report(problem, small_plan(outcome=Outcome.PROVED))
    assert "sheet Left out" in next_step(request(), proved)
    assert "-o plan.xlsx" in next_step(request(None), proved)
    whole = report(problem, small_plan(outcome=Outcome.PROVED, left_out=()))
    assert next_step(request(), whole).startswith("open plan.xlsx, read the Summary")
