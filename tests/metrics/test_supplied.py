"""What went in: names, units, plans, limewater, reactors and new water, each by hand."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from journal_tools.metrics.record import Result
from journal_tools.metrics.supplied import Levels, Supplied, supplied
from journal_tools.moments import epoch_days
from tests.journals import HUNDRED_LITRES, TODAY, tables

MIX = "{name: Alk Mix, potency: {by: 10 ml, water: 100 L, raises: {alkalinity: 0.5}}, error: 2 %}"
LIME = "{name: limewater, potency: {by: 1 L, water: 100 L, raises: {alkalinity: 1, calcium: 7}}}"
REACTOR = "{name: reactor, effluent: {alkalinity: 28, calcium: 500}, error: 5 %}"
SALT = "{name: calcium mix, salts: {CaCl2.2H2O: 100 g}, made_up_to: 1 L}"
TANK = HUNDRED_LITRES + f"supplements: [{MIX}, {LIME}, {REACTOR}, {SALT}, {{name: untold}}]\n"
NET = Result("net_volume", 100.0, "L", 0, "", 98.0, 102.0)
ROUND = "dosing_plan: {what: reactor, per_day: 10 L, "
UNTIL_THE_14TH = "dosing_plan: {what: Alk Mix, per_day: 30 ml, until: 2026-03-14}"
NOBODY = Levels(np.array([]), np.array([]))


def went_in(
    *entries: tuple[str, str],
    of: str = "alkalinity",
    levels: Levels = NOBODY,
    today: dt.date = TODAY,
) -> Supplied:
    log = {f"log/{day}.yml": text for day, text in entries}
    found = tables({"tank.yml": TANK} | log, today, but=("two-spellings", "unknown-supplement"))
    return supplied(of, found, NET, levels)


def day_of(date: str) -> float:
    import pandas as pd

    return float(epoch_days(pd.Series([pd.Timestamp(date, tz="Europe/Berlin")]))[0])


def test_a_plan_is_one_feed_from_midnight_to_midnight() -> None:
    found = went_in(("2026-03-01", "dosing_plan: {what: alk-mix, per_day: 20 ml}"),
                    ("2026-03-11", "dosing_plan: {what: ALK MIX, stopped: true}"))  # fmt: skip
    (feed,) = found.supply.feeds
    assert feed.product == "Alk Mix"
    assert (feed.start_day, feed.end_day) == (day_of("2026-03-01"), day_of("2026-03-11"))
    assert feed.rise_per_day == pytest.approx(1.0)
    assert found.untold == ()


def test_a_plan_that_changes_is_two_feeds_and_ends_with_its_last_day() -> None:
    found = went_in(("2026-03-01", "dosing_plan: {what: Alk Mix, per_day: 20 ml}"),
                    ("2026-03-11", UNTIL_THE_14TH))  # fmt: skip
    first, second = found.supply.feeds
    assert first.end_day == second.start_day == day_of("2026-03-11")
    assert second.end_day == day_of("2026-03-15")
    assert second.rise_per_day == pytest.approx(1.5)


def test_a_plan_runs_through_the_day_of_a_clock_change_without_a_gap() -> None:
    found = went_in(("2026-03-28", "dosing_plan: {what: Alk Mix, per_day: 20 ml}"))
    (feed,) = found.supply.feeds
    # four days, of which the 29th has 23 hours in Berlin
    assert feed.end_day - feed.start_day == pytest.approx(4 - 1 / 24)
    assert feed.rise_per_day * (feed.end_day - feed.start_day) == pytest.approx(4.0)


def test_a_plan_counts_to_the_end_of_today_and_not_further() -> None:
    found = went_in(("2026-03-30", "dosing_plan: {what: Alk Mix, per_day: 20 ml}"))
    assert found.supply.feeds[0].end_day == day_of("2026-04-01")
    later = went_in(
        ("2026-03-30", "dosing_plan: {what: Alk Mix, per_day: 20 ml, start: 2026-04-09}")
    )
    assert later.supply.feeds == ()


def test_a_plan_with_a_time_is_a_dose_at_that_time() -> None:
    found = went_in(("2026-03-30", "dosing_plan: {what: Alk Mix, per_day: 20 ml, time: '08:00'}"))
    assert [dose.day for dose in found.supply.doses] == pytest.approx(
        [day_of("2026-03-30 08:00"), day_of("2026-03-31 08:00")]
    )
    assert found.supply.feeds == ()


def test_grams_of_what_is_told_in_millilitres_are_not_known_where_it_matters() -> None:
    entry = ("2026-03-02", "doses: {what: calcium mix, amount: 5 g}")
    assert [one.product for one in went_in(entry, of="calcium").untold] == ["calcium mix"]
    # calcium chloride lifts no alkalinity, in whatever unit it is written
    assert went_in(entry, of="alkalinity").untold == ()


def test_what_nobody_described_breaks_every_balance_but_that_of_salt() -> None:
    entry = ("2026-03-02", "doses: {what: secret potion, amount: 5 ml}")
    for parameter, count in (("alkalinity", 1), ("nitrate", 1), ("salinity", 0)):
        found = went_in(entry, of=parameter)
        assert len(found.untold) == len(found.supply.unknown) == count


def test_a_reactor_brings_what_its_outflow_has_more_than_the_tank() -> None:
    """10 L a day of 28 dKH into 100 L of 8: 10 / 100 * (28 - 8) = 2 dKH a day."""
    levels = Levels(np.array([day_of("2026-03-01"), day_of("2026-03-09")]), np.array([8.0, 8.0]))
    found = went_in(("2026-03-02", ROUND + "until: 2026-03-04}"),
                    levels=levels)  # fmt: skip
    (feed,) = found.supply.feeds
    assert feed.rise_per_day == pytest.approx(2.0)
    # 5 % of 28 are 1.4, which is 7 % of the 20 that are gained
    assert found.supply.potency_sd["reactor"] == pytest.approx(0.07)


def test_a_reactor_brings_less_where_the_tank_has_more() -> None:
    levels = Levels(np.array([day_of("2026-03-02"), day_of("2026-03-04")]), np.array([8.0, 12.0]))
    found = went_in(("2026-03-02", ROUND + "until: 2026-03-03}"),
                    levels=levels)  # fmt: skip
    # at noon of both days the tank has 9 and 11
    assert [feed.rise_per_day for feed in found.supply.feeds] == pytest.approx([1.9, 1.7])


def test_limewater_ran_in_since_the_last_top_off_of_any_kind() -> None:
    found = went_in(("2026-03-01", "top_off: 4 L"),
                    ("2026-03-03", "top_off: {volume: 2 L, what: Limewater}"),
                    ("2026-03-05", "top_off: 4 L"))  # fmt: skip
    (feed,) = found.supply.feeds
    assert (feed.end_day - feed.start_day, feed.rise_per_day) == pytest.approx((2.0, 1.0))


def test_limewater_goes_on_until_the_next_top_off_is_logged() -> None:
    found = went_in(("2026-03-01", "top_off: 4 L"),
                    ("2026-03-03", "top_off: {volume: 2 L, what: limewater}"))  # fmt: skip
    logged, expected = found.supply.feeds
    assert (expected.start_day, expected.end_day) == pytest.approx(
        (logged.end_day, logged.end_day + 2)
    )
    assert expected.rise_per_day == logged.rise_per_day


def test_an_untold_top_off_is_unknown_since_the_one_before() -> None:
    found = went_in(("2026-03-01", "top_off: 4 L"),
                    ("2026-03-04", "top_off: {volume: 2 L, what: kalk}"))  # fmt: skip
    (one,) = found.untold
    assert (one.product, one.end_day - one.start_day) == ("kalk", pytest.approx(3.0))


def test_new_water_that_was_tested_counts_with_the_error_of_the_test() -> None:
    tested = "water_change: {volume: 10 L, fresh: {alkalinity: 7.5}}"
    found = went_in(("2026-03-01", tested), ("2026-03-08", "water_change: 20 L"))
    known, guessed = found.supply.changes
    assert (known.share, known.fresh, known.source) == (0.1, 7.5, "new water")
    assert (guessed.share, guessed.source) == (0.2, "new water that was not tested")
    assert found.supply.fresh_sd[guessed.source] > 5 * found.supply.fresh_sd[known.source]
    assert found.supply.volume_sd == pytest.approx(0.02)


def test_only_what_still_counts_is_kept() -> None:
    found = went_in(("2026-03-01", "doses: {what: Alk Mix, amount: 5 ml}"),
                    ("2026-03-09", "doses: {what: Alk Mix, amount: 5 ml}"),
                    ("2026-03-02", "doses: {what: untold, amount: 1 ml}"))  # fmt: skip
    late = found.since(day_of("2026-03-05"))
    assert (len(found.supply.doses), len(late.supply.doses)) == (2, 1)
    assert (len(found.untold), late.untold, late.supply.unknown) == (1, (), ())
