"""``haulday check``: which item rides alone on which rig, hand-made loads, what still fits, scale tickets."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from dispatch.io.exit_codes import ExitCode
from dispatch.io.fit_sheets import fit_text
from dispatch.io.load_sheets import loads_text
from dispatch.io.output_units import OutputUnits
from dispatch.io.read_workbook import InputResult, read_inputs
from dispatch.io.ride_sheet import rides_text
from dispatch.io.run_inputs import refuse_inputs, warn
from dispatch.io.safe_files import OutputRefused, check_outputs, write_files
from dispatch.io.terminal import note, say
from dispatch.io.ticket_sheets import tickets_text
from dispatch.io.write_checks import CheckResults, checks_workbook

from dispatch.capacity import LENGTHS_IN, heaviest_items
from dispatch.explain import item_by_rig
from dispatch.load_report import load_report
from dispatch.problem import Problem
from dispatch.units import IN_PER_FT
from dispatch.weighing import weigh


def run_check(
    inputs: tuple[Path, ...], output: Path | None, lengths_ft: Sequence[float] = (), *, force: bool, quiet: bool
) -> ExitCode:
    """Print the results, and write them when an output is named. The sheet Moves may be missing.

    ``lengths_ft``: lengths of the item for what still fits; the usual ones when none are given.
    """
    outputs = [] if output is None else [output]
    lengths = tuple(feet * IN_PER_FT for feet in sorted(set(lengths_ft))) or LENGTHS_IN
    try:
        check_outputs(outputs, inputs, force=force)
        read = read_inputs(inputs, need_moves=False)
        if read.problem is None:
            return refuse_inputs(read)
        warn(read, quiet=quiet)
        results = _results(read, read.problem, lengths)
        if output is not None:
            write_files({output: checks_workbook(results)}, force=force)
        if not quiet:
            _tell(results)
        return ExitCode.DONE
    except OutputRefused as error:
        note(f"haulday: {error}")
        return ExitCode.USAGE


def _results(read: InputResult, problem: Problem, lengths_in: Sequence[float]) -> CheckResults:
    return CheckResults(
        problem=problem,
        rides=item_by_rig(problem),
        loads=tuple(load_report(problem, load, lengths_in) for load in read.loads),
        heaviest=heaviest_items(problem, lengths_in),
        weighing=weigh(read.tickets, problem.settings),
    )


def _tell(results: CheckResults) -> None:
    """Each table that has rows, an empty line between them."""
    units = OutputUnits.of(results.problem.settings)
    texts = [rides_text(results.rides)] if results.rides else []
    texts += [loads_text(results.loads)] if results.loads else []
    texts += [fit_text(results.heaviest, units)] if results.heaviest else []
    texts += [tickets_text(results.weighing, units)] if results.weighing.comparisons else []
    say("\n\n".join(texts))
