from __future__ import annotations

import numpy as np
import pytest

from journal_tools.science.estimation.candidates import candidates
from journal_tools.science.estimation.measured import readings
from journal_tools.science.estimation.supply import Supply, Timeline, Unknown

DAY = np.arange(0.0, 40.0, 2.0)
NONE = np.zeros(20, dtype=bool)


def odd(level: np.ndarray, sd: float = 0.1, supply: Supply | None = None) -> list[int]:
    tests = readings(DAY, level, sd)
    between = Timeline(supply or Supply()).transitions(DAY)
    return np.flatnonzero(candidates(tests, between, NONE)).tolist()


def wavy(seed: int) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(0, 0.1, 20)
    return np.asarray(8 + 0.3 * np.sin(DAY / 8) + noise)


@pytest.mark.parametrize("sd", [0.1, np.nan])
@pytest.mark.parametrize("place", [0, 1, 9, 18, 19])
def test_a_reading_far_off_its_neighbours_is_found(place: int, sd: float) -> None:
    level = wavy(1)
    level[place] += 3.0
    assert odd(level, sd) == [place]


def test_two_side_by_side_are_found() -> None:
    level = wavy(2)
    level[[7, 8]] += [3.0, -3.0]
    assert odd(level) == [7, 8]


def test_a_bend_of_the_rate_is_not_odd() -> None:
    bent = 8 - np.where(DAY < 20, 0.1 * DAY, 2 + 0.3 * (DAY - 20))
    assert odd(bent) == []


def test_noise_is_seldom_odd() -> None:
    assert sum(len(odd(wavy(seed))) for seed in range(200)) < 10


def test_a_shift_where_something_unknown_went_in_is_not_odd() -> None:
    shifted = wavy(3) + np.where(DAY > 19, 3.0, 0.0)
    assert odd(shifted, supply=Supply(unknown=(Unknown(19.0, 19.0),))) == []


def test_limits_and_readings_left_out_are_no_neighbours() -> None:
    level = wavy(4)
    level[[5, 6]] = 20.0
    censored = np.zeros(20, dtype=int)
    censored[5] = -1
    tests = readings(DAY, level, 0.1, censored=censored)
    left_out = NONE.copy()
    left_out[6] = True
    found = candidates(tests, Timeline(Supply()).transitions(DAY), left_out)
    assert not found.any()


def test_too_few_neighbours_tell_nothing() -> None:
    tests = readings(DAY[:4], [8.0, 8.0, 20.0, 8.0], 0.1)
    assert not candidates(tests, Timeline(Supply()).transitions(DAY[:4]), NONE[:4]).any()
