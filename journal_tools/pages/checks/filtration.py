"""Checks of skimmer, media and mechanical filters."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics import Result
from journal_tools.metrics.gear import in_use
from journal_tools.metrics.record import Hazard
from journal_tools.metrics.stocking import population
from journal_tools.names import name_key
from journal_tools.pages.checks.record import (
    NO_SOURCE,
    Check,
    Practice,
    gauge,
    ranged,
    said,
)
from journal_tools.pages.site import Site
from journal_tools.system import KINDS, Equipment
from journal_tools.tasks import Task
from journal_tools.words import ago, as_heading, counted, number_text, span_text

_RATING = Practice(
    100, 200, "A box's figure of one to two times the water is usual, for boxes assume few fish; "
    f"how much is fed and lives in the tank matters more ({NO_SOURCE}).",
)  # fmt: skip
_CARBON_G = (30.0, 60.0)
_MECHANICAL = ("floss", "sock", "sponge", "fleece", "filter pad", "filter roll", "prefilter")
_CHEMICAL = ("limewater", "kalk", "hydroxide")
_GAS = ("calcium reactor", "carbon dioxide", "co2")


def skimmer_checks(site: Site) -> Iterator[Check]:
    """Give a check for each skimmer: by its box, and by what the tank is fed and holds."""
    load, feed = site.shown.one("fish_biomass"), site.shown.one("feed_load")
    nitrate = site.shown.one("nitrate_from_feed")
    for piece in in_use(site.tables, "skimmer"):
        rating = site.shown.one("skimmer_rating", piece.name)
        air = site.shown.one("skimmer_air", piece.name)
        parts = [*_by_box(piece, rating), *_bioload(site, air, feed)]
        sentence = "; ".join(parts) if rating or air else "its rating and its air are not told yet"
        yield Check(
            f"skimmer-{name_key(piece.name)}", as_heading(piece.name),
            sentence[:1].upper() + sentence[1:] + ".", rating or air,
            gauge(site, rating, _RATING) if rating else "", _RATING.words,
            "Feeding and fish, a dirty neck, a changed water level, food oils and new rock. What "
            "it takes out shows in nitrate and in the cup, not in a rating.",
            [r for r in (air if rating else None, load, feed, nitrate) if r is not None],
            [] if rating and air else ["skimming: {rated_volume: 500 L, air: 350 L/h}"],
        )  # fmt: skip


def _by_box(piece: Equipment, rating: Result | None) -> Iterator[str]:
    if rating is not None and piece.skimming and piece.skimming.rated_volume:
        times = number_text(rating.value / 100, 1)
        yield (
            f"its box says tanks up to {piece.skimming.rated_volume.said}, {times} times the water "
            "here"
        )


def _bioload(site: Site, air: Result | None, feed: Result | None) -> Iterator[str]:
    """Say what it has to cope with: fish, corals and food."""
    if air is not None:
        yield f"it draws {said(air).replace(' per g', '')} of air for each gram of fish"
    if feed is not None:
        lot = feed.unit.rpartition(" per ")[2]
        yield f"the tank is fed {number_text(feed.value, 2)} g of food a day for each {lot}"
    corals = sum(living.count for living in population(site.tables) if living.group == "coral")
    if corals:
        yield f"{counted(corals, 'coral')} {'live' if corals > 1 else 'lives'} in it"


def media_checks(site: Site) -> Iterator[Check]:
    """Give a check for each filling that is used up: how much, and when it is next."""
    tasks = {task.subject: task for task in site.tasks if task.kind == "media"}
    for piece in in_use(site.tables, *KINDS):
        if piece.media is None or _mechanical(piece.media.what):
            continue
        found, task = site.shown.one("media_amount", piece.name), tasks.get(piece.name)
        what, carbon = piece.media.what, "carbon" in piece.media.what.casefold()
        usual = _carbon(site)
        sentence = f"{as_heading(what)} in the {piece.name}"
        sentence += f": {said(found)} of water" if found else ""
        sentence += _contact(piece) + _when(site, task, piece)
        yield Check(
            f"media-{name_key(piece.name)}", as_heading(what), f"{sentence}.", found,
            gauge(site, found, usual) if found and carbon else "", usual.words if carbon else "",
            "Yellow water, smells and the age of the filling; flow that goes round it instead of "
            "through it.", missing=_media_hints(piece, task),
            hazards=_hazards(f"{piece.name} {what}"),
            to_come=piece.planned_on(site.today),
        )  # fmt: skip


def _hazards(words: str) -> list[Hazard]:
    """Give the cautions that a filling brings along, by its name and that of its vessel."""
    known: tuple[tuple[Hazard, tuple[str, ...]], ...] = (("chemical", _CHEMICAL), ("gas", _GAS))
    return [hazard for hazard, names in known if any(name in words.casefold() for name in names)]


def _carbon(site: Site) -> Practice:
    words = (
        f"{ranged(site, *_CARBON_G, 'g/100 L')} of activated carbon, changed every month, is "
        "usual. Rinse it first, and start with less: suddenly clearer water lets through more "
        f"light ({NO_SOURCE})."
    )
    return Practice(*_CARBON_G, words)


def _contact(piece: Equipment) -> str:
    """Give how long water stays in the filling, where its volume and the flow are told."""
    if piece.media is None or piece.media.volume is None or piece.rated_flow is None:
        return ""
    if not piece.rated_flow.value:
        return ""
    seconds = piece.media.volume.value / piece.rated_flow.value * 3600
    return (
        f"; at {piece.rated_flow.said} the water stays {number_text(seconds, 0)} s in "
        f"{piece.media.volume.said} of it"
    )


def _when(site: Site, task: Task | None, piece: Equipment | None = None) -> str:
    if task is None:
        every = piece.media.change_every if piece is not None and piece.media else None
        return f"; to be changed every {every.said}" if every else ""
    over = task.days_over(site.today)
    due = "now due" if over >= 0 else f"next {ago(task.due, site.today)}"
    return f"; changed every {span_text(task.every_days)}, {due}"


def _media_hints(piece: Equipment, task: Task | None) -> list[str]:
    """Ask for what is not told, about this very filling."""
    assert piece.media is not None
    facts = [f"what: {piece.media.what}"]
    facts += [] if piece.media.mass else ["mass: 120 g"]
    facts += [] if task or piece.media.change_every else ["change_every: 4 weeks"]
    hints = [f"media: {{{', '.join(facts)}}}"] if len(facts) > 1 else []
    if piece.media.volume is None or piece.rated_flow is None:
        hints.append(f"rated_flow: 300 L/h|of {piece.name}, and the volume of its media")
    return hints


def _mechanical(name: str) -> bool:
    return any(word in name.casefold() for word in _MECHANICAL)


def mechanical_checks(site: Site) -> Iterator[Check]:
    """Give the check of floss, socks and sponges, from the upkeep list or the equipment."""
    tasks = [
        task for task in site.tasks if task.kind in ("upkeep", "media") and _mechanical(task.name)
    ]
    planned = [
        piece
        for piece in in_use(site.tables, *KINDS)
        if piece.media and _mechanical(piece.media.what) and piece.planned_on(site.today)
    ]
    words = [f"{task.name}{_when(site, task)}".replace(";", ",", 1) for task in tasks]
    words += [
        f"{piece.media.what} in {piece.name}{_when(site, None, piece)}".replace(";", ",", 1)
        for piece in planned
        if piece.media
    ]
    if words:
        sentence = as_heading("; ".join(words))
        yield Check(
            "mechanical", "Mechanical filters", f"{sentence}.",
            practice="Floss, socks and sponges are changed or washed every 2 to 7 days, before "
            "what they have caught rots in the water. Some keep none and let a skimmer do it "
            f"({NO_SOURCE}).",
            changes="Feeding, sand stirred up, and how fine the filter is; one that is full lets "
            "water run over it.",
            to_come=not tasks,
        )  # fmt: skip
