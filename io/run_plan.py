"""``haulday plan``: read, search, verify, write; the exit code says how it went."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path

from dispatch.io.exit_codes import ExitCode
from dispatch.io.html_page import plan_html
from dispatch.io.plan_json import plan_json
from dispatch.io.progress_line import ProgressLine
from dispatch.io.read_workbook import InputResult, Wanted, read_inputs
from dispatch.io.run_inputs import refuse_inputs, used, warn
from dispatch.io.safe_files import OutputRefused, check_outputs, write_files
from dispatch.io.summary_sheet import Used
from dispatch.io.terminal import note, say, table
from dispatch.io.write_schedule import schedule_workbook

from dispatch.plan import Outcome, Plan
from dispatch.problem import Problem
from dispatch.report import Report, report
from dispatch.search_limits import Thoroughness
from dispatch.solve import solve
from dispatch.units import MIN_PER_H, TENTHS_PER_MI, clock
from dispatch.verify import verify


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """What was asked for; ``time_limit_s`` ``None``: the one in Settings.

    ``day`` and ``variant``: which of a history; empty: the only day, the first variant.
    """

    inputs: tuple[Path, ...]
    output: Path | None
    json: Path | None
    time_limit_s: float | None
    seed: int
    workers: int
    force: bool
    quiet: bool
    html: Path | None = None
    day: str = ""
    variant: str = ""
    effort: str = Thoroughness.NORMAL

    @property
    def outputs(self) -> tuple[Path, ...]:
        """The files to write."""
        return tuple(path for path in (self.output, self.json, self.html) if path is not None)


def run_plan(request: PlanRequest) -> ExitCode:
    """Plan the day and write it; nothing is written unless the plan was verified and every output can be."""
    try:
        check_outputs(request.outputs, request.inputs, force=request.force)
        read = read_inputs(request.inputs, wanted=Wanted(request.day, request.variant))
        if read.problem is None:
            return refuse_inputs(read)
        warn(read, quiet=request.quiet)
        plan = _search(request, read.problem)
        return _finish(request, read, read.problem, plan)
    except OutputRefused as error:
        note(f"haulday: {error}")
        return ExitCode.USAGE


def _search(request: PlanRequest, problem: Problem) -> Plan:
    shown = sys.stderr.isatty() and os.environ.get("TERM") != "dumb" and not request.quiet
    limit = problem.settings.time_limit_s if request.time_limit_s is None else request.time_limit_s
    with ProgressLine(sys.stderr, limit) if shown else nullcontext() as line:
        return solve(
            problem,
            time_limit_s=limit,
            seed=request.seed,
            workers=request.workers,
            thoroughness=Thoroughness(request.effort),
            on_progress=line,
        )


def _finish(request: PlanRequest, read: InputResult, problem: Problem, plan: Plan) -> ExitCode:
    if _is_no_plan(plan):
        note("haulday: the search was stopped before any plan; nothing was written. Allow it more time.")
        return ExitCode.STOPPED
    violations = verify(problem, plan)
    if violations:
        for violation in violations:
            note(str(violation))
        note("haulday: the verifier disagrees with the plan: a bug. Nothing was written. Please report it.")
        return ExitCode.FAILED
    result = report(problem, plan)
    write_files(_contents(request, result, used(read)), force=request.force)
    if not request.quiet:
        _tell(request, result)
    return ExitCode.SOME_LEFT_OUT if plan.left_out else ExitCode.DONE


def _is_no_plan(plan: Plan) -> bool:
    """Whether the search ended before it had planned or proved anything: every move left out, none proved."""
    if plan.outcome is Outcome.STOPPED_WITHOUT_PLAN:
        return True
    return not any(plan.trips()) and bool(plan.left_out) and not plan.level("left out").proved


def _contents(request: PlanRequest, result: Report, made_from: Used) -> Mapping[Path, bytes]:
    contents = {}
    if request.output is not None:
        contents[request.output] = schedule_workbook(result, made_from)
    if request.json is not None:
        contents[request.json] = plan_json(result, made_from)
    if request.html is not None:
        contents[request.html] = plan_html(result, made_from)
    return contents


def _tell(request: PlanRequest, result: Report) -> None:
    """The plan in a few lines: a table of trips, what is left out and why, what is proved, what was written."""
    heads = ("trip", "rig", "start", "end", "items (load order)", "from", "to", "use %")
    rows = [
        (
            str(row.trip),
            row.rig,
            clock(row.start_min),
            clock(row.end_min),
            row.items,
            row.origin,
            row.destination,
            f"{row.use * 100:.1f}",
        )
        for row in result.schedule
    ]
    say(table(heads, rows))
    for left in result.left_out:
        say(f"left out: {left.move} ({left.item})")
        for reason in left.reasons:
            say(f"  {reason.rig}: {reason.text}")
        if left.change:
            say(f"  would change it: {left.change}")
    for line in headline(result):
        say(line)
    say("written: " + ", ".join(str(path) for path in request.outputs))
    say(f"next: {next_step(request, result)}")


def next_step(request: PlanRequest, result: Report) -> str:
    """What to do with the plan now: allow more time, look at what is left out, print the drivers' pages."""
    summary = result.summary
    limit = request.time_limit_s or result.problem.settings.time_limit_s
    if result.plan.outcome is Outcome.STOPPED_WITH_PLAN:
        return f"the search was stopped; --time-limit {2 * limit:g} may find a better plan, or prove this one"
    if request.output is None:
        return "add -o plan.xlsx for a workbook with a page to print for each driver"
    if summary.moves_left_out:
        return (
            f"open {request.output}; its sheet Left out says what would get {summary.moves_left_out} more hauled"
        )
    return f"open {request.output}, read the Summary, print the page of each rig for its driver"


def headline(result: Report) -> tuple[str, str]:
    """Trips and what is proved of them; then miles, hours and cost."""
    summary, totals = result.summary, result.summary.totals
    trips = f"{summary.trips} trip{'' if summary.trips == 1 else 's'}"
    claim = f"no plan has fewer than {summary.trips_bound}" if summary.trips_bound else "fewest not proved"
    if summary.fewest_trips_proved:
        claim = "the fewest, proved"
    moves = f"{summary.moves_hauled} moves hauled, {summary.moves_left_out} left out"
    loaded, empty = totals.loaded_tenths / TENTHS_PER_MI, totals.empty_tenths / TENTHS_PER_MI
    hours, cost = totals.paid_min / MIN_PER_H, totals.cost_cents / 100
    return (
        f"{trips} ({claim}); {moves}",
        f"{loaded:,.1f} mi loaded, {empty:,.1f} mi empty, {hours:,.2f} paid hours, cost {cost:,.2f}",
    )
