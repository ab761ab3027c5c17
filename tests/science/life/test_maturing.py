from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.life.maturing import (
    STAGES,
    Dose,
    Reading,
    challenges,
    maturing_stage,
)
from journal_tools.science.life.nitrification import simulate_maturing

LIMIT = 0.05


def shown(day: float, value_mg_l: float) -> Reading:
    return Reading(day, value_mg_l, False, LIMIT)


def below(day: float) -> Reading:
    return Reading(day, 0.0, True, LIMIT)


def rows(*pairs: tuple[float, float | None]) -> list[Reading]:
    return [below(day) if value is None else shown(day, value) for day, value in pairs]


def stage(ammonia: list[Reading], nitrite: list[Reading], *doses: Dose) -> int:
    return maturing_stage(ammonia, nitrite, doses).stage


def test_stage_0_without_readings() -> None:
    assert stage([], []) == 0
    assert stage([], rows((1, 0.5))) == 0
    # Ammonia that is gone says nothing while nitrite is untested.
    assert stage(rows((1, 2.0), (9, None)), []) == 0


def test_stage_1_ammonia_rises_or_stays() -> None:
    assert stage(rows((1, 2.0)), rows((1, None))) == 1
    assert stage(rows((1, 1.0), (3, 2.0)), []) == 1
    assert stage(rows((1, 2.0), (4, 2.0), (8, 1.96)), rows((8, None))) == 1
    # A fall, then a rise again.
    assert stage(rows((1, 2.0), (4, 1.0), (8, 1.5)), rows((8, 0.5))) == 1


def test_a_fall_without_nitrite_may_be_dilution() -> None:
    found = maturing_stage(rows((1, 2.0), (4, 1.0)), rows((4, None)))
    assert found.stage == 1
    assert "dilution" in found.reason


def test_stage_2_ammonia_falls_and_nitrite_is_there() -> None:
    found = maturing_stage(rows((1, 2.0), (8, 1.2)), rows((1, None), (8, 0.6)))
    assert found.stage == 2
    assert found.ammonia == (0, 1)
    assert found.nitrite == (1,)
    assert found.as_of_day == 8


def test_a_new_dose_is_no_rise_of_its_own() -> None:
    ammonia = rows((1, 2.0), (8, 0.5), (10, 2.0), (11, 1.0))
    assert stage(ammonia, rows((11, 1.0)), Dose(9.5, 2.0)) == 2
    assert stage(ammonia[:3], rows((10, 1.0)), Dose(9.5, 2.0)) == 1


def test_stage_3_ammonia_gone_and_nitrite_left() -> None:
    assert stage(rows((1, 2.0), (16, None)), rows((16, 1.8))) == 3
    # Once below is not twice.
    assert stage(rows((1, 2.0), (27, None)), rows((16, 1.8), (27, None))) == 3


def test_stage_4_both_below_twice_a_day_apart() -> None:
    ammonia, nitrite = rows((1, 2.0), (27, None), (28, None)), rows((27, None), (28, None))
    found = maturing_stage(ammonia, nitrite)
    assert found.stage == 4
    assert found.ammonia == (1, 2)
    assert found.nitrite == (0, 1)
    assert "no challenge dose" in found.reason


@pytest.mark.parametrize("second", [27.0, 27.2, 27.9])
def test_twice_on_one_day_is_once(second: float) -> None:
    ammonia, nitrite = rows((1, 2.0), (27, None), (second, None)), rows((27, None), (second, None))
    assert stage(ammonia, nitrite) == 3


def test_the_two_must_have_been_below_together() -> None:
    ammonia = rows((1, 2.0), (20, None), (30, None))
    assert stage(ammonia, rows((10, 1.0), (24, None), (26, None))) == 3
    assert stage(ammonia, rows((10, 1.0), (20.2, None), (30.2, None))) == 4


def test_nothing_ever_found_is_no_sign_of_bacteria() -> None:
    once = maturing_stage(rows((1, None)), rows((1, None)))
    assert once.stage == 0
    twice = maturing_stage(rows((1, None), (3, None)), rows((1, None), (3, None)))
    assert twice.stage == 4
    assert "a tank without any ammonia reads the same" in twice.reason


# The trap of section "cycle": gone after one dose is not "a full dose a day".
def test_zero_after_one_dose_is_not_done() -> None:
    days = np.arange(0.0, 30.0, 2.0)
    course = simulate_maturing([(0.0, 2.0)], days)
    ammonia, nitrite = (
        [
            shown(day, value) if value >= LIMIT else below(day)
            for day, value in zip(days.tolist(), levels.tolist(), strict=True)
        ]
        for levels in (course.ammonia_mg_l, course.nitrite_mg_l)
    )
    seen = [stage(ammonia[: i + 1], nitrite[: i + 1], Dose(-0.01, 2.0)) for i in range(len(days))]
    assert seen == sorted(seen)
    assert {1, 2, 3} <= set(seen)
    # A test after a dose that was long in the water already is no challenge either.
    assert max(seen) < 5


def passing(*starts: float) -> tuple[list[Reading], list[Reading], list[Dose]]:
    tests = rows(*[(day + 0.9, None) for day in starts])
    return tests, tests, [Dose(day, 2.0) for day in starts]


def test_stage_5_needs_two_challenges() -> None:
    assert maturing_stage(*passing(30.0)).stage < 5
    found = maturing_stage(*passing(30.0, 31.0))
    assert found.stage == 5
    assert found.doses == (0, 1)
    assert found.ammonia == found.nitrite == (0, 1)
    assert found.as_of_day == pytest.approx(31.9)
    assert "fades" in found.reason


def test_a_failed_challenge_after_two_passed_ones_takes_the_stage_back() -> None:
    ammonia, nitrite, doses = passing(30.0, 31.0)
    later = [*ammonia, shown(41.0, 0.6)]
    assert maturing_stage(later, nitrite, [*doses, Dose(40.0, 2.0)]).stage == 1
    # Nitrite alone fails it too.
    also = maturing_stage([*ammonia, below(41.0)], [*nitrite, shown(41.0, 0.6)],
                          [*doses, Dose(40.0, 2.0)])  # fmt: skip
    assert also.stage == 3


def test_ammonia_from_nowhere_takes_the_stage_back() -> None:
    ammonia, nitrite, doses = passing(30.0, 31.0)
    assert maturing_stage([*ammonia, shown(50.0, 0.6)], nitrite, doses).stage == 1
    # Within a day of a dose it is expected.
    found = maturing_stage([*ammonia, shown(50.2, 0.6)], nitrite, [*doses, Dose(50.0, 2.0)])
    assert found.stage == 5


def test_a_small_dose_is_no_challenge() -> None:
    ammonia, nitrite, _ = passing(30.0, 31.0)
    small = [Dose(30.0, 0.5), Dose(31.0, 0.5)]
    assert challenges(ammonia, nitrite, small) == []
    assert maturing_stage(ammonia, nitrite, small).stage == 4
    assert maturing_stage(ammonia, nitrite, small, least_dose_mg_l=0.5).stage == 5


@pytest.mark.parametrize(
    ("ammonia", "nitrite", "passed"),
    [
        pytest.param([(0.9, None)], [(0.9, None)], True, id="both below in time"),
        pytest.param([(1.0, None)], [(1.0, None)], True, id="just in time"),
        pytest.param([(1.1, None)], [(1.1, None)], None, id="below, but too late to tell"),
        pytest.param([(0.9, None)], [], None, id="nitrite untested"),
        pytest.param([(0.9, None)], [(1.1, 0.5)], False, id="nitrite there after the time"),
        pytest.param([(1.0, 0.3)], [(0.9, None)], False, id="ammonia there at the end"),
        pytest.param([(0.5, 0.3)], [(0.5, None)], None, id="tested too early to tell"),
        pytest.param([(0.5, 0.3), (0.9, None)], [(0.9, None)], True, id="the last one counts"),
        pytest.param([(0.1, None), (0.9, 0.3)], [(0.9, None)], None, id="first not mixed yet"),
        pytest.param([(0.0, None)], [(0.0, None)], None, id="tested at the moment of the dose"),
        pytest.param([(0.9, 0.0)], [(0.9, 0.01)], True, id="shown below the limit"),
    ],
)
def test_what_decides_a_challenge(
    ammonia: list[tuple[float, float | None]],
    nitrite: list[tuple[float, float | None]],
    passed: bool | None,
) -> None:
    (found,) = challenges(rows(*ammonia), rows(*nitrite), [Dose(0.0, 2.0)])
    assert found.passed is passed


def test_a_reading_after_the_next_dose_decides_nothing_about_the_first() -> None:
    tests = rows((0.9, None))
    first, second = challenges(tests, tests, [Dose(0.5, 2.0), Dose(0.0, 2.0)])
    assert (first.dose, first.passed) == (1, None)
    assert (second.dose, second.passed) == (0, True)


# The trap: "< 0.05" is not 0, and a shown 0 is not 0 either.
def test_below_the_limit_is_never_zero() -> None:
    assert below(1.0).at_most_mg_l == LIMIT
    assert shown(1.0, 0.0).below
    assert shown(1.0, 0.0).at_most_mg_l == LIMIT
    assert not shown(1.0, LIMIT).below
    with pytest.raises(ValueError, match="detection limit 0 mg/L"):
        Reading(1.0, 0.0, False, 0.0)


def test_a_blank_reading_is_refused() -> None:
    with pytest.raises(ValueError, match="reading nan mg/L"):
        shown(1.0, float("nan"))
    with pytest.raises(ValueError, match="reading -1 mg/L"):
        shown(1.0, -1.0)
    assert Reading(1.0, float("nan"), True, LIMIT).below


values = st.one_of(st.none(), st.floats(0.0, 5.0))
series = st.lists(st.tuples(st.floats(0.0, 40.0), values), max_size=8).map(lambda x: rows(*x))
some_doses = st.lists(st.builds(Dose, st.floats(0.0, 40.0), st.floats(0.0, 4.0)), max_size=4)


@given(series, series, some_doses)
def test_no_stage_is_ever_called_safe(
    ammonia: list[Reading], nitrite: list[Reading], doses: list[Dose]
) -> None:
    found = maturing_stage(ammonia, nitrite, doses)
    assert found.stage in STAGES
    words = (found.reason + STAGES[found.stage]).lower()
    assert not any(word in words for word in ("safe", "ready", "cycled", "done"))
    assert all(0 <= i < len(ammonia) for i in found.ammonia)
    assert all(0 <= i < len(nitrite) for i in found.nitrite)


@given(series, series, some_doses, st.randoms())
def test_the_order_of_the_readings_does_not_matter(
    ammonia: list[Reading], nitrite: list[Reading], doses: list[Dose], random: object
) -> None:
    unique = {reading.day: reading for reading in ammonia}
    shuffled = list(unique.values())
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    first = maturing_stage(list(unique.values()), nitrite, doses)
    second = maturing_stage(shuffled, nitrite, doses)
    assert (first.stage, first.reason) == (second.stage, second.reason)


@given(series, series)
def test_without_doses_it_is_never_stage_5(ammonia: list[Reading], nitrite: list[Reading]) -> None:
    assert maturing_stage(ammonia, nitrite).stage < 5
