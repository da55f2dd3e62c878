"""What every verb does with its input: list the problems, print the warnings, say what was used."""

from __future__ import annotations

from importlib.metadata import version

from dispatch.io.exit_codes import ExitCode
from dispatch.io.read_workbook import InputResult
from dispatch.io.summary_sheet import Used
from dispatch.io.terminal import note


def refuse_inputs(read: InputResult) -> ExitCode:
    """Print every problem of the input."""
    for problem in read.problems:
        note(str(problem))
    count = len(read.problems)
    note(f"haulday: {count} problem{'s' if count > 1 else ''} in the input; nothing was written.")
    return ExitCode.INPUT_PROBLEMS


def warn(read: InputResult, *, quiet: bool) -> None:
    """Print the warnings of the input unless asked to be quiet."""
    for warning in () if quiet else read.warnings:
        note(f"warning: {warning}")


def used(read: InputResult) -> Used:
    """What the outputs say about where the plan came from."""
    changed = (*read.changed_settings, *read.changed_limits)
    return Used(
        sources=tuple((source.name, source.sha256) for source in read.sources),
        changed_settings=tuple((one.name, f"{one.value} (default {one.default})") for one in changed),
        warnings=tuple(str(warning) for warning in read.warnings),
        version=version("haulday"),
    )
