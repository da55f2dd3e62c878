"""``haulday template``: an input workbook to fill in, empty or with the rows of the demo."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from dispatch.io.exit_codes import ExitCode
from dispatch.io.safe_files import OutputRefused, check_outputs
from dispatch.io.template_rows import RowsBySheet, rows_of_files
from dispatch.io.terminal import note, say
from dispatch.io.write_template import write_template

DEMO_PACKAGE = "dispatch.demo"
"""The demo's scenario folder as package data; the mapping is in ``pyproject.toml``."""


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
    """The rows of the demo's input files."""
    with resources.as_file(resources.files(DEMO_PACKAGE)) as folder:
        return rows_of_files([folder])
