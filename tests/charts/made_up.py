"""Invented readings and events for the chart tests."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pandas as pd

ZONE = "America/New_York"
TODAY = date(2026, 5, 14)
LAST = datetime(2026, 5, 13, 19)
EVENT_WORDS = {
    "water_change": "20 L changed",
    "dose_change": "alk mix 24 to 28 ml a day",
    "livestock": "two clownfish",
    "loss": "turbo snail died",
    "equipment": "return pump replaced by a larger one",
    "milestone": "first coral",
}


@dataclass(frozen=True)
class Quantity:
    """A parameter as the charts see it."""

    name: str
    label: str
    unit: str
    decimals: int


ALKALINITY = Quantity("alkalinity", "Alkalinity", "dKH", 1)
PHOSPHATE = Quantity("phosphate", "Phosphate", "ppm", 2)
BANDS = [(None, date(2025, 9, 1), 7.0, 9.0), (date(2025, 9, 1), None, 7.5, 8.5)]

Reading = tuple[datetime, float, float, str]


def table(rows: Sequence[Reading], zone: str = ZONE) -> pd.DataFrame:
    times = [pd.Timestamp(row[0], tz=ZoneInfo(zone)) for row in rows]
    return pd.DataFrame(
        {
            "time": pd.Series(times, dtype=pd.DatetimeTZDtype("ns", ZoneInfo(zone))),
            "value": [float(row[1]) for row in rows],
            "error": [float(row[2]) for row in rows],
            "censored": [row[3] for row in rows],
            "kit": ["titration kit"] * len(rows),
            "entry": [f"{row[0]:%Y-%m-%d}" for row in rows],
        }
    )


def series(
    count: int, days: float, middle: float = 8.0, swing: float = 0.5, error: float = 0.2
) -> pd.DataFrame:
    chance = random.Random(count)
    rows: list[Reading] = []
    for i in range(count):
        noon = (LAST - timedelta(days=days * (1 - i / max(1, count - 1)))).replace(hour=12)
        value = middle + swing * (math.sin(i * 9 / count) + chance.gauss(0, 0.3))
        rows.append((noon + timedelta(hours=chance.uniform(0, 6)), round(value, 2), error, ""))
    return table(rows)


def censored(count: int, side: str = "below") -> pd.DataFrame:
    return table([(LAST - timedelta(days=7 * i), 0.02, math.nan, side) for i in range(count)])


def happenings(count: int, days: float) -> pd.DataFrame:
    chance = random.Random(count)
    kinds = [chance.choice(list(EVENT_WORDS)) for _ in range(count)]
    times = [
        pd.Timestamp(LAST.replace(hour=12) - timedelta(days=chance.uniform(0, days)), tz=ZONE)
        for _ in range(count)
    ]
    return pd.DataFrame(
        {
            "time": pd.Series(times, dtype=pd.DatetimeTZDtype("ns", ZoneInfo(ZONE))),
            "kind": kinds,
            "label": [EVENT_WORDS[kind] for kind in kinds],
            "entry": ["2026-05-13"] * count,
        }
    )
