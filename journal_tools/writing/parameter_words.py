"""The words by which people call a water parameter, in English, German and Spanish."""

from __future__ import annotations

from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS, Parameter

_WORDS = {
    "temperature": "temp, water temperature, water temp, temperatur, wassertemperatur, temperatura",
    "salinity": "salzgehalt, salinität, salinidad, specific gravity=SG, sg=SG, "
    "conductivity=mS/cm, leitfähigkeit=mS/cm, leitwert=mS/cm, conductividad=mS/cm",
    "alkalinity": "alk, kh, dkh=dKH, total alkalinity, carbonate hardness, karbonathärte, "
    "alkalität, alkalinität, alcalinidad, dureza de carbonatos",
    "calcium": "ca, calcio, kalzium",
    "magnesium": "mg, magnesio",
    "ph": "ph value, ph wert",
    "nitrate": "no3, nitrates, nitrat, nitrato, nitratos, nitrate nitrogen=mg/L N, no3-n=mg/L N, "
    "nitratstickstoff=mg/L N",
    "phosphate": "po4, phosphates, phosphat, fosfato, fosfatos, phosphorus=mg/L P, po4-p=mg/L P, "
    "phosphor=mg/L P, fósforo=mg/L P",
    "ammonia": "total ammonia, nh3, nh4, nh3/nh4, ammonium, ammoniak, amonio, amoníaco, "
    "nh3-n=mg/L NH3-N, nh4-n=mg/L NH4-N",
    "nitrite": "no2, nitrites, nitrit, nitrito, nitritos, no2-n=mg/L N",
    "potassium": "k, kalium, potasio",
    "strontium": "sr, estroncio",
    "silicate": "sio2, silica, silikat, silicato",
    "iodine": "iodide, jod, iod, yodo",
    "iron": "fe, eisen, hierro",
    "oxygen": "o2, dissolved oxygen, sauerstoff, oxígeno",
    "orp": "redox, redox potential, redoxpotential",
    "room_temperature": "room temp, air temperature, raumtemperatur, zimmertemperatur, "
    "temperatura ambiente",
    "room_co2": "room carbon dioxide, co2, raum co2",
    "humidity": "room humidity, luftfeuchte, luftfeuchtigkeit, humedad",
}
"""Words by parameter; after ``=`` the unit that a word by itself says."""


def _table() -> dict[str, tuple[Parameter, str]]:
    table: dict[str, tuple[Parameter, str]] = {}
    for parameter in PARAMETERS.values():
        for word in (parameter.name, *parameter.aliases):
            table[name_key(word)] = (parameter, "")
    for name, words in _WORDS.items():
        for written in words.split(","):
            word, _, unit = written.partition("=")
            table[name_key(word)] = (PARAMETERS[name], unit.strip())
    return table


_TABLE = _table()


def parameter_called(words: str) -> tuple[Parameter, str] | None:
    """Give the parameter that some words mean, and the unit that the words say, or None.

    >>> parameter, unit = parameter_called("NO3-N")
    >>> parameter.name, unit
    ('nitrate', 'mg/L N')
    """
    return _TABLE.get(name_key(words))


def parameter_words() -> tuple[str, ...]:
    """Give every word that is known, without case, spaces and accents."""
    return tuple(_TABLE)
