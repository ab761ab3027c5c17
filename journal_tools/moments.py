"""Moments and months in the keeper's time zone, clock changes included."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from journal_tools.profile import Profile


def local_time(day: dt.date, profile: Profile, clock: dt.time = dt.time(0)) -> pd.Timestamp:
    """Give a moment of the keeper's day; a time that a clock change skips moves forward."""
    moment = dt.datetime.combine(day, clock, tzinfo=profile.zone).astimezone(dt.UTC)
    return pd.Timestamp(moment).tz_convert(profile.time_zone)


def months_of(times: pd.Series) -> pd.Series:
    """Give the first day of the keeper's month in which each moment lies."""
    firsts = [moment.date().replace(day=1) for moment in times]
    return pd.Series(firsts, index=times.index, dtype="object")


def months_between(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """Give the first day of every month from one to another, both included.

    >>> [str(day) for day in months_between(dt.date(2025, 12, 1), dt.date(2026, 1, 1))]
    ['2025-12-01', '2026-01-01']
    """
    while first <= last:
        yield first
        first = next_month(first)


def next_month(day: dt.date) -> dt.date:
    """Give the first day of the month after a day."""
    return (day.replace(day=28) + dt.timedelta(days=4)).replace(day=1)


def epoch_days(times: pd.Series) -> NDArray[np.float64]:
    """Give moments as days (of 24 hours) since 1970-01-01 UTC, so that they can be subtracted."""
    utc = times.dt.tz_convert("UTC").dt.tz_localize(None).astype("datetime64[us]")
    return np.asarray(utc.astype("int64"), dtype=np.float64) / 86_400e6
