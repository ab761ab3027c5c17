"""The mass balance between two tests: by hand, and by simulating forward."""

from __future__ import annotations

from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.metrics.balance import Event, transition
from tests.science.check_values import read_rows


@pytest.mark.parametrize(
    ("events", "before", "after", "rate"),
    [
        # all by hand, over 4 days: nothing added, 9.0 - 8.0 = 1.0 in 4 days
        ([], 9.0, 8.0, 0.25),
        # 2.0 dosed: 9.0 + 2.0 - 8.0 = 3.0 in 4 days
        ([Event(1, "dose", 2.0)], 9.0, 8.0, 0.75),
        # after 2 days half is changed for 7: (9 - 2u) / 2 + 3.5 - 2u = 8 - 3u = 6.5
        ([Event(2, "change", 0.5, 7.0)], 9.0, 6.5, 0.5),
        # a dose of 1 is halved by the change: (9 - u + 1 - u) / 2 + 3.5 - 2u = 8.5 - 3u
        ([Event(1, "dose", 1.0), Event(2, "change", 0.5, 7.0)], 9.0, 7.0, 0.5),
        # the same dose after the change stays whole: 8 - 3u + 1
        ([Event(2, "change", 0.5, 7.0), Event(3, "dose", 1.0)], 9.0, 7.5, 0.5),
        # two changes of a half at once leave a quarter: (9 - 2u) / 4 + 7 * 3 / 4 - 2u
        ([Event(2, "change", 0.5, 7.0), Event(2, "change", 0.5, 7.0)], 9.0, 6.25, 0.5),
    ],
)  # fmt: skip
def test_by_hand(events: list[Event], before: float, after: float, rate: float) -> None:
    assert transition(0, 4, events).rate(before, after) == pytest.approx(rate)


def test_errors_of_two_tests_add_as_squares() -> None:
    (row,) = [r for r in read_rows() if r.quantity == "SE of uptake from 2 readings"]
    error = transition(0, 2, []).rate_error(0.2, 0.2)
    assert error == pytest.approx(row.value, abs=row.tolerance)


def test_a_change_weakens_what_the_first_test_says() -> None:
    # by hand: a = 0.5, b = -(2 * 0.5 + 2) = -3; sqrt((0.5 * 0.2)^2 + 0.1^2) / 3
    error = transition(0, 4, [Event(2, "change", 0.5)]).rate_error(0.2, 0.1)
    assert error == pytest.approx((0.01 + 0.01) ** 0.5 / 3)


happenings = st.lists(
    st.tuples(
        st.floats(0.001, 5),
        st.sampled_from(["dose", "change"]),
        st.floats(0, 0.9),
        st.floats(0, 20),
    ),
    max_size=12,
)


def timed(raw: list[tuple[float, str, float, float]], start: float = 0.0) -> list[Event]:
    days = accumulate((gap for gap, *_ in raw), initial=start)
    next(days)
    return [
        Event(day, kind, amount, fresh)  # type: ignore[arg-type]
        for day, (_, kind, amount, fresh) in zip(days, raw, strict=True)
    ]


def simulate(start: float, end: float, level: float, uptake: float, events: list[Event]) -> float:
    """Go forward from event to event; between them the level falls in a straight line."""
    now = start
    for event in events:
        level -= uptake * (event.day - now)
        now = event.day
        if event.kind == "dose":
            level += event.amount
        else:
            level = (1 - event.amount) * level + event.amount * event.fresh
    return level - uptake * (end - now)


@given(raw=happenings, level=st.floats(0, 500), uptake=st.floats(-5, 5), rest=st.floats(1, 9))
def test_uptake_is_recovered(
    raw: list[tuple[float, str, float, float]], level: float, uptake: float, rest: float
) -> None:
    events = timed(raw)
    end = (events[-1].day if events else 0.0) + rest
    after = simulate(0, end, level, uptake, events)
    assert transition(0, end, events).rate(level, after) == pytest.approx(
        uptake, rel=1e-9, abs=1e-9
    )


@given(raw=happenings, shift=st.integers(-20_000, 20_000), rest=st.floats(1, 9))
def test_the_calendar_does_not_matter(
    raw: list[tuple[float, str, float, float]], shift: int, rest: float
) -> None:
    here, there = timed(raw), timed(raw, float(shift))
    end = here[-1].day if here else 0.0
    a = transition(0, end + rest, here)
    b = transition(shift, (there[-1].day if there else shift) + rest, there)
    assert (a.a, a.b, a.d) == pytest.approx((b.a, b.b, b.d), rel=1e-6, abs=1e-6)


@given(raw=happenings, rest=st.floats(1, 9))
def test_mass_closes(raw: list[tuple[float, str, float, float]], rest: float) -> None:
    """What was there, and all that came, is what left with changes, was used up, or is there."""
    events, volume, uptake, level = timed(raw), 100.0, 0.3, 8.0
    end = (events[-1].day if events else 0.0) + rest
    came, left, now, mass = 0.0, 0.0, 0.0, level * volume
    for event in events:
        mass -= uptake * (event.day - now) * volume
        now = event.day
        if event.kind == "dose":
            came, mass = came + event.amount * volume, mass + event.amount * volume
        else:
            out, new = event.amount * mass, event.amount * event.fresh * volume
            left, came, mass = left + out, came + new, mass - out + new
    found = transition(0, end, events)
    after = found.a * level + found.b * uptake + found.d
    used = uptake * end * volume
    assert level * volume + came == pytest.approx(left + used + after * volume)


@pytest.mark.parametrize(
    ("start", "end", "events"),
    [
        (1.0, 1.0, []),
        (2.0, 1.0, []),
        (0.0, 1.0, [Event(2, "dose", 1)]),
        (1.0, 2.0, [Event(0.5, "dose", 1)]),
        (0.0, 4.0, [Event(2, "dose", 1), Event(1, "dose", 1)]),
    ],
)
def test_what_cannot_be_raises(start: float, end: float, events: list[Event]) -> None:
    with pytest.raises(ValueError, match="interval"):
        transition(start, end, events)
