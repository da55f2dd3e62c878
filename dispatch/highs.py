"""HiGHS set up alike everywhere: silent, one thread, repeatable."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

import highspy
import numpy as np

INFINITE: float = highspy.kHighsInf
UNLIMITED: int = highspy.kHighsIInf


def quiet_highs() -> highspy.Highs:
    """An empty programme that prints nothing."""
    with _standard_output_closed():
        h = highspy.Highs()
    h.setOptionValue("output_flag", False)
    h.setOptionValue("threads", 1)
    h.setOptionValue("random_seed", 0)
    return h


@contextmanager
def _standard_output_closed() -> Iterator[None]:
    """HiGHS 1.16 prints its name when it is first created, before it can be told not to: results go there too."""
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def add_row(h: highspy.Highs, lower: float, upper: float) -> None:
    """A row without entries yet; columns bring them."""
    h.addRow(lower, upper, 0, np.array([], dtype=np.int32), np.array([], dtype=np.float64))


def add_column(h: highspy.Highs, cost: float, entries: Mapping[int, float], *, whole: bool = False) -> None:
    """A column that is not negative; ``whole``: 0 or 1."""
    index = np.array(list(entries), dtype=np.int32)
    value = np.array(list(entries.values()), dtype=np.float64)
    h.addCol(cost, 0.0, 1.0 if whole else INFINITE, len(index), index, value)
    if whole:
        h.changeColIntegrality(h.getNumCol() - 1, highspy.HighsVarType.kInteger)


def add_set_columns(h: highspy.Highs, masks: Sequence[int], rows: int, *, whole: bool) -> None:
    """One column a set, of cost 1, with a 1 in every row (of the first ``rows``) that the set's bit mask names."""
    if not masks:
        return
    size = max(1, -(-rows // 8))
    bits = np.frombuffer(b"".join(mask.to_bytes(size, "little") for mask in masks), np.uint8)
    member = np.unpackbits(bits.reshape(len(masks), size), axis=1, bitorder="little")[:, :rows]
    where, index = np.nonzero(member)
    count, first = len(masks), h.getNumCol()
    h.addCols(
        count,
        np.ones(count),
        np.zeros(count),
        np.full(count, 1.0 if whole else INFINITE),
        len(index),
        np.searchsorted(where, np.arange(count)).astype(np.int32),
        index.astype(np.int32),
        np.ones(len(index)),
    )
    if whole:
        kinds = np.full(count, int(highspy.HighsVarType.kInteger), dtype=np.uint8)
        h.changeColsIntegrality(count, np.arange(first, first + count, dtype=np.int32), kinds)


def add_whole_column(h: highspy.Highs, cost: float, entries: Mapping[int, float], most: int) -> None:
    """A column of whole numbers from 0 to ``most``."""
    add_column(h, cost, entries)
    column = h.getNumCol() - 1
    h.changeColIntegrality(column, highspy.HighsVarType.kInteger)
    h.changeColBounds(column, 0.0, float(most))


def proved_floor(h: highspy.Highs, *, whole: bool) -> float:
    """What a programme that was run proves of its least value; ``whole``: it has columns of whole numbers.

    Minus infinity where nothing is known: a linear programme that was cut short.
    """
    if whole:
        return float(h.getInfo().mip_dual_bound)
    solved = h.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return float(h.getInfo().objective_function_value) if solved else -INFINITE
