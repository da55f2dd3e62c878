"""Work on all cores: answers in order, long calls halted by a stop and by Ctrl-C."""

from __future__ import annotations

import threading
import time
from functools import partial

import pytest

from dispatch import side_by_side as module
from dispatch.side_by_side import Halt, no_halt, side_by_side, watched


def until_halted(halt: Halt, number: int, begun: threading.Event) -> int:
    begun.set()
    while not halt[0]:
        time.sleep(0.001)
    return number


@pytest.fixture(params=[1, 2])
def cores(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "CORES", request.param)


@pytest.mark.usefixtures("cores")
def test_answers_come_in_the_order_of_the_calls() -> None:
    calls = [partial(pow, number, 2) for number in range(5)]
    assert side_by_side(calls) == watched(calls, lambda: False, no_halt()) == [0, 1, 4, 9, 16]


@pytest.mark.usefixtures("cores")
def test_a_stop_halts_what_has_begun_and_what_has_not() -> None:
    halt, begun = no_halt(), threading.Event()
    calls = [partial(until_halted, halt, number, begun) for number in range(4)]
    assert watched(calls, begun.is_set, halt) == [0, 1, 2, 3]


@pytest.mark.usefixtures("cores")
def test_ctrl_c_halts_too() -> None:
    halt, begun, ended = no_halt(), threading.Event(), []

    def call() -> None:
        ended.append(until_halted(halt, 7, begun))

    def pressed() -> bool:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        watched([call], pressed, halt)
    assert ended == [7]


@pytest.mark.usefixtures("cores")
def test_what_fails_in_a_call_fails_here() -> None:
    with pytest.raises(ZeroDivisionError):
        watched([lambda: 1 // 0], lambda: False, no_halt())
