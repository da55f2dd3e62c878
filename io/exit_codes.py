"""What the command's exit code says; fixed, so that scripts can rely on it."""

from __future__ import annotations

from enum import IntEnum


class ExitCode(IntEnum):
    """See ``docs/command.md``."""

    DONE = 0
    FAILED = 1
    USAGE = 2
    INPUT_PROBLEMS = 3
    SOME_LEFT_OUT = 4
    STOPPED = 5
