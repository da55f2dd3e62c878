"""The exceptions of the core. Input problems are data (see ``problem.Fault``), not exceptions."""

from __future__ import annotations


class HauldayError(Exception):
    """Anything the product raises on purpose."""


class InputProblems(HauldayError):
    """The input cannot be used; ``problems`` holds every finding of the run, not only the first."""

    def __init__(self, problems: tuple[object, ...]) -> None:
        self.problems = problems
        super().__init__(f"{len(problems)} input problem(s)")


class ModelTooLarge(HauldayError):
    """A linear row's absolute coefficients sum past 2^30: CP-SAT could certify a wrong optimum."""


class NoOptimum(HauldayError):
    """HiGHS ended a linear programme without an optimum: nothing may be concluded from it."""
