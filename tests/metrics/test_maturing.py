"""The stage of maturing, as its tests show."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import METRICS, Metrics, Result
from tests.journals import TANK, metrics
from tests.metrics.conftest import assert_sound

# 1 ml of drops lifts 100 L by 0.5 mg/L N: 4 ml in 100 L make the usual challenge of 2 mg/L N.
TANK_100 = (
    TANK + "vessels: {name: display, shape: stated, volume: 100 ± 2 L}\n"
    "supplements: [{name: drops, potency: {by: 1 ml, water: 100 L, raises: {ammonia: 0.5}}}]\n"
    "tests: {ammonia: {repeatability: 0.04}, nitrite: {repeatability: 0.03}}\n"
)
NONE = 'ammonia: "< 0.1", nitrite: "< 0.1"'


def of(*days: tuple[str, str], profile: str = TANK_100) -> Metrics:
    return metrics({"tank.yml": profile} | {f"log/{day}.yml": text for day, text in days})


def course(*days: tuple[str, str]) -> Metrics:
    return of(*((day, f"time: '19:00'\nreadings: {{{text}}}\n") for day, text in days))


def stage(found: Metrics) -> Result:
    result = found.one("maturing_stage")
    assert result is not None, found.beyond
    return result


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        ([("2026-01-05", "nitrite: 0.5")], 0),
        ([("2026-01-05", 'ammonia: "< 0.1"')], 0),
        ([("2026-01-05", "ammonia: 2")], 1),
        ([("2026-01-05", "ammonia: 2"), ("2026-01-09", "ammonia: 2.5")], 1),
        # dilution would look the same
        ([("2026-01-05", "ammonia: 2"), ("2026-01-09", 'ammonia: 1, nitrite: "< 0.1"')], 1),
        ([("2026-01-05", "ammonia: 2"), ("2026-01-09", "ammonia: 1, nitrite: 1.5")], 2),
        ([("2026-01-05", "ammonia: 2"), ("2026-01-20", 'ammonia: "< 0.1", nitrite: 1.5')], 3),
        ([("2026-01-05", "ammonia: 2"), ("2026-01-30", NONE)], 3),
        ([("2026-01-05", "ammonia: 2"), ("2026-01-30", NONE), ("2026-01-31", NONE)], 4),
        # it came back
        ([("2026-01-30", NONE), ("2026-01-31", NONE), ("2026-02-05", "ammonia: 0.5")], 1),
    ],
)
def test_the_order_of_nitrification(days: list[tuple[str, str]], expected: int) -> None:
    result = stage(course(*days))
    assert (result.value, result.unit) == (expected, "of 5")
    assert result.note.endswith(".") and result.note[0].isupper()


def challenge(day: int, ml: float = 4.0) -> list[tuple[str, str]]:
    return [
        (f"2026-02-{day:02}", f"time: '08:00'\ndoses: {{what: drops, amount: {ml} ml}}\n"),
        (f"2026-02-{day:02}-b", "time: '10:00'\nreadings: {ammonia: 1.9}\n"),
        (f"2026-02-{day + 1:02}", f"time: '07:30'\nreadings: {{{NONE}}}\n"),
    ]


def test_two_challenges_are_used_up() -> None:
    """Common practice: 2 mg/L N gone within 24 hours, twice."""
    result = stage(of(*challenge(3), *challenge(6)))
    assert result.value == 5
    assert [i.entry for i in result.inputs] == ["2026-02-04", "2026-02-07"] * 2
    assert {i.line for i in result.inputs} == {2}
    assert result.inputs[0].label == "ammonia, 2026-02-04" and result.inputs[0].value[0] == "<"
    # 7 February is day 38 of a tank of 1 January
    assert "up to day 38;" in result.note


@pytest.mark.parametrize(
    "days",
    [
        challenge(3),
        # 1.5 mg/L is no challenge
        [*challenge(3), *challenge(6, ml=3)],
        [*challenge(3), *challenge(6)[:2], ("2026-02-08", f"readings: {{{NONE}}}\n")],
    ],
)
def test_one_challenge_or_a_weak_or_late_one_is_not_enough(days: list[tuple[str, str]]) -> None:
    assert stage(of(*days)).value < 5


def test_without_a_volume_doses_tell_nothing() -> None:
    profile = TANK_100.replace("vessels: {name: display, shape: stated, volume: 100 ± 2 L}\n", "")
    # what was there on day 37 is then only ammonia that came from somewhere
    assert stage(of(*challenge(3), *challenge(6), profile=profile)).value == 3


@pytest.mark.parametrize(
    ("reading", "expected"),
    [
        # 1.645 x 0.04 = 0.066 (Currie 1995): from there on a risk of 5 % to see what is not there
        ("0.07", 1),
        ("0.06", 0),
        ("0", 0),
        # a limit is never a zero, and more than the test can show is there
        ('"> 4"', 1),
    ],
)
def test_from_where_on_ammonia_is_there(reading: str, expected: int) -> None:
    assert stage(course(("2026-01-05", f"ammonia: {reading}"))).value == expected


def test_nitrite_is_reckoned_as_nitrogen() -> None:
    """3.28454 mg of NO2 hold 1 mg of N."""
    found = course(("2026-01-05", "ammonia: 2"), ("2026-01-09", "ammonia: 1, nitrite: 3.28454"))
    assert "nitrite was 1 mg/L N" in stage(found).note


@pytest.mark.parametrize("clock", ["00:05", "12:00", "23:55"])
def test_days_are_those_of_the_keeper_to_the_minute(clock: str) -> None:
    """5 January is day 5, whatever the hour and the time zone."""
    for zone in ("Pacific/Auckland", "America/Los_Angeles", "Europe/Berlin"):
        profile = TANK_100.replace("Europe/Berlin", zone)
        text = f"time: '{clock}'\nreadings: {{ammonia: 2}}\n"
        assert "on day 5 " in stage(of(("2026-01-05", text), profile=profile)).note


def test_no_tests_no_stage() -> None:
    assert of(("2026-01-05", "readings: {nitrate: 5}\n")).of("maturing_stage") == []


def test_it_ends_with_its_last_test_and_carries_a_caution() -> None:
    result = stage(course(("2026-01-05", "ammonia: 2"), ("2026-01-09", "ammonia: 1, nitrite: 1.5")))
    assert result.end is not None and f"{result.end:%Y-%m-%d %H:%M}" == "2026-01-09 19:00"
    (metric,) = [metric for metric in METRICS if metric.name == "maturing_stage"]
    assert "gloves" in metric.caution and "never that animals may go in" in metric.method


@settings(max_examples=12, deadline=None)
@given(
    values=st.lists(
        st.sampled_from(["0", "0.03", "0.25", "2", "20", '"< 0.05"', '"> 8"']),
        min_size=2, max_size=12,
    )
)  # fmt: skip
def test_any_course_has_a_stage(values: list[str]) -> None:
    days = [(f"2026-02-{n + 1:02}", f"ammonia: {value}, nitrite: {value}")
            for n, value in enumerate(values)]  # fmt: skip
    found = course(*days)
    assert_sound(found)
    # what is there today is never called used up
    assert stage(found).value <= (4 if values[-1] in ("0", "0.03", '"< 0.05"') else 2)
