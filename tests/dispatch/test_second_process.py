"""Jobs done by a second process and this one: who does them makes no difference, even if that process dies."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from functools import partial
from io import StringIO

import pytest
from dispatch.io.progress_line import ProgressLine

from dispatch import second_process
from dispatch.second_process import SecondProcess, may_have_one

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="there is no second process on this system")


def never() -> bool:
    return False


def slow(number: int, seconds: float = 0.0) -> tuple[int, int]:
    """A number squared, and who did it."""
    time.sleep(seconds)
    return number * number, os.getpid()


def dies(number: int) -> tuple[int, int]:
    os.kill(os.getpid(), signal.SIGKILL)
    return slow(number)


def fails(number: int) -> tuple[int, int]:
    raise ZeroDivisionError(number)


def jobs(work: Callable[[int], tuple[int, int]], count: int = 6) -> list[Callable[[], tuple[int, int]]]:
    return [partial(work, number) for number in range(count)]


def test_answers_come_in_the_order_of_the_jobs_whoever_did_them() -> None:
    process = SecondProcess(jobs(partial(slow, seconds=0.05)))
    while not process._begun[0]:
        time.sleep(0.01)
    answers = process.answers(jobs(partial(slow, seconds=0.05)), never)
    assert [answer for answer, _ in answers] == [number * number for number in range(6)]
    doers = [doer for _, doer in answers]
    assert doers[0] != os.getpid() == doers[-1]
    assert set(process.so_far) <= set(answers)


def test_what_a_process_that_died_owes_is_done_here() -> None:
    process = SecondProcess(jobs(dies))
    process._process.join()
    answers = process.answers(jobs(slow), never)
    assert [answer for answer, _ in answers] == [number * number for number in range(6)]
    assert {doer for _, doer in answers} == {os.getpid()}


def test_what_fails_there_fails_here_and_is_told_once(capfd: pytest.CaptureFixture[str]) -> None:
    process = SecondProcess(jobs(fails))
    process._process.join()
    assert process._process.exitcode == 0
    with pytest.raises(ZeroDivisionError):
        process.answers(jobs(fails), never)
    assert capfd.readouterr().err == ""


def test_a_stop_does_not_wait_for_the_process() -> None:
    process = SecondProcess(jobs(partial(slow, seconds=60.0), 1))
    while not process._begun[0]:
        time.sleep(0.01)
    assert process.answers(jobs(slow, 1), lambda: True) == [(0, os.getpid())]
    assert not process._process.is_alive()


def test_large_answers_arrive_whole() -> None:
    process = SecondProcess([lambda: bytes(3_000_000), lambda: bytes(5)])
    process._listener.join()
    assert [len(answer) for answer in process.answers([lambda: b"", lambda: b""], never)] == [3_000_000, 5]


def test_closing_ends_it_at_once() -> None:
    process = SecondProcess(jobs(partial(slow, seconds=60.0)))
    process.close()
    assert not process._process.is_alive()


@pytest.fixture
def as_a_command(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two cores, and no thread but those that the test starts."""
    here, all_threads = threading.current_thread(), threading.enumerate
    others = set(all_threads()) - {here}
    monkeypatch.setattr(threading, "enumerate", lambda: [one for one in all_threads() if one not in others])
    monkeypatch.setattr(second_process, "CORES", 2)
    monkeypatch.setattr(sys, "platform", "linux")


@pytest.mark.usefixtures("as_a_command")
def test_a_command_has_one_on_a_terminal_too() -> None:
    """The line of progress has a thread of its own."""
    assert may_have_one()
    with ProgressLine(StringIO(), None):
        assert threading.active_count() > 1
        assert may_have_one()


@pytest.mark.usefixtures("as_a_command")
def test_another_thread_forbids_it() -> None:
    done = threading.Event()
    thread = threading.Thread(target=done.wait)
    thread.start()
    try:
        assert not may_have_one()
    finally:
        done.set()
        thread.join()


@pytest.mark.usefixtures("as_a_command")
def test_one_core_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(second_process, "CORES", 1)
    assert not may_have_one()
