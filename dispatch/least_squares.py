"""Generalised least squares with known uncertainties: what is identifiable, and how well, by rank.

Sources: JCGM 100:2008 (GUM) 4.3.7 for the standard uncertainty of a tolerance, 5.2 and annex H.3 for covariances
of fitted quantities, 6.2 and G.1.3 for the coverage factor. The estimator is that of Aitken (1935): best linear
unbiased for a known covariance of the observations.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

COVERAGE_FACTOR = 2.0
"""Half-width of an interval of about 95 % in standard uncertainties, known sigma (GUM, JCGM 100, 6.3.3: k = 2)."""
_RANK = 1e-9
_IN_NULL_SPACE = 1e-6


def standard_uncertainty(half_range: float) -> float:
    """Standard uncertainty of a value known to lie within +- ``half_range``, all of it equally likely.

    GUM 4.3.7, equation 7: a / sqrt(3).
    """
    return half_range / math.sqrt(3)


@dataclass(frozen=True, slots=True)
class Fit:
    """Estimates of unknowns with their covariance.

    ``gain``: estimates = gain @ values, so that the same design serves many draws. ``null``: directions in which
    the observations say nothing, one a row, in units of ``scale``. ``residuals``: observed less fitted;
    ``residual_u``: their standard uncertainties.
    """

    estimates: Array
    covariance: Array
    gain: Array
    null: Array
    scale: Array
    residuals: Array
    residual_u: Array
    chi_square: float
    freedom: int

    def identifiable(self, combination: Array) -> bool:
        """Whether the observations fix this combination of the unknowns."""
        scaled = combination / self.scale
        return bool(np.linalg.norm(self.null @ scaled) <= _IN_NULL_SPACE * np.linalg.norm(scaled))

    def of(self, combination: Array) -> tuple[float, float] | None:
        """Value and standard uncertainty of a combination of the unknowns; ``None`` when nothing fixes it."""
        if not self.identifiable(combination):
            return None
        variance = float(combination @ self.covariance @ combination)
        return float(combination @ self.estimates), math.sqrt(max(variance, 0.0))


def fit(matrix: Array, values: Array, covariance: Array) -> Fit:
    """Estimates x of ``matrix @ x = values`` for values with that covariance; least norm where not identifiable.

    Raises numpy.linalg.LinAlgError when the covariance is not positive definite.
    """
    root = np.linalg.cholesky(covariance)
    white = np.linalg.solve(root, matrix)
    norms = np.linalg.norm(white, axis=0)
    scale = np.where(norms > 0, norms, 1.0)
    left, sizes, right = np.linalg.svd(white / scale, full_matrices=True)
    rank = int(np.sum(sizes > _RANK * sizes[0])) if sizes.size else 0
    basis = right[:rank].T / sizes[:rank] / scale[:, None]
    gain = basis @ np.linalg.solve(root.T, left[:, :rank]).T
    estimates = gain @ values
    fitted_covariance = basis @ basis.T
    residuals = values - matrix @ estimates
    variances = np.diag(covariance) - np.einsum("ij,jk,ik->i", matrix, fitted_covariance, matrix)
    return Fit(
        estimates=estimates,
        covariance=fitted_covariance,
        gain=gain,
        null=right[rank:],
        scale=scale,
        residuals=residuals,
        residual_u=np.sqrt(np.maximum(variances, 0.0)),
        chi_square=float(np.sum(np.linalg.solve(root, residuals) ** 2)),
        freedom=len(values) - rank,
    )


def ratio_with_uncertainty(top: Array, bottom: Array, covariance: Array) -> tuple[Array, Array]:
    """Value and standard uncertainty of top / bottom; ``covariance`` is theirs, two by two.

    First order (GUM 5.2.2, equation 13); good where the bottom is known to a few per cent. Arrays give arrays.
    """
    value = top / bottom
    variance = covariance[0, 0] - 2 * value * covariance[0, 1] + value**2 * covariance[1, 1]
    return value, np.sqrt(variance) / np.abs(bottom)


def chance_of_more(chi_square: float, freedom: int) -> float:
    """Chance that a chi-square variable with so many degrees of freedom exceeds the value (closed form).

    Abramowitz and Stegun, Handbook of Mathematical Functions, 26.4.4 and 26.4.5. Raises ValueError for no freedom.
    """
    if freedom < 1:
        raise ValueError("chi-square needs a degree of freedom")
    half = chi_square / 2
    if half <= 0:
        return 1.0
    first = 0.5 if freedom % 2 else 1.0
    powers = [first + step for step in range((freedom - (1 if freedom % 2 else 2)) // 2)]
    tail = math.erfc(math.sqrt(half)) if freedom % 2 else math.exp(-half)
    return tail + sum(math.exp(power * math.log(half) - half - math.lgamma(power + 1)) for power in powers)
