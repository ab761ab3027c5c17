"""The carbonate system of seawater from alkalinity and pH: carbon dioxide, saturation, carbon.

Other acids (phosphate, silicate, organic ones) are left out: in a reef they are below 0.1 % of the
alkalinity. The pressure is that of the surface. Alkalinity in dKH becomes µmol/kg by
``stoichiometry.alkalinity_umol_kg``, which needs the density: without it all is 2.4 % off.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, NamedTuple

import numpy as np

from journal_tools.science.carbonates.carbonate_constants import (
    constants_unchecked,
    element_umol_kg,
    fugacity_coefficient,
    solubility_products_unchecked,
    total_boron_umol_kg,
    total_calcium_umol_kg,
)
from journal_tools.science.carbonates.ph_scales import (
    PH_RANGE,
    ZERO_CELSIUS_K,
    PhScale,
    checked_water,
    log10_to_total,
)
from journal_tools.science.validity import FloatArray, Number, as_given, in_range

ALKALINITY_RANGE_UMOL_KG = (100.0, 25_000.0)
"""From a third of a dKH to the 70 dKH of a calcium reactor's outflow."""

CALCIUM_RANGE_MG_L = (20.0, 2000.0)
BORON_RANGE_UMOL_KG = (0.0, 10_000.0)

# What fits the cache of a processor: a million rows in one go would mostly wait for memory.
_ROWS_AT_ONCE = 16_384
_LN10 = math.log(10.0)


@dataclass(frozen=True, slots=True, eq=False)
class Water:
    """Seawater around the carbonate, checked: NaN where a value was out of range.

    Attributes:
        salinity: Practical salinity.
        temperature_c: Temperature in °C.
        calcium_umol_kg: Calcium in µmol/kg.
        boron_umol_kg: Boron in µmol/kg.
        calcium_measured: False if the calcium is that of natural seawater of this salinity.
    """

    salinity: FloatArray
    temperature_c: FloatArray
    calcium_umol_kg: FloatArray
    boron_umol_kg: FloatArray
    calcium_measured: bool


@dataclass(frozen=True, slots=True, eq=False)
class CarbonateSystem(Generic[Number]):
    """Everything that alkalinity and pH tell about the carbonate of a water.

    Attributes:
        alkalinity_umol_kg: Total alkalinity in µmol/kg.
        ph: pH on ``ph_scale``.
        ph_scale: Scale of ``ph``.
        water: The rest of the water.
        ph_total: pH on the total scale.
        co2_umol_kg: Dissolved carbon dioxide, carbonic acid included, in µmol/kg.
        bicarbonate_umol_kg: HCO3 in µmol/kg.
        carbonate_umol_kg: CO3 in µmol/kg.
        dic_umol_kg: Dissolved inorganic carbon, the sum of the three, in µmol/kg.
        borate_umol_kg: B(OH)4 in µmol/kg.
        pco2_uatm: Partial pressure of carbon dioxide in µatm of air in balance with the water.
        fco2_uatm: Its fugacity in µatm, 0.3 % less.
        aragonite_saturation: Saturation state of aragonite; corals build it, it dissolves below 1.
        calcite_saturation: Saturation state of calcite.
    """

    alkalinity_umol_kg: Number
    ph: Number
    ph_scale: PhScale
    water: Water
    ph_total: Number
    co2_umol_kg: Number
    bicarbonate_umol_kg: Number
    carbonate_umol_kg: Number
    dic_umol_kg: Number
    borate_umol_kg: Number
    pco2_uatm: Number
    fco2_uatm: Number
    aragonite_saturation: Number
    calcite_saturation: Number

    @property
    def borate_share_percent(self) -> Number:
        """Share of the alkalinity that is borate in %."""
        return 100 * self.borate_umol_kg / self.alkalinity_umol_kg


class Species(NamedTuple):
    """The results of ``CarbonateSystem`` in its order, from ``ph_total`` on."""

    ph_total: FloatArray
    co2_umol_kg: FloatArray
    bicarbonate_umol_kg: FloatArray
    carbonate_umol_kg: FloatArray
    dic_umol_kg: FloatArray
    borate_umol_kg: FloatArray
    pco2_uatm: FloatArray
    fco2_uatm: FloatArray
    aragonite_saturation: FloatArray
    calcite_saturation: FloatArray


def carbonate_system(  # noqa: PLR0913  (what a test kit measures, each by its name)
    alkalinity_umol_kg: Number,
    ph: Number | float,
    salinity: Number | float,
    temperature_c: Number | float,
    *,
    ph_scale: PhScale,
    calcium_mg_l: Number | float | None = None,
    boron_umol_kg: Number | float | None = None,
) -> CarbonateSystem[Number]:
    """Give carbon dioxide in µatm, saturation states and all species in µmol/kg from pH.

    Args:
        alkalinity_umol_kg: Total alkalinity in µmol/kg, 100 to 25000.
        ph: pH at the temperature of the water, 5 to 10.5.
        salinity: Practical salinity, 19 to 43; 20 to 40 on the ``nbs`` scale.
        temperature_c: Temperature in °C, 2 to 35.
        ph_scale: ``nbs`` for an electrode calibrated in buffers 4, 7 and 10. Never guess: the same
            8.2 taken as ``total`` gives a third less carbon dioxide.
        calcium_mg_l: Calcium in mg/L, 20 to 2000 (salinity then to 42); left out, that of natural
            seawater, 422 at 35 psu.
        boron_umol_kg: Boron in µmol/kg, 0 to 10000; left out, that of natural seawater after Lee
            et al. 2010. Salt with three times as much lowers saturation by 7 %.

    Raises:
        ValueError: If a single value is out of range, the scale is not known, or borate and
            hydroxide alone would need more than the alkalinity.

    Uncertainty:
        An error of 0.1 in pH moves pCO2 by -25 to +32 % and saturation by -17 to +19 %: show two
        digits at most, with the band of ``carbonate_bands``. The constants add 2 % to pCO2, 5 % to
        saturation. Saturation ignores magnesium far from its natural share.

    Source:
        Dickson, Sabine & Christian 2007, PICES Special Publ. 3; Zeebe & Wolf-Gladrow 2001, CO2 in
        Seawater; constants as in ``carbonate_constants``.

    >>> tank = carbonate_system(2788.1, 8.2, 35.0, 25.0, ph_scale="nbs")
    >>> round(tank.pco2_uatm), round(tank.aragonite_saturation, 2)
    (461, 4.26)
    """
    water = checked_contents(salinity, temperature_c, calcium_mg_l, boron_umol_kg, ph_scale)
    alkalinity = checked_alkalinity(alkalinity_umol_kg)
    checked_ph = in_range("pH", ph, *PH_RANGE)
    return system_of(alkalinity, checked_ph, ph_scale, water, alkalinity_umol_kg)


def checked_alkalinity(alkalinity_umol_kg: float | FloatArray) -> FloatArray:
    """Give an alkalinity in µmol/kg as an array, with NaN where it is out of range.

    Args:
        alkalinity_umol_kg: Total alkalinity in µmol/kg, 100 to 25000; a number in meq/L or dKH
            is below and is refused.

    Raises:
        ValueError: If a single value is out of range.

    >>> checked_alkalinity(np.array([2300.0, 8.0]))
    array([2300.,   nan])
    """
    return in_range("alkalinity", alkalinity_umol_kg, *ALKALINITY_RANGE_UMOL_KG, "µmol/kg")


def checked_contents(
    salinity: float | FloatArray,
    temperature_c: float | FloatArray,
    calcium_mg_l: float | FloatArray | None,
    boron_umol_kg: float | FloatArray | None,
    ph_scale: PhScale,
) -> Water:
    """Give the water around the carbonate, with natural calcium and boron where none is given.

    Args:
        salinity: Practical salinity, 19 to 43; 20 to 40 on the ``nbs`` scale.
        temperature_c: Temperature in °C, 2 to 35.
        calcium_mg_l: Calcium in mg/L, 20 to 2000, or None.
        boron_umol_kg: Boron in µmol/kg, 0 to 10000, or None.
        ph_scale: Scale of pH that will be used in it.

    Raises:
        ValueError: If a single value is out of range or the scale is not known.

    >>> float(checked_contents(35.0, 25.0, None, None, "nbs").boron_umol_kg)
    432.6
    """
    psu, celsius = checked_water(salinity, temperature_c, ph_scale)
    if calcium_mg_l is None:
        calcium = np.asarray(total_calcium_umol_kg(psu))
    else:
        checked = in_range("calcium", calcium_mg_l, *CALCIUM_RANGE_MG_L, "mg/L")
        calcium = np.asarray(element_umol_kg("Ca", checked, psu, celsius))
    if boron_umol_kg is None:
        boron = np.asarray(total_boron_umol_kg(psu))
    else:
        boron = in_range("boron", boron_umol_kg, *BORON_RANGE_UMOL_KG, "µmol/kg")
    return Water(psu, celsius, calcium, boron, calcium_mg_l is not None)


def system_of(
    alkalinity_umol_kg: FloatArray,
    ph: FloatArray,
    ph_scale: PhScale,
    water: Water,
    given: Number,
) -> CarbonateSystem[Number]:
    """Give the carbonate system of values that are checked already.

    Args:
        alkalinity_umol_kg: Total alkalinity in µmol/kg.
        ph: pH on ``ph_scale``.
        ph_scale: Its scale.
        water: The rest of the water.
        given: A first input of the caller, for the type checker.

    Raises:
        ValueError: If a single alkalinity is less than borate and hydroxide would need.
    """

    def species(*columns: FloatArray) -> Species:
        return species_unchecked(ph_scale, *columns)

    columns = (alkalinity_umol_kg, ph, water.salinity, water.temperature_c)
    found = in_chunks(species, *columns, water.calcium_umol_kg, water.boron_umol_kg)
    shape = found[0].shape
    return CarbonateSystem(
        as_given(np.broadcast_to(alkalinity_umol_kg, shape), given),
        as_given(np.broadcast_to(ph, shape), given),
        ph_scale,
        water,
        *(as_given(column, given) for column in found),
    )


def species_unchecked(  # noqa: PLR0913  (columns of the computation, in one order everywhere)
    ph_scale: PhScale,
    alkalinity: FloatArray,
    ph: FloatArray,
    salinity: FloatArray,
    celsius: FloatArray,
    calcium: FloatArray,
    boron: FloatArray,
) -> Species:
    """Give all species, without a look at the range of the inputs.

    Args:
        ph_scale: Scale of ``ph``.
        alkalinity: Total alkalinity in µmol/kg.
        ph: pH on ``ph_scale``.
        salinity: Practical salinity.
        celsius: Temperature in °C.
        calcium: Calcium in µmol/kg.
        boron: Boron in µmol/kg.

    Raises:
        ValueError: If a single alkalinity is less than borate and hydroxide would need.
    """
    constants = constants_unchecked(salinity, celsius)
    ratios = constants.total_per_free, constants.seawater_per_free
    ph_total = ph + log10_to_total(ph_scale, salinity, celsius + ZERO_CELSIUS_K, *ratios)
    hydrogen = np.exp(-_LN10 * ph_total)
    borate = boron * (constants.kb / (constants.kb + hydrogen))
    # Hydrogen bound to sulphate and fluoride counts as free: that is the seawater scale.
    protons = hydrogen * (ratios[1] / ratios[0])
    rest = alkalinity - borate - 1e6 * (constants.kw / hydrogen - protons)
    # Below 1 µmol/kg the rest is only the rounding of larger numbers.
    rest = in_range("alkalinity left for carbonate", rest, 1.0, np.inf, "µmol/kg")
    second = constants.k2 / hydrogen
    bicarbonate = rest / (1 + 2 * second)
    carbonate = bicarbonate * second
    co2 = bicarbonate * (hydrogen / constants.k1)
    fco2 = co2 / constants.k0
    product = calcium * carbonate * 1e-12
    aragonite, calcite = solubility_products_unchecked(salinity, celsius)
    return Species(
        np.asarray(ph_total),
        *(co2, bicarbonate, carbonate, co2 + bicarbonate + carbonate, np.asarray(borate)),
        *(fco2 / fugacity_coefficient(celsius), fco2, product / aragonite, product / calcite),
    )


def in_chunks(
    function: Callable[..., tuple[FloatArray, ...]], *columns: FloatArray
) -> list[FloatArray]:
    """Give the results of a function of columns, some thousand rows at a time.

    Args:
        function: From columns (single numbers stay single) to a tuple of columns.
        columns: Arrays that broadcast together.

    >>> [total] = in_chunks(lambda a, b: (a + b,), np.arange(3.0), np.asarray(1.0))
    >>> total
    array([1., 2., 3.])
    """
    shape = np.broadcast_shapes(*(column.shape for column in columns))
    if not shape:
        return list(function(*columns))
    rows = math.prod(shape)
    flat = [one if one.ndim == 0 else np.broadcast_to(one, shape).reshape(rows) for one in columns]
    results: list[FloatArray] = []
    # An empty array takes one turn, too, so that the number of results is known.
    for start in range(0, max(rows, 1), _ROWS_AT_ONCE):
        part = slice(start, start + _ROWS_AT_ONCE)
        found = function(*(one if one.ndim == 0 else one[part] for one in flat))
        results = results or [np.empty(rows) for _ in found]
        for result, values in zip(results, found, strict=True):
            result[part] = values
    return [result.reshape(shape) for result in results]
