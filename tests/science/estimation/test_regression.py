from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.stats import chi2, norm, t

from journal_tools.science.estimation.regression import (
    OUTLIER_SD,
    Rows,
    chi_square_95,
    robust_fit,
    student_95,
)

seeds = st.integers(0, 10_000)


def line(seed: int, size: int = 12, sd: float = 0.2, sd_known: bool = True) -> Rows:
    rng = np.random.default_rng(seed)
    x = np.sort(rng.uniform(0, 30, size))
    design = np.stack([np.ones(size), -x], axis=1)
    target = design @ [8.0, 0.1] + rng.normal(0, sd, size)
    variance = np.full(size, sd**2) if sd_known else np.ones(size)
    return Rows(design, target, variance, np.zeros(size, dtype=np.int64), sd_known)


def off_by(rows: Rows, places: list[int], by: float) -> Rows:
    target = rows.target.copy()
    target[places] += by
    return Rows(rows.design, target, rows.variance, rows.censored, rows.sd_known)


@given(seeds)
def test_without_limits_and_outliers_it_is_least_squares(seed: int) -> None:
    rows = line(seed)
    fit = robust_fit(rows)
    used = rows.design[fit.used], rows.target[fit.used]
    oracle = np.linalg.lstsq(*used, rcond=None)[0]
    assert fit.unknowns == pytest.approx(oracle)
    assert fit.covariance == pytest.approx(0.04 * np.linalg.inv(used[0].T @ used[0]))


@pytest.mark.parametrize("sd_known", [True, False])
@pytest.mark.parametrize("by", [-3.0, 2.0])
@pytest.mark.parametrize("place", [0, 5, 11])
def test_an_outlier_is_set_aside_and_changes_nothing(place: int, by: float, sd_known: bool) -> None:
    rows = line(3, sd_known=sd_known)
    fit = robust_fit(off_by(rows, [place], by))
    assert np.flatnonzero(~fit.used).tolist() == [place]
    further = robust_fit(off_by(rows, [place], 5 * by))
    assert further.unknowns == pytest.approx(fit.unknowns)


def test_two_outliers_side_by_side_do_not_hide_each_other() -> None:
    fit = robust_fit(off_by(line(3), [5, 6], 3.0))
    assert np.flatnonzero(~fit.used).tolist() == [5, 6]


def test_if_many_seem_off_none_is_set_aside() -> None:
    fit = robust_fit(off_by(line(3), [0, 3, 6, 9, 11], 5.0))
    assert fit.used.all()
    assert fit.misfit > 10


def test_a_stated_error_far_too_small_sets_little_aside() -> None:
    aside = 0
    for seed in range(100):
        rows = line(seed, sd=0.6)
        told = Rows(rows.design, rows.target, np.full(12, 0.2**2), rows.censored, True)
        aside += int((~robust_fit(told).used).sum())
    # Of 1,200 readings 290 are more than 3.5 stated errors off.
    assert aside < 30


def test_chance_sets_aside_one_in_two_thousand() -> None:
    aside = sum(int((~robust_fit(line(seed)).used).sum()) for seed in range(1000))
    assert aside / 12_000 == pytest.approx(2 * norm.sf(OUTLIER_SD), abs=3e-4)


@pytest.mark.parametrize("side", [-1, 1])
def test_limits_agree_with_the_likelihood(side: int) -> None:
    rows = line(5)
    limit = float(np.median(rows.target))
    beyond = side * (rows.target - limit) > 0.3
    censored = np.where(beyond, side, 0)
    seen = Rows(rows.design, np.where(beyond, limit, rows.target), rows.variance, censored, True)

    def weights(unknowns: np.ndarray) -> np.ndarray:
        z = side * (rows.design @ unknowns - limit) / 0.2
        ratio = norm.pdf(z) / norm.cdf(z)
        return np.asarray(np.where(beyond, ratio * (ratio + z), 1.0) / 0.04)

    def lost(unknowns: np.ndarray) -> float:
        fitted = rows.design @ unknowns
        told = np.where(beyond, norm.logcdf(side * (fitted - limit) / 0.2),
                        norm.logpdf(rows.target, fitted, 0.2))  # fmt: skip
        information = (rows.design * weights(unknowns)[:, None]).T @ rows.design
        # The correction of Firth 1993 is half the log determinant of the information.
        return float(-told.sum() - 0.5 * np.linalg.slogdet(information)[1])

    best = minimize(lost, [8.0, 0.1], method="Nelder-Mead",
                    options={"xatol": 1e-7, "fatol": 1e-10})  # fmt: skip
    fit = robust_fit(seen)
    assert beyond.sum() > 2
    assert fit.unknowns == pytest.approx(best.x, abs=2e-4)
    information = (rows.design * weights(fit.unknowns)[:, None]).T @ rows.design
    assert fit.covariance == pytest.approx(np.linalg.inv(information), rel=1e-4)


def test_a_limit_far_below_the_fit_says_nothing() -> None:
    rows = line(5)
    design = np.vstack([rows.design, [1.0, -15.0]])
    more = Rows(design, np.append(rows.target, -50.0), np.append(rows.variance, 0.04),
                np.append(rows.censored, 1), True)  # fmt: skip
    assert robust_fit(more).unknowns == pytest.approx(robust_fit(rows).unknowns, abs=1e-6)


def test_no_scatter_is_no_less_than_a_step() -> None:
    rows = line(1, sd_known=False)
    exact = Rows(rows.design, rows.design @ [8.0, 0.1], rows.variance, rows.censored, False, 0.01)
    inverse = np.linalg.inv(rows.design.T @ rows.design)
    assert robust_fit(exact).covariance == pytest.approx(0.01 * inverse)


@pytest.mark.parametrize("freedom", [1, 2, 5, 10, 50, 1000])
def test_quantiles_agree_with_scipy(freedom: int) -> None:
    assert student_95(freedom) == pytest.approx(t.ppf(0.95, freedom))
    assert chi_square_95(freedom) == pytest.approx(chi2.ppf(0.95, freedom), rel=0.03)


def test_a_row_too_few_does_not_determine() -> None:
    rows = line(1, size=3)
    assert rows.determined_by(np.ones(3, dtype=bool))
    assert not rows.determined_by(np.array([True, True, False]))
