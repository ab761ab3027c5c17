"""The invented probe in the sump: the simulated water every quarter of an hour, with noise."""

from __future__ import annotations

import datetime as dt
import itertools
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np

from tests.demo.room import water_temperature_c
from tests.demo.simulate import LAST_DAY, buffer_scale_ph, truth

ZONE = ZoneInfo("Europe/Amsterdam")
DAYS, STEP = 30, dt.timedelta(minutes=15)
PH_TOO_HIGH, PH_DRIFT_PER_DAY = 0.02, 0.001
TEMPERATURE_TOO_LOW_C = 0.1
_UNPLUGGED = (dt.datetime(2026, 11, 8, 13, 20), dt.datetime(2026, 11, 8, 16, 5))
_GLITCH = dt.datetime(2026, 11, 13, 3, 0)
_DRAW = 20261122

DESCRIPTION = """\
# What the columns of tank.csv hold. The probe, its errors and its figures are invented.
time: {column: utc, zone: UTC}
columns:
  temperature:
    column: T1
    unit: °C
    limits: {fail: [5, 45], suspect: [23, 28], spike: 0.6, rate_per_h: 2}
  ph:
    column: pH
    limits: {fail: [6, 9.5], spike: 0.15}
"""


@cache
def probe_texts() -> dict[str, str]:
    """Give the probe's file and its description by their path inside the journal."""
    rows = itertools.chain(["utc,T1,pH"], map(_row, _moments(), _noise()))
    return {"probes/tank.csv": "\n".join(rows) + "\n", "probes/tank.yml": DESCRIPTION}


def _moments() -> list[dt.datetime]:
    """Give the moments in UTC at which the probe was plugged in."""
    first = dt.datetime.combine(LAST_DAY - dt.timedelta(days=DAYS - 1), dt.time(), ZONE)
    end = dt.datetime.combine(LAST_DAY + dt.timedelta(days=1), dt.time(), ZONE)
    moment, moments = first.astimezone(dt.UTC), []
    while moment < end:
        if not _UNPLUGGED[0] <= _wall(moment) < _UNPLUGGED[1]:
            moments.append(moment)
        moment += STEP
    return moments


def _noise() -> list[tuple[float, float]]:
    """Give the noise of both columns, slow and quick."""
    draw = np.random.RandomState(_DRAW)
    quick = draw.normal(size=(len(_moments()), 2)) * (0.03, 0.006)
    slow = np.cumsum(draw.normal(size=(len(_moments()), 2)) * (0.002, 0.001), axis=0)
    slow -= np.linspace(slow[0], slow[-1], len(slow))
    return [(float(t), float(p)) for t, p in quick + slow]


def _row(moment: dt.datetime, noise: tuple[float, float]) -> str:
    wall = _wall(moment)
    warmth = water_temperature_c(wall) - TEMPERATURE_TOO_LOW_C + noise[0]
    if wall == _GLITCH:
        warmth = 85.0
    days = (LAST_DAY - wall.date()).days
    acidity = buffer_scale_ph(_alkalinity_dkh(wall), wall) + noise[1]
    acidity += PH_TOO_HIGH + PH_DRIFT_PER_DAY * (DAYS - days)
    return f"{moment:%Y-%m-%d %H:%M},{warmth:.2f},{acidity:.2f}"


def _wall(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(ZONE).replace(tzinfo=None)


def _alkalinity_dkh(wall: dt.datetime) -> float:
    """Give the alkalinity at a moment, by straight lines between the ends of days."""
    known = truth()["alkalinity"]
    today, before = known[wall.date()], known[wall.date() - dt.timedelta(days=1)]
    share = (wall.hour + wall.minute / 60) / 24
    return float(before + share * (today - before))
