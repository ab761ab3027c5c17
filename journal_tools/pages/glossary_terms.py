"""The technical words that the site uses, each told to somebody who keeps a first tank."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from jinja2 import TemplateRuntimeError
from markupsafe import Markup

from journal_tools.pages.tree import site_link

GLOSSARY_PATH = "glossary"


@dataclass(frozen=True, slots=True)
class Term:
    """A word of the trade.

    Attributes:
        name: How templates call it, in lower case with hyphens.
        title: How a reader sees it.
        words: What it means.
        see: Names of terms that help to understand it.
    """

    name: str
    title: str
    words: str
    see: tuple[str, ...] = ()

    @property
    def anchor(self) -> str:
        """Where it stands on the glossary page."""
        return f"term-{self.name}"


_ROWS = (
    Term("activated-carbon", "Activated carbon",
         "Porous grains that take yellow colour and many organic substances out of the water. "
         "It fills up and has to be replaced.", ("skimmer",)),
    Term("alkalinity", "Alkalinity",
         "How much acid the water can take before its pH falls away. In a reef tank nearly all of "
         "it is bicarbonate and carbonate, the stuff of which corals build their skeletons, so it "
         "is the first thing that a growing tank uses up.", ("dkh", "calcium", "calcification")),
    Term("ammonia", "Ammonia",
         "The first waste of fish and of anything that rots. A test usually counts its harmless "
         "and its poisonous form together, as “total ammonia”; the higher pH and temperature, the "
         "larger the poisonous part.", ("un-ionised-ammonia", "nitrite", "maturing")),
    Term("aragonite", "Aragonite saturation",
         "Whether the water would rather let carbonate settle or dissolve it. Above 1 the mineral "
         "of coral skeletons can form; the higher, the easier. It is worked out from alkalinity, "
         "pH, calcium, salinity and temperature.", ("alkalinity", "calcification", "ph")),
    Term("band", "Target band",
         "The range in which you want a value to stay. It is your choice, not a law of nature.",
         ("time-in-band",)),
    Term("bioload", "Bioload",
         "How much waste the animals make together. Mostly a matter of how much food goes in.",
         ("skimmer", "filtration")),
    Term("calcification", "Calcification",
         "Building a skeleton or shell from calcium and carbonate. For each 1 dKH of alkalinity "
         "some 7 mg/L of calcium go with it.", ("alkalinity", "calcium")),
    Term("calcium", "Calcium",
         "The metal half of a coral's skeleton, given in milligrams per litre. Natural sea water "
         "of 35 psu holds about 410 mg/L.", ("calcification", "magnesium")),
    Term("calibration", "Calibration",
         "Letting an instrument read something whose true value is known, and setting it right by "
         "that.", ("refractometer", "drift")),
    Term("censored", "Censored reading",
         "A result like “below 0.25” or “above 50”: the test could not say more. It is shown with "
         "its sign and never taken for the number itself.", ("detection-limit",)),
    Term("check-valve", "Non-return valve",
         "A valve that lets water pass one way only. They clog; nobody should rely on one to keep "
         "a floor dry.", ("siphon-break",)),
    Term("consumption", "Consumption",
         "What the tank uses up in a day, worked out from the tests, the doses and the water "
         "changes between them.", ("mass-balance", "dosing")),
    Term("detection-limit", "Detection limit",
         "The smallest amount that a test can tell from nothing.", ("censored",)),
    Term("dkh", "dKH",
         "Degree of carbonate hardness, a unit of alkalinity. 1 dKH is 0.357 milliequivalents per "
         "litre.", ("alkalinity", "meq")),
    Term("dli", "Daily light integral (DLI)",
         "All the light that falls on a spot in a day, in moles of photons per square metre. A "
         "weak lamp for many hours can give as much as a strong one for few.", ("par",)),
    Term("dosing", "Dosing",
         "Adding in small amounts what the tank uses up.", ("consumption", "two-part", "potency")),
    Term("drift", "Drift",
         "A slow wandering of an instrument away from the truth, while the water stays the same.",
         ("calibration",)),
    Term("dry-rock", "Dry rock",
         "Rock that comes without life on it. It is safe from pests and needs longer to mature.",
         ("maturing",)),
    Term("evaporation", "Evaporation",
         "Water that leaves as vapour. The salt stays behind, so salinity climbs until fresh "
         "water replaces what went.", ("top-off", "salinity")),
    Term("filtration", "Filtration",
         "Everything that cleans the water: what catches particles, what binds substances, and "
         "above all the bacteria on rock and sand.", ("skimmer", "nitrification")),
    Term("flow-rate", "Flow",
         "Litres that pass in an hour. What is printed on a pump holds without pipes; each metre "
         "of height and each bend takes some of it.", ("head", "turnover")),
    Term("frag", "Frag",
         "A piece broken or cut from a coral to grow on as one of its own."),
    Term("head", "Head",
         "The height in metres against which a pump has to push, pipe friction included.",
         ("flow-rate",)),
    Term("interval-90", "90 % interval",
         "Two ends between which the true value should lie nine times in ten. A wide one is an "
         "honest way of saying “test more often”.", ("standard-deviation", "uncertainty")),
    Term("limewater", "Limewater",
         "A clear solution of calcium hydroxide, used as top-off to give calcium and alkalinity "
         "together. It is caustic: it burns skin and eyes.", ("top-off", "alkalinity")),
    Term("magnesium", "Magnesium",
         "The third of the large hardness values. It keeps calcium and carbonate from settling on "
         "heaters and pumps; sea water of 35 psu holds about 1,280 mg/L.", ("calcium",)),
    Term("mass-balance", "Mass balance",
         "Book-keeping with substances: what was there, plus what was added, minus what was taken "
         "out, minus what is there now, is what was used.", ("consumption",)),
    Term("maturing", "Maturing",
         "The first weeks of a tank, in which bacteria settle that turn ammonia into nitrite and "
         "nitrite into nitrate. No fish before it is over.",
         ("ammonia", "nitrite", "nitrification")),
    Term("meq", "Milliequivalent (meq/L)",
         "The chemist's unit of alkalinity. Multiply by 2.8 to have dKH.", ("dkh",)),
    Term("microatmosphere", "µatm",
         "A millionth of an atmosphere, the unit in which the pressure of carbon dioxide is given. "
         "Outdoor air has a little over 420; a closed living room may have two or three times "
         "that, and then the pH of the tank falls.", ("ph",)),
    Term("net-volume", "Net volume",
         "The water that is really there: vessels up to the water line, less rock, sand and "
         "equipment. All doses are reckoned by it.", ("sump",)),
    Term("nitrate", "Nitrate",
         "The end of the line for waste nitrogen. Corals need a little; much of it feeds algae. "
         "Some tests count the nitrogen alone, 4.4 times less.", ("nitrite", "phosphate")),
    Term("nitrification", "Nitrification",
         "What bacteria do with ammonia in the presence of oxygen: first nitrite, then nitrate.",
         ("maturing", "ammonia")),
    Term("nitrite", "Nitrite",
         "The step between ammonia and nitrate. Less dangerous in salt water than in fresh water, "
         "and a sign that maturing is under way.", ("maturing",)),
    Term("time-in-band", "Time in band",
         "The share of days on which a value was inside its target band, judged from the tests "
         "and straight lines between them.", ("band",)),
    Term("orp", "Redox potential",
         "A voltage in millivolts that tells how strongly the water oxidises. Its course says "
         "more than its height.", ("drift",)),
    Term("oxygen", "Dissolved oxygen",
         "Oxygen that fish can breathe. Warm water holds less of it, and at night everybody uses "
         "it while nobody makes any."),
    Term("par", "PAR",
         "Light that can be used for photosynthesis, counted in micromoles of photons per square "
         "metre and second at one spot.", ("dli",)),
    Term("ph", "pH",
         "How acid or alkaline the water is, on a scale in which one step is ten times. It rises "
         "with the light and falls at night. Test kits and pens give it on the buffer scale, "
         "about 0.1 above the scale of oceanographers.", ("microatmosphere", "alkalinity")),
    Term("phosphate", "Phosphate",
         "A nutrient that comes with food. A little is needed, much slows down skeletons and "
         "feeds algae.", ("nitrate",)),
    Term("potency", "Potency",
         "By how much a known dose lifts a known amount of water.", ("dosing",)),
    Term("ppm", "ppm",
         "Parts per million. For things dissolved in water it means nearly the same as milligrams "
         "per litre; for gases it counts molecules."),
    Term("probe", "Probe",
         "A sensor that stays in the water and reads by itself. It has to be cleaned and "
         "calibrated, or it tells stories.", ("drift", "calibration")),
    Term("psu", "psu",
         "Practical salinity unit: about the grams of salt in a kilogram of water. The ocean has "
         "about 35.", ("salinity", "specific-gravity")),
    Term("quarantine", "Quarantine",
         "Keeping a newcomer in a tank of its own for weeks, so that diseases show before it joins "
         "the others."),
    Term("refractometer", "Refractometer",
         "An instrument that tells salinity from how water bends light. It has to be set with a "
         "standard close to sea water; set with pure water it may be wrong by a psu or two.",
         ("salinity", "calibration")),
    Term("repeatability", "Repeatability",
         "How far results of the same water lie apart when the same person tests it again.",
         ("standard-deviation",)),
    Term("salinity", "Salinity",
         "How much salt is dissolved in the water.", ("psu", "specific-gravity", "evaporation")),
    Term("same-view", "Same-view series",
         "Photos taken from the same place again and again. Nothing else shows growth so well."),
    Term("siphon-break", "Siphon break",
         "A small hole or gap that lets air in when a pump stops, so that the display does not "
         "empty itself through the return pipe.", ("sump", "check-valve")),
    Term("skimmer", "Skimmer",
         "A column of fine bubbles to which dissolved waste clings; the foam is collected in a "
         "cup and thrown away.", ("bioload", "filtration")),
    Term("specific-gravity", "Specific gravity (SG)",
         "How many times heavier the water is than fresh water. 35 psu at 25 °C is about 1.0264. "
         "It depends on temperature, so one without a temperature is half a reading.",
         ("salinity", "psu")),
    Term("standard-deviation", "One standard deviation",
         "A measure of scatter. About two results in three lie within one of them around the "
         "true value, and nineteen in twenty within two.", ("uncertainty", "interval-90")),
    Term("stocking", "Stocking",
         "Which animals live in the tank and how many. A load estimate is no promise that they "
         "get on.", ("bioload",)),
    Term("sump", "Sump",
         "A second tank below the display for equipment. When the pump stops, it has to hold "
         "everything that flows back.", ("siphon-break", "net-volume")),
    Term("top-off", "Top-off",
         "Fresh water that replaces what evaporated.", ("evaporation", "limewater")),
    Term("total-ammonia", "Total ammonia nitrogen",
         "Both forms of ammonia, counted as nitrogen alone. As ammonia it would be 1.2 times as "
         "much.", ("ammonia",)),
    Term("trace-element", "Trace element",
         "Something that is needed in tiny amounts, given in micrograms per litre."),
    Term("trend", "Trend",
         "The direction in which a value goes, once the scatter of the tests is allowed for.",
         ("interval-90",)),
    Term("turnover", "Turnover",
         "How often in an hour the pump moves the whole net volume.", ("flow-rate", "net-volume")),
    Term("two-part", "Two-part dosing",
         "Alkalinity from one bottle and calcium from another. They must never meet undiluted: "
         "they would turn to chalk.", ("dosing", "alkalinity", "calcium")),
    Term("un-ionised-ammonia", "Un-ionised ammonia",
         "The form of ammonia that harms fish. At the pH of a reef tank it is some hundredths of "
         "the total.", ("ammonia", "ph")),
    Term("uncertainty", "Uncertainty",
         "How far the truth may lie from what is written. It grows with everything a figure was "
         "made from.", ("standard-deviation", "interval-90")),
    Term("carbon-dosing", "Carbon dosing",
         "Feeding bacteria with a source of carbon so that they take up nitrate and phosphate. "
         "Too much at once robs the water of oxygen.", ("nitrate", "phosphate", "oxygen")),
    Term("water-change", "Water change",
         "Taking out part of the water and putting in new salt water of the same salinity and "
         "temperature.", ("salinity",)),
    Term("working", "Working",
         "How a figure was reached: the formula, what went into it, and where the formula is "
         "from. On this site it stands behind each “How”.", ("uncertainty",)),
)  # fmt: skip


def _place(term: Term) -> tuple[bool, str]:
    """Give what to sort by: signs and numbers stand before all letters."""
    first = term.title[0]
    return first.isascii() and first.isalpha(), term.title.casefold()


TERMS: MappingProxyType[str, Term] = MappingProxyType(
    {term.name: term for term in sorted(_ROWS, key=_place)}
)
"""Every term by name, in the order of the alphabet."""

_PARAMETER_TERMS = {
    "ammonia": "total-ammonia", "potassium": "trace-element", "strontium": "trace-element",
    "iodine": "trace-element", "iron": "trace-element",
}  # fmt: skip


def term_link(name: str, words: str = "") -> Markup:
    """Give a word as a link to what it means.

    Args:
        name: Name of the term.
        words: How the sentence says it; its title with a small first letter if left out.

    Raises:
        TemplateRuntimeError: There is no such term; a template asked for it.

    >>> term_link("par")
    Markup('<a class="jt-term" href="site:glossary#term-par">PAR</a>')
    """
    if name not in TERMS:
        raise TemplateRuntimeError(f"the glossary has no term {name!r}")
    term = TERMS[name]
    own_case = term.title[1:2].isupper() or not term.title[0].isupper()
    said = words or (term.title if own_case else term.title[0].lower() + term.title[1:])
    address = site_link(GLOSSARY_PATH, term.anchor)
    return Markup('<a class="jt-term" href="{}">{}</a>').format(address, said)


def term_of_parameter(parameter: str) -> str | None:
    """Give the name of the term that explains a parameter, or None.

    >>> term_of_parameter("iron"), term_of_parameter("humidity")
    ('trace-element', None)
    """
    name = _PARAMETER_TERMS.get(parameter, parameter)
    return name if name in TERMS else None
