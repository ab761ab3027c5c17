"""The one table of units, and the reading of a quantity as a person writes it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType

from journal_tools.problems import excerpt


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: ``canonical = value * factor + offset``, or ``curve(value)`` where that bends.

    Attributes:
        factor: Canonical units in one of these.
        offset: Canonical value of its zero.
        curve: Canonical value of a value, where no straight line gives it.
        inverse: The way back from ``curve``.
    """

    factor: float = 1.0
    offset: float = 0.0
    curve: Callable[[float], float] | None = None
    inverse: Callable[[float], float] | None = None

    def to_canonical(self, value: float) -> float:
        """Give ``value`` in the canonical unit of its dimension."""
        return self.curve(value) if self.curve else value * self.factor + self.offset

    def error_to_canonical(self, value: float, error: float) -> float:
        """Give an error around ``value`` in the canonical unit (offsets cancel)."""
        if self.curve:
            return abs(self.curve(value + error) - self.curve(value - error)) / 2
        return abs(error * self.factor)

    def from_canonical(self, value: float) -> float:
        """Give a value of the canonical unit in this one."""
        return self.inverse(value) if self.inverse else (value - self.offset) / self.factor

    def error_at(self, canonical: float, error: float) -> float:
        """Give an error stated in this unit, around a canonical value, in the canonical unit."""
        step = 1e-3
        return error * step / self.error_from_canonical(canonical, step)

    def error_from_canonical(self, value: float, error: float) -> float:
        """Give an error around a value of the canonical unit in this one."""
        if self.inverse:
            return abs(self.inverse(value + error) - self.inverse(value - error)) / 2
        return abs(error / self.factor)


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity: its canonical unit and every spelling that is understood.

    Attributes:
        name: Key in ``DIMENSIONS``.
        canonical: Unit of all tables.
        units: Every unit by the spelling that messages show.
        written: That spelling by its plain form, without case, degree signs and double spaces.
        arbitrary_zero: True where a percentage of a value says nothing, as of 25 °C.
    """

    name: str
    canonical: str
    units: Mapping[str, Unit]
    written: Mapping[str, str]
    arbitrary_zero: bool = False

    def find(self, spelling: str) -> Unit | None:
        """Give the unit of a spelling, upper and lower case alike, or None."""
        known = self.written.get(_plain(spelling))
        return None if known is None else self.units[known]

    def written_as(self, spelling: str) -> str:
        """Give the spelling that messages and pages show for one that was understood."""
        return self.written[_plain(spelling)]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with what the writer said about it.

    Attributes:
        value: In the canonical unit of the dimension.
        error: One standard deviation in the same unit, or None if not stated.
        censored: ``"below"`` or ``"above"`` where the test could only say that, else ``""``.
        text: As written in the file.
        bare_unit: The unit that a number without one was taken in, else ``""``.
        unit: The unit that it was read in, as messages spell it.
    """

    value: float
    error: float | None = None
    censored: str = ""
    text: str = ""
    bare_unit: str = ""
    unit: str = ""

    @property
    def said(self) -> str:
        """What was written, with the unit that it was taken in."""
        return f"{self.text} {self.bare_unit}" if self.bare_unit else self.text


class QuantityError(ValueError):
    """A quantity that cannot be understood: ``code``, ``what`` and ``hint`` for a problem."""

    def __init__(self, code: str, what: str, hint: str) -> None:
        super().__init__(f"{what} {hint}")
        self.code, self.what, self.hint = code, what, hint


def _plain(spelling: str) -> str:
    folded = spelling.replace("μ", "µ").replace("³", "3").replace("²", "2").replace("°", "")
    return re.sub(r"\s+", " ", folded.strip()).casefold().replace(" / ", "/")


def _sg(reference: str) -> Unit:
    def curve(value: float) -> float:
        from journal_tools.science.water.seawater import salinity_from_specific_gravity

        return float(salinity_from_specific_gravity(value, reference))

    def inverse(salinity: float) -> float:
        from journal_tools.science.water.seawater import specific_gravity

        return float(specific_gravity(_on_scale(salinity), reference))

    return Unit(curve=curve, inverse=inverse)


def _on_scale(salinity: float) -> float:
    """Keep the ends of an error bar within the practical salinity scale, 2 to 42."""
    return min(42.0, max(2.0, salinity))


def _salinity_at_25(conductivity_ms_cm: float) -> float:
    from journal_tools.science.water.seawater import salinity_from_conductivity

    return float(salinity_from_conductivity(conductivity_ms_cm, 25.0))


def _conductivity_at_25(salinity: float) -> float:
    from journal_tools.science.water.seawater import conductivity_ms_cm

    return float(conductivity_ms_cm(_on_scale(salinity), 25.0))


_GALLON_L, _IMPERIAL_GALLON_L, _POUND_G, _INCH_CM = 3.785411784, 4.54609, 453.59237, 2.54
_DKH_PER_MEQ = 2.8038691

_SEAWATER_KG_L = 1.0233412
"""Density at 35 psu and 25 °C (EOS-80): what parts mg/kg of an ocean laboratory from mg/L."""

_MASS_PER_VOLUME = {
    "mg/L": Unit(), "ppm": Unit(), "µg/L": Unit(1e-3), "ug/L": Unit(1e-3), "ppb": Unit(1e-3),
    "g/L": Unit(1e3), "mg/kg": Unit(_SEAWATER_KG_L), "µg/kg": Unit(1e-3 * _SEAWATER_KG_L),
}  # fmt: skip


def _basis(element: str, factor: float, ion: str) -> dict[str, Unit]:
    """Give the spellings of a concentration reported by its element instead of its ion."""
    names = (element, f"{ion}-{element}")
    return {
        f"{unit} {name}": Unit(conversion.factor * factor)
        for unit, conversion in _MASS_PER_VOLUME.items()
        for name in names
    } | {f"{unit} {ion}": conversion for unit, conversion in _MASS_PER_VOLUME.items()}


def _ammonia() -> dict[str, Unit]:
    """Spellings of total ammonia; the number alone is taken as nitrogen (N)."""
    bases = {"": 1.0, " N": 1.0, " NH3-N": 1.0, " NH4-N": 1.0, " TAN": 1.0,
             " NH3": 1 / 1.2158801, " NH4": 1 / 1.2878469}  # fmt: skip
    return {
        unit + name: Unit(conversion.factor * factor)
        for unit, conversion in _MASS_PER_VOLUME.items()
        for name, factor in bases.items()
    }


def _dimension(
    name: str, canonical: str, units: Mapping[str, Unit], *, arbitrary_zero: bool = False
) -> Dimension:
    written: dict[str, str] = {}
    for spelling in units:
        written.setdefault(_plain(spelling), spelling)
    return Dimension(name, canonical, units, written, arbitrary_zero)


_TABLE = (
    _dimension("temperature", "°C", {
        "°C": Unit(), "C": Unit(), "degC": Unit(), "°F": Unit(5 / 9, -160 / 9),
        "F": Unit(5 / 9, -160 / 9), "degF": Unit(5 / 9, -160 / 9), "K": Unit(1, -273.15),
    }, arbitrary_zero=True),
    _dimension("temperature_difference", "K", {
        "K": Unit(), "°C": Unit(), "C": Unit(), "°F": Unit(5 / 9), "F": Unit(5 / 9)}),
    _dimension("volume", "L", {
        "L": Unit(), "litre": Unit(), "litres": Unit(), "liter": Unit(), "liters": Unit(),
        "ml": Unit(1e-3), "cm3": Unit(1e-3), "m3": Unit(1e3), "gal": Unit(_GALLON_L),
        "US gal": Unit(_GALLON_L), "gallon": Unit(_GALLON_L), "gallons": Unit(_GALLON_L),
        "imp gal": Unit(_IMPERIAL_GALLON_L), "fl oz": Unit(_GALLON_L / 128),
        "qt": Unit(_GALLON_L / 4), "cup": Unit(_GALLON_L / 16)}),
    _dimension("length", "cm", {
        "cm": Unit(), "mm": Unit(0.1), "m": Unit(100), "in": Unit(_INCH_CM), '"': Unit(_INCH_CM),
        "inch": Unit(_INCH_CM), "inches": Unit(_INCH_CM), "ft": Unit(12 * _INCH_CM)}),
    _dimension("mass", "g", {
        "g": Unit(), "kg": Unit(1e3), "mg": Unit(1e-3), "lb": Unit(_POUND_G),
        "lbs": Unit(_POUND_G), "oz": Unit(_POUND_G / 16)}),
    _dimension("flow", "L/h", {
        "L/h": Unit(), "lph": Unit(), "L/min": Unit(60), "ml/min": Unit(0.06), "ml/s": Unit(3.6),
        "L/s": Unit(3600), "m3/h": Unit(1e3), "gal/h": Unit(_GALLON_L), "gph": Unit(_GALLON_L),
        "gpm": Unit(60 * _GALLON_L), "imp gal/h": Unit(_IMPERIAL_GALLON_L)}),
    _dimension("power", "W", {"W": Unit(), "kW": Unit(1e3), "mW": Unit(1e-3)}),
    _dimension("period", "days", {
        "day": Unit(), "days": Unit(), "d": Unit(), "week": Unit(7), "weeks": Unit(7),
        "month": Unit(30.4375), "months": Unit(30.4375), "year": Unit(365.25),
        "years": Unit(365.25), "min": Unit(1 / 1440), "minutes": Unit(1 / 1440),
        "hour": Unit(1 / 24), "hours": Unit(1 / 24), "h": Unit(1 / 24)}),
    _dimension("percent", "%", {"%": Unit(), "percent": Unit()}),
    _dimension("gas_fraction", "ppm", {"ppm": Unit(), "µatm": Unit(), "%": Unit(1e4)}),
    _dimension("voltage", "mV", {"mV": Unit(), "V": Unit(1e3)}),
    _dimension("ph", "pH", {"pH": Unit()}),
    _dimension("salinity", "psu", {
        "psu": Unit(), "ppt": Unit(), "‰": Unit(), "g/kg": Unit(35 / 35.16504),
        "SG": _sg("25/25"), "SG 25/25": _sg("25/25"), "SG 20/20": _sg("20/20"),
        "SG 60/60F": _sg("60/60F"), "SG 25/20": _sg("25/20"), "SG 20/4": _sg("20/4"),
        "SG 25/4": _sg("25/4"), "mS/cm": Unit(curve=_salinity_at_25, inverse=_conductivity_at_25)}),
    _dimension("alkalinity", "dKH", {
        "dKH": Unit(), "°dH": Unit(), "°KH": Unit(), "meq/L": Unit(_DKH_PER_MEQ),
        "mmol/L": Unit(_DKH_PER_MEQ), "mg/L CaCO3": Unit(_DKH_PER_MEQ / 50.0435),
        "ppm CaCO3": Unit(_DKH_PER_MEQ / 50.0435), "ppm": Unit(_DKH_PER_MEQ / 50.0435)}),
    _dimension("concentration", "mg/L", _MASS_PER_VOLUME),
    _dimension("trace", "µg/L", {k: Unit(u.factor * 1e3) for k, u in _MASS_PER_VOLUME.items()}),
    _dimension("nitrate", "mg/L", _MASS_PER_VOLUME | _basis("N", 4.4267988, "NO3")),
    _dimension("nitrite", "mg/L", _MASS_PER_VOLUME | _basis("N", 3.2845356, "NO2")),
    _dimension("phosphate", "mg/L", _MASS_PER_VOLUME | _basis("P", 3.0661876, "PO4")),
    _dimension("ammonia", "mg/L N", _ammonia()),
)  # fmt: skip

DIMENSIONS: MappingProxyType[str, Dimension] = MappingProxyType({d.name: d for d in _TABLE})
"""Every dimension by name.

Exact factors: NIST SP 811 (gallon, inch, pound) and the Weights and Measures Act 1985 (imperial
gallon). ``1 dKH`` is 10 mg/L CaO (DIN 38409-7). Factors between an ion and its element follow
from IUPAC 2021 atomic weights; a test recomputes them. ``ppm`` counts as mg/L, as tests print it;
in seawater mg/kg is 2.3 % less. Specific gravity without a reference is 25/25 °C.
"""

_NUMBER = r"[-+]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:[eE][-+]?\d+)?"
_QUANTITY = re.compile(
    rf"\s*(?P<sign><|>|≤|≥|below\b|above\b|under\b|over\b)?\s*(?P<value>{_NUMBER})\s*"
    rf"(?:(?:±|\+/-|\+-)\s*(?P<error>{_NUMBER})\s*(?P<percent>%(?=\s*\S|\s*$))?)?\s*(?P<unit>.*?)\s*",
    re.IGNORECASE | re.DOTALL,
)
_ERROR = "Write the error before the unit, such as '8.2 ± 0.1 dKH'."
_BELOW, _ABOVE = frozenset({"<", "≤", "below", "under"}), frozenset({">", "≥", "above", "over"})
_THOUSANDS = re.compile(r"[-+]?[1-9]\d{0,2},\d{3}(?!\d)")


def parse_quantity(written: object, dimension: Dimension, bare_unit: str) -> Quantity:
    """Give the quantity that a person wrote, in the canonical unit of ``dimension``.

    Args:
        written: A number, or text such as ``8.2 dKH``, ``8,2``, ``412 ± 8 L``, ``< 0.25``.
        dimension: What kind of quantity is wanted.
        bare_unit: Unit of a number that stands without one (a spelling of ``dimension``).

    Raises:
        QuantityError: If it is no number, not finite, or in a unit of another kind.

    >>> parse_quantity("78 F", DIMENSIONS["temperature"], "C").value
    25.555555555555557
    >>> parse_quantity("< 0,25 mg/L", DIMENSIONS["nitrate"], "mg/L").censored
    'below'
    """
    text = _as_text(written)
    match = _QUANTITY.fullmatch(text)
    if not match:
        raise QuantityError(
            "not-a-number",
            f"'{excerpt(text)}' is not a number.",
            f"Write a number, such as {_example(dimension)}.",
        )
    value = decimal_number(match["value"], text)
    per_cent = bool(match["percent"])
    if per_cent and not match["unit"] and dimension.find("%"):
        # '50 ± 2 %' of humidity: the sign is the unit of both.
        spelling, per_cent = "%", False
    else:
        spelling = match["unit"] or bare_unit
    unit = _unit(spelling, dimension, text)
    canonical = _finite(unit, value, text)
    error = None
    if match["error"] is not None:
        stated = decimal_number(match["error"], text)
        if per_cent:
            stated = _share(stated, value, dimension, text)
        error = _error(unit, value, stated, text)
    sign = (match["sign"] or "").casefold()
    censored = "below" if sign in _BELOW else "above" if sign in _ABOVE else ""
    bare = "" if match["unit"] or match["percent"] else dimension.written_as(bare_unit)
    read_in = dimension.written_as(spelling)
    return Quantity(canonical, error, censored, text.strip(), bare, read_in)


def _as_text(written: object) -> str:
    if isinstance(written, bool) or not isinstance(written, int | float | str):
        shown = "nothing" if written is None else f"'{excerpt(written)}'"
        raise QuantityError(
            "not-a-number",
            f"A number is wanted here, not {shown}.",
            "Write a number with its unit.",
        )
    return str(written)


def decimal_number(text: str, whole: str) -> float:
    """Give the number of ``8.2`` or ``8,2``.

    Args:
        text: Digits with at most one point or comma.
        whole: What the text stands in, for the message.

    Raises:
        QuantityError: If the comma may as well part thousands, as in ``1,310``.
    """
    if _THOUSANDS.fullmatch(text):
        plain = text.replace(",", "")
        raise QuantityError(
            "ambiguous-comma",
            f"'{excerpt(whole)}' can be read in two ways: {plain} or {text.replace(',', '.')}.",
            f"Write {plain} without the comma, or a decimal point.",
        )
    return float(text.replace(",", "."))


def _unit(spelling: str, dimension: Dimension, whole: str) -> Unit:
    unit = dimension.find(spelling)
    if unit is not None:
        return unit
    kind = _kind(dimension)
    others = [_kind(d) for d in _TABLE if d.find(spelling)]
    wanted = f"Use {dimension.canonical}: for example {_example(dimension)}."
    if others:
        what = f"'{excerpt(whole)}' is in a unit of {others[0]}; {kind} is wanted here."
        raise QuantityError("wrong-unit", what, wanted)
    if re.search(r"±|\+/-|\+-", spelling):
        raise QuantityError("bad-error", f"The error in '{excerpt(whole)}' cannot be read.", _ERROR)
    near = get_close_matches(_plain(spelling), dimension.written, 1)
    hint = f"Did you mean '{dimension.written[near[0]]}'? {wanted}" if near else wanted
    raise QuantityError(
        "unknown-unit", f"The unit '{excerpt(spelling)}' is not known for {kind}.", hint
    )


def _finite(unit: Unit, value: float, whole: str) -> float:
    try:
        canonical = unit.to_canonical(value)
    except ValueError as error:
        raise QuantityError(
            "impossible-value",
            f"'{excerpt(whole)}' cannot be: {error}.",
            "Check the number and its unit.",
        ) from error
    if not math.isfinite(canonical):
        raise QuantityError(
            "not-finite",
            f"'{excerpt(whole)}' is not a finite number.",
            "Write the number that was read.",
        )
    return canonical


def _share(percent: float, value: float, dimension: Dimension, whole: str) -> float:
    if dimension.arbitrary_zero:
        what = f"A percentage is no error of a {_kind(dimension)}, as in '{excerpt(whole)}'."
        raise QuantityError("bad-error", what, "Write it in degrees: '25.4 ± 0.2 °C'.")
    return abs(value) * percent / 100


def _error(unit: Unit, value: float, stated: float, whole: str) -> float:
    if stated < 0 or not math.isfinite(stated):
        what = f"The error in '{excerpt(whole)}' is not possible."
        raise QuantityError("bad-error", what, _ERROR)
    try:
        return unit.error_to_canonical(value, stated)
    except ValueError as error:
        what = f"The error in '{excerpt(whole)}' reaches beyond what can be: {error}."
        raise QuantityError("bad-error", what, "Write a smaller error.") from error


def _kind(dimension: Dimension) -> str:
    return "pH" if dimension.name == "ph" else dimension.name.replace("_", " ")


def _example(dimension: Dimension) -> str:
    number = {"temperature": "25.4", "salinity": "35", "alkalinity": "8.2", "ph": "8.15"}
    return f"'{number.get(dimension.name, '12')} {dimension.canonical}'"
