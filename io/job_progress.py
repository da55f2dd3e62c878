"""How far a long run of jobs is: one line on a terminal, written anew whenever a job is done."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from typing import TextIO


class JobProgress:
    """Counts jobs. Without a stream it is silent."""

    def __init__(self, stream: TextIO | None, clock: Callable[[], float] = time.monotonic) -> None:
        self._stream, self._clock = stream, clock
        self._stage = ""
        self._done = self._kept = self._total = 0
        self._started = clock()
        self._width = 0

    def stage(self, words: str) -> None:
        """What the jobs to come are for."""
        self._stage = words

    def begin(self, total: int, kept: int) -> None:
        """So many jobs, so many of which were done before."""
        self._total, self._kept, self._done = total, kept, kept
        self._started = self._clock()
        self._write(self.text())

    def one_done(self) -> None:
        """Another job is done."""
        self._done += 1
        self._write(self.text())

    def close(self) -> None:
        """Wipes the line."""
        self._write("")
        if self._stream is not None:
            self._stream.write("\r")
            self._stream.flush()

    def text(self) -> str:
        """``days under every fleet: 12 of 80 done (4 kept from before), about 95 s left``."""
        kept = f" ({self._kept} kept from before)" if self._kept else ""
        fresh = self._done - self._kept
        left = ""
        if fresh and self._done < self._total:
            each = (self._clock() - self._started) / fresh
            left = f", about {each * (self._total - self._done):.0f} s left"
        return (
            f"{self._stage}: {self._done} of {self._total} done{kept}{left}. Ctrl-C stops; what is done is kept."
        )

    def _write(self, text: str) -> None:
        if self._stream is None:
            return
        shown = text[: shutil.get_terminal_size().columns - 1]
        self._stream.write(f"\r{shown:<{self._width}}")
        self._stream.flush()
        self._width = len(shown)
