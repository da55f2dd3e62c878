"""Prices the jobs of a bid in several processes; how many makes no difference to the prices."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from types import TracebackType

import dispatch.comparison.jobs  # noqa: F401 - so that problems, which hold read-only mappings, can travel
from dispatch.mobilisation.job_price import PricedJob, PriceTask, run_task, run_tasks_here

SMALL_WORK = 30
"""Work of fewer machines in all is done in this process: another one takes seconds to begin."""


class PricePool:
    """A runner of tasks. ``wanted``: processes, ``None`` for one a core; begun when the first large work comes."""

    def __init__(self, wanted: int | None) -> None:
        self._workers = wanted or os.cpu_count() or 1
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> PricePool:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._pool is None:
            return
        processes = multiprocessing.active_children() if error is not None else []
        self._pool.shutdown(wait=error is None, cancel_futures=error is not None)
        for process in processes:
            process.terminate()

    def __call__(self, tasks: Sequence[PriceTask]) -> Sequence[PricedJob]:
        """The priced jobs in the order of the tasks."""
        if self._workers < 2 or sum(len(task.job.machines) for task in tasks) < SMALL_WORK:
            return run_tasks_here(tasks)
        if self._pool is None:
            self._pool = ProcessPoolExecutor(
                self._workers,
                mp_context=multiprocessing.get_context("spawn"),
                initializer=_leave_ctrl_c_alone,
            )
        return _largest_first(self._pool, tasks)


def _largest_first(pool: ProcessPoolExecutor, tasks: Sequence[PriceTask]) -> Sequence[PricedJob]:
    """The largest jobs begin first, so that none of them is left alone at the end."""
    order = sorted(range(len(tasks)), key=lambda number: (-len(tasks[number].job.machines), number))
    futures = {number: pool.submit(run_task, tasks[number]) for number in order}
    return [futures[number].result() for number in range(len(tasks))]


def _leave_ctrl_c_alone() -> None:
    """Ctrl-C reaches every process of a terminal; a search that it cut short would pass for finished."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
