"""The kinds of value that profile and entries hold: quantities, bands, dates, amounts.

Each kind reads what a person writes (``78 F``, ``8,2``, ``7.5 to 9 dKH``) and describes itself
to an editor by a JSON schema. A bare number takes the journal's own unit, which validation
receives as ``context={"units": BareUnits}``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import ValidationInfo

from journal_tools.bands import holds
from journal_tools.kinds import Kind, mistake
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.problems import excerpt
from journal_tools.units import (
    DIMENSIONS,
    Quantity,
    QuantityError,
    Unit,
    parse_quantity,
)


@dataclass(frozen=True, slots=True)
class BareUnits:
    """Which unit a number without one has in this journal.

    Attributes:
        us: True where lengths are inches, volumes US gallons and so on.
        chosen: Units that the profile names for single dimensions or parameters.
    """

    us: bool = False
    chosen: Mapping[str, str] = field(default_factory=dict)

    def of_parameter(self, parameter: Parameter) -> str:
        """Give the unit of a bare reading of ``parameter``."""
        fallback = self.of_dimension(parameter.dimension, parameter.unit, parameter.unit)
        return self.chosen.get(parameter.name, fallback)

    def unit_of(self, parameter: Parameter) -> Unit:
        """Give the unit of a bare reading with its size; the canonical one if it is not known."""
        dimension = DIMENSIONS[parameter.dimension]
        return dimension.find(self.of_parameter(parameter)) or dimension.units[dimension.canonical]

    def of_dimension(self, dimension: str, metric: str, us: str) -> str:
        """Give the unit of a bare number of ``dimension``.

        Lengths that are given in metres or millimetres, such as heads and bores, stay so when a
        journal names its unit of length.
        """
        if dimension == "length" and metric != "cm":
            return us if self.us else metric
        if dimension == "temperature" and self.us:
            us = "°F"
        return self.chosen.get(dimension, us if self.us else metric)


def bare_units(info: ValidationInfo) -> BareUnits:
    """Give the journal's units from the validation context."""
    context = info.context or {}
    units = context.get("units", BareUnits())
    assert isinstance(units, BareUnits)
    return units


def _parse(written: object, dimension: str, bare_unit: str) -> Quantity:
    try:
        return parse_quantity(written, DIMENSIONS[dimension], bare_unit)
    except QuantityError as error:
        raise mistake(error.code, error.what, error.hint) from error


def _not_a_limit(quantity: Quantity) -> Quantity:
    if quantity.censored:
        what = f"'{excerpt(quantity.text)}' is a limit; a number is wanted here."
        raise mistake("not-a-number", what, "Write the number itself, without the sign.")
    return quantity


@dataclass(frozen=True, slots=True)
class Measured(Kind):
    """Annotation of a field that holds a :class:`Quantity` of one dimension.

    Attributes:
        dimension: Key of ``units.DIMENSIONS``; the value is kept in its canonical unit.
        metric: Unit of a bare number in a metric journal.
        us: Unit of a bare number in a US journal (default: as metric).
        low: Smallest value that can be, in the canonical unit.
        high: Largest value that can be, in the canonical unit.
    """

    dimension: str
    metric: str
    us: str = ""
    low: float = 0.0
    high: float = 1e9

    def read(self, written: Any, info: ValidationInfo) -> Quantity:
        """Give the quantity, or raise a mistake that says what to write."""
        units = bare_units(info)
        bare = units.of_dimension(self.dimension, self.metric, self.us or self.metric)
        quantity = _not_a_limit(_parse(written, self.dimension, bare))
        if not self.low <= quantity.value <= self.high:
            limits = f"{self.low:.10g} to {self.high:.10g} {DIMENSIONS[self.dimension].canonical}"
            what = f"'{excerpt(quantity.text)}' is out of range ({limits})."
            raise mistake("impossible-value", what, "Check the number and its unit.")
        return quantity

    def json_schema(self) -> dict[str, Any]:
        """Describe the field to an editor."""
        canonical = DIMENSIONS[self.dimension].canonical
        us = f" ({self.us} in a US journal)" if self.us else ""
        return {
            "type": ["number", "string"],
            "description": f"Number with its unit; a bare number is {self.metric}{us}.",
            "examples": [f"12 {self.metric}", f"12 ± 0.5 {canonical}"],
        }


Volume = Annotated[Quantity, Measured("volume", "L", "gal", 0, 1e6)]


Length = Annotated[Quantity, Measured("length", "cm", "in", 0, 1e4)]


Thickness = Annotated[Quantity, Measured("length", "mm", "in", 0, 1e2)]


Height = Annotated[Quantity, Measured("length", "m", "ft", 0, 1e4)]


Mass = Annotated[Quantity, Measured("mass", "kg", "lb", 0, 1e8)]


SmallMass = Annotated[Quantity, Measured("mass", "g", "", 0, 1e7)]


Flow = Annotated[Quantity, Measured("flow", "L/h", "gal/h", 0, 1e6)]


Power = Annotated[Quantity, Measured("power", "W", "", 0, 1e5)]


Period = Annotated[Quantity, Measured("period", "days", "", 0.04, 36525)]


Percent = Annotated[Quantity, Measured("percent", "%", "", 0, 100)]


Temperature = Annotated[Quantity, Measured("temperature", "°C", "°F", -20, 60)]


_OTHER_UNITS = {
    "temperature": ("F",),
    "salinity": ("SG", "mS/cm"),
    "alkalinity": ("mg/L CaCO3", "meq/L"),
    "phosphate": ("ppb",),
    "concentration": ("ppb",),
}
"""Units that people leave out, by dimension, for the hint beside an impossible bare number."""


@dataclass(frozen=True, slots=True)
class ReadingOf(Kind):
    """Annotation of a field that holds a test result of one parameter.

    Attributes:
        parameter: Name of the parameter.
        change: True for a difference (what a dose lifts), which may be as small as it likes.
        standard: True for a liquid that an instrument is compared with, which need not be tank
            water: a buffer, pure water, ice.
    """

    parameter: str
    change: bool = False
    standard: bool = False

    def read(self, written: Any, info: ValidationInfo) -> Quantity:
        """Give the result in the parameter's unit, or raise a mistake."""
        parameter = PARAMETERS[self.parameter]
        quantity = _parse(written, parameter.dimension, bare_units(info).of_parameter(parameter))
        if self.change:
            _not_a_limit(quantity)
        low, high = (0, parameter.possible[1]) if self.change else parameter.possible
        if self.standard:
            low, high = min(0, low), 2 * high
        if not low <= quantity.value <= high:
            what = (
                f"{parameter.label} of '{excerpt(quantity.text)}' is outside what can be "
                f"({low:.10g} to {high:.10g} {parameter.unit})."
            )
            raise mistake("impossible-value", what, self.unit_hint(quantity.text))
        return quantity

    def unit_hint(self, text: str) -> str:
        """Name the unit in which a bare number would make sense."""
        parameter = PARAMETERS[self.parameter]
        low, high = parameter.usual or parameter.possible
        for spelling in _OTHER_UNITS.get(parameter.dimension, ()):
            try:
                value = parse_quantity(
                    f"{text} {spelling}", DIMENSIONS[parameter.dimension], ""
                ).value
            except QuantityError:
                continue
            if (low or 0) * 0.7 <= value <= (high or math.inf) * 1.4:
                return f"If it is in {spelling}, write '{text} {spelling}'."
        return "Check the decimal point and the unit."

    def json_schema(self) -> dict[str, Any]:
        """Describe the field to an editor."""
        unit = PARAMETERS[self.parameter].unit
        return {
            "type": ["number", "string"],
            "description": f"Result in {unit} or with its unit; '< 0.25' for below the limit.",
        }


@dataclass(frozen=True, slots=True)
class Amount:
    """A dose as it is measured out: millilitres or grams."""

    value: float
    unit: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class _AmountKind(Kind):
    def read(self, written: Any, info: ValidationInfo) -> Amount:
        try:
            volume = _not_a_limit(parse_quantity(written, DIMENSIONS["volume"], "ml"))
            result = Amount(volume.value * 1000, "ml", volume.text)
        except QuantityError as error:
            if error.code != "wrong-unit" or "unit of mass" not in error.what:
                hint = "Write millilitres or grams: '30 ml', '5 g'."
                raise mistake(error.code, error.what, hint) from error
            mass = _not_a_limit(_parse(written, "mass", "g"))
            result = Amount(mass.value, "g", mass.text)
        if not 0 < result.value < 1e6:
            what = f"A dose of '{excerpt(result.text)}' cannot be."
            raise mistake("impossible-value", what, "Write millilitres or grams: '30 ml', '5 g'.")
        return result

    def json_schema(self) -> dict[str, Any]:
        return {
            "type": ["number", "string"],
            "description": "Millilitres or grams; a bare number is ml.",
            "examples": ["30 ml", "5 g"],
        }


DoseAmount = Annotated[Amount, _AmountKind()]


@dataclass(frozen=True, slots=True)
class Band:
    """A target range in a parameter's canonical unit; None on an open side."""

    low: float | None
    high: float | None

    def __contains__(self, value: float) -> bool:
        return self.holds(value) is True

    def holds(self, value: float, censored: str = "") -> bool | None:
        """Tell whether a reading lies inside; None where a limit of the test cannot tell."""
        return holds(self.low, self.high, value, censored)


_BAND = re.compile(
    r"\s*(?P<low>[-+]?[\d.,]+)\s*(?:to|–|—|-|\.\.)\s*(?P<high>[-+]?[\d.,]+)\s*(?P<unit>.*)"
)


@dataclass(frozen=True, slots=True)
class BandOf(Kind):
    """Annotation of a field that holds the target :class:`Band` of one parameter."""

    parameter: str

    def read(self, written: Any, info: ValidationInfo) -> Band:
        """Give the band of ``7.5 to 9 dKH``, ``[7.5, 9]``, ``below 10`` or ``above 5``."""
        parameter = PARAMETERS[self.parameter]
        unit = bare_units(info).of_parameter(parameter)
        low, high = (_end(end, parameter, unit) for end in self._ends(written))
        if low is not None and high is not None and low >= high:
            what = f"The band '{excerpt(written)}' ends below its beginning."
            raise mistake("bad-band", what, "Write the smaller number first: '7.5 to 9'.")
        return Band(low, high)

    def _ends(self, written: Any) -> tuple[Any, Any]:
        if isinstance(written, list) and len(written) == 2:
            return written[0], written[1]
        if isinstance(written, str) and (match := _BAND.fullmatch(written)):
            return f"{match['low']} {match['unit']}", f"{match['high']} {match['unit']}"
        if isinstance(written, str):
            if match := re.fullmatch(r"\s*(?:below\b|under\b|[<≤])(.+)", written, re.IGNORECASE):
                return None, match[1]
            if match := re.fullmatch(r"\s*(?:above\b|over\b|[>≥])(.+)", written, re.IGNORECASE):
                return match[1], None
        hint = "Write '7.5 to 9 dKH', 'below 10' or 'above 5'."
        raise mistake("bad-band", f"'{excerpt(written)}' is not a band.", hint)

    def json_schema(self) -> dict[str, Any]:
        """Describe the field to an editor."""
        unit = PARAMETERS[self.parameter].unit
        return {
            "anyOf": [
                {"type": "string"},
                {
                    "type": "array",
                    "items": {"type": ["number", "string"]},
                    "minItems": 2,
                    "maxItems": 2,
                },
            ],
            "description": f"Target band in {unit}: 'LOW to HIGH', 'below X' or 'above X'.",
        }


def _end(written: Any, parameter: Parameter, unit: str) -> float | None:
    if written is None:
        return None
    quantity = _not_a_limit(_parse(written, parameter.dimension, unit))
    low, high = parameter.possible
    if quantity.value != 0 and not low <= quantity.value <= high:
        limits = f"{low:.10g} to {high:.10g} {parameter.unit}"
        what = f"A band to '{excerpt(quantity.text)}' is outside what can be ({limits})."
        raise mistake("impossible-value", what, ReadingOf(parameter.name).unit_hint(quantity.text))
    return quantity.value
