"""``haulday template``: an input workbook to fill in, empty or with the rows of the demo."""

from __future__ import annotations

from pathlib import Path

from dispatch.io.exit_codes import ExitCode
from dispatch.io.safe_files import OutputRefused, check_outputs
from dispatch.io.template_rows import RowsBySheet, rows_of_files
from dispatch.io.terminal import note, say
from dispatch.io.write_template import write_template

INSTALLED, CHECKOUT = ("demo",), ("scenarios", "morning")
"""Where the demo's files are, from the folder above this one: package data or a checkout."""


def run_template(output: Path, *, demo: bool, metric: bool, force: bool, quiet: bool) -> ExitCode:
    """Write the workbook."""
    try:
        check_outputs([output], [], force=force)
        write_template(output, demo_rows() if demo else None, metric=metric, force=force)
    except OutputRefused as error:
        note(f"haulday: {error}")
        return ExitCode.USAGE
    if not quiet:
        say(f"written: {output}")
    return ExitCode.DONE


def demo_rows() -> RowsBySheet:
    """The rows of the demo's input files. Raises FileNotFoundError when the installation lacks them."""
    above = Path(__file__).resolve().parents[1]
    for place in (INSTALLED, CHECKOUT):
        files = sorted(above.joinpath(*place).glob("*.csv"))
        if files:
            return rows_of_files(files)
    raise FileNotFoundError(f"no demo rows beside {above}")
