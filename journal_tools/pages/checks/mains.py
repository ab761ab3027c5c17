"""The check of what the equipment draws from the mains, with the precautions there."""

from __future__ import annotations

from journal_tools.metrics.gear import PLANNED
from journal_tools.pages.checks.record import Check, amount, said
from journal_tools.pages.shares import shares_html
from journal_tools.pages.site import Site


def electricity_check(site: Site) -> Check | None:
    """Give the check of power and its cost, with the precautions at mains electricity."""
    mean = site.shown.one("mean_power", "")
    if mean is None:
        return None
    energy, cost = site.shown.one("energy_per_month", ""), site.shown.one("electricity_cost", "")
    planned = PLANNED in mean.note
    sentence = f"The equipment {'would draw' if planned else 'draws'} {said(mean)} on average over "
    sentence += "day and night"
    sentence += f", {said(energy)} a month" if energy else ""
    sentence += f", which costs {said(cost)}" if cost else ""
    pieces = [r for r in site.shown.of("mean_power") if r.subject]
    parts = [(r.subject, r.value) for r in pieces]
    return Check(
        "electricity", "Electricity", f"{sentence}.", mean,
        _power_by_piece(site, parts),
        "A residual-current device (ground-fault interrupter) whose test button is pressed every "
        "month, drip loops in every cable, sockets beside and above the water line and never below "
        "it, and plugs out before a hand goes in. Fitting and testing belong to a licensed "
        "electrician and the local code.",
        "Heaters in winter and lamps by the hour; a plug-in meter tells what is really drawn.",
        [r for r in (energy, cost) if r] + sorted(pieces, key=lambda r: -r.value)[:5],
        [] if site.journal.profile.tariff is not None else ["tariff: 0.31|for a kilowatt-hour"],
        hazards=["mains"],
    )  # fmt: skip


def _power_by_piece(site: Site, parts: list[tuple[str, float]]) -> str:
    return shares_html(parts, lambda watts: amount(site, watts, "W", 1 if watts < 10 else 0))
