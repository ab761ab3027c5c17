"""What pairs of tests say together: carbon dioxide, saturation, un-ionised ammonia, oxygen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from journal_tools.metrics.gear import usual_water
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.moments import epoch_days
from journal_tools.parameters import PARAMETERS
from journal_tools.science.additives.stoichiometry import alkalinity_umol_kg
from journal_tools.science.carbonates.carbonate import CarbonateSystem, carbonate_system
from journal_tools.science.carbonates.carbonate_bands import (
    CarbonateBands,
    InputErrors,
    carbonate_bands,
)
from journal_tools.science.carbonates.carbonate_equilibrium import equilibrium_ph_in_air
from journal_tools.science.validity import FloatArray
from journal_tools.science.water.air_pressure import standard_pressure_hpa
from journal_tools.science.water.ammonia import ammonia_mg_l, un_ionised_share_spread
from journal_tools.science.water.ammonia_guidelines import GUIDELINES
from journal_tools.science.water.oxygen import oxygen_saturation_percent
from journal_tools.tables import Tables, rows_of

_TOGETHER_DAYS = 1.0
"""Alkalinity moves by a few percent a day: a pH a day apart still tells of the same water."""
_NEAR_DAYS = 14.0
_ASSUMED_ERRORS = {"temperature": 1.0, "salinity": 1.0, "calcium": 30.0}
_USUAL_AIR_PPM = 425.0
_NATURAL_CALCIUM_MG_L = 422.0
"""Of natural seawater at 35 psu, 412 mg/kg (Millero et al. 2008, from memory), in mg/L."""


@dataclass(frozen=True)
class _Column:
    """One parameter beside readings of another: nearest value, its error, and where it stands."""

    value: FloatArray
    error: FloatArray
    inputs: list[Input]


def _uncensored(tables: Tables, parameter: str) -> pd.DataFrame:
    rows = tables.readings_of(parameter)
    return rows[rows["censored"] == ""]


def _beside(
    tables: Tables, days: FloatArray, parameter: str, within: float, assumed: float = np.nan
) -> _Column:
    """Give the reading of ``parameter`` nearest to each moment, or what is assumed instead."""
    rows, unit = _uncensored(tables, parameter), PARAMETERS[parameter]
    error = _ASSUMED_ERRORS.get(parameter, np.nan)
    label = unit.in_text
    words = "that of natural seawater" if np.isnan(assumed) else (
        f"{assumed:.{unit.decimals}f} {unit.unit}".removesuffix(" pH")
    )  # fmt: skip
    words += " (assumed: not measured near this day)"
    inputs = [Input(label, words)] * len(days)
    values, errors = np.full(len(days), assumed), np.full(len(days), error)
    if rows.empty:
        return _Column(values, errors, inputs)
    known = epoch_days(rows["time"])
    after = np.clip(np.searchsorted(known, days), 0, len(known) - 1)
    before = np.maximum(after - 1, 0)
    nearest = np.where(np.abs(known[before] - days) <= np.abs(known[after] - days), before, after)
    near = np.abs(known[nearest] - days) <= within
    found = list(rows_of(rows[["value", "error", "entry", "line"]]))
    for place in np.flatnonzero(near):
        row = found[nearest[place]]
        values[place], errors[place] = row.value, row.error
        shown = f"{row.value:.{unit.decimals}f} {unit.unit}".removesuffix(" pH")
        inputs[place] = Input(label, shown, row.entry, int(row.line))
    return _Column(values, errors, inputs)


@dataclass(frozen=True)
class _Pairs:
    """Readings of pH with the alkalinity, calcium and water that belong to them."""

    times: list[pd.Timestamp]
    inputs: list[tuple[Input, ...]]
    system: CarbonateSystem[FloatArray]
    bands: CarbonateBands[FloatArray]


def _carbonate(tables: Tables) -> _Pairs | None:
    rows = _uncensored(tables, "ph")
    if rows.empty or _uncensored(tables, "alkalinity").empty:
        return None
    days, water = epoch_days(rows["time"]), usual_water(tables)
    alkalinity = _beside(tables, days, "alkalinity", _TOGETHER_DAYS)
    temperature = _beside(tables, days, "temperature", _NEAR_DAYS, water.temperature_c)
    salinity = _beside(tables, days, "salinity", _NEAR_DAYS, water.salinity)
    calcium = _beside(tables, days, "calcium", _NEAR_DAYS)
    there = ~np.isnan(alkalinity.value)
    if not there.any():
        return None
    of_mass = alkalinity_umol_kg(alkalinity.value, salinity.value, temperature.value)
    natural = _NATURAL_CALCIUM_MG_L * salinity.value / 35
    known_calcium = np.where(np.isnan(calcium.value), natural, calcium.value)
    ph, ph_error = (rows[name].to_numpy(dtype="float64") for name in ("value", "error"))
    system = carbonate_system(
        of_mass, ph, salinity.value, temperature.value, ph_scale="nbs", calcium_mg_l=known_calcium
    )
    errors = InputErrors(
        ph=_typical(ph_error, there, 1.0),
        alkalinity_umol_kg=_typical(of_mass / alkalinity.value * alkalinity.error, there, 5000.0),
        temperature_c=_typical(temperature.error, there, 5.0),
        salinity=_typical(salinity.error, there, 5.0),
        # more than there is cannot be missing
        calcium_mg_l=_typical(calcium.error, there, min(500.0, 0.9 * np.min(known_calcium[there]))),
    )
    columns = (alkalinity, temperature, salinity, calcium)
    tests = [
        (Input("pH (buffer scale)", f"{row.value:.2f}", row.entry, int(row.line)), *others)
        for row, *others in zip(rows_of(rows), *(column.inputs for column in columns), strict=True)
    ]
    return _Pairs(list(rows["time"]), tests, system, carbonate_bands(system, errors))


def _typical(errors: FloatArray, there: np.ndarray, most: float) -> float:
    """Give the median error where both were tested, at most what the method takes."""
    known = errors[there & np.isfinite(errors)]
    return min(most, float(np.median(known))) if known.size else most


def _of_pairs(
    metric: str, tables: Tables, done: Metrics, pick: str, unit: str, decimals: int
) -> Iterator[Result]:
    if "carbonate" not in done.worked:
        done.worked["carbonate"] = _carbonate(tables)
    pairs: _Pairs | None = done.worked["carbonate"]
    if pairs is None:
        return
    band = getattr(pairs.bands, pick)
    for time, inputs, value, low, high in zip(
        pairs.times, pairs.inputs, band.value, band.low, band.high, strict=True
    ):
        if np.isfinite([value, low, high]).all():
            yield Result(metric, float(value), unit, decimals, "", float(low), float(high), time,
                         time, inputs)  # fmt: skip


def _pco2(tables: Tables, done: Metrics) -> Iterator[Result]:
    return _of_pairs("pco2", tables, done, "pco2_uatm", "µatm", -1)


def _saturation(tables: Tables, done: Metrics) -> Iterator[Result]:
    return _of_pairs("aragonite_saturation", tables, done, "aragonite_saturation", "", 1)


_PAIRING = (
    "Each pH reading with the alkalinity nearest to it within a day, temperature, salinity and "
    "calcium within two weeks (else what the system is kept at, and the calcium of natural "
    "seawater). pH is taken as buffer-calibrated (NBS) and converted to the total scale."
)
_CARBONATE = (
    "Dickson, Sabine & Christian 2007 (PICES SP 3); K1, K2 Lueker et al. 2000; pH scale by "
    "Takahashi et al. 1982. Checked against an independent library over the whole valid range and "
    "against measured coral tanks (H. M. Putnam and co-workers, 2018)."
)
PCO2 = Metric(
    "pco2", "Carbon dioxide in the water", "µatm",
    f"{_PAIRING} Outside air is near 425 µatm; a closed room is higher. A pH off by 0.1 moves this "
    "by a quarter to a third, so look at its course and not at single digits.",
    _CARBONATE, "none",
    "one standard deviation by the errors of the tests and 0.05 for the electrode", _pco2,
)  # fmt: skip
ARAGONITE_SATURATION = Metric(
    "aragonite_saturation", "Aragonite saturation", "",
    f"{_PAIRING} Below 1 aragonite dissolves; the open tropical ocean is near 4.",
    f"{_CARBONATE} Solubility Mucci 1983.", "none",
    "one standard deviation by the errors of the tests and 0.05 for the electrode", _saturation,
)  # fmt: skip


def _expected_ph(tables: Tables, _done: Metrics) -> Iterator[Result]:
    """Give the pH that the newest alkalinity would have in balance with outside and room air."""
    rows = _uncensored(tables, "alkalinity").tail(1)
    if rows.empty:
        return
    days, water = epoch_days(rows["time"]), usual_water(tables)
    temperature = _beside(tables, days, "temperature", _NEAR_DAYS, water.temperature_c)
    salinity = _beside(tables, days, "salinity", _NEAR_DAYS, water.salinity)
    test = next(rows_of(rows))
    degrees, salt = float(temperature.value[0]), float(salinity.value[0])
    of_mass = alkalinity_umol_kg(float(test.value), salt, degrees)
    pressure = _air_pressure_hpa(tables)
    shown = Input("alkalinity", f"{test.value:.1f} dKH", test.entry, int(test.line))
    for subject, ppm, source in _airs(tables):
        ph = equilibrium_ph_in_air(of_mass, ppm, salt, degrees, "nbs", pressure)
        inputs = (shown, temperature.inputs[0], salinity.inputs[0], source)
        yield Result("equilibrium_ph", ph, "pH", 2, subject, ph - 0.06, ph + 0.06, test.time,
                     test.time, inputs)  # fmt: skip


def _air_pressure_hpa(tables: Tables) -> float:
    altitude = tables.profile.altitude
    return standard_pressure_hpa(altitude.value / 100 if altitude else 0.0)


def _airs(tables: Tables) -> Iterator[tuple[str, float, Input]]:
    yield "outside air", _USUAL_AIR_PPM, Input("carbon dioxide", f"{_USUAL_AIR_PPM:.0f} ppm, round "
                                               "figure for 2025, from memory")  # fmt: skip
    measured = _uncensored(tables, "room_co2").tail(1)
    room = tables.profile.room.carbon_dioxide
    if not measured.empty:
        row = next(rows_of(measured))
        yield (
            "this room",
            float(row.value),
            Input("carbon dioxide of the room", f"{row.value:.0f} ppm", row.entry, int(row.line)),
        )
    elif room is not None:
        yield "this room", room.value, Input("carbon dioxide of the room", room.said)


EQUILIBRIUM_PH = Metric(
    "equilibrium_ph", "Balanced pH", "pH",
    "pH (buffer scale) that the newest alkalinity would have if the water were in balance with "
    "that air, at the altitude of the profile. A measured pH well below that of outside air tells "
    "of carbon dioxide from the room or the animals, not of too little alkalinity.",
    _CARBONATE, "gas", "± 0.06: electrode and air", _expected_ph,
)  # fmt: skip


def _toxic_ammonia(tables: Tables, _done: Metrics) -> Iterator[Result]:
    rows = tables.readings_of("ammonia")
    if rows.empty:
        return
    days, water = epoch_days(rows["time"]), usual_water(tables)
    ph = _beside(tables, days, "ph", _NEAR_DAYS, 8.2)
    temperature = _beside(tables, days, "temperature", _NEAR_DAYS, water.temperature_c)
    salinity = _beside(tables, days, "salinity", _NEAR_DAYS, water.salinity)
    error = np.minimum(0.2, np.nan_to_num(ph.error, nan=0.15))
    shares = np.transpose(
        un_ionised_share_spread(ph.value, salinity.value, temperature.value, error)
    )
    for place, (row, share) in enumerate(zip(rows_of(rows), shares, strict=True)):
        if np.isnan(share).any():
            continue  # outside what the published models cover: nothing can be said
        value, least, most = (float(one) for one in share)
        total, per_n = float(row.value), ammonia_mg_l(1.0, "NH3")
        shown = f"{_SIGNS.get(row.censored, '')}{total:.2f} mg/L N"
        inputs = (Input("total ammonia", shown, row.entry, int(row.line)), ph.inputs[place],
                  temperature.inputs[place], salinity.inputs[place], *_GUIDELINES)  # fmt: skip
        lowest = 0.0 if row.censored == "below" else max(0.0, total - row.error)
        low, high = lowest * least * per_n, (total + row.error) * most * per_n
        open_end = row.censored == "above"
        yield Result("unionised_ammonia", total * value * per_n, "mg/L NH3", 3, "",
                     None if open_end else low, None if open_end else high, row.time, row.time,
                     inputs, _LIMIT_NOTES.get(row.censored, ""))  # fmt: skip


_SIGNS = {"below": "< ", "above": "> "}
_LIMIT_NOTES = {
    "below": "At most so much: the test showed less than its limit.",
    "above": "At least so much: the test showed more than it can measure.",
}
_GUIDELINES = tuple(
    Input(f"for comparison: {one.name}", f"{one.value_mg_l:g} mg/L {one.basis} ({one.source})")
    for one in GUIDELINES.values()
    if one.form == "un-ionised"
)  # fmt: skip
UNIONISED_AMMONIA = Metric(
    "unionised_ammonia", "Un-ionised ammonia", "mg/L NH3",
    "The share of the tested total that is NH3, by pH, temperature and salinity near that day (pH "
    "8.2 where none was measured). It is that share that harms; the rest is ammonium. A figure to "
    "compare with, never a verdict on the animals.",
    "Whitfield 1974 as in Bower & Bidwell 1978; the interval spans Clegg & Whitfield 1995 and the "
    "EPA 1989 form (from memory), too.",
    "chemical", "by three models and the errors of the tests", _toxic_ammonia,
)  # fmt: skip


def _oxygen(tables: Tables, _done: Metrics) -> Iterator[Result]:
    rows = _uncensored(tables, "oxygen")
    if rows.empty:
        return
    days, water = epoch_days(rows["time"]), usual_water(tables)
    temperature = _beside(tables, days, "temperature", _TOGETHER_DAYS, water.temperature_c)
    salinity = _beside(tables, days, "salinity", _NEAR_DAYS, water.salinity)
    pressure = _air_pressure_hpa(tables)
    percent, per_mg_l = (
        oxygen_saturation_percent(mg_l, salinity.value, temperature.value, pressure)
        for mg_l in (rows["value"].to_numpy(dtype="float64"), np.ones(len(rows)))
    )
    for place, row in enumerate(rows_of(rows)):
        value = float(percent[place])
        if np.isfinite(value):
            error = row.error * per_mg_l[place]
            inputs = (
                Input("oxygen", f"{row.value:.1f} mg/L", row.entry, int(row.line)),
                temperature.inputs[place], salinity.inputs[place],
                Input("air pressure by altitude", f"{pressure:.0f} hPa"),
            )  # fmt: skip
            yield Result("oxygen_saturation", value, "%", 0, "", max(0.0, value - error),
                         value + error, row.time, row.time, inputs)  # fmt: skip


OXYGEN_SATURATION = Metric(
    "oxygen_saturation", "Oxygen saturation", "%",
    "Reading divided by what this water holds in balance with air, by temperature, salinity and "
    "the altitude of the profile. Nights are lower; above 90 % is common practice, no source.",
    "Garcia & Gordon 1992, L&O 37:1307, with the coefficients of Benson & Krause 1984; standard "
    "atmosphere ISO 2533.",
    "none", "one standard deviation of the test", _oxygen,
)  # fmt: skip
