"""How time and memory grow with moves, rigs and tightness: a power law by least squares, with its spread.

``y = scale * moves^a * rigs^b * tight^c``, fitted as a line through the logarithms (ordinary least squares),
``tight`` being e on a tight day and 1 on a loose one. Larger days of the suite have more rigs as well, so the two
exponents can be told apart only as far as the sizes played differ in their ratio: the standard errors say how far.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Sample:
    """One run: size, windows, and what was measured (seconds or MB, over 0)."""

    moves: int
    rigs: int
    tight: bool
    value: float


@dataclass(frozen=True, slots=True)
class Law:
    """Exponents with their standard errors. ``tight``: factor of tight windows, with the error of its logarithm.

    ``spread``: the factor within which two thirds of the runs lie around the law (e to the residuals' deviation).
    """

    scale: float
    moves: float
    moves_error: float
    rigs: float
    rigs_error: float
    tight: float
    tight_error: float
    spread: float
    runs: int


@dataclass(frozen=True, slots=True)
class SizeLaw:
    """``value = scale * moves^power`` over all runs, rigs growing along; with standard error and spread."""

    scale: float
    power: float
    error: float
    spread: float
    runs: int

    def __call__(self, moves: float) -> float:
        """The law's value."""
        return float(self.scale * moves**self.power)


def fit_law(samples: Sequence[Sample]) -> Law | None:
    """The law of all three; ``None`` when the runs do not tell them apart."""
    rows = [[1.0, np.log(s.moves), np.log(s.rigs), float(s.tight)] for s in samples]
    found = _least_squares(rows, samples)
    if found is None:
        return None
    (level, moves, rigs, tight), errors, spread = found
    return Law(
        scale=float(np.exp(level)),
        moves=moves, moves_error=errors[1], rigs=rigs, rigs_error=errors[2],
        tight=float(np.exp(tight)), tight_error=errors[3], spread=spread, runs=len(samples),
    )  # fmt: skip


def fit_size_law(samples: Sequence[Sample]) -> SizeLaw | None:
    """The law of moves alone."""
    found = _least_squares([[1.0, np.log(s.moves)] for s in samples], samples)
    if found is None:
        return None
    (level, power), errors, spread = found
    return SizeLaw(float(np.exp(level)), power, errors[1], spread, len(samples))


def _least_squares(
    rows: Sequence[Sequence[float]], samples: Sequence[Sample]
) -> tuple[list[float], list[float], float] | None:
    """Coefficients, their standard errors, and e to the residuals' standard deviation."""
    matrix, logs = np.array(rows, dtype=float), np.log([max(s.value, 1e-3) for s in samples])
    if len(samples) <= matrix.shape[-1] or np.linalg.matrix_rank(matrix) < matrix.shape[-1]:
        return None
    coefficients = np.linalg.lstsq(matrix, logs, rcond=None)[0]
    residuals = logs - matrix @ coefficients
    variance = float(residuals @ residuals) / (len(samples) - matrix.shape[1])
    covariance = variance * np.linalg.inv(matrix.T @ matrix)
    errors = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    return [float(c) for c in coefficients], [float(e) for e in errors], float(np.exp(np.sqrt(variance)))
