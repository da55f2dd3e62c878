"""``haulday compare``: read the history, plan every day under every fleet, compare, write."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path

from dispatch.io.comparison_json import comparison_json
from dispatch.io.exit_codes import ExitCode
from dispatch.io.job_cluster import ClusterRefused, on_cluster
from dispatch.io.job_pool import in_processes, with_cache
from dispatch.io.job_progress import JobProgress
from dispatch.io.plan_cache import PlanCache
from dispatch.io.read_workbook import InputResult, Wanted, read_inputs
from dispatch.io.run_inputs import refuse_inputs, used, warn
from dispatch.io.safe_files import OutputRefused, check_outputs, write_files
from dispatch.io.terminal import note, say, table
from dispatch.io.write_comparison import comparison_workbook

from dispatch.comparison.answer import variant_answer
from dispatch.comparison.candidate_answer import which_trailer
from dispatch.comparison.compare import Comparison, compare
from dispatch.comparison.history import History
from dispatch.comparison.jobs import Effort
from dispatch.errors import HauldayError


@dataclass(frozen=True, slots=True)
class CompareRequest:
    """What was asked for.

    ``time_limit_s`` ``None``: the one in Settings; ``workers`` ``None``: one a core; ``cluster`` empty: none.
    """

    inputs: tuple[Path, ...]
    output: Path | None
    json: Path | None
    time_limit_s: float | None
    seed: int
    workers: int | None
    cache: Path | None
    cluster: str
    force: bool
    quiet: bool

    @property
    def outputs(self) -> tuple[Path, ...]:
        """The files to write."""
        return tuple(path for path in (self.output, self.json) if path is not None)

    @property
    def cache_folder(self) -> Path:
        """Where finished days are kept: as asked, else beside the first output."""
        return self.cache or self.outputs[0].with_name(f"{self.outputs[0].name}.days")


def run_compare(request: CompareRequest) -> ExitCode:
    """Compare and write; nothing but the cache is written unless every plan was verified."""
    try:
        check_outputs(request.outputs, request.inputs, force=request.force)
        read = read_inputs(request.inputs, wanted=Wanted(all_days=True))
        if read.history is None:
            return refuse_inputs(read)
        warn(read, quiet=request.quiet)
        _warn_of_prices(read.history, quiet=request.quiet)
        return _finish(request, read, _compared(request, read.history))
    except KeyboardInterrupt:
        note(f"haulday: stopped; nothing was written. Finished days are kept in {request.cache_folder}:")
        note("run the same command again to go on.")
        return ExitCode.STOPPED
    except (HauldayError, OSError, BrokenProcessPool) as error:
        return _refused(request, error)


def _refused(request: CompareRequest, error: Exception) -> ExitCode:
    """What went wrong and what to do; nothing but finished days was written."""
    if isinstance(error, OutputRefused | ClusterRefused):
        note(f"haulday: {error}")
        return ExitCode.USAGE
    if isinstance(error, OSError):
        note(f"haulday: {error}. Nothing was written. Are finished days kept in a place that can be written?")
        note(f"It is {request.cache_folder}; name another folder with --cache.")
        return ExitCode.USAGE
    if isinstance(error, BrokenProcessPool):
        note("haulday: the processes that plan keep dying (out of memory?). Nothing was written.")
        note(f"Finished days are kept in {request.cache_folder}; fewer --workers need less memory.")
        return ExitCode.FAILED
    note(f"haulday: {error}")
    note("haulday: a plan was refused: a bug. Nothing was written. Please report it.")
    return ExitCode.FAILED


def _warn_of_prices(history: History, *, quiet: bool) -> None:
    if not history.outside and not quiet:
        note("warning: there is no sheet Outside haul: what a fleet leaves out has no price and saves no money.")


def _compared(request: CompareRequest, history: History) -> Comparison:
    problem = next(iter(history.problems.values()))
    limit = problem.settings.time_limit_s if request.time_limit_s is None else request.time_limit_s
    shown = sys.stderr.isatty() and os.environ.get("TERM") != "dumb" and not request.quiet
    progress = JobProgress(sys.stderr if shown else None)
    work = on_cluster(request.cluster) if request.cluster else in_processes(request.workers or os.cpu_count() or 1)
    run = with_cache(work, PlanCache(request.cache_folder), progress)
    try:
        return compare(history, Effort(limit, request.seed), run, progress.stage)
    finally:
        progress.close()


def _finish(request: CompareRequest, read: InputResult, comparison: Comparison) -> ExitCode:
    write_files(_contents(request, read, comparison), force=request.force)
    if not request.quiet:
        _tell(request, comparison)
    return ExitCode.DONE


def _contents(request: CompareRequest, read: InputResult, comparison: Comparison) -> Mapping[Path, bytes]:
    contents = {}
    if request.output is not None:
        contents[request.output] = comparison_workbook(comparison, used(read))
    if request.json is not None:
        contents[request.json] = comparison_json(comparison, used(read))
    return contents


def _tell(request: CompareRequest, comparison: Comparison) -> None:
    """Every fleet in a line, the answers, what was written."""
    for line in told(comparison):
        say(line)
    say("written: " + ", ".join(str(path) for path in request.outputs))
    where = "Differences and Limits day by day" if comparison.history.others else "Candidates"
    say(f"next: open {request.outputs[0]}, read the Summary, then {where}")


def told(comparison: Comparison) -> Iterator[str]:
    """What a terminal shows of a comparison: a table of the fleets, then a sentence for every other fleet."""
    heads = ("variant", "trips", "left out", "outside hauls", "paid h", "miles", "cost in all")
    rows = []
    for variant in comparison.history.variants:
        days = comparison.days_of(variant.name)
        rows.append(
            (
                variant.name,
                f"{sum(one.trips.value for one in days):g}",
                str(sum(len(one.moves_left_out) for one in days)),
                str(sum(len(one.outside) for one in days)),
                f"{sum(one.paid_min for one in days) / 60:,.1f}",
                f"{sum(one.tenths for one in days) / 10:,.1f}",
                f"{sum(one.cents for one in days) / 100:,.2f}",
            )
        )
    yield table(heads, rows)
    for year in comparison.years:
        yield variant_answer(comparison, year.variant)
    if comparison.candidates:
        yield which_trailer(comparison.candidates)
    cut = sum(one.cut for one in comparison.outcomes)
    cut += sum(trial.cut for one in comparison.candidates for trial in one.trials)
    if cut:
        yield f"The clock cut {cut} of the searches short: money and counts may change with a longer --time-limit."
