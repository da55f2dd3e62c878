"""Compiled work of a search done on all cores: it lets others run beside it. One core gives the same answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from typing import TypeVar

import numba
import numpy as np
import numpy.typing as npt

Answer = TypeVar("Answer")
Halt = npt.NDArray[np.int64]
"""One number that compiled loops look at: 0, or they are to end."""
CORES = min(4, numba.get_num_threads())
"""Threads at most."""
A_MOMENT_S = 0.05


def side_by_side(calls: Sequence[Callable[[], Answer]]) -> list[Answer]:
    """The answers in the order of the calls, which must not change anything that another one reads."""
    if CORES == 1 or len(calls) < 2:
        return [call() for call in calls]
    with ThreadPoolExecutor(min(CORES, len(calls))) as threads:
        return list(threads.map(lambda call: call(), calls))


def no_halt() -> Halt:
    """Nobody is to end yet."""
    return np.zeros(1, dtype=np.int64)


def watched(calls: Sequence[Callable[[], Answer]], stop: Callable[[], bool], halt: Halt) -> list[Answer]:
    """The same for calls that may take long: ``halt`` tells them to end when ``stop`` says so, or at Ctrl-C."""
    with ThreadPoolExecutor(min(CORES, len(calls))) as threads:
        made = [threads.submit(call) for call in calls]
        try:
            while wait(made, A_MOMENT_S).not_done:
                if stop():
                    halt[0] = 1
        except BaseException:
            halt[0] = 1
            raise
    return [one.result() for one in made]
