"""What doses do besides lifting what they are meant to: the pH of the day, and salt left behind."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.gear import usual_water
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.science.additives.calcification import salinity_rise_psu
from journal_tools.science.additives.stoichiometry import alkalinity_umol_kg
from journal_tools.science.carbonates.carbonate import carbonate_system
from journal_tools.science.carbonates.carbonate_doses import CARBON_ATOMS, after_salt
from journal_tools.tables import Tables, rows_of

_DAYS_A_MONTH = 30.4375


def _latest(tables: Tables, parameter: str) -> Input | None:
    rows = tables.readings_of(parameter)
    rows = rows[rows["censored"] == ""].tail(1)
    if rows.empty:
        return None
    row = next(rows_of(rows))
    return Input(parameter, f"{row.value:.2f}", row.entry, int(row.line))


def _ph_of_doses(tables: Tables, done: Metrics) -> Iterator[Result]:
    """Give by how much a whole day's dose at once would move the pH before any gas is exchanged."""
    alkalinity, ph = _latest(tables, "alkalinity"), _latest(tables, "ph")
    if alkalinity is None or ph is None:
        return
    water = usual_water(tables)
    of_mass = alkalinity_umol_kg(float(alkalinity.value), water.salinity, water.temperature_c)
    before = carbonate_system(of_mass, float(ph.value), water.salinity, water.temperature_c,
                              ph_scale="nbs")  # fmt: skip
    for supplement in tables.profile.supplements:
        salts = [salt for salt in supplement.salts if salt in CARBON_ATOMS]
        effect = done.one("dose_effect", f"{supplement.name}: alkalinity")
        if len(salts) != 1 or effect is None or effect.value <= 0:
            continue
        change = alkalinity_umol_kg(effect.value, water.salinity, water.temperature_c)
        after = after_salt(before, salts[0], change)
        inputs = (
            Input("alkalinity", f"{alkalinity.value} dKH", alkalinity.entry, alkalinity.line),
            Input("pH (buffer scale)", ph.value, ph.entry, ph.line),
            Input("a day's dose lifts the alkalinity by", f"{effect.value:.2f} dKH"),
            Input("salt", salts[0]),
        )
        yield Result(
            "dose_ph",
            after.ph - before.ph,
            "pH",
            2,
            supplement.name,
            end=tables.now,
            inputs=inputs,
            note="In one go; in portions over the day it hardly shows.",
        )


DOSE_PH = Metric(
    "dose_ph", "pH step if a day's dose went in at once", "pH",
    "The carbonate system before and right after, with the alkalinity and the carbon that the salt "
    "brings, before any carbon dioxide comes or goes: bicarbonate lowers pH a little, carbonate "
    "and hydroxide raise it. After some hours of air it is nearly where it was.",
    "Dickson, Sabine & Christian 2007 (PICES SP 3); Wolf-Gladrow et al. 2007 for the book-keeping.",
    "chemical", "", _ph_of_doses,
)  # fmt: skip


def _salt_left(_tables: Tables, done: Metrics) -> Iterator[Result]:
    effects = [r for r in done.of("dose_effect") if r.subject.endswith(": alkalinity")]
    total = sum(max(0.0, r.value) for r in effects)
    calcium = any(r.subject.endswith(": calcium") and r.value > 0 for r in done.of("dose_effect"))
    if total <= 0 or not calcium:
        return
    value = salinity_rise_psu(total * _DAYS_A_MONTH)
    inputs = tuple(Input(r.subject.partition(":")[0], f"{r.value:.2f} dKH/day") for r in effects)
    yield Result("salt_left", value, "psu/month", 2, "", 0.8 * value, 1.2 * value, inputs=inputs)


SALT_LEFT = Metric(
    "salt_left", "Salt that the doses leave behind", "psu/month",
    "Each dKH that is dosed as (bi)carbonate with as much calcium chloride and used up leaves "
    "20.8 g of table salt in 1000 L. Water changes and salt lost by skimming take their share.",
    "Stoichiometry with IUPAC 2021 weights.", "none", "± 20 %", _salt_left,
)  # fmt: skip
