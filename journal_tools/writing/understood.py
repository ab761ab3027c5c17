"""What was understood of a line of plain words, and how it is shown before it is written."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from journal_tools.entries import Entry, LivestockEvent, WaterChange
from journal_tools.parameters import PARAMETERS
from journal_tools.problems import Problem
from journal_tools.profile import Profile
from journal_tools.quantities import Amount
from journal_tools.read import Document
from journal_tools.units import Quantity
from journal_tools.validate import validate

Fragment = dict[str, Any]
"""Part of an entry as plain values, such as ``{"readings": {"calcium": 420}}``."""


@dataclass(frozen=True, slots=True)
class Unclear:
    """Words that were not understood.

    Attributes:
        words: As written.
        what: What is the matter with them.
        hint: What to write instead.
        name: The name in it that may be a slip, or ``""``.
        meant: Names that may have been meant.
    """

    words: str
    what: str
    hint: str
    name: str = ""
    meant: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Give the words, what is wrong and what to write."""
        return f"'{self.words}': {self.what} {self.hint}".rstrip()


def read_fragment(fragment: Fragment, profile: Profile) -> tuple[Entry | None, list[Problem]]:
    """Give the record of a fragment, and what a check would say of it.

    Args:
        fragment: Part of an entry as plain values.
        profile: The tank, for its units and currency.
    """
    context = {"units": profile.bare_units, "currency": profile.currency}
    record, _, problems = validate(Entry, Document("", fragment, {}, {}), context)
    return record, problems


def merge(fragments: Iterable[Fragment]) -> Fragment:
    """Give one entry of several fragments: lists joined, notes one paragraph after another.

    >>> merge([{"upkeep": ["glass"]}, {"upkeep": ["skimmer cup"]}])
    {'upkeep': ['glass', 'skimmer cup']}
    """
    whole: Fragment = {}
    for fragment in fragments:
        for key, value in fragment.items():
            if key not in whole:
                whole[key] = dict(value) if isinstance(value, Mapping) else value
            elif key == "readings":
                _add_readings(whole[key], value)
            elif key == "notes":
                whole[key] = f"{whole[key]}\n\n{value}"
            elif isinstance(value, list):
                whole[key] = [*whole[key], *value]
            else:
                whole[key] = value
    return whole


def _add_readings(into: dict[str, Any], more: Mapping[str, Any]) -> None:
    for name, value in more.items():
        items = value if isinstance(value, list) else [value]
        if name in into:
            old = into[name] if isinstance(into[name], list) else [into[name]]
            into[name] = [*old, *items]
        else:
            into[name] = value


# --- In words ---------------------------------------------------------------------------------


def describe(record: Entry, profile: Profile) -> list[tuple[str, str]]:
    """Give each fact of an entry in words, as (kind, text), with the unit that is taken.

    Args:
        record: The entry.
        profile: The tank, for its currency.
    """
    return [
        *(("title", text) for text in (record.title,) if text),
        *(("milestone", text) for text in (record.milestone,) if text),
        *(("tag", text) for text in record.tags),
        *_readings(record.readings),
        *_water(record),
        *_doses(record),
        *(("livestock", _animal(event, profile)) for event in record.livestock),
        *_equipment(record, profile),
        *(("upkeep", _with_note(done.task, done.note)) for done in record.upkeep),
        *(("feeding", _food(food.what, food.amount)) for food in record.feed),
        *(
            ("cost", f"{cost.what}: {cost.amount:.2f} {profile.currency} ({cost.category})")
            for cost in record.costs
        ),
        *(("photo", photo.file) for photo in record.photos),
        *(("note", record.notes) for _ in [0] if record.notes),
        *(("question", text) for text in record.questions),
    ]


def quantity_words(quantity: Quantity) -> str:
    """Give a quantity with its unit, and whether nobody wrote that unit.

    >>> quantity_words(Quantity(8.2, text="8.2", bare_unit="dKH"))
    '8.2 dKH (no unit written: the journal counts in dKH)'
    """
    if quantity.bare_unit and quantity.bare_unit != "pH":
        return f"{quantity.said} (no unit written: the journal counts in {quantity.bare_unit})"
    return quantity.text


def _readings(readings: Any) -> Iterator[tuple[str, str]]:
    for name, parameter in PARAMETERS.items():
        for reading in getattr(readings, name, ()):
            extra = [reading.when, f"at {reading.time:%H:%M}" if reading.time else None]
            words = [parameter.label, quantity_words(reading.value), *filter(None, extra)]
            yield "reading", " ".join(words)


def _water(record: Entry) -> Iterator[tuple[str, str]]:
    for change in record.water_change:
        yield "water change", _change(change)
    for top_off in record.top_off:
        with_what = f" of {top_off.what}" if top_off.what else ""
        yield "top-off", f"{quantity_words(top_off.volume)}{with_what}"


def _change(change: WaterChange) -> str:
    salinity = f", new water {quantity_words(change.salinity)}" if change.salinity else ""
    clock = f" at {change.time:%H:%M}" if change.time else ""
    return f"{quantity_words(change.volume)}{clock}{salinity}"


def _doses(record: Entry) -> Iterator[tuple[str, str]]:
    for dose in record.doses:
        clock = f" at {dose.time:%H:%M}" if dose.time else ""
        yield "dose", f"{dose.what}: {_amount(dose.amount)}{clock}"
    for plan in record.dosing_plan:
        daily = f"{_amount(plan.per_day)} a day from now on" if plan.per_day else "stopped"
        yield "dosing plan", f"{plan.what}: {daily}"


def _amount(amount: Amount) -> str:
    said_no_unit = amount.text.replace(",", ".").replace(".", "", 1).isdigit()
    return f"{amount.text} ml (no unit written: doses are ml)" if said_no_unit else amount.text


def _animal(event: LivestockEvent, profile: Profile) -> str:
    length = f", {quantity_words(event.length)}" if event.length else ""
    price = f", {event.price:.2f} {profile.currency}" if event.price is not None else ""
    why = f", because: {event.why}" if event.why else ""
    return f"{event.event} {event.count} × {event.name}{length}{price}{why}"


def _equipment(record: Entry, profile: Profile) -> Iterator[tuple[str, str]]:
    for event in record.equipment:
        price = f", {event.price:.2f} {profile.currency}" if event.price is not None else ""
        to = f" to: {event.to}" if event.to else ""
        yield "equipment", _with_note(f"{event.event} {event.name}{to}{price}", event.note)


def _food(what: str, amount: Quantity | None) -> str:
    return f"{what}, {quantity_words(amount)}" if amount else what


def _with_note(text: str, note: str | None) -> str:
    return f"{text} ({note})" if note else text
