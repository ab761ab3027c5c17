"""Kalman filter and smoother for a level that a wandering rate draws down, many walks at once.

Each column is one variance of the walk with its own transitions. The two-by-two algebra is written
out, so that a step is a handful of operations on rows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from journal_tools.science.estimation.measured import IntArray
from journal_tools.science.estimation.regression import Mask
from journal_tools.science.estimation.supply import Transitions
from journal_tools.science.validity import FloatArray

# Variance at the start, in units of the error of a test: nothing is known, and digits remain.
_DIFFUSE = 1e5
_VAGUE = 1e-3  # of that: a limit then has nothing to be compared with

Row = FloatArray


@dataclass(frozen=True)
class Model:
    """Readings and how the state goes from one moment to the next.

    Attributes:
        value: Reading at each moment.
        variance: Its variance, or relative to an unknown one.
        censored: -1 or 1 where the reading is a limit.
        observed: Whether a moment has a reading that counts; the first has.
        wander: Variance of the walk per day, one for each column.
        columns: Transitions for each column.
        scaled: Whether ``variance`` is in the unit of the readings; else its scale is found.
        least_scale: Least factor that may be found: the variance of a step, and never 0.
    """

    value: FloatArray
    variance: FloatArray
    censored: IntArray
    observed: Mask
    wander: FloatArray
    columns: list[Transitions]
    scaled: bool
    least_scale: float = 1e-300


@dataclass(frozen=True)
class Path:
    """Smoothed state: a row for each moment, a column for each column of the model.

    Attributes:
        level: Concentration.
        level_variance: Its variance.
        rate: Uptake a day.
        rate_variance: Its variance.
        likelihood: Logarithm of the likelihood of each column, up to a constant.
        scale: Factor by which all variances were multiplied; 1 if they were known.
        freedom: Degrees of freedom of that factor.
    """

    level: FloatArray
    level_variance: FloatArray
    rate: FloatArray
    rate_variance: FloatArray
    likelihood: FloatArray
    scale: FloatArray
    freedom: int


def likelihood(model: Model) -> FloatArray:
    """Give the logarithm of the likelihood of each column, up to a constant.

    Args:
        model: Readings and transitions.
    """
    return _Filter(model, keep=False).likelihood()


def smoothed(model: Model) -> Path:
    """Give level and rate at each moment from all readings before and after.

    Args:
        model: Readings and transitions.

    Source:
        Kalman 1960; Rauch, Tung & Striebel 1965, AIAA J. 3:1445. From memory.
    """
    done = _Filter(model, keep=True)
    level, rate, p_level, p_rate = done.smooth()
    scale = done.scale()
    return Path(level, p_level * scale, rate, p_rate * scale, done.likelihood(), scale,
                done.freedom)  # fmt: skip


def _first_gap_days(model: Model) -> float:
    """Give the time between the first two figures in balance: the first told of the rate."""
    between = model.columns[0]
    figures = np.flatnonzero(model.observed & (model.censored == 0))
    gaps = np.diff(np.append(0.0, np.cumsum(between.days))[figures])
    broken = np.diff(np.append(0, np.cumsum(~between.known))[figures])
    gaps = gaps[(gaps > 0) & (broken == 0)]
    return float(gaps[0]) if len(gaps) else 1.0


class _Steps:
    """Rows of the transitions and of the spread by the walk."""

    def __init__(self, model: Model) -> None:
        distinct = {id(column): column for column in model.columns}
        place = [list(distinct).index(id(column)) for column in model.columns]
        parts = list(distinct.values())

        def rows(name: str) -> FloatArray:
            stacked = np.stack([getattr(part, name) for part in parts], axis=1)
            return np.asarray(stacked[:, place], dtype=np.float64)

        self.a, self.b, self.d = list(rows("a")), list(rows("b")), list(rows("d"))
        self.level = list(rows("spread_level") * model.wander)
        self.both = list(rows("spread_both") * model.wander)
        self.rate = list(rows("days") * model.wander)
        self.known = [bool(known) for known in parts[0].known]


class _Filter:
    def __init__(self, model: Model, keep: bool) -> None:
        self.model, self.steps = model, _Steps(model)
        self.keep = keep
        noise = float(np.nanmedian(model.variance))
        self.diffuse_level = _DIFFUSE * noise
        self.diffuse_rate = _DIFFUSE * noise / _first_gap_days(model) ** 2
        self.log_f = np.zeros(len(model.wander))
        self.misfit = np.zeros(len(model.wander))
        self.log_limits = np.zeros(len(model.wander))
        self.count, self.begun = 0, 1
        self._run()

    @property
    def freedom(self) -> int:
        """Figures less the levels and the rate they were spent on."""
        return self.count - self.begun - 1

    def likelihood(self) -> FloatArray:
        """Give the logarithm of the likelihood; an unknown scale is taken at its best."""
        if self.model.scaled:
            return self.log_limits - 0.5 * (self.log_f + self.misfit)
        spread, scale = max(self.freedom, 1), self.scale()
        lost = self.log_f + spread * np.log(scale) + self.misfit / scale
        return np.asarray(self.log_limits - 0.5 * lost, dtype=np.float64)

    def scale(self) -> FloatArray:
        """Give the factor of all variances, by the scatter if it is not known."""
        if self.model.scaled:
            return np.ones(len(self.model.wander))
        found = self.misfit / max(self.freedom, 1)
        return np.maximum(found, self.model.least_scale)

    def _run(self) -> None:
        model, size = self.model, len(self.model.wander)
        self.filtered: list[tuple[Row, ...]] = []
        self.predicted: list[tuple[Row, ...]] = []
        state: tuple[Row, ...] = (
            np.full(size, model.value[0]), np.zeros(size), np.full(size, self.diffuse_level),
            np.zeros(size), np.full(size, self.diffuse_rate),
        )  # fmt: skip
        values, noises = model.value.tolist(), model.variance.tolist()
        observed, censored = model.observed.tolist(), model.censored.tolist()
        for i in range(len(values)):
            if i:
                state = self._predict(state, i - 1)
            if self.keep:
                self.predicted.append(state)
            if observed[i]:
                if censored[i]:
                    state = self._limit(state, values[i], noises[i], censored[i])
                else:
                    state = self._update(state, values[i], noises[i])
            if self.keep:
                self.filtered.append(state)

    def _predict(self, state: tuple[Row, ...], i: int) -> tuple[Row, ...]:
        level, rate, p_ll, p_lr, p_rr = state
        steps = self.steps
        if not steps.known[i]:
            self.begun += 1
            return (level, rate, np.full_like(level, self.diffuse_level), np.zeros_like(level),
                    p_rr + steps.rate[i])  # fmt: skip
        a, b = steps.a[i], steps.b[i]
        b_rr = b * p_rr
        cross = a * p_lr + b_rr
        return (
            a * level + b * rate + steps.d[i],
            rate,
            a * (a * p_ll + b * p_lr) + b * cross + steps.level[i],
            cross + steps.both[i],
            p_rr + steps.rate[i],
        )

    def _update(self, state: tuple[Row, ...], value: float, noise: float) -> tuple[Row, ...]:
        level, rate, p_ll, p_lr, p_rr = state
        off, f = value - level, p_ll + noise
        scaled, gain = off / f, p_lr / f
        self.count += 1
        self.log_f += np.log(f)
        self.misfit += off * scaled
        return (
            level + p_ll * scaled,
            rate + p_lr * scaled,
            p_ll * noise / f,
            gain * noise,
            p_rr - gain * p_lr,
        )

    def _limit(
        self, state: tuple[Row, ...], limit: float, noise: float, side: int
    ) -> tuple[Row, ...]:
        """Keep mean and variance of what lies beyond a limit; where nothing is known, pass."""
        from scipy.special import log_ndtr

        level, rate, p_ll, p_lr, p_rr = state
        if p_ll.max() > _VAGUE * self.diffuse_level or p_rr.max() > _VAGUE * self.diffuse_rate:
            return state
        if not self.model.scaled:
            noise_scale = self.misfit / self.freedom if self.freedom > 0 else np.ones_like(level)
        else:
            noise_scale = np.ones_like(level)
        f = p_ll + noise
        sd = np.sqrt(f * noise_scale)
        beyond = side * (level - limit) / sd
        chance = log_ndtr(beyond)
        self.log_limits += chance
        ratio = np.exp(-(beyond**2) / 2 - 0.9189385332046727 - chance)
        told = np.clip(ratio * (ratio + beyond), 0.0, 1.0)
        moved = side * ratio * sd / f
        gain = told / f
        return (
            level + p_ll * moved,
            rate + p_lr * moved,
            p_ll - gain * p_ll**2,
            p_lr - gain * p_ll * p_lr,
            p_rr - gain * p_lr**2,
        )

    def smooth(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        level, rate, v_ll, v_lr, v_rr = self.filtered[-1]
        out = [(level, rate, v_ll, v_rr)]
        for i in range(len(self.filtered) - 2, -1, -1):
            f_level, f_rate, f_ll, f_lr, f_rr = self.filtered[i]
            p_level, p_rate, p_ll, p_lr, p_rr = self.predicted[i + 1]
            move_r = rate - p_rate
            if not self.steps.known[i]:
                # Of the next moment only the rate tells something of this one.
                g_l, g_r = f_lr / p_rr, f_rr / p_rr
                change = v_rr - p_rr
                level, rate = f_level + g_l * move_r, f_rate + g_r * move_r
                v_ll = f_ll + g_l**2 * change
                v_lr, v_rr = f_lr + g_l * g_r * change, f_rr + g_r**2 * change
            else:
                a, b = self.steps.a[i], self.steps.b[i]
                det = p_ll * p_rr - p_lr**2
                up_l, up_r = a * f_ll + b * f_lr, a * f_lr + b * f_rr
                g_ll, g_lr = (up_l * p_rr - f_lr * p_lr) / det, (f_lr * p_ll - up_l * p_lr) / det
                g_rl, g_rr = (up_r * p_rr - f_rr * p_lr) / det, (f_rr * p_ll - up_r * p_lr) / det
                move_l = level - p_level
                c_ll, c_lr, c_rr = v_ll - p_ll, v_lr - p_lr, v_rr - p_rr
                level = f_level + g_ll * move_l + g_lr * move_r
                rate = f_rate + g_rl * move_l + g_rr * move_r
                h_ll, h_lr = g_ll * c_ll + g_lr * c_lr, g_ll * c_lr + g_lr * c_rr
                h_rl, h_rr = g_rl * c_ll + g_rr * c_lr, g_rl * c_lr + g_rr * c_rr
                v_ll = f_ll + h_ll * g_ll + h_lr * g_lr
                v_lr = f_lr + h_ll * g_rl + h_lr * g_rr
                v_rr = f_rr + h_rl * g_rl + h_rr * g_rr
            out.append((level, rate, v_ll, v_rr))
        columns = zip(*reversed(out), strict=True)
        found = [np.stack(column) for column in columns]
        return found[0], found[1], found[2], self._no_better_at_the_start(found[3])

    def _no_better_at_the_start(self, variance: FloatArray) -> FloatArray:
        """Keep the rate before the second figure no better known than at it.

        There the variance is a small difference of two vague ones, which costs its digits.
        """
        figures = np.flatnonzero(self.model.observed & (self.model.censored == 0))
        second = int(figures[1]) + 1 if len(figures) > 1 else 1
        backwards = np.maximum.accumulate(variance[:second][::-1], axis=0)
        return np.concatenate([backwards[::-1], variance[second:]])
