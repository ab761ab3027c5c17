"""A journal in its keeper's own units: what the pages show, while the data stay canonical.

A keeper who writes degrees Fahrenheit and gallons reads them, too. Tables and results are
converted once, as wholes, so that charts, bands and sentences need not know of it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import pandas as pd

from journal_tools.metrics import Metrics, Result
from journal_tools.metrics.probes import DIFFERENCES, LEVELS
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.profile import Profile
from journal_tools.quantities import BareUnits
from journal_tools.tables import Tables
from journal_tools.units import DIMENSIONS, Unit
from journal_tools.words import number_text

_SHOWN = {"L": ("volume", "gal"), "L/h": ("flow", "gal/h"), "cm": ("length", "in")}
"""Units of results that a journal may show otherwise: their dimension and the US unit."""

_GALLON_L, _POUND_KG, _INCH_CM = 3.785411784, 0.45359237, 2.54
_WITH_GALLONS = {
    "L/day": ("gal/day", _GALLON_L),
    "L/h per g": ("gal/h per g", _GALLON_L),
    "g/100 L": ("g/gal", 100 / _GALLON_L),
    "kg/100 L": ("lb/gal", 100 * _POUND_KG / _GALLON_L),
    "g/day per 100 L": ("g/day per 100 gal", 1 / _GALLON_L),
}
_WITH_POUNDS = {
    "kg": ("lb", _POUND_KG),
    "m²": ("ft²", (12 * _INCH_CM / 100) ** 2),
    "mm": ("in", 10 * _INCH_CM),
    "kPa": ("lb/ft²", 0.04788026),
    "MPa": ("psi", 0.006894757),
}
"""What a journal in gallons, and one in US units throughout, shows of what is made of several
units, with its size. Factors: NIST SP 811, appendix B.8."""

_EACH_LITRE = " per L"
_PER_ALKALINITY = "mg/L per dKH"


@dataclass(frozen=True)
class Display:
    """How a journal shows its quantities.

    Attributes:
        parameters: The parameter table with the units and decimals that pages show.
        units: The unit of each parameter, where it is not the canonical one.
        measures: What litres, litres an hour and centimetres are shown as, with its size.
    """

    parameters: Mapping[str, Parameter]
    units: Mapping[str, Unit]
    measures: Mapping[str, tuple[str, float]]

    def value(self, parameter: str, value: float) -> float:
        """Give a canonical value in the unit that is shown."""
        unit = self.units.get(parameter)
        return unit.from_canonical(value) if unit else value

    def error(self, parameter: str, value: float, error: float) -> float:
        """Give an error around a canonical value in the unit that is shown."""
        unit = self.units.get(parameter)
        return unit.error_from_canonical(value, error) if unit else error

    def tables(self, tables: Tables) -> Tables:
        """Give the tables with readings and target bands in the units that are shown."""
        readings, targets = tables.readings.copy(), tables.targets.copy()
        for name in self.units:
            rows = readings["parameter"] == name
            values, errors = readings.loc[rows, "value"], readings.loc[rows, "error"]
            shown = [self.value(name, value) for value in values]
            pairs = zip(values, errors, strict=True)
            readings.loc[rows, "error"] = [self.error(name, *pair) for pair in pairs]
            readings.loc[rows, "value"] = shown
            readings.loc[rows, "unit"] = self.parameters[name].unit
            for end in ("low", "high"):
                bands = targets["parameter"] == name
                targets.loc[bands, end] = [
                    end_value if pd.isna(end_value) else self.value(name, end_value)
                    for end_value in targets.loc[bands, end]
                ]
        return replace(
            tables, readings=readings, targets=targets, probe_days=self.probe_days(tables)
        )

    def probe_days(self, tables: Tables) -> pd.DataFrame:
        """Give the days of the probes in the units that are shown."""
        days = tables.probe_days.copy()
        for name, unit in self.units.items():
            rows = days["parameter"] == name
            if not rows.any():
                continue
            middles = days.loc[rows, "mean"].fillna(days.loc[rows, "minimum"])
            rates = zip(middles, days.loc[rows, "largest_rate_per_h"], strict=True)
            days.loc[rows, "largest_rate_per_h"] = [self.error(name, *pair) for pair in rates]
            for column in ("minimum", "mean", "maximum"):
                days.loc[rows, column] = [
                    value if pd.isna(value) else unit.from_canonical(value)
                    for value in days.loc[rows, column]
                ]
            days.loc[rows, "unit"] = self.parameters[name].unit
        return days

    def metrics(self, metrics: Metrics) -> Metrics:
        """Give all results in the units that are shown."""
        shown = [self._of_parameter(r, metrics.definitions[r.metric].of_parameter) for r in metrics]
        return Metrics(
            [self.result(r) for r in shown], dict(metrics.definitions), dict(metrics.beyond)
        )

    def _of_parameter(self, result: Result, kind: str) -> Result:
        """Give a level or a difference of a parameter in the unit that is shown."""
        if not kind or result.subject not in self.units:
            return result
        name = result.subject
        zero = _middle(PARAMETERS[name]) if kind == "difference" else 0.0
        less = self.value(name, zero) if kind == "difference" else 0.0

        def convert(name: str, value: float) -> float:
            return self.value(name, zero + value) - less

        ends = [None if end is None else convert(name, end) for end in (result.low, result.high)]
        low, high = sorted(ends, key=lambda end: (end is None, end)) if None not in ends else ends
        shown = self.parameters[name]
        more = shown.decimals - PARAMETERS[name].decimals
        return replace(
            result, value=convert(name, result.value), low=low, high=high, unit=shown.unit,
            decimals=result.decimals + more,
        )  # fmt: skip

    def result(self, result: Result) -> Result:
        """Give one result in the unit that is shown; what went into it stays as it was reckoned."""
        if result.unit in self.measures:
            spelling, factor = self.measures[result.unit]
            return _converted(result, factor, spelling)
        if result.unit.endswith(_EACH_LITRE) and "L" in self.measures:
            spelling, factor = self.measures["L"]
            money = result.unit.removesuffix(_EACH_LITRE)
            return _converted(result, 1 / factor, f"{money} per {spelling}")
        name = result.subject.rpartition(": ")[2]
        unit = self.units.get(name)
        # A product may be called like a parameter: only the unit tells what a result is.
        daily = f"{PARAMETERS[name].unit}/day" if name in PARAMETERS else ""
        if unit is not None and result.unit == daily:
            return _converted(result, self._size(name), f"{self.parameters[name].unit}/day")
        if result.unit == _PER_ALKALINITY and "alkalinity" in self.units:
            shown = _PER_ALKALINITY.replace("dKH", self.parameters["alkalinity"].unit)
            return _converted(result, 1 / self._size("alkalinity"), shown)
        if unit is not None and result.metric in (*LEVELS, *DIFFERENCES):
            return self._of_probe(result, name)
        return result

    def _of_probe(self, result: Result, name: str) -> Result:
        """Give what a probe showed, or a difference of such values, in the unit that is shown."""
        level, shown = result.metric in LEVELS, self.parameters[name]
        middle = _middle(PARAMETERS[name])

        def converted(value: float) -> float:
            if level:
                return self.value(name, value)
            return math.copysign(self.error(name, middle, abs(value)), value)

        ends = [converted(end) for end in (result.low, result.high) if end is not None]
        low, high = sorted(ends) if ends else (None, None)
        unit = result.unit.replace(PARAMETERS[name].unit, shown.unit)
        decimals = shown.decimals + (not level)
        value = converted(result.value)
        return replace(result, value=value, low=low, high=high, unit=unit, decimals=decimals)

    def _size(self, parameter: str) -> float:
        """Give the canonical units in one shown one, in the middle of the usual range."""
        unit = self.units[parameter]
        return 1e-3 / unit.error_from_canonical(_middle(PARAMETERS[parameter]), 1e-3)

    def volume_text(self, litres: float, decimals: int) -> str:
        """Give a volume of water with its unit."""
        shown = self.result(Result("volume", litres, "L", decimals))
        return f"{number_text(shown.value, shown.decimals)} {shown.unit}"

    def length_text(self, *centimetres: float) -> str:
        """Give a length, or how it grew, with its unit; nothing for no length."""
        shown = [self.result(Result("length", length, "cm")) for length in centimetres]
        numbers = " → ".join(number_text(length.value, 1) for length in shown)
        return f"{numbers} {shown[-1].unit}" if shown else ""


def _converted(result: Result, factor: float, unit: str) -> Result:
    low, high = (None if end is None else end / factor for end in (result.low, result.high))
    decimals = result.decimals + _more_decimals(factor)
    return replace(
        result, value=result.value / factor, low=low, high=high, unit=unit, decimals=decimals
    )


def _more_decimals(factor: float) -> int:
    """Give how many decimals more (or fewer) show a value as finely in a unit of that size."""
    return math.ceil(math.log10(abs(factor)) - 0.2)


def display_of(profile: Profile) -> Display:
    """Give how a profile's journal shows its quantities: in the units of its bare numbers."""
    bare = profile.bare_units
    parameters, units = {}, {}
    for name, parameter in PARAMETERS.items():
        dimension, unit = DIMENSIONS[parameter.dimension], bare.unit_of(parameter)
        if unit == dimension.units[dimension.canonical]:
            parameters[name] = parameter
            continue
        units[name] = unit
        slope = unit.error_to_canonical(unit.from_canonical(_middle(parameter)), 1e-3) / 1e-3
        decimals = max(0, parameter.decimals + _more_decimals(slope))
        shown = dimension.written_as(bare.of_parameter(parameter))
        parameters[name] = replace(parameter, unit=shown, decimals=decimals)
    return Display(parameters, units, _measures(bare))


def _measures(bare: BareUnits) -> dict[str, tuple[str, float]]:
    measures = {}
    for canonical, (name, us) in _SHOWN.items():
        dimension = DIMENSIONS[name]
        spelling = dimension.written_as(bare.of_dimension(name, canonical, us))
        if spelling != canonical:
            measures[canonical] = (spelling, dimension.units[spelling].factor)
    if measures.get("L", ("", 0.0))[0] == "gal":
        measures |= _WITH_GALLONS
    return measures | (_WITH_POUNDS if bare.us else {})


def _middle(parameter: Parameter) -> float:
    low, high = parameter.usual or parameter.possible
    ends = [end for end in (low, high) if end is not None]
    return sum(ends) / len(ends)
