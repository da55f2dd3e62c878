"""Does jobs in parallel: what the cache has is taken from there, the rest goes to processes or to a cluster."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool

from dispatch.io.job_progress import JobProgress
from dispatch.io.plan_cache import PlanCache

from dispatch.comparison.jobs import Job, Runner, run_job
from dispatch.plan import Plan

Work = Callable[[Mapping[str, Job]], Iterator[tuple[str, Plan]]]
"""Does the jobs of a table and gives each plan with its key as soon as it is there."""
ATTEMPTS = 3
"""How often jobs are begun whose process died under them."""


def with_cache(work: Work, cache: PlanCache, progress: JobProgress) -> Runner:
    """A runner that does only what is not done yet, and keeps every plan as soon as it is there."""

    def run(jobs: Sequence[Job]) -> tuple[Plan, ...]:
        keys = [cache.key(job) for job in jobs]
        by_key = dict(zip(keys, jobs, strict=True))
        plans = {key: plan for key, job in by_key.items() if (plan := cache.find(job)) is not None}
        missing = {key: job for key, job in by_key.items() if key not in plans}
        progress.begin(len(by_key), len(plans))
        for key, plan in work(missing):
            cache.keep(by_key[key], plan)
            plans[key] = plan
            progress.one_done()
        return tuple(plans[key] for key in keys)

    return run


def in_processes(workers: int) -> Work:
    """Work shared among so many processes of this machine; jobs of a process that died are done again.

    Raises BrokenProcessPool when processes keep dying.
    """

    def work(jobs: Mapping[str, Job]) -> Iterator[tuple[str, Plan]]:
        left = dict(jobs)
        for attempt in range(1, ATTEMPTS + 1):
            try:
                for key, plan in _once(left, workers):
                    del left[key]
                    yield key, plan
            except BrokenProcessPool:
                if attempt == ATTEMPTS:
                    raise
            if not left:
                return

    return work


def _once(jobs: Mapping[str, Job], workers: int) -> Iterator[tuple[str, Plan]]:
    if not jobs:
        return
    pool = ProcessPoolExecutor(
        min(workers, len(jobs)), mp_context=multiprocessing.get_context("spawn"), initializer=_as_worker
    )
    try:
        futures: dict[Future[Plan], str] = {pool.submit(run_job, job): key for key, job in jobs.items()}
        for future in as_completed(futures):
            yield futures[future], future.result()
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        for process in multiprocessing.active_children():
            process.terminate()
        raise
    pool.shutdown()


def _as_worker() -> None:
    """Leaves Ctrl-C to the process that asked for the work, and ends with it, however it ends.

    Ctrl-C reaches every process of a terminal; a search that it cut short would pass for finished. A process whose
    parent was killed would wait for work for ever: its own end of the pipe keeps that open.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
