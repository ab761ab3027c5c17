"""Which readings look odd beside their neighbours, before any model of the whole record."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from journal_tools.science.estimation.measured import Readings
from journal_tools.science.estimation.regression import Mask
from journal_tools.science.estimation.supply import Transitions
from journal_tools.science.validity import FloatArray

CANDIDATE_SD = 4.0
"""A reading this far off its neighbours is tried without; what all others say then decides."""

_REACH = 2  # neighbours on each side
_ROUNDS = 5


def candidates(tests: Readings, between: Transitions, left_out: Mask) -> Mask:
    """Give the readings that are far off a constant rate through up to four neighbours.

    Args:
        tests: Readings in order of time.
        between: Transitions between them (one more, to now, does no harm).
        left_out: Readings that are not used at all.

    Source:
        Deletion residuals of least squares; local, so that a rate that changes slowly shows none.
    """
    odd = np.zeros(len(tests), dtype=bool)
    variance = tests.variance()
    known_sd = bool(np.isfinite(variance).all())
    variance = variance if known_sd else 1.0 / tests.count
    stretch = np.concatenate([[0], np.cumsum(~between.known[: len(tests) - 1])])
    for _ in range(_ROUNDS):
        usable = np.flatnonzero(~(odd | left_out) & (tests.censored == 0))
        score = _scores(tests, between, variance, stretch, usable)
        if not known_sd:
            found = score[np.isfinite(score)]
            score /= max(1.4826 * np.median(found), 1e-12) if len(found) else 1.0
        score = np.nan_to_num(score)
        worst = [score[max(i - _REACH, 0) : i + _REACH + 1].max() for i in range(len(score))]
        new = usable[(score > CANDIDATE_SD) & (score >= np.array(worst))]
        if len(new) == 0 or odd.sum() + len(new) > len(tests) // 4:
            break
        odd[new] = True
    return odd


def _scores(
    tests: Readings,
    between: Transitions,
    variance: FloatArray,
    stretch: NDArray[np.int64],
    usable: NDArray[np.int64],
) -> FloatArray:
    """Give how many standard deviations each usable reading is off its neighbours."""
    size, width = len(usable), 2 * _REACH + 1
    if size < width:
        return np.full(size, np.nan)
    # Each reading in the middle of its window, save at the ends.
    start = np.clip(np.arange(size) - _REACH, 0, size - width)
    rows = _windows(_joined(between, usable), start, width)
    place = start[:, None] + np.arange(width)
    value, noise = tests.value[usable][place], variance[usable][place]
    same = stretch[usable][place] == stretch[usable][:, None]
    own = place == np.arange(size)[:, None]
    return _off(rows, value, noise, same & ~own, own)


def _joined(between: Transitions, usable: NDArray[np.int64]) -> tuple[FloatArray, ...]:
    """Give the transitions from each usable reading to the next usable one."""
    steps = list(zip(between.a.tolist(), between.b.tolist(), between.d.tolist(), strict=True))
    joined = []
    for first, last in zip(usable[:-1].tolist(), usable[1:].tolist(), strict=True):
        level, reach, known = steps[first]
        for a, b, d in steps[first + 1 : last]:
            level, reach, known = a * level, a * reach + b, a * known + d
        joined.append((level, reach, known))
    return tuple(np.array(joined).T)


def _windows(
    steps: tuple[FloatArray, ...], start: NDArray[np.int64], width: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Give each reading of each window as ``level C0 + reach u + known`` from its first."""
    a, b, d = steps
    shape = (len(start), width)
    level, reach, known = np.ones(shape), np.zeros(shape), np.zeros(shape)
    for j in range(1, width):
        i = start + j - 1
        level[:, j] = a[i] * level[:, j - 1]
        reach[:, j] = a[i] * reach[:, j - 1] + b[i]
        known[:, j] = a[i] * known[:, j - 1] + d[i]
    return level, reach, known


def _off(
    rows: tuple[FloatArray, FloatArray, FloatArray],
    value: FloatArray,
    noise: FloatArray,
    others: Mask,
    own: Mask,
) -> FloatArray:
    """Give how far the own reading is off the balance through the others, in its error."""
    level, reach, known = rows
    w, y = others / noise, value - known

    def total(part: FloatArray) -> FloatArray:
        return np.asarray((w * part).sum(axis=1))

    s_xx, s_xz, s_zz = total(level**2), total(level * reach), total(reach**2)
    s_xy, s_zy = total(level * y), total(reach * y)
    det = s_xx * s_zz - s_xz**2
    told = (det > 1e-9 * s_xx * s_zz) & (others.sum(axis=1) >= 3)
    det = np.where(told, det, np.nan)
    at_start, rate = (s_zz * s_xy - s_xz * s_zy) / det, (s_xx * s_zy - s_xz * s_xy) / det
    x, z, seen, error = level[own], reach[own], y[own], noise[own]
    spread = (x**2 * s_zz - 2 * x * z * s_xz + z**2 * s_xx) / det
    return np.asarray(np.abs(seen - x * at_start - z * rate) / np.sqrt(error + spread))
