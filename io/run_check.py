"""``haulday check``: read the inputs, list their problems, and show which item rides alone on which rig."""

from __future__ import annotations

from pathlib import Path

from dispatch.io.exit_codes import ExitCode
from dispatch.io.output_units import OutputUnits
from dispatch.io.read_workbook import read_inputs
from dispatch.io.run_inputs import refuse_inputs, warn
from dispatch.io.safe_files import OutputRefused, check_outputs, write_files
from dispatch.io.terminal import note, say
from dispatch.io.write_checks import checks_text, checks_workbook

from dispatch.explain import item_by_rig


def run_check(inputs: tuple[Path, ...], output: Path | None, *, force: bool, quiet: bool) -> ExitCode:
    """Print the table, and write it when an output is named. The sheet Moves may be missing."""
    outputs = [] if output is None else [output]
    try:
        check_outputs(outputs, inputs, force=force)
        read = read_inputs(inputs, need_moves=False)
        if read.problem is None:
            return refuse_inputs(read)
        warn(read, quiet=quiet)
        rides = item_by_rig(read.problem)
        if output is not None:
            units = OutputUnits.of(read.problem.settings)
            write_files({output: checks_workbook(rides, units)}, force=force)
        if not quiet:
            say(checks_text(rides))
        return ExitCode.DONE
    except OutputRefused as error:
        note(f"haulday: {error}")
        return ExitCode.USAGE
