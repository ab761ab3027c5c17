from __future__ import annotations

import datetime as dt

import pytest

from journal_tools.writing.moments_said import take_moment

TODAY = dt.date(2026, 3, 31)


@pytest.mark.parametrize(
    ("words", "day"),
    [
        ("today", "2026-03-31"), ("yesterday", "2026-03-30"), ("2 days ago", "2026-03-29"),
        ("on 2026-03-14", "2026-03-14"), ("14 March", "2026-03-14"),
        ("14th of march 2025", "2025-03-14"), ("the 3rd of Feb", "2026-02-03"),
        ("on March 14", "2026-03-14"), ("Mar 14, 2026", "2026-03-14"),
        ("14.3.2026", "2026-03-14"), ("24 December", "2025-12-24"), ("29 Feb", "2024-02-29"),
    ],
)  # fmt: skip
def test_days(words: str, day: str) -> None:
    for clause in (f"alk 8.2 {words}", f"{words} alk 8.2"):
        said = take_moment(clause, TODAY)
        assert (said.rest, [str(d) for d in said.days], said.wrong) == ("alk 8.2", [day], ())


@pytest.mark.parametrize(
    ("words", "clock"),
    [
        ("at 18:40", "18:40"), ("18:40", "18:40"), ("at 18.40", "18:40"), ("7:30 pm", "19:30"),
        ("7 pm", "19:00"), ("12:05 a.m.", "00:05"), ("at 12 pm", "12:00"), ("at noon", "12:00"),
        ("midnight", "00:00"),
    ],
)  # fmt: skip
def test_times_of_day(words: str, clock: str) -> None:
    said = take_moment(f"fed mysis {words}", TODAY)
    assert (said.rest, [f"{c:%H:%M}" for c in said.clocks]) == ("fed mysis", [clock])


@pytest.mark.parametrize(
    "clause", ["alk 8.20", "changed 20 l water", "ph 8.15", "hall lamp to 9:30 start", "2 marbles"]
)
def test_what_is_no_moment_stays(clause: str) -> None:
    assert take_moment(clause, TODAY).rest == clause


@pytest.mark.parametrize("words", ["25:70", "13:20 pm", "31 February 2026", "2026-02-30"])
def test_moments_that_do_not_exist_are_told(words: str) -> None:
    said = take_moment(f"alk 8 {words}", TODAY)
    assert (said.days, said.clocks, said.wrong) == ((), (), (words,))


def test_day_and_time_together() -> None:
    said = take_moment("yesterday fed mysis at 7 pm", TODAY)
    assert said.rest == "fed mysis"
    assert (said.days, said.clocks) == ((dt.date(2026, 3, 30),), (dt.time(19),))
