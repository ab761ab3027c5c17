"""A check for each instrument: its scale, what comparisons with standards found, the next one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from journal_tools.instruments import MEASURES, Instrument
from journal_tools.names import name_key
from journal_tools.pages.checks.record import Check, change_text, level_text
from journal_tools.pages.site import Site
from journal_tools.pages.spots import spots_html
from journal_tools.tables import rows_of
from journal_tools.words import ago, as_heading, counted

_EXAMPLES = {
    "salinity": "{standard: 35 psu, shown: 35.4 psu}",
    "ph": "{standard: 7, shown: 7.05}",
    "temperature": "{standard: 25 °C, shown: 25.3 °C}",
    "oxygen": "{standard: 8.2 mg/L, shown: 8.0 mg/L}",
}


def instrument_checks(site: Site) -> Iterator[Check]:
    """Give a check for each instrument of the profile that measures something known."""
    for instrument in site.journal.profile.instruments:
        if instrument.kind in MEASURES:
            yield _instrument(site, instrument)


def _instrument(site: Site, instrument: Instrument) -> Check:
    parameter = MEASURES[instrument.kind]
    rows = site.tables.calibrations
    rows = rows[rows["instrument"].map(name_key) == name_key(instrument.name)]
    known = [row for row in rows_of(rows) if row.shown == row.shown]
    sentence = "; ".join([_bias(site, parameter, known), *_next(site, instrument),
                          _used(site, instrument)])  # fmt: skip
    missing = []
    if instrument.kind == "refractometer" and instrument.scale is None:
        missing.append("scale: seawater|or brine, as its manual or its printed scale says")
    if instrument.calibrate_every is None:
        missing.append(f"calibrate_every: 1 month|of {instrument.name}")
    if not known:
        facts = f"{{instrument: {instrument.name}, {parameter}: {_EXAMPLES[parameter]}}}"
        missing.append(f"calibrations: {facts}|in an entry")
    return Check(
        f"instrument-{name_key(instrument.name)}", _title(instrument), f"{sentence}.",
        gauge=_drawn(site, parameter, known), practice=_usual(instrument),
        changes="Its next comparison: between two of them a drift is taken as even, and readings "
        "are corrected for it; what it showed is kept beside.",
        missing=missing,
    )  # fmt: skip


def _bias(site: Site, parameter: str, known: Sequence[Any]) -> str:
    """Say how far off it was when it was last compared, and against what."""
    if not known:
        return "It has not been compared with a standard in this journal"
    last = known[-1]
    off = last.shown - last.standard
    found = change_text(site, parameter, last.standard, off)
    way = "right" if not off else f"{found} too {'high' if off > 0 else 'low'}"
    against = level_text(site, parameter, last.standard)
    return f"Compared with {against} ({ago(last.time.date(), site.today)}) it read {way}"


def _next(site: Site, instrument: Instrument) -> Iterator[str]:
    for task in site.tasks:
        if task.kind == "calibration" and task.subject == instrument.name:
            late = task.days_over(site.today) >= 0
            yield f"the next comparison is due{'' if late else f' {ago(task.due, site.today)}'}"


def _used(site: Site, instrument: Instrument) -> str:
    readings = site.tables.readings
    used = readings[readings["kit"].map(name_key) == name_key(instrument.name)]
    corrected = int((used["correction"] != "").sum())
    words = f"{counted(len(used), 'reading')} by it" if len(used) else "no reading names it yet"
    return f"{words}, {corrected} of them corrected" if corrected else words


def _drawn(site: Site, parameter: str, known: Sequence[Any]) -> str:
    """Draw how far off it was at every comparison, zero as a stroke."""
    if len(known) < 2:
        return ""
    offs = [row.shown - row.standard for row in known]
    ends = [
        ("+" if off > 0 else "−" if off < 0 else "")
        + change_text(site, parameter, known[-1].standard, off)
        for off in (min(*offs, 0.0), max(*offs, 0.0))
    ]
    return spots_html(offs, 0.0, (ends[0], ends[1]), "a comparison", "no error")


def _title(instrument: Instrument) -> str:
    """Give name and kind; the kind only where the name does not say it."""
    said_already = instrument.kind.casefold() in instrument.name.casefold()
    name = as_heading(instrument.name)
    return name if said_already else f"{name} ({instrument.kind})"


def _usual(instrument: Instrument) -> str:
    return _SCALES.get((instrument.kind, instrument.scale or ""), "")


_SCALES = {
    ("refractometer", "brine"): (
        "Its scale is made for table salt: set with pure water it shows seawater of 35 as 36.4 ± "
        "0.3 in per mille, but as specific gravity it reads too low (CRC Handbook; Millard & "
        "Seaver 1990). Readings are corrected for that, never twice."
    ),
    ("refractometer", "seawater"): (
        "Pure water sets its zero only; a 35 standard shows whether its slope is right, too. "
        "Compare it at room temperature, once a month (common practice, no source)."
    ),
    ("hydrometer", ""): (
        "It is made for one temperature, which stands on it: warmer water reads too low. A swing "
        "arm holds bubbles and salt that lift it; rinse it and compare it with a 35 standard "
        "(common practice, no source)."
    ),
    ("conductivity meter", ""): (
        "Compare it with a standard near seawater, 53 mS/cm at 25 °C or 35 psu, monthly; a dirty "
        "cell reads too low (common practice, no source)."
    ),
    ("pH meter", ""): (
        "Compare it with two fresh buffers, 7 and 10, monthly; an electrode ages in one to two "
        "years. Buffers of this kind and seawater differ in scale by 0.1 to 0.15 (common practice, "
        "no source)."
    ),
    ("thermometer", ""): (
        "Compare it with a second one in stirred water; melting ice in pure water is 0 °C (32 °F) "
        "(definition of the old Celsius scale)."
    ),
    ("oxygen meter", ""): (
        "Compare it with moist air or air-saturated water, and tell it the salinity (common "
        "practice, no source)."
    ),
}
