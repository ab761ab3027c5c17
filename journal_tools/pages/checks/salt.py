"""Checks of salt, of what measures it, and of the top-off."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.instruments import MEASURES, Instrument
from journal_tools.metrics.gear import in_use
from journal_tools.names import name_key
from journal_tools.pages.checks.record import NO_SOURCE, Check, Practice, gauge, said
from journal_tools.pages.site import Site, interval_text
from journal_tools.parameters import PARAMETERS
from journal_tools.tables import rows_of
from journal_tools.tasks import tasks_of
from journal_tools.words import ago, as_heading, counted, number_text

_RESERVE = Practice(
    3, 14, f"A few days to two weeks: long enough for a weekend away, small enough that a stuck "
    f"float cannot drown the salinity ({NO_SOURCE}).",
)  # fmt: skip


def salt_check(site: Site) -> Check | None:
    """Give the check of the salt mix."""
    batch = site.shown.one("batch_salt")
    if batch is None:
        return None
    mix = site.journal.profile.salt_mix
    scatter = site.shown.of("batch_scatter")
    sentence = f"A usual water change takes {said(batch)} of {mix.name if mix else 'salt'}"
    if scatter:
        label = PARAMETERS[scatter[0].subject].label.lower()
        sentence += f"; from batch to batch the {label} scattered by {said(scatter[0])}"
    return Check(
        "salt", "New salt water", f"{sentence}.", batch,
        practice=f"Dry mixes hold 5 to 12 % water ({NO_SOURCE}), and an open bucket draws more: a "
        "few grams per litre either way. Test a batch before it goes in.",
        changes="Moisture, a bucket that has settled (roll it first), and the water's temperature.",
        others=scatter,
        missing=[] if scatter else ["water_change: {volume: 20 L, fresh: {alkalinity: 7.8, …}} in "
                                    "three entries, to see how alike the batches are"],
    )  # fmt: skip


def top_off_check(site: Site) -> Check | None:
    """Give the check of the top-off in both ways in which it fails."""
    rate, drift = site.shown.one("evaporation"), site.shown.one("salinity_drift")
    if rate is None:
        return None
    reserve, over = site.shown.one("top_off_reserve"), site.shown.one("overfill_salinity")
    sentence = f"{said(rate)} evaporate ({interval_text(rate)})"
    sentence += f"; the reservoir lasts {said(reserve)}" if reserve else ""
    sentence += f", and without it salinity rises by {said(drift)}" if drift else ""
    sentence += f", while all of it at once would leave {said(over)}" if over else ""
    return Check(
        "top-off", "Top-off", f"{sentence}.", reserve or rate,
        gauge(site, reserve, _RESERVE) if reserve else "", _RESERVE.words,
        "A heated or dry room, a fan, a cover. Floats stick and snails sit on them: a second float "
        "or a timer bounds how much can run in.",
        [r for r in (rate if reserve else None, drift, over) if r is not None],
        [] if reserve or not in_use(site.tables, "top-off") else
        ["equipment: [{name: top-off, kind: top-off, reservoir: 12 L}]"],
    )  # fmt: skip


def instrument_checks(site: Site) -> Iterator[Check]:
    """Give a check for each instrument: its scale, what calibrations found, the next one."""
    for instrument in site.journal.profile.instruments:
        if instrument.kind in MEASURES:
            yield _instrument(site, instrument)


def _instrument(site: Site, instrument: Instrument) -> Check:
    parameter = site.display.parameters[MEASURES[instrument.kind]]
    rows = site.tables.calibrations
    rows = rows[rows["instrument"].map(name_key) == name_key(instrument.name)]
    task = next(
        (t for t in tasks_of(site.tables)
         if t.kind == "calibration" and t.subject == instrument.name), None,
    )  # fmt: skip
    known = [row for row in rows_of(rows) if row.shown == row.shown]
    if known:
        last = known[-1]
        off = last.shown - last.standard
        found = number_text(abs(off), PARAMETERS[parameter.name].decimals)
        way = "right" if float(found) == 0 else f"{found} {'high' if off > 0 else 'low'}"
        sentence = f"At its last comparison ({ago(last.time.date(), site.today)}) it read {way}"
    else:
        sentence = "It has not been compared with a standard in this journal"
    if task is not None:
        late = task.days_over(site.today)
        sentence += "; the next is due" if late >= 0 else f"; the next {ago(task.due, site.today)}"
    readings = site.tables.readings
    used = readings[readings["kit"].map(name_key) == name_key(instrument.name)]
    corrected = int((used["correction"] != "").sum())
    sentence += f". {counted(len(used), 'reading')} by it, {corrected} of them corrected"
    missing = []
    if instrument.kind == "refractometer" and instrument.scale is None:
        missing.append("scale: seawater or brine, as its manual or its printed scale says")
    if not known:
        example = {"salinity": "{standard: 35, shown: 35.4}", "ph": "{standard: 7, shown: 7.05}"}
        point = example.get(parameter.name, "{standard: 25, shown: 25.3}")
        facts = f"{{instrument: {instrument.name}, {parameter.name}: {point}}}"
        missing.append(f"in an entry, calibrations: {facts}")
    return Check(
        f"instrument-{name_key(instrument.name)}", _title(instrument), f"{sentence}.",
        practice=_SCALES.get((instrument.kind, instrument.scale or ""), ""),
        changes="Its next comparison: between two of them a drift is taken as even, and readings "
        "are corrected for it; what it showed is kept beside.",
        missing=missing,
    )  # fmt: skip


def _title(instrument: Instrument) -> str:
    """Give name and kind; the kind only where the name does not say it."""
    said_already = instrument.kind.casefold() in instrument.name.casefold()
    name = as_heading(instrument.name)
    return name if said_already else f"{name} ({instrument.kind})"


_SCALES = {
    ("refractometer", "brine"): (
        "Its scale is made for table salt: set with pure water it shows seawater of 35 as 36.4 ± "
        "0.3 in per mille, but as specific gravity it reads too low (CRC Handbook; Millard & "
        "Seaver 1990). Readings are corrected for that, never twice."
    ),
    ("refractometer", "seawater"): (
        "Pure water sets its zero only; a 35 standard shows whether its slope is right, too."
    ),
}
