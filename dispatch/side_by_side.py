"""Compiled work of a search done on all cores: it lets others run beside it. One core gives the same answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

import numba

Answer = TypeVar("Answer")
CORES = min(4, numba.get_num_threads())
"""Threads at most."""


def side_by_side(calls: Sequence[Callable[[], Answer]]) -> list[Answer]:
    """The answers in the order of the calls, which must not change anything that another one reads."""
    if CORES == 1 or len(calls) < 2:
        return [call() for call in calls]
    with ThreadPoolExecutor(min(CORES, len(calls))) as threads:
        return list(threads.map(lambda call: call(), calls))
