"""What entries and profile say, as rows for the tables: one dictionary for each fact."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from typing import Any

from journal_tools.correction import Corrections, corrections_of
from journal_tools.entries import Reading
from journal_tools.instruments import MEASURES
from journal_tools.journal import Journal
from journal_tools.logged import LoggedEntry
from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.profile import Profile
from journal_tools.quantities import Band

Row = dict[str, Any]
"""One fact by column name."""


def journal_rows(journal: Journal) -> dict[str, list[Row]]:
    """Give all facts of a journal by table."""
    profile, entries = journal.profile, journal.entries
    corrections, _ = corrections_of(profile, entries)
    return {
        "entries": [_entry_row(entry) for entry in entries],
        "readings": [row for entry in entries for row in _readings(entry, profile, corrections)],
        "calibrations": [row for entry in entries for row in calibration_rows(entry, profile)],
        "doses": [*_doses(entries, profile), *_scheduled(entries, profile, journal.today)],
        "stock": list(_stock(entries, profile)),
        "water_changes": [row for entry in entries for row in _water_changes(entry, profile)],
        "top_offs": [row for entry in entries for row in _top_offs(entry)],
        "livestock": [row for entry in entries for row in _livestock(entry, profile)],
        "equipment": [*_register(journal), *_equipment(entries, profile)],
        "costs": [*_profile_costs(journal), *(r for e in entries for r in _costs(e))],
        "upkeep": [row for entry in entries for row in _upkeep(entry)],
        "feedings": [row for entry in entries for row in _feedings(entry)],
        "photos": [row for entry in entries for row in _photos(entry)],
        "targets": list(_targets(profile)),
    }


def _trace(entry: LoggedEntry, *location: str | int) -> Row:
    """Give the time of the entry and where in it a fact stands."""
    return {"time": entry.time, "entry": entry.id, "line": entry.document.place(location)[0]}


def _at(entry: LoggedEntry, clock: dt.time | None) -> Row:
    """Give the fact's own time of day, where it has one."""
    return {"time": dt.datetime.combine(entry.day, clock, entry.time.tzinfo)} if clock else {}


def _entry_row(entry: LoggedEntry) -> Row:
    return _trace(entry) | {
        "day": entry.day,
        "title": entry.title,
        "tags": ", ".join(entry.record.tags),
        "milestone": entry.record.milestone,
        "photos": len(entry.record.photos),
    }


def _readings(entry: LoggedEntry, profile: Profile, corrections: Corrections) -> Iterator[Row]:
    for name in PARAMETERS:
        for i, reading in enumerate(getattr(entry.record.readings, name, ())):
            parameter, quantity = PARAMETERS[name], reading.value
            row = _trace(entry, "readings", name, i) | _at(entry, reading.time)
            kit = reading.kit or _usual_kit(name, profile) or ""
            counts = corrections.of_reading(name, reading, kit, row["time"])
            yield row | {
                "parameter": name,
                "value": counts.value,
                "unit": parameter.unit,
                "error": math.hypot(_error_of(reading, parameter, profile), counts.error),
                "censored": quantity.censored,
                "kit": kit,
                "when": reading.when,
                "step": _step_of(reading, parameter, profile),
                "shown": quantity.value,
                "correction": counts.words,
            }


def calibration_rows(entry: LoggedEntry, profile: Profile) -> Iterator[Row]:
    """Give every comparison of an instrument with a standard that an entry tells of."""
    for i, calibration in enumerate(entry.record.calibrations):
        for name in dict.fromkeys(MEASURES.values()):
            for point in getattr(calibration, name):
                yield (
                    _trace(entry, "calibrations", i)
                    | _at(entry, calibration.time)
                    | {
                        "instrument": _canonical(calibration.instrument, profile.instruments),
                        "parameter": name,
                        "standard": point.standard.value,
                        "shown": point.shown.value if point.shown else None,
                        "millivolts": point.millivolts,
                        "adjusted": calibration.adjusted,
                    }
                )


def _error_of(reading: Reading, parameter: Parameter, profile: Profile) -> float:
    """Give the error that the reading states, else the one of its test."""
    if reading.error is not None:
        unit = profile.bare_units.unit_of(parameter)
        return unit.error_at(reading.value.value, reading.error)
    stated = reading.value.error
    return reading_error(parameter, profile, reading.value.value) if stated is None else stated


def _step_of(reading: Reading, parameter: Parameter, profile: Profile) -> float:
    """Give the step of the test where the error is that of the test, else 0."""
    test = getattr(profile.tests, parameter.name, None)
    stated = reading.error is not None or reading.value.error is not None
    if stated or test is None or not test.resolution:
        return 0.0
    unit = profile.bare_units.unit_of(parameter)
    return float(unit.error_at(reading.value.value, test.resolution))


def reading_error(parameter: Parameter, profile: Profile, value: float) -> float:
    """Give one standard deviation of a reading: repeatability and reading step together.

    The step ``r`` of a scale adds ``r²/12`` to the variance (uniform rounding error).

    Source:
        JCGM 100:2008 (GUM), F.2.2.1, resolution of an indication.
    """
    test = getattr(profile.tests, parameter.name, None)
    if test is None or (test.resolution is None and test.repeatability is None):
        return parameter.test_error
    variance = (test.repeatability or 0.0) ** 2 + (test.resolution or 0.0) ** 2 / 12
    return profile.bare_units.unit_of(parameter).error_at(value, float(variance**0.5))


def _usual_kit(parameter: str, profile: Profile) -> str | None:
    test = getattr(profile.tests, parameter, None)
    return test.kit if test else None


def _declared(name: str, items: Sequence[Any]) -> Any | None:
    """Give the profile's item of that name, however its case and spaces are written."""
    wanted = name_key(name)
    return next((item for item in items if name_key(item.name) == wanted), None)


def _canonical(name: str, items: Sequence[Any]) -> str:
    item = _declared(name, items)
    return str(item.name) if item else name


def _doses(entries: Sequence[LoggedEntry], profile: Profile) -> Iterator[Row]:
    for entry in entries:
        for i, dose in enumerate(entry.record.doses):
            yield (
                _trace(entry, "doses", i)
                | _at(entry, dose.time)
                | {
                    "product": _canonical(dose.what, profile.supplements),
                    "amount": dose.amount.value,
                    "unit": dose.amount.unit,
                    "scheduled": False,
                    "spread": False,
                }
            )


def _scheduled(entries: Sequence[LoggedEntry], profile: Profile, today: dt.date) -> Iterator[Row]:
    """Unfold dosing plans into one dose a day, until the next plan of the same product."""
    plans: dict[str, list[tuple[dt.date, LoggedEntry, int]]] = {}
    names: dict[str, str] = {}
    for entry in entries:
        for i, plan in enumerate(entry.record.dosing_plan):
            key = name_key(plan.what)
            names.setdefault(key, _canonical(plan.what, profile.supplements))
            plans.setdefault(key, []).append((plan.start or entry.day, entry, i))
    for key, steps in plans.items():
        product = names[key]
        steps.sort(key=lambda step: step[0])
        tomorrow = today + dt.timedelta(days=1)
        ends = [min(start, tomorrow) for start, _, _ in steps[1:]] + [tomorrow]
        for (start, entry, i), end in zip(steps, ends, strict=True):
            plan = entry.record.dosing_plan[i]
            if plan.per_day is None:
                continue
            last = min(end, plan.until + dt.timedelta(days=1)) if plan.until else end
            trace = _trace(entry, "dosing_plan", i)
            for offset in range((last - start).days):
                yield trace | {
                    "time": dt.datetime.combine(
                        start + dt.timedelta(days=offset), plan.time or dt.time(12), profile.zone
                    ),
                    "product": product,
                    "amount": plan.per_day.value,
                    "unit": plan.per_day.unit,
                    "scheduled": True,
                    "spread": plan.time is None,
                }


def _stock(entries: Sequence[LoggedEntry], profile: Profile) -> Iterator[Row]:
    for entry in entries:
        for i, stock in enumerate(entry.record.stock):
            yield _trace(entry, "stock", i) | {
                "product": _canonical(stock.what, profile.supplements),
                "amount": stock.left.value,
                "unit": stock.left.unit,
            }


def _water_changes(entry: LoggedEntry, profile: Profile) -> Iterator[Row]:
    usual = profile.salt_mix.fresh if profile.salt_mix else None
    for i, change in enumerate(entry.record.water_change):
        row = _trace(entry, "water_change", i) | _at(entry, change.time)
        row["volume_l"] = change.volume.value
        for name in PARAMETERS:
            measured = getattr(change.fresh, name, ())
            stated = getattr(usual, name, None)
            if measured:
                row[f"fresh_{name}"] = measured[-1].value.value
            elif stated is not None:
                row[f"fresh_{name}"] = stated.value
        if change.salinity is not None:
            row["fresh_salinity"] = change.salinity.value
        yield row


def _top_offs(entry: LoggedEntry) -> Iterator[Row]:
    for i, top_off in enumerate(entry.record.top_off):
        yield _trace(entry, "top_off", i) | {
            "volume_l": top_off.volume.value,
            "product": top_off.what,
        }


def _livestock(entry: LoggedEntry, profile: Profile) -> Iterator[Row]:
    for i, event in enumerate(entry.record.livestock):
        animal = _declared(event.name, profile.animals)
        yield _trace(entry, "livestock", i) | {
            "event": event.event,
            "name": animal.name if animal else event.name,
            "group": animal.group if animal else "other",
            "count": event.count,
            "length_cm": event.length.value if event.length else None,
            "why": event.why or event.note,
        }


def _register(journal: Journal) -> Iterator[Row]:
    """Give what was installed and removed by today, unless an entry tells of it."""
    told = {
        (piece.event, name_key(piece.name))
        for entry in journal.entries
        for piece in entry.record.equipment
    }
    for i, piece in enumerate(journal.profile.equipment):
        for event in ("installed", "removed"):
            day = getattr(piece, event)
            if day is None or day > journal.today or (event, name_key(piece.name)) in told:
                continue
            yield {
                "time": dt.datetime.combine(day, dt.time(12), journal.profile.zone),
                "event": event,
                "name": piece.name,
                "kind": piece.kind,
                "entry": "",
                "line": journal.profile_document.place(("equipment", i, event))[0],
            }


def _equipment(entries: Sequence[LoggedEntry], profile: Profile) -> Iterator[Row]:
    for entry in entries:
        for i, event in enumerate(entry.record.equipment):
            piece = _declared(event.name, profile.equipment)
            yield _trace(entry, "equipment", i) | {
                "event": event.event,
                "name": piece.name if piece else event.name,
                "kind": piece.kind if piece else "other",
                "detail": _setting(event.to) or event.note,
            }


def _setting(to: str | dict[str, Any] | None) -> str | None:
    if isinstance(to, dict):
        return ", ".join(f"{key} {value}" for key, value in to.items())
    return to


def _profile_costs(journal: Journal) -> Iterator[Row]:
    """Give prices of the profile, unless an entry gives one for installing the same piece."""
    profile = journal.profile
    told = {
        name_key(event.name)
        for entry in journal.entries
        for event in entry.record.equipment
        if event.installed and event.price is not None
    }
    for i, piece in enumerate(profile.equipment):
        known = piece.price is not None and not piece.planned_on(journal.today)
        if not known or name_key(piece.name) in told:
            continue
        day = piece.installed or profile.start
        yield {
            "time": dt.datetime.combine(day, dt.time(12), profile.zone),
            "what": piece.name,
            "category": "equipment",
            "amount": piece.price,
            "entry": "",
            "line": journal.profile_document.place(("equipment", i, "price"))[0],
        }


def _costs(entry: LoggedEntry) -> Iterator[Row]:
    record = entry.record
    for i, cost in enumerate(record.costs):
        yield _trace(entry, "costs", i) | {
            "what": cost.what, "category": cost.category, "amount": cost.amount,
        }  # fmt: skip
    for section, category in (("livestock", "livestock"), ("equipment", "equipment")):
        for i, event in enumerate(getattr(record, section)):
            if event.price is not None:
                yield _trace(entry, section, i) | {
                    "what": event.name, "category": category, "amount": event.price,
                }  # fmt: skip


def _upkeep(entry: LoggedEntry) -> Iterator[Row]:
    for i, done in enumerate(entry.record.upkeep):
        yield _trace(entry, "upkeep", i) | {"task": done.task, "note": done.note}


def _feedings(entry: LoggedEntry) -> Iterator[Row]:
    for i, food in enumerate(entry.record.feed):
        amount = food.amount.value if food.amount else None
        yield _trace(entry, "feed", i) | {"what": food.what, "amount_g": amount}


def _photos(entry: LoggedEntry) -> Iterator[Row]:
    for i, photo in enumerate(entry.record.photos):
        yield _trace(entry, "photos", i) | {
            "day": entry.day, "file": photo.file, "view": photo.view, "caption": photo.caption,
        }  # fmt: skip


def _targets(profile: Profile) -> Iterator[Row]:
    """Give the bands of the profile; where it has none, the usual ones of the parameter table."""
    stages: list[tuple[dt.date | None, str, Any]] = [(None, "", profile.targets)]
    stages += [(later.start, later.stage or "", later.bands) for later in profile.later_targets]
    for name, parameter in PARAMETERS.items():
        own = any(getattr(bands, name, None) for _, _, bands in stages)
        if not own and parameter.usual is not None:
            yield _target(dt.date(1950, 1, 1), name, Band(*parameter.usual), "", profile)
        for start, stage, bands in stages:
            if band := getattr(bands, name, None):
                yield _target(start or dt.date(1950, 1, 1), name, band, stage, profile)


def _target(day: dt.date, name: str, band: Band, stage: str, profile: Profile) -> Row:
    start = dt.datetime.combine(day, dt.time(0), profile.zone)
    return {"start": start, "parameter": name, "low": band.low, "high": band.high, "stage": stage}
