"""Checks of skimmer, media and mains."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.gear import in_use
from journal_tools.names import name_key
from journal_tools.pages.checks.record import NO_SOURCE, Check, Practice, gauge, said
from journal_tools.pages.site import Site
from journal_tools.system import KINDS
from journal_tools.tasks import tasks_of
from journal_tools.words import ago, as_heading, span_text

_RATING = Practice(
    100, 200, "A box's figure of one to two times the water is usual, for boxes assume few fish "
    f"({NO_SOURCE}).",
)  # fmt: skip
_CARBON = Practice(
    30, 60, f"30 to 60 g of activated carbon for 100 L, changed monthly, is usual ({NO_SOURCE})."
)


def skimmer_checks(site: Site) -> Iterator[Check]:
    """Give a check for each skimmer: by its box, and by what the tank is fed."""
    load, feed = site.shown.one("fish_biomass"), site.shown.one("feed_load")
    nitrate = site.shown.one("nitrate_from_feed")
    for piece in in_use(site.tables, "skimmer"):
        rating = site.shown.one("skimmer_rating", piece.name)
        air = site.shown.one("skimmer_air", piece.name)
        parts = [f"its box names a tank of {said(rating)} of this water"] if rating else []
        parts += [f"it draws {said(air)} of fish"] if air else []
        parts += [f"the tank is fed {said(feed)}"] if feed else []
        sentence = "; ".join(parts) or "its rating and its air are not told yet"
        yield Check(
            f"skimmer-{name_key(piece.name)}", as_heading(piece.name),
            sentence[:1].upper() + sentence[1:] + ".", rating or air,
            gauge(site, rating, _RATING) if rating else "", _RATING.words,
            "Feeding and fish, a dirty neck, a changed water level, food oils and new rock. What "
            "it takes out shows in nitrate and in the cup, not in a rating.",
            [r for r in (air if rating else None, load, feed, nitrate) if r is not None],
            [] if rating and air else ["skimming: {rated_volume: 500 L, air: 350 L/h}"],
        )  # fmt: skip


def media_checks(site: Site) -> Iterator[Check]:
    """Give a check for each filling that is used up: how much, and when it is next."""
    tasks = {task.subject: task for task in tasks_of(site.tables) if task.kind == "media"}
    for piece in in_use(site.tables, *KINDS):
        if piece.media is None:
            continue
        amount, task = site.shown.one("media_amount", piece.name), tasks.get(piece.name)
        carbon = "carbon" in piece.media.what.casefold()
        sentence = f"{as_heading(piece.media.what)} in the {piece.name}"
        sentence += f": {said(amount)}" if amount else ""
        if task is not None:
            over = task.days_over(site.today)
            sentence += f"; changed every {span_text(task.every_days)}, "
            sentence += "now due" if over >= 0 else f"next {ago(task.due, site.today)}"
        yield Check(
            f"media-{name_key(piece.name)}", f"{as_heading(piece.media.what)}", f"{sentence}.",
            amount, gauge(site, amount, _CARBON) if amount and carbon else "",
            _CARBON.words if carbon else "",
            "Yellow water, smells and the age of the filling; flow that bypasses it.",
            missing=[] if task else ["media: {what: activated carbon, change_every: 4 weeks}"],
        )  # fmt: skip


def electricity_check(site: Site) -> Check | None:
    """Give the check of power and its cost, with the precautions at mains electricity."""
    mean = site.shown.one("mean_power", "")
    if mean is None:
        return None
    energy, cost = site.shown.one("energy_per_month", ""), site.shown.one("electricity_cost", "")
    sentence = f"The equipment draws {said(mean)} on average"
    sentence += f", {said(energy)} a month" if energy else ""
    sentence += f" for {said(cost)}" if cost else ""
    pieces = [r for r in site.shown.of("mean_power") if r.subject]
    return Check(
        "electricity", "Electricity", f"{sentence}.", mean,
        practice="A residual-current device that is tested every month, drip loops in every cable, "
        "sockets beside and above the water and never below it, and a hand that goes in only after "
        "the plugs are out. Fitting and testing belong to a licensed electrician and the local "
        "code.",
        changes="Heaters in winter and lamps by the hour; a plug-in meter tells the truth.",
        others=[r for r in (energy, cost) if r] + sorted(pieces, key=lambda r: -r.value)[:5],
        missing=[] if site.journal.profile.tariff is not None else ["tariff: 0.31, for a kWh"],
    )  # fmt: skip
