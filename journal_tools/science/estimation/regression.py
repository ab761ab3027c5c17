"""Weighted least squares where some values are limits and some are outliers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from journal_tools.science.estimation.measured import IntArray
from journal_tools.science.validity import FloatArray

Mask = NDArray[np.bool_]
"""An array of yes and no."""

Z90 = 1.6448536269514722
"""Half width of the 90 % interval of the normal distribution, in standard deviations."""

OUTLIER_SD = 3.5
"""A value further off than this from what all others say is set aside (1 in 2,000 by chance)."""

LARGEST_SHARE_SET_ASIDE = 0.25
"""If more values than this seem off, it is not the values: none is set aside."""

_LOG_ROOT_2PI = 0.5 * np.log(2 * np.pi)


@dataclass(frozen=True)
class Rows:
    """Equations ``target = design @ unknowns + error``.

    Attributes:
        design: One row for each value, one column for each unknown.
        target: Values, or limits.
        variance: Variance of each; only in proportion if ``sd_known`` is false.
        censored: -1 for "below target", 1 for "above target", else 0.
        sd_known: Whether ``variance`` is in the unit of the values.
        least_variance: Least variance of a value that a scatter may show: that of its step.
    """

    design: FloatArray
    target: FloatArray
    variance: FloatArray
    censored: IntArray
    sd_known: bool
    least_variance: float = 0.0

    def determined_by(self, chosen: Mask) -> bool:
        """Tell whether the figures among the chosen rows fix all unknowns and leave one over."""
        figures = chosen & (self.censored == 0)
        columns = self.design.shape[1]
        return bool(
            figures.sum() > columns and np.linalg.matrix_rank(self.design[figures]) == columns
        )


@dataclass(frozen=True)
class Fit:
    """The unknowns and how they came about.

    Attributes:
        unknowns: Best values.
        covariance: Of the unknowns, by the errors of the values.
        weight: Weight of each row; 0 if set aside.
        working: Value that each row acted as: for a limit what is expected beyond it.
        residual: Working value less fit.
        used: Which rows were not set aside.
        chi2: Sum of squared residuals of the figures by their variance.
        freedom: Figures used less unknowns.
    """

    unknowns: FloatArray
    covariance: FloatArray
    weight: FloatArray
    working: FloatArray
    residual: FloatArray
    used: Mask
    chi2: float
    freedom: int

    @property
    def misfit(self) -> float:
        """Chi-square by its degrees of freedom, near 1 if the errors are as stated."""
        return self.chi2 / max(self.freedom, 1)

    def moved_by(self, design: FloatArray, known: FloatArray) -> FloatArray:
        """Give the unknowns of a slightly different design with ``known`` taken off the values.

        Args:
            design: The other design.
            known: Change of what is taken off each value.
        """
        weighted = design * self.weight[:, None]
        moved = np.linalg.solve(weighted.T @ design, weighted.T @ (self.working - known))
        return np.asarray(moved, dtype=np.float64)


def robust_fit(rows: Rows) -> Fit:
    """Give the fit after setting aside values that are beyond chance, worst first.

    Args:
        rows: Equations that fix all unknowns with figures to spare.

    Source:
        Deletion residuals (Cook & Weisberg 1982, ch. 2); limits by the likelihood of
        Tobin 1958, Econometrica 26:24, with the correction of Firth 1993. From memory.
    """
    every = np.ones(len(rows.target), dtype=bool)
    first = fit = _fitted(rows, every)
    while True:
        score = _off(rows, fit)
        worst = int(np.argmax(score))
        if score[worst] <= OUTLIER_SD:
            break
        used = fit.used.copy()
        used[worst] = False
        most = len(used) * LARGEST_SHARE_SET_ASIDE
        if (~used).sum() > most or not rows.determined_by(used):
            return first
        fit = _fitted(rows, used)
    return fit if _beyond_chance(rows, fit) else first


def _beyond_chance(rows: Rows, fit: Fit) -> bool:
    """Tell whether what was set aside stays odd if the stated error was too small."""
    if not rows.sd_known:
        return True
    off = np.abs(fit.residual[~fit.used]) / np.sqrt(rows.variance[~fit.used])
    return bool(np.all(off > OUTLIER_SD * np.sqrt(max(fit.misfit, 1.0))))


def _fitted(rows: Rows, used: Mask) -> Fit:
    """Fit with the errors of the values, or with an error found from the scatter."""
    fit = _solve(rows, used, rows.variance)
    if rows.sd_known:
        return fit
    # No scatter at all is rounding, or no error can be told.
    scale = max(fit.misfit, rows.least_variance, 1e-24 * float((rows.target**2).max()), 1e-300)
    # With limits the scatter and the fit depend on each other.
    for _ in range(40 if rows.censored.any() else 1):
        fit, before = _solve(rows, used, rows.variance * scale), scale
        scale = max(fit.misfit * scale, rows.least_variance, 1e-300)
        if abs(scale / before - 1) < 1e-6:
            break
    return fit


def _solve(rows: Rows, used: Mask, variance: FloatArray) -> Fit:
    """Fit by Newton's method on the likelihood, which is one step where nothing is censored."""
    design, is_limit = rows.design, rows.censored != 0
    weight, working = used / variance, rows.target
    unknowns = np.zeros(design.shape[1])
    for _ in range(60):
        before, weighted = unknowns, design * weight[:, None]
        covariance = np.asarray(np.linalg.inv(weighted.T @ design), dtype=np.float64)
        unknowns = covariance @ (weighted.T @ working)
        if not is_limit.any() or np.allclose(unknowns, before, rtol=1e-9, atol=1e-12):
            break
        told, working = _limits(rows, variance, design @ unknowns, covariance)
        weight = used * told / variance
    residual = working - design @ unknowns
    figures = used & ~is_limit
    chi2 = float((residual[figures] ** 2 / variance[figures]).sum())
    freedom = int(figures.sum()) - design.shape[1]
    return Fit(unknowns, covariance, weight, working, residual, used, chi2, freedom)


def _limits(
    rows: Rows, variance: FloatArray, fitted: FloatArray, covariance: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give share of a weight and working value that make least squares a Newton step."""
    from scipy.special import log_ndtr

    sd, side = np.sqrt(variance), rows.censored
    beyond = side * (fitted - rows.target) / sd
    ratio = np.exp(-(beyond**2) / 2 - _LOG_ROOT_2PI - log_ndtr(beyond))
    told = np.clip(ratio * (ratio + beyond), 1e-9, 1.0)
    # With few values the likelihood of limits is lopsided: without this the rate is off by a
    # fifth of its error, with it by a twentieth (Firth 1993, Biometrika 80:27).
    slope = ratio * (1 - told) - told * (ratio + beyond)
    lean = slope * np.einsum("ij,jk,ik->i", rows.design, covariance, rows.design) / variance / 2
    working = np.where(side != 0, fitted + side * (ratio + lean) * sd / told, rows.target)
    return np.where(side != 0, told, 1.0), working


def _off(rows: Rows, fit: Fit) -> FloatArray:
    """Give by how many standard deviations each used figure is off what the others say."""
    leverage = np.einsum("ij,jk,ik->i", rows.design, fit.covariance, rows.design) * fit.weight
    figures = fit.used & (rows.censored == 0) & (leverage < 1 - 1e-6)
    score = np.zeros(len(leverage))
    free = 1 - leverage[figures]
    score[figures] = np.abs(fit.residual[figures]) * np.sqrt(fit.weight[figures] / free)
    return score if rows.sd_known else _as_normal(score, fit.freedom)


def _as_normal(score: FloatArray, freedom: int) -> FloatArray:
    """Turn residuals by their own scatter into what they would be with a known error."""
    from scipy.special import ndtri, stdtr

    if freedom < 3:
        return np.zeros_like(score)
    rest = np.maximum(freedom - score**2, 1e-9)
    student = score * np.sqrt((freedom - 1) / rest)
    return np.asarray(-ndtri(np.maximum(stdtr(freedom - 1, -student), 1e-300)))


def student_95(freedom: int) -> float:
    """Give the value that Student's t exceeds once in 20.

    Args:
        freedom: Degrees of freedom, 1 or more.

    Source:
        Student's t distribution through SciPy.

    >>> round(student_95(8), 2)
    1.86
    """
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 0.95))


def chi_square_95(freedom: int) -> float:
    """Give the value that chi-square exceeds once in 20, within 2 %.

    Args:
        freedom: Degrees of freedom, 1 or more.

    Source:
        Wilson & Hilferty 1931, PNAS 17:684. From memory.

    >>> round(chi_square_95(8), 1)
    15.5
    """
    part = 2 / (9 * freedom)
    return float(freedom * (1 - part + Z90 * part**0.5) ** 3)
