from __future__ import annotations

import numpy as np
import pytest

from journal_tools.science.estimation.kalman import Model, Path, likelihood, smoothed
from journal_tools.science.estimation.supply import Change, Supply, Timeline, Transitions
from tests.science.synthetic_tanks import CONSTANT, Run, Tank, simulate

WALKS = (1e-8, 1e-6, 1e-4, 1e-3, 1e-2)


def dense(run: Run, walk: float, observed: np.ndarray) -> tuple[np.ndarray, ...]:
    """Give rate, level and their variances by least squares over all states at once."""
    between = Timeline(run.supply).transitions(run.tests.day)
    size, noise = len(run.tests), run.tests.variance()
    state, known = np.zeros((size, 2, 2 * size)), np.zeros((size, 2))
    state[0, 0, 0] = state[0, 1, 1] = 1.0
    for i in range(size - 1):
        step = np.array([[between.a[i], between.b[i]], [0.0, 1.0]])
        level, both, rate = between.spread_level[i], between.spread_both[i], between.days[i]
        state[i + 1] = step @ state[i]
        kicks = np.linalg.cholesky(walk * np.array([[level, both], [both, rate]]))
        state[i + 1][:, 2 * i + 2 : 2 * i + 4] += kicks
        known[i + 1] = step @ known[i] + [between.d[i], 0.0]
    rows = state[observed, 0]
    prior = np.diag([0.0, 0.0] + [1.0] * (2 * size - 2))
    spread = np.linalg.inv(rows.T @ (rows / noise[observed, None]) + prior)
    target = (run.tests.value - known[:, 0])[observed] / noise[observed]
    best = spread @ rows.T @ target
    variances = np.einsum("nsj,jk,nsk->ns", state, spread, state)
    values = state @ best + known
    return values[:, 1], values[:, 0], variances[:, 1], variances[:, 0]


def path_of(run: Run, walk: float, observed: np.ndarray) -> Path:
    between = Timeline(run.supply).transitions(run.tests.day)
    return smoothed(Model(run.tests.value, run.tests.variance(), run.tests.censored, observed,
                          np.array([walk]), [between], True))  # fmt: skip


@pytest.mark.parametrize("walk", WALKS)
@pytest.mark.parametrize("seed", range(6))
def test_it_agrees_with_least_squares_over_all_states(walk: float, seed: int) -> None:
    run = simulate(Tank(single_doses=True), seed)
    observed = np.ones(len(run.tests), dtype=bool)
    observed[[0, len(observed) // 2]] = seed % 2, False
    rate, level, rate_variance, level_variance = dense(run, walk, observed)
    found = path_of(run, walk, observed)
    # A start that is vague instead of quite unknown costs up to 1 % of an error.
    tenth = 0.015 * rate_variance**0.5
    assert np.all(np.abs(found.rate[:, 0] - rate) < tenth)
    assert found.rate_variance[:, 0] == pytest.approx(rate_variance, rel=0.01)
    assert found.level[:, 0] == pytest.approx(level, abs=0.002)
    assert found.level_variance[:, 0] == pytest.approx(level_variance, rel=0.005)


def likelihood_of(run: Run, walks: tuple[float, ...]) -> np.ndarray:
    between = Timeline(run.supply).transitions(run.tests.day)
    every = np.ones(len(run.tests), dtype=bool)
    return likelihood(Model(run.tests.value, run.tests.variance(), run.tests.censored, every,
                            np.array(walks), [between] * len(walks), True))  # fmt: skip


def test_the_likelihood_agrees_with_that_of_contrasts() -> None:
    run = simulate(Tank(), 2)
    between = Timeline(run.supply).transitions(run.tests.day)
    size = len(run.tests)
    design, known = np.zeros((size, 2)), np.zeros(size)
    spread = np.zeros((size, size))
    state, offset = np.eye(2), np.zeros(2)
    steps = [np.eye(2)]
    design[0] = state[0]
    for i in range(size - 1):
        step = np.array([[between.a[i], between.b[i]], [0.0, 1.0]])
        steps.append(step)
        state, offset = step @ state, step @ offset + [between.d[i], 0.0]
        design[i + 1], known[i + 1] = state[0], offset[0]
    for start in range(size - 1):
        level, both, rate = (
            part[start] for part in (between.spread_level, between.spread_both, between.days)
        )
        kick, rows = np.linalg.cholesky(np.array([[level, both], [both, rate]])), []
        for i in range(start + 1, size):
            kick = kick if i == start + 1 else steps[i] @ kick
            rows.append(kick[0])
        effect = np.zeros((size, 2))
        effect[start + 1 :] = rows
        spread += effect @ effect.T
    # Restricted likelihood: of what remains after the unknown start and rate are projected out.
    free = np.linalg.svd(design)[0][:, 2:]
    rest = free.T @ (run.tests.value - known)

    def exact(walk: float) -> float:
        covariance = free.T @ (np.diag(run.tests.variance()) + walk * spread) @ free
        sign, logdet = np.linalg.slogdet(covariance)
        assert sign > 0
        return float(-0.5 * (logdet + rest @ np.linalg.solve(covariance, rest)))

    found = likelihood_of(run, WALKS)
    oracle = np.array([exact(walk) for walk in WALKS])
    assert found - found[0] == pytest.approx(oracle - oracle[0], abs=0.01)


def test_columns_do_not_disturb_each_other() -> None:
    run = simulate(Tank(), 3)
    together = likelihood_of(run, WALKS)
    alone = [float(likelihood_of(run, (walk,))[0]) for walk in WALKS]
    assert together == pytest.approx(alone)


def test_an_unknown_scale_scales() -> None:
    run = simulate(Tank(), 4)
    between = Timeline(run.supply).transitions(run.tests.day)
    every, size = np.ones(len(run.tests), dtype=bool), len(run.tests)

    def free(noise: float) -> Path:
        variance = np.full(size, noise)
        return smoothed(Model(run.tests.value, variance, run.tests.censored, every,
                              np.array([1e-4 * noise]), [between], False))  # fmt: skip

    one, other = free(1.0), free(25.0)
    assert other.rate == pytest.approx(one.rate)
    assert other.rate_variance == pytest.approx(one.rate_variance, rel=1e-3)
    assert one.freedom == size - 2


def test_a_broken_balance_keeps_the_rate_and_forgets_the_level() -> None:
    day = np.arange(0.0, 12.0, 2.0)
    value = 8 - 0.1 * day + np.where(day > 5, 5.0, 0.0)
    plain = Timeline(Supply()).transitions(day)
    known = np.array([True, True, False, True, True])
    broken = Transitions(plain.a, plain.b, plain.d, plain.spread_level, plain.spread_both,
                         plain.days, known)  # fmt: skip
    every = np.ones(6, dtype=bool)
    found = smoothed(Model(value, np.full(6, 0.01), np.zeros(6, dtype=np.int64), every,
                           np.array([1e-9]), [broken], True))  # fmt: skip
    assert found.rate[:, 0] == pytest.approx(0.1, abs=1e-4)
    assert found.level[:, 0] == pytest.approx(value, abs=1e-3)
    assert found.freedom == 3


def test_a_limit_keeps_mean_and_variance_of_what_is_beyond() -> None:
    day = np.array([0.0, 1.0, 2.0, 3.0])
    between = Timeline(Supply(changes=(Change(9.0, 0.1, 8.0),))).transitions(day)
    value, every = np.array([8.0, 8.0, 8.0, 8.3]), np.ones(4, dtype=bool)
    found = smoothed(Model(value, np.full(4, 0.04), np.array([0, 0, 0, 1]), every,
                           np.array([1e-12]), [between], True))  # fmt: skip
    rng = np.random.default_rng(1)
    start, rate = rng.multivariate_normal([8.0, 0.0], _line_covariance(day[:3], 0.04), 400_000).T
    seen = start - 3 * rate + rng.normal(0, 0.2, 400_000)
    beyond = seen > 8.3
    assert found.rate[-1, 0] == pytest.approx(rate[beyond].mean(), abs=0.002)
    assert found.rate_variance[-1, 0] == pytest.approx(rate[beyond].var(), rel=0.02)


def _line_covariance(day: np.ndarray, variance: float) -> np.ndarray:
    design = np.stack([np.ones(len(day)), -day], axis=1)
    return np.asarray(variance * np.linalg.inv(design.T @ design))


@pytest.mark.parametrize("name", CONSTANT)
def test_variances_are_never_below_0(name: str) -> None:
    for seed in range(20):
        run = simulate(CONSTANT[name], seed)
        if np.isnan(run.tests.variance()).any():
            continue
        observed = np.ones(len(run.tests), dtype=bool)
        observed[0] = run.tests.censored[0] == 0
        for walk in WALKS:
            found = path_of(run, walk, observed)
            assert np.all(found.rate_variance > 0)
            assert np.all(found.level_variance > 0)
