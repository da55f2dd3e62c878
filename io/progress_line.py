"""Progress on a terminal: one line, written anew as the search goes on and every second, and wiped at its end."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Callable
from types import TracebackType
from typing import TextIO

from dispatch.io.summary_sheet import goal_label

from dispatch.search_limits import Progress
from dispatch.second_process import harmless

TICK_S = 1.0


def progress_text(progress: Progress | None, gone_s: float, limit_s: float | None) -> str:
    """The line: ``48 s left at most. Number of trips: 15 found, none below 14. ...``."""
    words = "looking for a first plan"
    if progress is not None:
        words = goal_label(progress.phase)
        found = [] if progress.value is None else [f"{_shown(progress, progress.value)} found"]
        found += [] if progress.bound is None else [f"none below {_shown(progress, progress.bound)}"]
        words += f": {', '.join(found)}" if found else ""
    time_words = f"{gone_s:.0f} s gone" if limit_s is None else f"{max(0.0, limit_s - gone_s):.0f} s left at most"
    return f"{time_words}. {words}. Ctrl-C keeps the best plan."


def _shown(progress: Progress, value: float) -> str:
    return f"{value / 100:,.2f}" if progress.phase == "cost" else f"{value:g}"


class ProgressLine:
    """Called with the search's progress; between entering and leaving it keeps its line up to date."""

    def __init__(self, stream: TextIO, limit_s: float | None, clock: Callable[[], float] = time.monotonic) -> None:
        self._stream, self._limit_s, self._clock = stream, limit_s, clock
        self._progress: Progress | None = None
        self._started = clock()
        self._width = 0
        self._over = threading.Event()
        self._lock = threading.Lock()
        self._ticker = harmless(threading.Thread(target=self._tick, daemon=True))

    def __call__(self, progress: Progress) -> None:
        """Show this progress now."""
        self._progress = progress
        self._draw()

    def __enter__(self) -> ProgressLine:
        self._draw()
        self._ticker.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._over.set()
        self._ticker.join()
        self._write("")
        self._stream.write("\r")
        self._stream.flush()

    def _tick(self) -> None:
        while not self._over.wait(TICK_S):
            self._draw()

    def _draw(self) -> None:
        self._write(progress_text(self._progress, self._clock() - self._started, self._limit_s))

    def _write(self, text: str) -> None:
        """Over the line as it stands; cut to the terminal, or a wrapped line would stay behind."""
        with self._lock:
            shown = text[: shutil.get_terminal_size().columns - 1]
            self._stream.write(f"\r{shown:<{self._width}}")
            self._stream.flush()
            self._width = len(shown)
