from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.estimation.supply import (
    VOLUME,
    Change,
    Dose,
    Feed,
    Supply,
    Timeline,
    Transitions,
    Unknown,
    feeds_since_last,
)

moments = st.floats(0.0, 20.0).map(lambda day: round(day, 2))
doses = st.lists(st.builds(Dose, moments, st.floats(0.0, 2.0), st.sampled_from("ab")), max_size=4)
shares = st.floats(0.0, 0.6)
changes = st.lists(st.builds(Change, moments, shares, st.floats(0, 12)), max_size=4)
feeds = st.lists(
    st.builds(
        lambda start, length, rate, product: Feed(start, start + length, rate, product),
        moments, st.floats(0.1, 10.0), st.floats(0.0, 2.0), st.sampled_from("ab"),
    ),
    max_size=3,
)  # fmt: skip
supplies = st.builds(lambda d, f, c: Supply(tuple(d), tuple(f), tuple(c)), doses, feeds, changes)
test_days = st.lists(moments, min_size=2, max_size=6).map(lambda days: np.sort(np.array(days)))


def walked(supply: Supply, start: float, end: float, level: float, uptake: float) -> float:
    """Give the level at the end, event by event."""
    what: list[tuple[float, int, Change | Dose | None]] = [(end, 2, None)]
    what += [(change.day, 0, change) for change in supply.changes if start <= change.day < end]
    what += [(dose.day, 1, dose) for dose in supply.doses if start <= dose.day < end]
    now = start
    for day, _, event in sorted(what, key=lambda step: step[:2]):
        for feed in supply.feeds:
            overlap = min(day, feed.end_day) - max(now, feed.start_day)
            level += feed.rise_per_day * max(overlap, 0.0)
        level, now = level - uptake * (day - now), day
        if isinstance(event, Change):
            level += event.share * (event.fresh - level)
        elif isinstance(event, Dose):
            level += event.rise
    return level


def of(supply: Supply, *days: float) -> Transitions:
    return Timeline(supply).transitions(np.array(days))


@given(supplies, test_days, st.floats(0, 12), st.floats(-2, 2))
def test_transitions_agree_with_walking_through_the_events(
    supply: Supply, days: np.ndarray, level: float, uptake: float
) -> None:
    between = Timeline(supply).transitions(days)
    for i, (start, end) in enumerate(pairwise(days)):
        there = between.a[i] * level + between.b[i] * uptake + between.d[i]
        assert there == pytest.approx(walked(supply, start, end, level, uptake), abs=1e-9)


@given(supplies, st.lists(moments, min_size=3, max_size=3, unique=True))
def test_two_transitions_are_one(supply: Supply, days: list[float]) -> None:
    first, middle, last = sorted(days)
    two, one = of(supply, first, middle, last), of(supply, first, last)
    a, b = two.a[1], two.b[1]
    level, both, rate = two.spread_level[0], two.spread_both[0], two.days[0]
    assert one.a[0] == pytest.approx(two.a[0] * a)
    assert one.b[0] == pytest.approx(a * two.b[0] + b)
    assert one.d[0] == pytest.approx(a * two.d[0] + two.d[1], abs=1e-9)
    assert one.spread_level[0] == pytest.approx(
        a**2 * level + 2 * a * b * both + b**2 * rate + two.spread_level[1]
    )
    assert one.spread_both[0] == pytest.approx(a * both + b * rate + two.spread_both[1])


def test_a_random_walk_over_plain_days_spreads_as_known() -> None:
    between = of(Supply(), 0.0, 3.0)
    found = between.spread_level[0], between.spread_both[0], between.days[0]
    # Integrated Wiener process: h^3/3, h^2/2, h.
    assert found == pytest.approx((9.0, -4.5, 3.0))


def test_a_walk_through_a_change_spreads_as_simulated() -> None:
    between = of(Supply(changes=(Change(1.0, 0.4, 8.0),)), 0.0, 3.0)
    rng, steps = np.random.default_rng(1), 300
    walks = np.cumsum(rng.normal(0, 0.1, (20_000, steps)), axis=1)
    level = -0.01 * (0.6 * walks[:, :100].sum(axis=1) + walks[:, 100:].sum(axis=1))
    assert between.spread_level[0] == pytest.approx(level.var(), rel=0.05)
    assert between.spread_both[0] == pytest.approx(np.mean(level * walks[:, -1]), rel=0.05)


@given(supplies, test_days)
def test_a_water_change_conserves_what_is_in_balance(supply: Supply, days: np.ndarray) -> None:
    still = Supply(changes=tuple(replace(change, fresh=7.0) for change in supply.changes))
    between = Timeline(still).transitions(days)
    assert between.a * 7.0 + between.d == pytest.approx(np.full(len(days) - 1, 7.0))


def test_of_a_test_and_a_dose_at_one_moment_the_test_comes_first() -> None:
    between = of(Supply((Dose(2.0, 1.0),)), 0.0, 2.0, 4.0)
    assert between.d.tolist() == [0.0, 1.0]


def test_of_a_dose_and_a_change_at_one_moment_the_change_comes_first() -> None:
    between = of(Supply((Dose(1.0, 1.0),), (), (Change(1.0, 0.5, 0.0),)), 0.0, 2.0)
    assert between.d[0] == pytest.approx(1.0)


def test_what_lies_outside_the_tests_does_not_count() -> None:
    supply = Supply((Dose(-1.0, 1.0), Dose(5.0, 1.0)), (Feed(-5.0, 20.0, 0.5),))
    assert of(supply, 0.0, 2.0).d[0] == pytest.approx(1.0)


@pytest.mark.parametrize(
    "supply",
    [
        Supply(unknown=(Unknown(2.0, 2.0),)),
        Supply((Dose(2.0, np.nan),)),
        Supply(changes=(Change(2.0, 0.1, np.nan),)),
        Supply(feeds=(Feed(1.5, 3.0, np.nan),)),
    ],
)
def test_unknown_strength_breaks_the_balance_only_where_it_is(supply: Supply) -> None:
    between = of(supply, 0.0, 1.0, 4.0, 6.0)
    assert between.known.tolist() == [True, False, True]
    assert np.isfinite(between.d).all()


def test_an_unknown_time_may_span_tests() -> None:
    between = of(Supply(unknown=(Unknown(1.5, 4.5),)), 0.0, 1.0, 4.0, 6.0, 7.0)
    assert between.known.tolist() == [True, False, False, True]


def test_more_water_makes_doses_and_changes_smaller() -> None:
    supply = Supply((Dose(1.0, 1.1, "a"),), (Feed(0.0, 2.0, 1.1),), (Change(1.5, 0.11, 9.0),),
                    volume_sd=0.1)  # fmt: skip
    smaller = Supply((Dose(1.0, 1.0, "a"),), (Feed(0.0, 2.0, 1.0),), (Change(1.5, 0.1, 9.0),))
    found = Timeline(supply).transitions(np.array([0.0, 3.0]), VOLUME, 0.1)
    wanted = of(smaller, 0.0, 3.0)
    assert (found.a[0], found.b[0], found.d[0]) == pytest.approx(
        (wanted.a[0], wanted.b[0], wanted.d[0])
    )


def test_an_error_of_potency_is_shared_by_dose_and_plan_of_a_product() -> None:
    supply = Supply((Dose(1.0, 1.0, "a"), Dose(1.0, 1.0, "b")), (Feed(0.0, 2.0, 0.5, "a"),))
    found = Timeline(supply).transitions(np.array([0.0, 3.0]), "a", 0.1)
    assert found.d[0] == pytest.approx(2 * 1.1 + 1)


def test_an_error_of_new_water_comes_in_with_its_share() -> None:
    supply = Supply(changes=(Change(1.0, 0.2, 8.0, "salt"), Change(1.0, 0.0, 8.0, "tap")))
    found = Timeline(supply).transitions(np.array([0.0, 3.0]), "salt", 0.5)
    assert found.d[0] == pytest.approx(0.2 * 8.5)


def test_only_errors_of_what_was_used_are_named() -> None:
    supply = Supply((Dose(1.0, 1.0, "a"),), potency_sd={"a": 0.1, "b": 0.1, "": 0.0},
                    fresh_sd={"salt": 0.2}, volume_sd=0.05)  # fmt: skip
    assert dict(Timeline(supply).sources_of_error()) == {VOLUME: 0.05, "a": 0.1}


def test_a_change_of_all_water_leaves_a_trace() -> None:
    between = of(Supply(changes=(Change(1.0, 1.0, 8.0),)), 0.0, 2.0)
    assert between.a[0] == pytest.approx(0.01)


@pytest.mark.parametrize("share", [-0.1, 1.1, np.nan])
def test_a_change_is_a_share(share: float) -> None:
    with pytest.raises(ValueError, match="share from 0 to 1"):
        Timeline(Supply(changes=(Change(1.0, share, 8.0),)))


def test_a_feed_ends_after_its_start() -> None:
    with pytest.raises(ValueError, match="ends before"):
        Timeline(Supply(feeds=(Feed(2.0, 1.0, 1.0),)))


def test_tests_are_in_order() -> None:
    with pytest.raises(ValueError, match="not in order"):
        of(Supply(), 1.0, 0.0)


# --- Limewater


@given(st.lists(st.tuples(moments, st.floats(0.0, 1.0)), min_size=1, max_size=6))
def test_limewater_brings_what_was_filled_in(top_offs: list[tuple[float, float]]) -> None:
    days, rises = zip(*sorted(top_offs), strict=True)
    feeds = feeds_since_last(days, rises, "limewater")
    brought = sum((feed.end_day - feed.start_day) * feed.rise_per_day for feed in feeds)
    assert brought == pytest.approx(sum(rises), abs=1e-9)
    assert all(feed.end_day - feed.start_day <= 7.0 + 1e-9 for feed in feeds)
    assert all(one.end_day <= other.start_day for one, other in pairwise(feeds))
