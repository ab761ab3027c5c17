"""The invented room around the tank: warmth, carbon dioxide, evaporation, by the calendar.

All figures are invented; they only have to be of a size that such a room can show.
"""

from __future__ import annotations

import datetime as dt
import math

HEATER_SETPOINT_C = 25.2
_WARMEST_DAY = dt.date(2026, 7, 25)
_AIR_HOSE_DAY = dt.date(2026, 2, 22)
_FAN_DAYS = (dt.date(2026, 7, 5), dt.date(2026, 7, 14))
_KEPT_C = (
    # The heat wave, as the tank had it.
    ("2026-07-01 06:00", 25.9), ("2026-07-01 20:00", 26.5), ("2026-07-02 20:00", 27.2),
    ("2026-07-03 20:00", 28.0), ("2026-07-04 07:00", 27.7), ("2026-07-04 20:00", 28.6),
    ("2026-07-05 07:00", 28.2), ("2026-07-05 17:00", 28.9), ("2026-07-06 07:00", 27.6),
    ("2026-07-06 19:00", 28.1), ("2026-07-07 07:00", 27.2), ("2026-07-07 19:00", 27.7),
    ("2026-07-09 19:00", 27.5), ("2026-07-11 19:00", 27.2), ("2026-07-12 12:00", 27.1),
    ("2026-07-12 18:00", 26.6), ("2026-07-14 19:00", 26.2),
    # The power cut: seven hours without heat, then a 200 W heater against the cold.
    ("2026-02-13 18:00", 25.3), ("2026-02-13 19:10", 25.3), ("2026-02-13 22:00", 24.1),
    ("2026-02-14 02:10", 22.7), ("2026-02-14 08:00", 24.3), ("2026-02-14 12:00", 25.2),
)  # fmt: skip
_POINTS = sorted((dt.datetime.fromisoformat(when), value) for when, value in _KEPT_C)
_SPANS = ((dt.date(2026, 2, 13), dt.date(2026, 2, 14)), (dt.date(2026, 7, 1), dt.date(2026, 7, 14)))


def season(day: dt.date) -> float:
    """Give the season, 1 on the warmest day and -1 half a year away."""
    return math.cos(2 * math.pi * (day - _WARMEST_DAY).days / 365.25)


def room_temperature_c(day: dt.date) -> float:
    """Give the usual temperature of the room in °C."""
    return 20.6 + 3.4 * season(day)


def water_temperature_c(moment: dt.datetime) -> float:
    """Give the temperature of the water in °C: heater, lamp and room, or what befell it."""
    if any(first <= moment.date() <= last for first, last in _SPANS) and moment >= _first(moment):
        return _between_points(moment)
    lamp_warmth = 0.25 * math.sin(2 * math.pi * (moment.hour + moment.minute / 60 - 10) / 24)
    free_running = room_temperature_c(moment.date()) + 2.0
    return max(HEATER_SETPOINT_C, free_running) + lamp_warmth


def _first(moment: dt.datetime) -> dt.datetime:
    return next(when for when, _ in _POINTS if when.month == moment.month)


def _between_points(moment: dt.datetime) -> float:
    later = next((p for p in _POINTS if p[0] >= moment), _POINTS[-1])
    before = [p for p in _POINTS if p[0] <= moment][-1]
    span = (later[0] - before[0]).total_seconds()
    share = (moment - before[0]).total_seconds() / span if span > 0 else 0.0
    return before[1] + share * (later[1] - before[1])


def carbon_dioxide_ppm(day: dt.date) -> float:
    """Give the carbon dioxide of the air that the skimmer draws, in ppm.

    Closed windows in winter, open ones in summer; from the end of February a hose brings
    air from outside.
    """
    indoors = room_carbon_dioxide_ppm(day)
    return 0.45 * indoors + 0.55 * 430 if day >= _AIR_HOSE_DAY else indoors


def room_carbon_dioxide_ppm(day: dt.date) -> float:
    """Give the carbon dioxide of the room in ppm."""
    return 860 - 260 * season(day)


def evaporation_l_day(day: dt.date) -> float:
    """Give the water that evaporates in L/day."""
    fan = 3.4 if _FAN_DAYS[0] <= day <= _FAN_DAYS[1] else 0.0
    return 2.7 - 0.4 * season(day) + fan
