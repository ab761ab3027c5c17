"""What the entries say was put into or taken out of the water, by time."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

PLANNED_DOSE_AT = dt.time(12)
"""A daily dose is given at noon, as the tables of the journal take it."""


@dataclass(frozen=True)
class Dose:
    """Something measured out once: ``amount`` in ml, or g."""

    when: dt.datetime
    what: str
    amount: float


@dataclass(frozen=True)
class Change:
    """Water changed; ``fresh`` holds what is said of the new water."""

    when: dt.datetime
    litres: float
    fresh: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class _Step:
    start: dt.date
    what: str
    per_day: float


Happening = Dose | Change


def amount(written: Any) -> float:
    """Give the number of ``30 ml``, ``25 L`` or ``7.8``."""
    match = re.match(r"\s*[-+]?\d+(?:\.\d+)?", str(written))
    if match is None:
        raise ValueError(f"'{written}' holds no number")
    return float(match[0])


def happenings(
    entries: Iterable[tuple[dt.datetime, dict[str, Any]]], last_day: dt.date
) -> list[Happening]:
    """Give every dose and change of the log by time, daily plans unfolded to the last day."""
    found: list[Happening] = []
    steps: list[_Step] = []
    for when, data in entries:
        found += (
            Dose(_clock(when, dose), dose["what"], amount(dose["amount"]))
            for dose in _many(data.get("doses"))
        )
        found += (_change(when, change) for change in _many(data.get("water_change")))
        steps += (_step(when, plan) for plan in _many(data.get("dosing_plan")))
    return sorted([*found, *_planned(steps, last_day)], key=lambda h: h.when)


def _many(written: Any) -> list[Any]:
    return written if isinstance(written, list) else [] if written is None else [written]


def _clock(when: dt.datetime, data: dict[str, Any]) -> dt.datetime:
    if "time" not in data:
        return when
    return dt.datetime.combine(when.date(), dt.time.fromisoformat(data["time"]))


def _change(when: dt.datetime, written: Any) -> Change:
    if not isinstance(written, dict):
        return Change(when, amount(written))
    fresh = {name: amount(value) for name, value in written.get("fresh", {}).items()}
    if "salinity" in written:
        fresh["salinity"] = amount(written["salinity"])
    return Change(_clock(when, written), amount(written["volume"]), fresh)


def _step(when: dt.datetime, plan: dict[str, Any]) -> _Step:
    start = dt.date.fromisoformat(plan["start"]) if "start" in plan else when.date()
    return _Step(start, plan["what"], amount(plan.get("per_day", 0)))


def _planned(steps: list[_Step], last_day: dt.date) -> Iterator[Dose]:
    for what in dict.fromkeys(step.what for step in steps):
        own = sorted((s for s in steps if s.what == what), key=lambda s: s.start)
        ends = [step.start for step in own[1:]] + [last_day + dt.timedelta(days=1)]
        for step, end in zip(own, ends, strict=True):
            for offset in range((end - step.start).days if step.per_day else 0):
                day = step.start + dt.timedelta(days=offset)
                yield Dose(dt.datetime.combine(day, PLANNED_DOSE_AT), what, step.per_day)
