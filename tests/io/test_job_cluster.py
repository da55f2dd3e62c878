"""The same jobs on a Dask cluster of two worker processes: the same plans; a lost worker's job is done again."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from dispatch.io.exit_codes import ExitCode
from dispatch.io.job_cluster import ClusterRefused, on_cluster, run_alike
from dispatch.io.job_pool import in_processes, with_cache
from dispatch.io.job_progress import JobProgress
from dispatch.io.plan_cache import PlanCache, versions
from dispatch.io.run_compare import run_compare

from dispatch.comparison.jobs import Effort, Job, job_key, run_here
from tests import factories as make
from tests.dispatch.comparison.small_histories import big
from tests.io.test_compare import cells, request

distributed = pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def cluster() -> Iterator[Any]:
    """Two worker processes of one thread each, on this machine; no dashboard."""
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as one:
        yield one


def jobs(count: int) -> list[Job]:
    """Different small days."""
    return [
        Job(f"day {n}", make.problem([big("1", ready_min=400 + n), big("2"), big("3")]), Effort())
        for n in range(count)
    ]


@pytest.mark.slow
def test_a_cluster_gives_what_this_machine_gives(cluster: Any, tmp_path: Path) -> None:
    some = jobs(4)
    run = with_cache(on_cluster(cluster.scheduler_address), PlanCache(tmp_path / "kept"), JobProgress(None))
    assert run(some) == run_here(some)
    assert run_compare(request(tmp_path, "far", cluster=cluster.scheduler_address)) is ExitCode.DONE
    assert run_compare(request(tmp_path, "near")) is ExitCode.DONE
    assert cells(tmp_path / "far.xlsx") == cells(tmp_path / "near.xlsx")
    assert (tmp_path / "far.json").read_bytes() == (tmp_path / "near.json").read_bytes()


@pytest.mark.slow
def test_the_job_of_a_lost_worker_is_done_again(cluster: Any) -> None:
    some = {job_key(job): job for job in jobs(10)}
    found = {}
    with distributed.Client(cluster.scheduler_address) as watcher:
        for key, plan in on_cluster(cluster.scheduler_address)(some):
            if not found:
                busy = [address for address, tasks in watcher.processing().items() if tasks]
                assert busy, "a worker is at work"
                pid = watcher.run(os.getpid, workers=busy[:1])[busy[0]]
                os.kill(pid, signal.SIGKILL)
            found[key] = plan
    assert list(found.values()) == [run_here([some[key]])[0] for key in found]
    assert found.keys() == some.keys()


@pytest.mark.slow
def test_the_jobs_of_a_process_that_died_are_done_again() -> None:
    some = {job_key(job): job for job in jobs(6)}
    found = {}
    for key, plan in in_processes(2)(some):
        if not found:
            victim = multiprocessing.active_children()[0]
            victim.kill()
        found[key] = plan
    assert found == {key: run_here([job])[0] for key, job in some.items()}


KILLED = """
import multiprocessing, os, signal
from dispatch.io.job_pool import in_processes
from dispatch.comparison.jobs import job_key
from tests.io.test_job_cluster import jobs
if __name__ == "__main__":
    for _ in in_processes(1)({job_key(job): job for job in jobs(3)}):
        print(*(one.pid for one in multiprocessing.active_children()), flush=True)
        os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.slow
def test_no_process_outlives_a_run_that_was_killed(tmp_path: Path) -> None:
    (tmp_path / "killed.py").write_text(KILLED, encoding="utf-8")
    said = subprocess.run(
        [sys.executable, str(tmp_path / "killed.py")],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert said.returncode == -signal.SIGKILL
    worker = int(said.stdout)
    for _ in range(100):
        if not alive(worker):
            return
        time.sleep(0.1)
    os.kill(worker, signal.SIGKILL)
    pytest.fail("the worker waits for work that nobody sends")


def alive(pid: int) -> bool:
    """Whether the process is there."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_a_worker_with_another_version_is_refused() -> None:
    job = jobs(1)[0]
    assert run_alike(job, versions()) == run_here([job])[0]
    with pytest.raises(ClusterRefused, match=r"has another version .*haulday 0\.0\.1"):
        run_alike(job, (*versions()[:2], "haulday 0.0.1"))


def test_no_cluster_at_the_address_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("dispatch.io.job_cluster.CONNECT_S", 1)
    with pytest.raises(ClusterRefused, match="no cluster at tcp://127"):
        list(on_cluster("tcp://127.0.0.1:9")({"a": jobs(1)[0]}))
