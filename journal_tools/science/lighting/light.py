"""Light that a place in the tank gets in a day, and the light that a wanted sum needs.

Schedules are those of ``light_schedule``: PPFD measured at the place itself, so each place has a
result of its own.
"""

from __future__ import annotations

import datetime as dt
import math
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np

from journal_tools.science.lighting.light_schedule import PPFD_RANGE, PPFD_UNIT, Breakpoints, Ramp
from journal_tools.science.validity import FloatArray, Number, as_given, in_range, in_scalar_range

MOL_PER_UMOL_S_H = 3600 / 1e6
"""Light in mol/m2 of 1 µmol/(m2 s) for an hour."""

_DAY_H = 24.0
_HOUR = dt.timedelta(hours=1)


def ppfd_at(schedule: Ramp[Number] | Breakpoints[Number], hour: float) -> Number:
    """Give the light in µmol/(m2 s) at a clock hour.

    Args:
        schedule: The day of the lamp.
        hour: Clock hour, 0 to 24.

    Raises:
        ValueError: If the hour is out of range.

    Uncertainty:
        As for ``daily_light_integral``.

    Source:
        Interpolation.

    >>> ppfd_at(Ramp(200.0, 10.0, 20.0, ramp_minutes=60), 10.5)
    100.0
    """
    since = (in_scalar_range("clock hour", hour, 0.0, _DAY_H, "h") - schedule.start_h) % _DAY_H
    return as_given(schedule.ppfd_after_start(np.asarray(since)), _first(schedule))


def daily_light_integral(
    schedule: Ramp[Number] | Breakpoints[Number], spectrum_share: float = 1.0
) -> Number:
    """Give the light of a day of 24 h in mol/(m2 d), for each place.

    Args:
        schedule: The day of the lamp.
        spectrum_share: Share of the photons to count, such as the blue ones, 0 to 1.

    Raises:
        ValueError: If the share is out of range.

    Uncertainty:
        10 to 15 %: broadband meters misread the spectrum of blue-heavy lamps.

    Source:
        Exact integral of PPFD over time; 1 µmol/(m2 s) for 24 h is 0.0864 mol/(m2 d).

    >>> round(daily_light_integral(Ramp(200.0, 10.0, 20.0, ramp_minutes=60)), 2)
    6.48
    >>> round(daily_light_integral(Breakpoints([(8.0, 0.0), (14.0, 300.0), (20.0, 0.0)])), 2)
    6.48
    """
    share = in_scalar_range("spectrum share", spectrum_share, 0.0, 1.0)
    light_hours = schedule.light_hours_from_start(np.asarray(_DAY_H))
    return as_given(light_hours * share * MOL_PER_UMOL_S_H, _first(schedule))


def _first(schedule: Ramp[Number] | Breakpoints[Number]) -> Number:
    return schedule.plateau_ppfd if isinstance(schedule, Ramp) else schedule.points[0][1]


def constant_light_integral(ppfd: Number, hours: Number | float) -> Number:
    """Give the light in mol/m2 of an even light over some hours.

    Args:
        ppfd: Light in µmol/(m2 s), 0 to 3000.
        hours: Time in h, 0 to 25 (the longest date of the calendar).

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        As for ``daily_light_integral``.

    Source:
        Light times time.

    >>> round(constant_light_integral(200.0, 12.0), 2)
    8.64
    """
    light = in_range("light", ppfd, *PPFD_RANGE, PPFD_UNIT)
    return as_given(light * in_range("time", hours, 0.0, 25.0, "h") * MOL_PER_UMOL_S_H, ppfd)


def light_integral_on(
    schedule: Ramp[Number] | Breakpoints[Number], day: dt.date, time_zone: ZoneInfo
) -> Number:
    """Give the light of a date of the calendar in mol/m2, for each place.

    A timer follows the wall clock: on the day on which clocks go forward the hour left out is not
    lit, on the day on which they go back the hour is lit twice.

    Args:
        schedule: The day of the lamp by the wall clock.
        day: The date, from midnight to midnight there.
        time_zone: Time zone of the place.

    Uncertainty:
        As for ``daily_light_integral``. A timer that keeps standard time has no such days.

    Source:
        Exact integral of PPFD over the hours that pass; clock changes of the IANA time zone data.

    >>> night, berlin = Ramp(100.0, 22.0, 6.0), ZoneInfo("Europe/Berlin")
    >>> [round(light_integral_on(night, dt.date(2026, 3, day), berlin), 2) for day in (28, 29)]
    [2.88, 2.52]
    """
    hours = [_light_hours_between(schedule, *span) for span in _wall_spans(day, time_zone)]
    return as_given(np.asarray(sum(hours)) * MOL_PER_UMOL_S_H, _first(schedule))


def _light_hours_between(
    schedule: Ramp[Number] | Breakpoints[Number], from_h: float, to_h: float
) -> FloatArray:
    whole = schedule.light_hours_from_start(np.asarray(_DAY_H))

    def until(hour: float) -> FloatArray:
        days, rest = divmod(hour - schedule.start_h, _DAY_H)
        return days * whole + schedule.light_hours_from_start(np.asarray(rest))

    return until(to_h) - until(from_h)


def hours_of_date(day: dt.date, time_zone: ZoneInfo) -> float:
    """Give the hours that pass on a date: 24, or 23 or 25 where clocks change.

    Args:
        day: The date.
        time_zone: Time zone of the place.

    Source:
        IANA time zone data.

    >>> hours_of_date(dt.date(2026, 10, 25), ZoneInfo("Europe/Berlin"))
    25.0
    """
    return math.fsum(to_h - from_h for from_h, to_h in _wall_spans(day, time_zone))


def _wall_spans(day: dt.date, time_zone: ZoneInfo) -> list[tuple[float, float]]:
    """Give the parts of a date between clock changes, as clock hours from its midnight."""
    begin, end = (
        dt.datetime.combine(date, dt.time(), time_zone).astimezone(dt.UTC)
        for date in (day, day + dt.timedelta(days=1))
    )
    instants = [begin, *_clock_changes(begin, end, time_zone), end]
    midnight = dt.datetime.combine(day, dt.time())
    spans = []
    for here, there in pairwise(instants):
        from_h = (here.astimezone(time_zone).replace(tzinfo=None) - midnight) / _HOUR
        spans.append((from_h, from_h + (there - here) / _HOUR))
    return spans


def _clock_changes(begin: dt.datetime, end: dt.datetime, time_zone: ZoneInfo) -> list[dt.datetime]:
    def offset(instant: dt.datetime) -> dt.timedelta | None:
        return instant.astimezone(time_zone).utcoffset()

    changes = []
    here = begin
    while here < end:
        there = min(here + _HOUR, end)
        if offset(here) != offset(there):
            before, after = here, there
            while after - before > dt.timedelta(seconds=1):
                middle = before + (after - before) // 2
                before, after = (
                    (middle, after) if offset(middle) == offset(here) else (before, middle)
                )
            changes.append(after.replace(microsecond=0))
        here = there
    return [change for change in changes if begin < change < end]


def photoperiod_h(schedule: Ramp[Number] | Breakpoints[Number], above_ppfd: float = 0.0) -> Number:
    """Give the hours a day in which a place gets more light than a threshold.

    Args:
        schedule: The day of the lamp.
        above_ppfd: Threshold in µmol/(m2 s), 0 to 3000.

    Raises:
        ValueError: If the threshold is out of range.

    Uncertainty:
        That of the schedule for a threshold of 0.

    Source:
        Exact crossing of the threshold.

    >>> photoperiod_h(Ramp(200.0, 10.0, 20.0, ramp_minutes=60), above_ppfd=100.0)
    9.0
    """
    threshold = in_scalar_range("threshold", above_ppfd, *PPFD_RANGE, PPFD_UNIT)
    return as_given(schedule.hours_above(threshold), _first(schedule))


def plateau_for_integral(integral_mol_m2_d: Number, ramp: Ramp[float]) -> Number:
    """Give the plateau in µmol/(m2 s) with which a schedule gives a wanted daily sum.

    Args:
        integral_mol_m2_d: Wanted sum in mol/(m2 d), 0 to 100.
        ramp: Times and shape of the day; its own plateau is not used.

    Raises:
        ValueError: If a single value is out of range, or more than 3000 would be needed.

    Uncertainty:
        10 to 15 %, as for ``daily_light_integral``.

    Source:
        The integral rises in proportion to the plateau.

    >>> round(plateau_for_integral(6.48, Ramp(1.0, 10.0, 20.0, ramp_minutes=60)), 6)
    200.0
    """
    wanted = in_range("daily light integral", integral_mol_m2_d, 0.0, 100.0, "mol/(m2 d)")
    one = Ramp(1.0, ramp.on_h, ramp.off_h, ramp.ramp_minutes, ramp.shape)
    needed = in_range("plateau needed", wanted / daily_light_integral(one), *PPFD_RANGE, PPFD_UNIT)
    return as_given(needed, integral_mol_m2_d)
