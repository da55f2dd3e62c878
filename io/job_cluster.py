"""Sends jobs to a Dask cluster that is there already; needs the extra ``cluster``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from dispatch.io.job_pool import Work
from dispatch.io.plan_cache import versions

from dispatch.comparison.jobs import Job, run_job
from dispatch.errors import HauldayError
from dispatch.plan import Plan

CONNECT_S = 30


class ClusterRefused(HauldayError):
    """There is no cluster at the address, or the library for it is not installed."""


def on_cluster(address: str) -> Work:
    """Work for the cluster whose scheduler listens at the address, such as ``tcp://planner-2:8786``.

    Raises ClusterRefused when there is none, when a worker has another version of haulday or its solvers, and when
    the cluster loses its scheduler or too many workers.
    """

    def work(jobs: Mapping[str, Job]) -> Iterator[tuple[str, Plan]]:
        if not jobs:
            return
        try:
            import distributed  # noqa: PLC0415 - an extra that only this option needs
        except ImportError as error:
            raise ClusterRefused("--cluster needs the extra: pip install 'haulday[cluster]'") from error
        try:
            client: Any = distributed.Client(address, timeout=CONNECT_S)
        except (OSError, ValueError) as error:
            raise ClusterRefused(f"no cluster at {address}: {error}") from error
        with client:
            futures = {
                client.submit(run_alike, job, versions(), key=f"haulday-{key}", retries=0, pure=True): key
                for key, job in jobs.items()
            }
            for future in distributed.as_completed(list(futures)):
                try:
                    plan = future.result()
                except (distributed.scheduler.KilledWorker, OSError) as error:
                    raise ClusterRefused(f"the cluster at {address} gave up: {error}") from error
                yield futures[future], plan

    return work


def run_alike(job: Job, wanted: tuple[str, ...]) -> Plan:
    """The job's plan by the program that asked for it: plans are kept under its version.

    Raises ClusterRefused on a worker with another version of haulday or its solvers.
    """
    if versions() != wanted:
        ours, theirs = (", ".join(one[2:]) for one in (wanted, versions()))
        raise ClusterRefused(
            f"a worker of the cluster has another version of haulday or its solvers ({theirs}) than this machine "
            f"({ours}); install the same on both"
        )
    return run_job(job)
