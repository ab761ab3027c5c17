"""What a chart shows, said in one to three sentences for readers who do not see it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from statistics import median

import pandas as pd

from journal_tools.charts.scale import time_span
from journal_tools.charts.series import Point, points, reading_words
from journal_tools.charts.target import (
    Bands,
    Charted,
    Period,
    amount,
    band_words,
    period_at,
    periods,
)
from journal_tools.words import day_text

_TREND_DAYS = 30
_TREND_READINGS = 4


def describe(parameter: Charted, readings: pd.DataFrame, bands: Bands, today: date) -> str:
    """Give the text alternative of a parameter's chart.

    Args:
        parameter: What is measured.
        readings: Columns time, value, error, censored, kit, entry.
        bands: Target bands as (start, end, low, high), None where open.
        today: The day of the build.

    Returns:
        Sentences with count, period, range, latest reading, share in the band and direction.
    """
    found = points(readings)
    span = time_span([p.time for p in found], today)
    targets = periods(bands, span)
    if not found:
        now = period_at(targets, span.end - pd.Timedelta(seconds=1))
        words = "" if now is None else f"; {band_words(parameter, now.low, now.high)}"
        return f"{parameter.label}: no readings yet{words}."
    sentences = [
        f"{parameter.label}: {_count(parameter, found)}.",
        _band_sentence(found, targets),
        _trend_sentence(parameter, found, today),
    ]
    return " ".join(sentence for sentence in sentences if sentence)


def recent_change(found: Sequence[Point], today: date) -> float | None:
    """Give the change over the last 30 days by the median of all slopes between two readings.

    Args:
        found: Readings in order of time.
        today: The day of the build.

    Returns:
        Change in the parameter's unit a 30 days; None under 4 plain readings or under a week.

    Source:
        Theil (1950) and Sen (1968), Journal of the American Statistical Association 63.
    """
    since = pd.Timestamp(today) - pd.Timedelta(days=_TREND_DAYS)
    recent = [p for p in found if not p.censored and p.time >= since]
    if len(recent) < _TREND_READINGS or recent[-1].time - recent[0].time < pd.Timedelta(days=7):
        return None
    slopes = [
        (b.value - a.value) / (b.ms - a.ms)
        for i, a in enumerate(recent)
        for b in recent[i + 1 :]
        if b.ms > a.ms
    ]
    return median(slopes) * _TREND_DAYS * 86_400_000


def _count(parameter: Charted, found: Sequence[Point]) -> str:
    """Give count, period, range and latest reading."""
    latest = f"{reading_words(parameter, found[-1])} on {day_text(found[-1].time)}"
    if len(found) == 1:
        return f"one reading, {latest}"
    days = f"{len(found)} readings from {day_text(found[0].time)} to {day_text(found[-1].time)}"
    return f"{days}, {_range(parameter, found)}; the latest is {latest}"


def _range(parameter: Charted, found: Sequence[Point]) -> str:
    """Give the range of the plain readings, and how many are beyond a test's limit."""
    plain = [p.value for p in found if not p.censored]
    beyond = len(found) - len(plain)
    if not plain:
        return "all beyond the limit of the test"
    low, high = amount(parameter, min(plain)), amount(parameter, max(plain))
    words = f"all {low}" if low == high else f"between {low} and {high}"
    if not beyond:
        return words
    are = "1 is" if beyond == 1 else f"{beyond} are"
    return f"{words} where a number could be read ({are} beyond the limit of the test)"


def _band_sentence(found: Sequence[Point], targets: Sequence[Period]) -> str:
    """Give how many readings lie in the band that was in force when they were taken."""
    verdicts = [
        period.holds(point.value, point.censored)
        for point in found
        if (period := period_at(targets, point.time)) is not None
    ]
    known = [verdict for verdict in verdicts if verdict is not None]
    if not known:
        return ""
    inside = sum(known)
    if len(known) == 1:
        return f"It {'lies' if inside else 'does not lie'} in the target band of its time."
    share = f"{inside} of {len(known)} readings ({100 * inside / len(known):.0f} %)"
    unsure = len(verdicts) - len(known)
    tail = f"; {unsure} cannot be told" if unsure else ""
    return f"{share} lie in the target band of their time{tail}."


def _trend_sentence(parameter: Charted, found: Sequence[Point], today: date) -> str:
    """Give the direction of the last 30 days, level where it is within the error of a reading."""
    change = recent_change(found, today)
    if change is None:
        return ""
    errors = [p.error for p in found if p.error is not None]
    noise = max(10.0**-parameter.decimals, median(errors) if errors else 0.0)
    if abs(change) <= noise:
        return "Over the last 30 days it stayed level within the error of a reading."
    way = "rose" if change > 0 else "fell"
    return f"Over the last 30 days it {way} by about {amount(parameter, abs(change))}."
