"""How far carbon dioxide and saturation may be off, from the errors of what was measured."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic

import numpy as np

from journal_tools.science.carbonates.carbonate import (
    CarbonateSystem,
    Water,
    in_chunks,
    species_unchecked,
)
from journal_tools.science.carbonates.carbonate_constants import element_umol_kg
from journal_tools.science.carbonates.ph_scales import JUNCTION_OFFSET_PH, PhScale
from journal_tools.science.validity import FloatArray, Number, as_given, in_scalar_range


@dataclass(frozen=True, slots=True)
class InputErrors:
    """One standard deviation of each value that was measured.

    Attributes:
        ph: Of the pH, 0 to 1. On the ``nbs`` scale the liquid junction is added by itself.
        alkalinity_umol_kg: Of the alkalinity in µmol/kg, 0 to 5000; 0.3 dKH is 105.
        temperature_c: Of the temperature in °C, 0 to 5.
        salinity: Of the salinity in psu, 0 to 5.
        calcium_mg_l: Of the calcium in mg/L, 0 to 500; also where it is only taken as natural.

    Raises:
        ValueError: If one is out of range.

    >>> InputErrors(ph=0.1, alkalinity_umol_kg=50.0).salinity
    0.0
    """

    ph: float
    alkalinity_umol_kg: float
    temperature_c: float = 0.0
    salinity: float = 0.0
    calcium_mg_l: float = 0.0

    def __post_init__(self) -> None:
        in_scalar_range("error of pH", self.ph, 0.0, 1.0)
        in_scalar_range("error of alkalinity", self.alkalinity_umol_kg, 0.0, 5000.0, "µmol/kg")
        in_scalar_range("error of temperature", self.temperature_c, 0.0, 5.0, "°C")
        in_scalar_range("error of salinity", self.salinity, 0.0, 5.0, "psu")
        in_scalar_range("error of calcium", self.calcium_mg_l, 0.0, 500.0, "mg/L")


@dataclass(frozen=True, slots=True, eq=False)
class Band(Generic[Number]):
    """A value with the range of one standard deviation to both sides, in one unit.

    Attributes:
        value: The value.
        low: One standard deviation below.
        high: One standard deviation above; further off than ``low``.
    """

    value: Number
    low: Number
    high: Number


@dataclass(frozen=True, slots=True, eq=False)
class CarbonateBands(Generic[Number]):
    """The three results that people look at, each with its range.

    Attributes:
        pco2_uatm: Partial pressure of carbon dioxide in µatm.
        aragonite_saturation: Saturation state of aragonite.
        calcite_saturation: Saturation state of calcite.
    """

    pco2_uatm: Band[Number]
    aragonite_saturation: Band[Number]
    calcite_saturation: Band[Number]


def carbonate_bands(system: CarbonateSystem[Number], errors: InputErrors) -> CarbonateBands[Number]:
    """Give carbon dioxide in µatm and the saturation states with their one-sigma range.

    Each input is moved by its error, up and down, and the effects are added as squares of
    logarithms, since carbon dioxide goes with the power of ten of pH.

    Args:
        system: As ``carbonate_system`` gives it.
        errors: Standard deviations of what was measured; errors are taken as independent. If pH
            is on ``nbs``, 0.05 for the liquid junction is added to that of the pH.

    Raises:
        ValueError: If for a single water one error alone leaves no alkalinity for carbonate.

    Uncertainty:
        The constants are not in it: 2 % of pCO2 and 5 % of saturation more.

    Source:
        Propagation of errors (JCGM 100:2008) by finite differences.

    >>> from journal_tools.science.carbonates.carbonate import carbonate_system
    >>> tank = carbonate_system(2788.1, 8.2, 35.0, 25.0, ph_scale="nbs")
    >>> pco2 = carbonate_bands(tank, InputErrors(ph=0.1, alkalinity_umol_kg=50.0)).pco2_uatm
    >>> round(pco2.low, -1), round(pco2.value, -1), round(pco2.high, -1)
    (330.0, 460.0, 630.0)
    """
    water, scale = system.water, system.ph_scale
    # The density formula ends at 42 psu, which for the unit of an error is as good as 43.
    salinity = np.asarray(np.minimum(water.salinity, 42.0))
    calcium = np.asarray(errors.calcium_mg_l)
    calcium_error = element_umol_kg("Ca", calcium, salinity, water.temperature_c)

    def factors(*columns: FloatArray) -> tuple[FloatArray, ...]:
        *inputs, calcium_step = columns
        middle = _logarithms(scale, inputs)
        fall, rise = np.zeros_like(middle), np.zeros_like(middle)
        for steps in _steps(errors, water, scale, inputs, calcium_step):
            moved = [[a + b for a, b in zip(inputs, steps, strict=True)]]
            moved += [[a - b for a, b in zip(inputs, steps, strict=True)]]
            changes = np.stack([_logarithms(scale, one) - middle for one in moved])
            rise += np.maximum(changes.max(axis=0), 0.0) ** 2
            fall += np.minimum(changes.min(axis=0), 0.0) ** 2
        return tuple(np.exp(np.concatenate((-np.sqrt(fall), np.sqrt(rise)))))

    measured = (system.alkalinity_umol_kg, system.ph, water.salinity, water.temperature_c)
    contents = (water.calcium_umol_kg, water.boron_umol_kg, np.asarray(calcium_error))
    found = in_chunks(factors, *(np.asarray(column) for column in measured), *contents)
    factor = [as_given(column, system.ph) for column in found]
    return CarbonateBands(
        _band(system.pco2_uatm, factor[0], factor[3]),
        _band(system.aragonite_saturation, factor[1], factor[4]),
        _band(system.calcite_saturation, factor[2], factor[5]),
    )


def _band(value: Number, fall: Number, rise: Number) -> Band[Number]:
    return Band(value, value * fall, value * rise)


def _steps(
    errors: InputErrors,
    water: Water,
    scale: PhScale,
    inputs: Sequence[FloatArray],
    calcium_step: FloatArray,
) -> tuple[tuple[float | FloatArray, ...], ...]:
    """Give for each error by how much it moves the columns of ``species_unchecked``."""
    ph_step = math.hypot(errors.ph, JUNCTION_OFFSET_PH if scale == "nbs" else 0.0)
    # Calcium that nobody measured goes along with the salinity.
    per_psu = 0.0 if water.calcium_measured else inputs[4] / inputs[2]
    return (
        (errors.alkalinity_umol_kg, 0, 0, 0, 0, 0),
        (0, ph_step, 0, 0, 0, 0),
        (0, 0, errors.salinity, 0, per_psu * errors.salinity, 0),
        (0, 0, 0, errors.temperature_c, 0, 0),
        (0, 0, 0, 0, calcium_step, 0),
    )


def _logarithms(scale: PhScale, columns: Sequence[FloatArray]) -> FloatArray:
    """Give the logarithms of the three results as rows."""
    found = species_unchecked(scale, *columns)
    rows = (found.pco2_uatm, found.aragonite_saturation, found.calcite_saturation)
    return np.asarray(np.log(np.stack(np.broadcast_arrays(*rows))))
