"""A second process that does a list of jobs from its beginning while this one has something else to do first.

The answers are those that this process alone would give: nothing but time depends on who does a job.
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Generic, TypeVar
from weakref import WeakSet

from dispatch.side_by_side import CORES

Answer = TypeVar("Answer")
Jobs = Sequence[Callable[[], Answer]]
A_MOMENT_S = 0.05


_HARMLESS: WeakSet[threading.Thread] = WeakSet()


def harmless(thread: threading.Thread) -> threading.Thread:
    """The thread, of which it is now known that a copy of this process needs nothing that it may hold."""
    _HARMLESS.add(thread)
    return thread


def may_have_one() -> bool:
    """Whether there is a core for it, and whether forking is safe: on Linux, with no thread but harmless ones.

    Not in a process that is one of several itself: they have the cores among them.
    """
    others = [thread for thread in threading.enumerate() if thread is not threading.current_thread()]
    alone = all(thread in _HARMLESS for thread in others) and multiprocessing.parent_process() is None
    return sys.platform == "linux" and CORES > 1 and alone


class SecondProcess(Generic[Answer]):
    """Begins at once. ``answers`` may be asked for once; ``close`` ends the process, whatever it is doing.

    The process is a copy of this one, so jobs need not be pickled, but answers must be. It ignores Ctrl-C, writes
    nothing, and ends at the first job that fails and when this process ends. Raises OSError where the system
    allows no second process.
    """

    def __init__(self, jobs: Jobs[Answer]) -> None:
        context = multiprocessing.get_context("fork")
        self._begun = context.Array("b", len(jobs))
        self._found: dict[int, Answer] = {}
        receiver, sender = context.Pipe(duplex=False)
        self._process = context.Process(target=self._work, args=(jobs, receiver, sender), daemon=True)
        self._process.start()
        sender.close()
        self._listener = threading.Thread(target=self._listen, args=(receiver,), daemon=True)
        self._listener.start()

    def answers(self, own: Jobs[Answer], stop: Callable[[], bool]) -> list[Answer]:
        """All answers; jobs not begun there are done here, from the end, as ``own`` does them.

        So are those that the process owes when ``stop`` says so, or when it ended: what failed there fails here.
        """
        found = {number: own[number]() for number in reversed(range(len(own))) if self._claims(number)}
        while len(found) + len(self._found) < len(own) and self._listener.is_alive() and not stop():
            self._listener.join(A_MOMENT_S)
        self.close()
        found |= self._found
        return [found[number] if number in found else job() for number, job in enumerate(own)]

    @property
    def so_far(self) -> tuple[Answer, ...]:
        """What the process has answered by now."""
        return tuple(self._found.values())

    def close(self) -> None:
        """Ends the process; nothing more is heard of it."""
        self._process.terminate()
        self._process.join()
        self._listener.join()

    def _claims(self, number: int) -> bool:
        with self._begun.get_lock():
            free = not self._begun[number]
            self._begun[number] = 1
        return free

    def _listen(self, receiver: Connection) -> None:
        with receiver:
            try:
                while True:
                    number, answer = pickle.loads(receiver.recv_bytes())
                    self._found[number] = answer
            except (EOFError, OSError):
                return

    # -- in the second process ----------------------------------------------------------------------------

    def _work(self, jobs: Jobs[Answer], receiver: Connection, sender: Connection) -> None:
        receiver.close()
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        threading.Thread(target=_end_with_parent, daemon=True).start()
        with sender, suppress(Exception):
            for number, job in enumerate(jobs):
                if self._claims(number):
                    sender.send_bytes(pickle.dumps((number, job()), pickle.HIGHEST_PROTOCOL))


def _end_with_parent() -> None:
    """A process whose parent was killed would work on for nobody."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
