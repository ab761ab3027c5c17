"""What comes next: tests, water changes, bottles and tasks as dates, each with its reason."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from journal_tools.metrics import Metrics
from journal_tools.metrics.dose_advice import LARGEST_STEP, advice_of
from journal_tools.parameters import PARAMETERS
from journal_tools.tables import Tables
from journal_tools.tasks import Task, tasks_of
from journal_tools.words import as_heading, counted, day_text, number_text, span_text

_AHEAD_DAYS = 14
_FEWEST_CHANGES = 3
_CHANGES_LOOKED_AT = 7
_GIVEN_UP = 3
_WHOLE_FROM = 10.0


@dataclass(frozen=True, slots=True)
class Coming:
    """One thing to come.

    Attributes:
        day: The day on which it is next to be done; today where it is late.
        what: What to do.
        why: The reason, with its figure.
        late: Whether its day is past.
    """

    day: dt.date
    what: str
    why: str
    late: bool = False


def outlook(tables: Tables, metrics: Metrics) -> list[Coming]:
    """Give what comes within two weeks: what is late first, then the soonest.

    Args:
        tables: The journal's tables.
        metrics: Its results.
    """
    tasks = tasks_of(tables)
    found = [*_doses(tables, metrics), *_by_hand(tables), *_tests(tasks, tables, metrics),
             *_change(tables), *_bottles(tables, metrics), *_tasks(tasks, tables)]  # fmt: skip
    last = tables.today + dt.timedelta(days=_AHEAD_DAYS)
    return sorted(
        (one for one in found if one.day <= last), key=lambda one: (not one.late, one.day, one.what)
    )


def _from_today(day: dt.date, tables: Tables) -> tuple[dt.date, bool]:
    return max(day, tables.today), day < tables.today


def _doses(tables: Tables, metrics: Metrics) -> Iterator[Coming]:
    """Give a change of dose where the present one does not hold a level, and where it is off."""
    for parameter in LARGEST_STEP:
        advice = advice_of(parameter, tables, metrics)
        if advice is None or (advice.holds and not advice.outside):
            continue
        told = metrics.one("holding_dose", f"{advice.product}: {parameter}")
        unit, plan = advice.unit, advice.plan
        amount = plan.dose if 0 < plan.days < math.inf else plan.hold.value
        words = number_text(amount, 0 if amount >= _WHOLE_FROM else 1)
        yield Coming(tables.today, f"Look at the dose of {advice.product}: {words} {unit} a day",
                     told.note if told else "")  # fmt: skip


def _by_hand(tables: Tables) -> Iterator[Coming]:
    """Give the next single dose of each supplement by the usual time between the last ones."""
    planned = set(tables.doses[tables.doses["scheduled"]]["product"])
    singles = tables.doses[~tables.doses["scheduled"] & ~tables.doses["product"].isin(planned)]
    for product, rows in singles.groupby("product", sort=True):
        days = sorted({time.date() for time in rows["time"]})[-_CHANGES_LOOKED_AT:]
        usual = _usual_gap(days)
        if usual is None or usual > _AHEAD_DAYS:
            continue
        if (tables.today - days[-1]).days > _GIVEN_UP * usual:
            continue
        last = rows.iloc[-1]
        day, late = _from_today(days[-1] + dt.timedelta(days=usual), tables)
        why = f"The last ones were {counted(usual, 'day')} apart; the newest was on "
        yield Coming(day, f"Dose {last['amount']:g} {last['unit']} of {product}",
                     f"{why}{day_text(days[-1])}.", late)  # fmt: skip


def _usual_gap(days: list[dt.date]) -> int | None:
    """Give the middle one of the gaps between days, None where they are too few."""
    if len(days) < _FEWEST_CHANGES:
        return None
    gaps = sorted((later - earlier).days for earlier, later in pairwise(days))
    return gaps[len(gaps) // 2]


def _tests(tasks: Sequence[Task], tables: Tables, metrics: Metrics) -> Iterator[Coming]:
    """Give each test at its interval, or earlier where a trend leads out of the band."""
    for task in tasks:
        if task.kind != "test" or task.last is None:
            continue
        often = "meant" if task.meant else "usual"
        last = day_text(task.last.day)
        why = f"Every {span_text(task.every_days)} is {often}; the last was on {last}."
        day = task.due
        trend = metrics.one("leaves_band", task.subject)
        if trend is not None and trend.low is not None:
            early = tables.today + dt.timedelta(days=min(max(1, int(trend.low)), _AHEAD_DAYS + 1))
            if early < day:
                day, why = early, f"It may leave its band. {trend.note}"
        name = PARAMETERS[task.subject].in_text
        day, late = _from_today(day, tables)
        yield Coming(day, f"Test {name}", why, late)


def _change(tables: Tables) -> Iterator[Coming]:
    """Give the next water change by the usual time between the last ones."""
    days = sorted({time.date() for time in tables.water_changes["time"]})[-_CHANGES_LOOKED_AT:]
    usual = _usual_gap(days)
    if usual is None:
        return
    litres = float(tables.water_changes["volume_l"].tail(_CHANGES_LOOKED_AT).median())
    day, late = _from_today(days[-1] + dt.timedelta(days=usual), tables)
    why = f"The last ones were {counted(usual, 'day')} apart, of {litres:.0f} L; the newest was on "
    yield Coming(day, "Change water", f"{why}{day_text(days[-1])}.", late)


def _bottles(tables: Tables, metrics: Metrics) -> Iterator[Coming]:
    for result in metrics.of("days_left"):
        days = result.low if result.low is not None else result.value
        # A drop a day out of a barrel would end after the last year of the calendar.
        if days <= _AHEAD_DAYS:
            day = tables.today + dt.timedelta(days=max(0, int(days)))
            yield Coming(day, f"Make or buy {result.subject}", result.note)


def _tasks(tasks: Sequence[Task], tables: Tables) -> Iterator[Coming]:
    for task in tasks:
        if task.kind == "test":
            continue
        day, late = _from_today(task.due, tables)
        since = f"last on {day_text(task.last.day)}" if task.last else "not yet done"
        yield Coming(
            day, as_heading(task.name), f"Every {span_text(task.every_days)}; {since}.", late
        )
