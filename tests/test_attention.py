"""What a keeper might look at next, with its evidence."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from journal_tools.attention import Notice, notices
from journal_tools.metrics import Metrics, Result, compute_metrics, stability
from journal_tools.tables import Tables
from tests.journals import HUNDRED_LITRES, TANK, TODAY, tables
from tests.science.synthetic_series import QUANTITIES, readings, weekly_days

ALARM = ("!", "danger", "alarm", "urgent", "critical", "must")


def points(files: dict[str, str], kind: str, today: dt.date = TODAY) -> list[Notice]:
    found = tables(files, today)
    every = notices(found, compute_metrics(found))
    assert not [n for n in every if any(word in n.what.lower() for word in ALARM)]
    return [notice for notice in every if notice.kind == kind]


def outside(band: str, *readings: str) -> list[Notice]:
    tank = TANK + f"targets: {{nitrate: {band}}}\n"
    log = {f"log/2026-03-{20 + n}.yml": f"readings: {{nitrate: {r}}}\n" for n, r in
           enumerate(readings)}  # fmt: skip
    return points({"tank.yml": tank} | log, "outside")


@pytest.mark.parametrize(
    ("band", "reading", "side"),
    [
        ("2 to 12", "12.1", "above"),
        ("2 to 12", "1.9", "below"),
        ("below 12", "13", "above"),
        ("above 2", "1", "below"),
        # below 1.5 is certainly below 2
        ("2 to 12", "< 1.5", "below"),
        ("2 to 12", "above 12.5", "above"),
    ],
)
def test_a_reading_outside_its_band(band: str, reading: str, side: str) -> None:
    (notice,) = outside(band, "5", reading)
    assert notice.what == f"Nitrate was {side} its band in the last test."
    assert (notice.entry, notice.parameter) == ("2026-03-21", "nitrate")


@pytest.mark.parametrize(
    ("band", "reading"),
    [
        ("2 to 12", "2"),
        ("2 to 12", "12"),
        ("below 12", "0"),
        # "below 5" may well be 3: nothing to say
        ("2 to 12", "< 5"),
        ("below 12", "< 15"),
    ],
)
def test_a_reading_that_may_be_inside_is_left_alone(band: str, reading: str) -> None:
    assert outside(band, "20", reading) == []


def test_evidence_gives_reading_age_and_band() -> None:
    (notice,) = outside("2 to 12", "12.5")
    assert notice.evidence == "12.5 mg/L 11 days ago; band 2.0 to 12.0 mg/L."


def test_the_band_of_today_counts() -> None:
    tank = TANK + (
        "targets: {nitrate: 2 to 12}\n"
        "later_targets: [{start: 2026-03-25, bands: {nitrate: below 40}}]\n"
    )
    log = {"log/2026-03-20.yml": "readings: {nitrate: 30}\n"}
    assert points({"tank.yml": tank} | log, "outside") == []
    assert len(points({"tank.yml": tank} | log, "outside", dt.date(2026, 3, 24))) == 1


TESTED = {"log/2026-03-20.yml": "readings: {alkalinity: 8, iron: 2}\n"}


@pytest.mark.parametrize(
    ("day", "every", "old"),
    [
        ("2026-03-26", "", False),
        ("2026-03-27", "", False),  # 7 days, as often as usual
        ("2026-03-28", "", True),
        ("2026-03-24", "4 days", False),
        ("2026-03-25", "4 days", True),
        ("2026-04-03", "2 weeks", False),
        ("2026-04-04", "2 weeks", True),
    ],
)
def test_an_old_test(day: str, every: str, old: bool) -> None:
    tank = TANK + (f"tests: {{alkalinity: {{every: {every}}}}}\n" if every else "")
    found = points({"tank.yml": tank} | TESTED, "untested", dt.date.fromisoformat(day))
    assert [notice.parameter for notice in found] == ["alkalinity"] * old


def test_an_old_test_says_how_old() -> None:
    (notice,) = points(TESTED, "untested")
    assert notice.what == "Alkalinity was last tested 11 days ago."
    assert notice.evidence == "Usually tested every 7 days."


def test_an_old_test_says_whose_interval_it_is() -> None:
    tank = TANK + "tests: {alkalinity: {every: 4 days}}\n"
    (notice,) = points({"tank.yml": tank} | TESTED, "untested")
    assert notice.evidence == "Meant to be tested every 4 days."


TASKS = TANK + "upkeep: [{task: glass, every: 4 days}, {task: pump service, every: 3 months}]\n"


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ("2026-03-23", None),
        ("2026-03-24", "Glass is due today."),
        ("2026-03-25", "Glass was due 1 day ago."),
        ("2026-04-19", "Glass was due 4 weeks ago."),
    ],
)
def test_a_task_that_is_due(day: str, words: str | None) -> None:
    log = {"log/2026-03-20.yml": "upkeep: [Glass, pump-service]\n"}
    found = tables({"tank.yml": TASKS} | log, dt.date.fromisoformat(day), but=("two-spellings",))
    due = [n for n in notices(found, compute_metrics(found)) if n.kind == "due"]
    assert [notice.what for notice in due] == ([words] if words else [])
    assert {notice.entry for notice in due} <= {"2026-03-20"}


def test_a_task_never_done_counts_from_the_start() -> None:
    found = points({"tank.yml": TASKS}, "due", dt.date(2026, 1, 6))
    assert [(n.what, n.evidence, n.entry) for n in found] == [
        ("Glass was due 1 day ago.", "Never logged; every 4 days.", "")
    ]


def test_an_empty_journal_needs_nothing() -> None:
    found = tables({})
    assert notices(found, compute_metrics(found)) == []


KIT = "tests: {alkalinity: {resolution: 0.1, repeatability: 0.1}}\ntargets: {alkalinity: 7 to 9}\n"
STEADY = [8.0, 8.1, 7.9, 8.0, 8.1, 8.0, 7.9, 8.1, 8.0, 7.9, 8.0, 8.1, 8.0, 7.9]


def series(values: list[float], kind: str) -> list[Notice]:
    log = {}
    for place, value in enumerate(values[::-1]):
        day = TODAY - dt.timedelta(days=3 * place)
        log[f"log/{day}.yml"] = f"readings: {{alkalinity: {value:.2f}}}\n"
    tank = TANK.replace("2026-01-01", "2025-01-01") + KIT
    return points({"tank.yml": tank} | log, kind)


def test_a_trend_that_leaves_the_band_names_the_dates() -> None:
    (notice,) = series([8.0] * 6 + [8.0 + 0.06 * n for n in range(1, 15)], "trend")
    assert notice.what == "Alkalinity is on its way out of its band."
    assert "Between 2026-04-" in notice.evidence
    assert notice.entry == "2026-03-31"
    assert series(STEADY, "trend") == []


def test_one_odd_test() -> None:
    (notice,) = series([*STEADY[:8], 9.4, *STEADY[8:]], "odd")
    assert notice.what == "One alkalinity test stands out: 9.4 dKH on 13 March 2026."
    assert notice.entry == "2026-03-13"


def test_a_jump_is_said_once_and_not_as_odd_readings_as_well() -> None:
    values = [*STEADY, *(value + 1 for value in STEADY[:8])]
    (notice,) = series(values, "jump")
    assert notice.what.startswith("Alkalinity went up by 1.0")
    assert notice.evidence.startswith("The tests fit two levels.")
    assert series(values, "odd") == []


def test_two_kits_that_disagree() -> None:
    log = {}
    for place in range(5):
        one = f"{{value: {8.7 + 0.02 * (place % 2):.2f}, kit: meter, time: '13:00'}}"
        text = f"readings: {{alkalinity: [{{value: 8, kit: drops}}, {one}]}}\n"
        log[f"log/{TODAY - dt.timedelta(days=7 * place)}.yml"] = text
    (notice,) = points({"tank.yml": TANK + KIT} | log, "disagree")
    assert notice.what == "Two alkalinity tests do not agree."
    assert "over 5 pairs" in notice.evidence


@pytest.mark.parametrize(
    ("low", "high", "said"), [(0.9, 1.1, True), (-1.1, -0.9, True), (0.1, 0.5, False)]
)
def test_a_probe_that_disagrees_with_the_kit(low: float, high: float, said: bool) -> None:
    """The usual error of a temperature test is 0.2; half of the interval must not reach it."""
    found = tables({"log/2026-03-30.yml": "readings: {temperature: 25}\n"})
    done = compute_metrics(found)
    result = Result("probe_disagreement", (low + high) / 2, "°C", 1, "temperature", low, high)
    done.results.append(result)
    done.__dict__.pop("_by_name", None)
    notes = [n for n in notices(found, done) if n.kind == "disagree"]
    assert bool(notes) == said
    if said:
        way = "more" if low > 0 else "less"
        assert notes[0].what == f"The temperature probe reads 1.0 °C {way} than the tests."


def test_a_bottle_that_is_running_out() -> None:
    tank = HUNDRED_LITRES + "supplements: [{name: mix, no_effect: true}]\n"
    log = {"log/2026-03-20.yml": "stock: {what: mix, left: 200 ml}\n"
           "dosing_plan: {what: mix, per_day: 10 ml}\n"}  # fmt: skip
    (notice,) = points({"tank.yml": tank} | log, "stock")
    assert notice.what == "Mix is running out."
    assert notice.evidence.startswith("Empty between ")


def test_a_ph_and_an_alkalinity_that_do_not_go_together() -> None:
    """pH 9.2 at 8 dKH would leave almost no carbon dioxide; pH 8.1 is that of usual air."""
    for ph, count in ((9.2, 1), (8.1, 0)):
        text = (
            f"readings: {{alkalinity: 8, ph: {ph}, temperature: 25, salinity: 35, calcium: 420}}\n"
        )
        found = points({"log/2026-03-30.yml": text}, "pair")
        assert len(found) == count


STABLE_SEEDS = 20
_LOOK_EVERY_DAYS = 14


def stable_year(seed: int) -> Tables:
    """Give a year of weekly tests of eight quantities that only wander within their bands."""
    rng = np.random.default_rng(seed)
    start = dt.date(2025, 1, 1)
    days: dict[dt.date, list[str]] = {}
    tests, targets = [], []
    for one in QUANTITIES:
        moments = weekly_days(rng)
        for moment, value in zip(moments, readings(rng, moments, one), strict=True):
            day = start + dt.timedelta(days=int(moment))
            days.setdefault(day, []).append(f"{one.name}: {value:.3f}")
        tests.append(f"{one.name}: {{resolution: {one.step}, repeatability: {one.kit_sd}}}")
        targets.append(f"{one.name}: {one.low} to {one.high}")
    tank = "name: Calm\nstart: 2025-01-01\ntime_zone: Etc/UTC\n"
    tank += f"tests: {{{', '.join(tests)}}}\ntargets: {{{', '.join(targets)}}}\n"
    log = {f"log/{day}.yml": f"readings: {{{', '.join(values)}}}\n" for day, values in days.items()}
    return tables({"tank.yml": tank} | log, dt.date(2025, 12, 31))


def alarms(whole: Tables) -> Iterator[tuple[str, str, str]]:
    """Give every alarm of a year, as its page would have shown it every other week."""
    raised: dict[tuple[str, str], int] = {}
    for step in range(8, 365 // _LOOK_EVERY_DAYS + 1):
        today = dt.date(2025, 1, 1) + dt.timedelta(days=_LOOK_EVERY_DAYS * step)
        seen = whole.readings["time"] < pd.Timestamp(today + dt.timedelta(days=1), tz="UTC")
        known = replace(whole, today=today, readings=whole.readings[seen])
        done = Metrics()
        for metric in (stability.ODD_READING, stability.LEVEL_JUMP, stability.LEAVES_BAND):
            done.add(metric, metric.compute(known, done))
        for notice in notices(known, done):
            key = (notice.kind, notice.parameter)
            if notice.kind in ("trend", "odd", "jump"):
                # What still stands two weeks later is the same alarm.
                if raised.get(key, -2) < step - 1:
                    yield (*key, notice.entry)
                raised[key] = step


def test_a_stable_year_raises_at_most_one_alarm_a_quarter() -> None:
    """All eight quantities together, 20 invented years, looked at every other week."""
    counts = [len(list(alarms(stable_year(seed)))) for seed in range(STABLE_SEEDS)]
    assert np.mean(counts) / 4 <= 1.0
