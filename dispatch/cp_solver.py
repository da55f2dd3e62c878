"""CP-SAT set up alike everywhere: repeatable, and leaving Ctrl-C as it found it."""

from __future__ import annotations

import signal
import threading
from dataclasses import dataclass

from ortools.sat.python import cp_model


@dataclass(frozen=True, slots=True)
class Effort:
    """What a solve may spend. ``deterministic`` counts work, repeatably; ``seconds`` is the outer stop."""

    deterministic: float = 20.0
    seconds: float | None = None
    workers: int = 1
    seed: int = 0


def solved(model: cp_model.CpModel, effort: Effort) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
    """The solver after solving. During the solve Ctrl-C makes it return its best."""
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = effort.workers
    parameters.interleave_search = effort.workers > 1
    parameters.random_seed = effort.seed
    parameters.max_deterministic_time = effort.deterministic
    if effort.seconds is not None:
        parameters.max_time_in_seconds = max(0.05, effort.seconds)
    handler = signal.getsignal(signal.SIGINT)
    try:
        return solver, solver.solve(model)
    finally:
        # The solver leaves the system's own handling behind, under which the next Ctrl-C would kill the program.
        if threading.current_thread() is threading.main_thread() and handler is not None:
            signal.signal(signal.SIGINT, handler)
