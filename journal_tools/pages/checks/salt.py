"""Checks of new salt water and of the top-off."""

from __future__ import annotations

from journal_tools.metrics import Result
from journal_tools.metrics.gear import in_use, usual_water
from journal_tools.pages.checks.record import (
    NO_SOURCE,
    Check,
    Practice,
    change_text,
    gauge,
    level_text,
    said,
)
from journal_tools.pages.site import Site, interval_text
from journal_tools.pages.spots import spots_html
from journal_tools.parameters import PARAMETERS

_RESERVE = Practice(
    3, 14, "A few days to two weeks: long enough for a weekend away, small enough that a stuck "
    f"float cannot drown the salinity ({NO_SOURCE}).",
)  # fmt: skip


def salt_check(site: Site) -> Check | None:
    """Give the check of the salt mix: how much a batch takes and how alike the batches are."""
    batch = site.shown.one("batch_salt")
    if batch is None:
        return None
    mix, scatter = site.journal.profile.salt_mix, site.shown.of("batch_scatter")
    sentence = f"A usual water change takes {said(batch)} of {mix.name if mix else 'salt'}"
    if scatter:
        sentence += f"; {_alike(site, scatter[0])}"
    missing = [] if scatter else ["water_change: {volume: 20 L, fresh: {alkalinity: 7.8}}|in "
                                  "three entries, to see how alike the batches are"]  # fmt: skip
    if mix is None or mix.grams_per_litre is None:
        missing.append("salt_mix: {grams_per_litre: 38}|weighed once for a batch at 35 psu")
    return Check(
        "salt", "New salt water", f"{sentence}.", batch, _batches(site, scatter),
        f"Dry mixes hold 5 to 12 % water ({NO_SOURCE}), and an open bucket draws more: a "
        "few grams per litre either way. Test a batch before it goes in.",
        "Moisture, a bucket that has settled (roll it first), and the water's temperature.",
        scatter, missing,
    )  # fmt: skip


def _alike(site: Site, scatter: Result) -> str:
    name = scatter.subject
    around = _fresh_values(site, name)[-1]
    return (
        f"over {len(scatter.inputs)} tested batches its {PARAMETERS[name].label.lower()} varied by "
        f"± {change_text(site, name, around, _scatter(site, name))}"
    )


def _scatter(site: Site, parameter: str) -> float:
    found = site.metrics.one("batch_scatter", parameter)
    return found.value if found is not None else 0.0


def _fresh_values(site: Site, parameter: str) -> list[float]:
    """Give what tested batches measured, as the scatter counts them."""
    found = site.metrics.one("batch_scatter", parameter)
    tested = {item.entry for item in found.inputs} if found is not None else set()
    rows = site.tables.water_changes
    values = rows[rows["entry"].isin(tested)][f"fresh_{parameter}"].dropna()
    return [float(value) for value in values]


def _batches(site: Site, scatter: list[Result]) -> str:
    """Draw the batches of the first parameter, with what the mix should give as a stroke."""
    if not scatter:
        return ""
    name, mix = scatter[0].subject, site.journal.profile.salt_mix
    values = _fresh_values(site, name)
    stated = getattr(mix.fresh, name, None) if mix is not None else None
    meant = stated.value if stated is not None else None
    known = [*values, *([] if meant is None else [meant])]
    ends = (level_text(site, name, min(known)), level_text(site, name, max(known)))
    stated_words = "" if meant is None else f"{level_text(site, name, meant)}, as the profile says"
    return spots_html(values, meant, ends, "a tested batch", stated_words)


def top_off_check(site: Site) -> Check | None:
    """Give the check of the top-off in both ways in which it fails."""
    rate, reserve = site.shown.one("evaporation"), site.shown.one("top_off_reserve")
    if rate is None:
        return None
    drift, over = site.metrics.one("salinity_drift"), site.metrics.one("overfill_salinity")
    salinity = usual_water(site.tables).salinity
    spread = interval_text(rate)
    sentence = f"About {said(rate).replace('/day', '')} evaporate a day"
    sentence += f" ({spread})" if spread else ""
    sentence += f"; a full reservoir lasts {said(reserve)}" if reserve else ""
    if drift is not None:
        rise = change_text(site, "salinity", salinity, drift.value)
        sentence += f"; if nothing runs in, salinity rises by {rise} a day"
    if over is not None:
        sentence += ", and if all of it runs in at once it falls to "
        sentence += level_text(site, "salinity", over.value)
    return Check(
        "top-off", "Top-off", f"{sentence}.", reserve or rate,
        gauge(site, reserve, _RESERVE) if reserve else "", _RESERVE.words,
        "A heated or dry room, a fan, a cover. Floats stick and snails sit on them: a second float "
        "or a timer bounds how much can run in. A hose that ends under water can siphon the "
        "reservoir in, or tank water out.",
        [r for r in (rate if reserve else None, site.shown.one("salinity_drift"),
                     site.shown.one("overfill_salinity")) if r is not None],
        [] if reserve else _reservoir_hint(site),
    )  # fmt: skip


def _reservoir_hint(site: Site) -> list[str]:
    pieces = in_use(site.tables, "top-off")
    if pieces:
        return [f"reservoir: 12 L|of {pieces[0].name}"]
    return ["equipment: [{name: top-off, kind: top-off, reservoir: 12 L}]"]
