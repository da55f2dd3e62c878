"""How the tests run: the whole suite in several processes, property tests with few examples every day."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

MOST_PROCESSES = 4
"""More gain nothing: each process compiles the kernels for itself while none has stored them yet."""

settings.register_profile("everyday", max_examples=25, derandomize=True, deadline=None)
settings.register_profile("thorough", max_examples=150, derandomize=True, deadline=None)
settings.load_profile("everyday")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """A process for each core where the whole suite runs; none besides this one where some files are named."""
    if config.args_source is not pytest.Config.ArgsSource.TESTPATHS:
        return 0
    return min(
        len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1, MOST_PROCESSES
    )
