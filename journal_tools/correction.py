"""Readings with the known error of their instrument taken out; what it showed is kept beside.

Three errors are known: the scale of a refractometer or hydrometer that is not made for the
sample, the salinity that an oxygen meter was told, and what calibrations found. A reading is
corrected once, from what was written, each time the journal is read.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from journal_tools.entries import Reading
from journal_tools.instruments import MEASURES, Checkpoint, Instrument
from journal_tools.logged import LoggedEntry
from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS
from journal_tools.problems import Problem
from journal_tools.profile import Profile
from journal_tools.science.meters.calibration import (
    Calibration,
    corrected_series,
    standard_deviation_of_limits,
)
from journal_tools.science.meters.refractometry import (
    Refractometer,
    refractometer_error_psu,
    salinity_from_refractometer,
)
from journal_tools.science.water.oxygen import oxygen_with_true_salinity_mg_l
from journal_tools.science.water.seawater import (
    SPECIFIC_GRAVITY_REFERENCES,
    salinity_from_hydrometer,
)
from journal_tools.units import DIMENSIONS, Quantity

_SECONDS_A_DAY = 86_400.0
_USUAL_REFERENCE = "25/25"
_USUAL_TEMPERATURE_C = 25.0


@dataclass(frozen=True, slots=True)
class Corrected:
    """A reading as it counts.

    Attributes:
        value: In the canonical unit.
        error: What the correction adds to the error, one standard deviation.
        words: What was corrected, for the reader; ``""`` where nothing was.
    """

    value: float
    error: float = 0.0
    words: str = ""


@dataclass(frozen=True)
class Corrections:
    """The instruments of a journal with what calibrations found of them.

    Attributes:
        instruments: Every instrument of the profile by the key of its name.
        calibrations: What was found of each, by the same key.
        salinity: Practical salinity that the tank is kept at, for meters that must be told it.
    """

    instruments: Mapping[str, Instrument]
    calibrations: Mapping[str, Sequence[Calibration]]
    salinity: float = 35.0

    def of_reading(
        self, parameter: str, reading: Reading, kit: str, when: dt.datetime
    ) -> Corrected:
        """Give a reading as it counts.

        Args:
            parameter: What was measured.
            reading: As it was written.
            kit: Name of the instrument, or of any other test.
            when: The moment of the reading.
        """
        instrument = self.instruments.get(name_key(kit))
        if instrument is None or MEASURES.get(instrument.kind) != parameter:
            return Corrected(reading.value.value)
        try:
            scaled = _by_scale(
                instrument, reading.value, _degrees(reading.sample_temperature), self.salinity
            )
        except ValueError as error:
            return Corrected(reading.value.value, words=f"not corrected: {error}")
        return _by_drift(scaled, instrument, self.calibrations.get(name_key(kit), ()), when)


def _degrees(sample: Quantity | None) -> float | None:
    return None if sample is None else sample.value


def _gravity(instrument: Instrument, quantity: Quantity) -> tuple[float, str] | None:
    """Give a specific gravity as it was read, and its reference; None for another unit."""
    if not quantity.unit.startswith("SG"):
        return None
    named = quantity.unit.removeprefix("SG").strip()
    unit = DIMENSIONS["salinity"].units[quantity.unit]
    return unit.from_canonical(quantity.value), named or instrument.reference or _USUAL_REFERENCE


def _by_scale(
    instrument: Instrument, quantity: Quantity, sample_c: float | None, salinity: float
) -> Corrected:
    if instrument.kind == "oxygen meter" and instrument.salinity_setting is not None:
        return _of_oxygen_meter(instrument.salinity_setting.value, quantity, sample_c, salinity)
    if instrument.kind == "hydrometer":
        return _of_hydrometer(instrument, quantity, sample_c)
    if instrument.kind == "refractometer" and instrument.scale is not None:
        return _of_refractometer(instrument, quantity, sample_c)
    return Corrected(quantity.value)


def _of_oxygen_meter(
    setting: float, quantity: Quantity, sample_c: float | None, salinity: float
) -> Corrected:
    if setting == salinity:
        return Corrected(quantity.value)
    at = _USUAL_TEMPERATURE_C if sample_c is None else sample_c
    value = oxygen_with_true_salinity_mg_l(quantity.value, setting, salinity, at)
    return Corrected(value, words=f"oxygen meter told {setting:g} psu in water of {salinity:g}")


def _of_hydrometer(instrument: Instrument, quantity: Quantity, sample_c: float | None) -> Corrected:
    read = _gravity(instrument, quantity)
    if read is None:
        return Corrected(quantity.value)
    gravity, reference = read
    scale_c = SPECIFIC_GRAVITY_REFERENCES[reference][0]
    value = salinity_from_hydrometer(gravity, scale_c if sample_c is None else sample_c, reference)
    if math.isclose(value, quantity.value, abs_tol=1e-6):
        return Corrected(value)
    at = "" if sample_c is None else f", read at {sample_c:.1f} °C"
    return Corrected(value, words=f"hydrometer scale {reference}{at}")


def _of_refractometer(
    instrument: Instrument, quantity: Quantity, sample_c: float | None
) -> Corrected:
    read = _gravity(instrument, quantity)
    if read is None and quantity.unit not in ("psu", "ppt", "‰"):
        return Corrected(quantity.value)
    mark, reference = read or (quantity.value, _USUAL_REFERENCE)
    assert instrument.scale is not None
    device = Refractometer(
        instrument.scale,
        "salinity" if read is None else "specific gravity",
        instrument.set_with or "pure water",
        instrument.corrects_temperature,
        reference,
    )
    value = salinity_from_refractometer(mark, device, 20.0 if sample_c is None else sample_c)
    if math.isclose(value, quantity.value, abs_tol=5e-3):
        return Corrected(value)
    error = standard_deviation_of_limits(refractometer_error_psu(value, device))
    return Corrected(value, error, f"refractometer with a {instrument.scale} scale")


def _by_drift(
    scaled: Corrected, instrument: Instrument, found: Sequence[Calibration], when: dt.datetime
) -> Corrected:
    if not found:
        return scaled
    day = when.timestamp() / _SECONDS_A_DAY
    series = corrected_series(np.array([day]), np.array([scaled.value]), found)
    value = float(series.values[0])
    shift = value - scaled.value
    decimals = PARAMETERS[MEASURES[instrument.kind]].decimals
    if abs(shift) < 0.5 * 10.0 ** -(decimals + 1):
        return scaled
    words = f"calibration of {instrument.name}: {shift:+.{decimals + 1}f}".replace("-", "−")
    if series.held[0]:
        words += ", held from the nearest"
    # Drift need not be straight: any share of the shift may be the true one.
    error = float(np.hypot(scaled.error, standard_deviation_of_limits(abs(shift) / 2)))
    return Corrected(value, error, "; ".join(part for part in (scaled.words, words) if part))


def corrections_of(
    profile: Profile, entries: Iterable[LoggedEntry]
) -> tuple[Corrections, list[Problem]]:
    """Give the corrections of a journal, and what is wrong with its calibrations."""
    instruments = {name_key(item.name): item for item in profile.instruments}
    problems: list[Problem] = []
    salinity = _kept_at(profile)
    found: dict[str, dict[float, Calibration]] = {}
    for entry, index, key in _named_calibrations(entries):
        record, at = entry.record.calibrations[index], ("calibrations", index)
        instrument = instruments.get(key)
        if instrument is None:
            what = f"The instrument '{record.instrument}' is not described in tank.yml."
            hint = "Add it under 'instruments:' with its kind."
            where = (*at, "instrument")
            problems.append(entry.document.problem(where, "unknown-instrument", what, hint))
            continue
        points = getattr(record, MEASURES.get(instrument.kind, ""), ())
        day = _moment(entry, record.time).timestamp() / _SECONDS_A_DAY
        try:
            if calibration := _calibration(
                instrument, points, day, salinity, adjusted=record.adjusted
            ):
                found.setdefault(key, {})[day] = calibration
        except ValueError as error:
            what = f"This calibration cannot be used: {error}."
            hint = "Check that 'standard' and 'shown' are not swapped."
            problems.append(entry.document.problem(at, "calibration-points", what, hint))
    series = {key: list(by_day.values()) for key, by_day in found.items()}
    return Corrections(instruments, series, salinity), problems


def _kept_at(profile: Profile) -> float:
    """Give the middle of the salinity band, else that of the usual one."""
    band = getattr(profile.targets, "salinity", None)
    ends = (band.low, band.high) if band else PARAMETERS["salinity"].usual
    known = [end for end in ends or () if end is not None]
    return sum(known) / len(known) if known else 35.0


def _named_calibrations(entries: Iterable[LoggedEntry]) -> Iterator[tuple[LoggedEntry, int, str]]:
    for entry in entries:
        for index, calibration in enumerate(entry.record.calibrations):
            yield entry, index, name_key(calibration.instrument)


def _moment(entry: LoggedEntry, clock: dt.time | None) -> dt.datetime:
    if clock is None:
        return entry.time
    return dt.datetime.combine(entry.day, clock, entry.time.tzinfo)


def _calibration(
    instrument: Instrument,
    points: Sequence[Checkpoint],
    day: float,
    salinity: float,
    *,
    adjusted: bool,
) -> Calibration | None:
    """Give the calibration of up to two points, the outermost ones; None if none was shown."""
    pairs = sorted(
        (_by_scale(instrument, point.shown, None, salinity).value, point.standard.value)
        for point in points
        if point.shown is not None
    )
    outermost = pairs if len(pairs) < 3 else [pairs[0], pairs[-1]]
    return Calibration(day, tuple(outermost), adjusted) if pairs else None
