"""What the command prints: results on stdout, progress and warnings on stderr, own words in plain ASCII."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import TextIO


def forgive_encodings() -> None:
    """Let a console that cannot show a name's letters print their codes instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def say(text: str = "") -> None:
    """A line of the result."""
    _print(text, sys.stdout)


def note(text: str) -> None:
    """A line of progress, a warning or an error."""
    _print(text, sys.stderr)


def _print(text: str, stream: TextIO) -> None:
    """Control signs from a cell could steer the terminal: they come out as question marks."""
    shown = "".join(sign if sign.isprintable() or sign == "\n" else "?" for sign in text)
    print(shown, file=stream, flush=True)


def table(
    heads: Sequence[str], rows: Iterable[Sequence[str]], widest: int = 36, *, last_uncut: bool = False
) -> str:
    """A compact table; a text longer than ``widest`` is cut and ends with ``..``."""
    last = len(heads) - 1
    cut = [
        [text if last_uncut and column == last else _cut(text, widest) for column, text in enumerate(row)]
        for row in rows
    ]
    widths = [max(len(line[i]) for line in [list(heads), *cut]) for i in range(len(heads))]
    lines = [list(heads), ["-" * width for width in widths], *cut]
    padded = ([f"{text:<{width}}" for text, width in zip(line, widths, strict=True)] for line in lines)
    return "\n".join("  ".join(line).rstrip() for line in padded)


def _cut(text: str, widest: int) -> str:
    flat = " ".join(text.split())
    return flat if len(flat) <= widest else flat[: widest - 2] + ".."
