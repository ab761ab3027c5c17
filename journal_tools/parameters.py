"""The water parameters that a journal can hold: one row for each."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Parameter:
    """A quantity that is tested and logged.

    Attributes:
        name: Key in entries and tables.
        label: Name for a person.
        unit: Canonical unit of all tables and pages.
        dimension: Which units are understood (a key of ``units.DIMENSIONS``).
        decimals: Digits after the point when a value is shown.
        possible: Values outside cannot be tank water and are dropped with a problem.
        usual: Default target band. Common practice, no source; the profile overrides it.
        retest_days: Days after which a test counts as old. Common practice, no source.
        test_error: One standard deviation of a usual test in ``unit``, used where neither the
            reading nor the profile states one. Common practice, no source.
        aliases: Short names that a message recognises.
    """

    name: str
    label: str
    unit: str
    dimension: str
    decimals: int
    possible: tuple[float, float]
    usual: tuple[float | None, float | None] | None = None
    retest_days: int | None = None
    test_error: float = 0.0
    aliases: tuple[str, ...] = ()

    @property
    def in_text(self) -> str:
        """The label as it stands inside a sentence.

        >>> PARAMETERS["ammonia"].in_text, PARAMETERS["ph"].in_text
        ('total ammonia (as N)', 'pH (buffer scale)')
        """
        first, *rest = self.label.split(" ")
        # A word with a capital inside it, such as pH, keeps its letters.
        word = first if first != first.capitalize() else first.lower()
        return " ".join([word, *rest])


_ROWS = (
    Parameter("temperature", "Temperature", "°C", "temperature", 1, (0, 45), (24, 27), 2, 0.2,
              ("temp", "t")),
    Parameter("salinity", "Salinity", "psu", "salinity", 1, (5, 42), (34, 36), 7, 0.5,
              ("sal", "sg", "s")),
    Parameter("alkalinity", "Alkalinity", "dKH", "alkalinity", 1, (0.5, 25), (7, 11), 7, 0.2,
              ("alk", "kh", "dkh")),
    Parameter("calcium", "Calcium", "mg/L", "concentration", 0, (50, 1000), (400, 450), 14, 10,
              ("ca",)),
    Parameter("magnesium", "Magnesium", "mg/L", "concentration", 0, (200, 3000), (1250, 1400), 30,
              30, ("mg",)),
    Parameter("ph", "pH (buffer scale)", "pH", "ph", 2, (5, 10), (7.8, 8.4), 7, 0.1),
    Parameter("nitrate", "Nitrate", "mg/L", "nitrate", 1, (0, 500), (2, 15), 14, 1.0, ("no3",)),
    Parameter("phosphate", "Phosphate", "mg/L", "phosphate", 2, (0, 20), (0.02, 0.10), 14, 0.02,
              ("po4",)),
    Parameter("ammonia", "Total ammonia (as N)", "mg/L N", "ammonia", 2, (0, 20), (None, 0.1), None,
              0.1, ("nh3", "nh4", "tan")),
    Parameter("nitrite", "Nitrite", "mg/L", "nitrite", 2, (0, 50), (None, 0.1), None, 0.05,
              ("no2",)),
    Parameter("potassium", "Potassium", "mg/L", "concentration", 0, (50, 1000), (380, 420), None,
              15, ("k",)),
    Parameter("strontium", "Strontium", "mg/L", "concentration", 1, (0, 50), (7, 10), None, 1.0,
              ("sr",)),
    Parameter("silicate", "Silicate (as SiO2)", "mg/L", "concentration", 2, (0, 50), None, None,
              0.1, ("sio2",)),
    Parameter("iodine", "Iodine", "µg/L", "trace", 0, (0, 2000), None, None, 10),
    Parameter("iron", "Iron", "µg/L", "trace", 0, (0, 2000), None, None, 5, ("fe",)),
    Parameter("oxygen", "Dissolved oxygen", "mg/L", "concentration", 1, (0, 20), (5.5, None), None,
              0.3, ("o2", "do")),
    Parameter("orp", "Redox potential", "mV", "voltage", 0, (-600, 800), None, None, 20,
              ("redox",)),
    Parameter("room_temperature", "Room temperature", "°C", "temperature", 1, (-10, 50), None, None,
              0.5),
    Parameter("room_co2", "Room carbon dioxide", "ppm", "gas_fraction", 0, (250, 20000), None, None,
              50),
    Parameter("humidity", "Room humidity", "%", "percent", 0, (0, 100), None, None, 3),
)  # fmt: skip

PARAMETERS: MappingProxyType[str, Parameter] = MappingProxyType({row.name: row for row in _ROWS})
"""Every parameter by name, in the order in which pages show them."""


def find_alias(word: str) -> Parameter | None:
    """Give the parameter that a short name stands for, or None.

    >>> find_alias("KH").name
    'alkalinity'
    """
    wanted = word.casefold()
    return next((p for p in _ROWS if wanted == p.name or wanted in p.aliases), None)
