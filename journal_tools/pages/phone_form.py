"""The form for a phone: a page that writes entries without a network, and the files it needs.

The page knows the journal's own names, units and limits. What is written in it never leaves the
phone by itself: it is handed over as a ZIP file or as text, and ``journal-tools import`` files it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, get_args

from journal_tools import cache as store
from journal_tools.journal import Journal
from journal_tools.names import name_key
from journal_tools.pages.keys import KEYS_PATH, keys_page
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Asset, Page
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.profile import Profile
from journal_tools.quantities import BareUnits, Length, Measured, SmallMass, Volume
from journal_tools.tables import rows_of
from journal_tools.templates import find_template
from journal_tools.units import DIMENSIONS, Dimension
from journal_tools.words import number_text

WRITE_PATH = "write"
SCRIPT, STYLE, WORKER = "assets/write.js", "assets/write.css", "write-sw.js"
_SCRIPTS = (
    "write-quantities",
    "write-yaml",
    "write-files",
    "write-store",
    "write-offline",
    "write",
)
_NOINDEX = '<meta name="robots" content="noindex">'
_LARGEST_DOSE = 1e6  # ml or g, as the kind of dose in quantities.py has it
_FEWEST_MAIN = 3

Limits = dict[str, tuple[float, float]]
"""Lowest and highest possible number by unit, in that unit."""


@dataclass(frozen=True, slots=True)
class ReadingField:
    """One line of the list of readings.

    Attributes:
        parameter: The parameter, with the unit that a bare number has in this journal.
        last: Its last result in that unit, or ``""``.
        main: Whether it is shown at once; the others are folded away.
    """

    parameter: Parameter
    last: str
    main: bool


def write_pages(site: Site, own_templates: Path | None) -> tuple[list[Page], list[Asset]]:
    """Give the page and its files, or nothing where the profile says ``write_page: false``."""
    if not site.journal.profile.privacy.write_page:
        return [], []
    fields = reading_fields(site)
    page = site.page(
        "write.html",
        WRITE_PATH,
        "Write an entry",
        description="A form for the keeper of this journal.",
        facts=form_facts(site.journal.profile),
        main=[field for field in fields if field.main],
        others=[field for field in fields if not field.main],
        names=known_names(site.journal),
        tasks=[task.task for task in site.journal.profile.upkeep],
        currency=site.journal.profile.currency,
        keys=KEYS_PATH,
        assets={"script": SCRIPT, "style": STYLE, "worker": WORKER},
    )
    page = replace(page, head=_NOINDEX)
    files = [find_template(f"assets/{name}.js", own_templates) for name in _SCRIPTS]
    script = "\n".join(file.read_text(encoding="utf-8") for file in files).encode()
    parts = {SCRIPT: script, STYLE: find_template(STYLE, own_templates).read_bytes()}
    reference = keys_page(site)
    worker = find_template("assets/write-sw.js", own_templates).read_text(encoding="utf-8")
    version = store.key(worker, page.html, *parts.values())[:16]
    assets = [Asset(path, content) for path, content in parts.items()]
    return [page, reference], [
        *assets,
        Asset(WORKER, worker.replace("@VERSION@", version).encode()),
    ]


# --- What is asked for ------------------------------------------------------------------------


def reading_fields(site: Site) -> list[ReadingField]:
    """Give every parameter: first what this journal tests or means to, in the usual order."""
    profile, last = site.journal.profile, _last_values(site)
    meant = [getattr(profile.tests, name, None) or getattr(profile.targets, name, None)
             for name in PARAMETERS]  # fmt: skip
    main = {name for name, told in zip(PARAMETERS, meant, strict=True) if told or name in last}
    if len(main) < _FEWEST_MAIN:
        main |= {name for name, row in PARAMETERS.items() if row.retest_days is not None}
    shown = site.display.parameters
    return [ReadingField(shown[name], last.get(name, ""), name in main) for name in PARAMETERS]


def _last_values(site: Site) -> dict[str, str]:
    """Give the last result of each parameter as its instrument showed it, in the unit shown."""
    last = {}
    for row in rows_of(site.tables.readings):
        shown = site.display.parameters[row.parameter]
        value = site.display.value(row.parameter, float(row.shown))
        sign = {"below": "< ", "above": "> "}.get(row.censored, "")
        last[row.parameter] = f"{sign}{number_text(value, shown.decimals)}"
    return last


def known_names(journal: Journal) -> dict[str, list[str]]:
    """Give what a keeper may pick from, by kind: names of the profile, then those of entries."""
    profile, records = journal.profile, [entry.record for entry in journal.entries]
    found: dict[str, list[str]] = {
        "supplement": [item.name for item in profile.supplements],
        "animal": [item.name for item in profile.animals],
        "equipment": [item.name for item in profile.equipment],
        "food": [item.name for item in profile.foods],
        "task": [], "category": [], "view": [],
    }  # fmt: skip
    for record in records:
        found["supplement"] += [dose.what for dose in record.doses]
        found["animal"] += [event.name for event in record.livestock]
        found["equipment"] += [event.name for event in record.equipment]
        found["food"] += [food.what for food in record.feed]
        found["task"] += [done.task for done in record.upkeep]
        found["category"] += [cost.category for cost in record.costs]
        found["view"] += [photo.view for photo in record.photos if photo.view]
    if not profile.privacy.show_costs:
        found["category"] = []
    return {kind: _once(names) for kind, names in found.items()}


def _once(names: Iterable[str]) -> list[str]:
    first: dict[str, str] = {}
    for name in names:
        first.setdefault(name_key(name), name)
    return list(first.values())


# --- Limits -----------------------------------------------------------------------------------


def form_facts(profile: Profile) -> dict[str, Any]:
    """Give what the page's script must know: by kind of field its units, limits and example."""
    bare = profile.bare_units
    tests = {
        name: _fact(
            parameter.label,
            [DIMENSIONS[parameter.dimension]],
            bare.of_parameter(parameter),
            _limits(DIMENSIONS[parameter.dimension], *parameter.possible),
        )
        | {"limit": True}
        for name, parameter in PARAMETERS.items()
    }
    kinds = {
        "volume": _measured("A volume", Volume, bare),
        "length": _measured("A length", Length, bare),
        "mass": _measured("A mass", SmallMass, bare),
        "dose": _dose(),
        "salinity": {**tests["salinity"], "limit": False},
    }
    return {"tests": tests, "kinds": kinds, "currency": profile.currency}


def _measured(label: str, annotated: Any, bare: BareUnits) -> dict[str, Any]:
    kind = next(part for part in get_args(annotated) if isinstance(part, Measured))
    dimension = DIMENSIONS[kind.dimension]
    unit = bare.of_dimension(kind.dimension, kind.metric, kind.us or kind.metric)
    return _fact(label, [dimension], unit, _limits(dimension, kind.low, kind.high))


def _dose() -> dict[str, Any]:
    """Give the limits of a dose: millilitres or grams, more than nothing."""
    volume, mass = DIMENSIONS["volume"], DIMENSIONS["mass"]
    limits = _limits(volume, 0, _LARGEST_DOSE / 1000) | _limits(mass, 0, _LARGEST_DOSE)
    return _fact("A dose", [volume, mass], "ml", limits) | {"more": True}


def _fact(label: str, dimensions: Sequence[Dimension], unit: str, limits: Limits) -> dict[str, Any]:
    spelled: Mapping[str, str] = {k: v for d in dimensions for k, v in d.written.items()}
    plain = next(key for key, spelling in spelled.items() if spelling == _written(dimensions, unit))
    low, high = limits[plain]
    shown = f"{low:.5g} to {high:.6g} {spelled[plain]}"
    return {"label": label, "unit": spelled[plain], "bare": plain, "limits": limits, "range": shown}


def _written(dimensions: Sequence[Dimension], unit: str) -> str:
    return next(d.written_as(unit) for d in dimensions if d.find(unit) is not None)


def _limits(dimension: Dimension, low: float, high: float) -> Limits:
    """Give the limits of a canonical range in every unit, by the plain form of its spelling."""
    limits = {}
    for plain, spelling in dimension.written.items():
        unit = dimension.units[spelling]
        ends = sorted(unit.from_canonical(end) for end in (low, high))
        limits[plain] = (float(f"{ends[0]:.10g}"), float(f"{ends[1]:.10g}"))
    return limits
