"""Checks of the vessels: how much water, its surface, and what a power cut does to the sump."""

from __future__ import annotations

from journal_tools.pages.checks.record import NO_SOURCE, Check, Practice, gauge, said
from journal_tools.pages.site import Site, interval_text

_SURFACE = Practice(
    5, 20, f"A sheet of 5 to 20 mm over the edge draws the film off without roaring ({NO_SOURCE})."
)


def volume_check(site: Site) -> Check:
    """Give the check of the net volume."""
    net = site.shown.one("net_volume")
    if net is None:
        return Check(
            "volume", "How much water", "The volume is not known yet.",
            missing=["vessels: [{name: display, length: 90, width: 45, water_height: 45}]"],
        )  # fmt: skip
    measured = site.journal.profile.fill.measured_volume is not None
    source = "measured when it was filled" if measured else "by tape measure, less rock and sand"
    interval = interval_text(net)
    sentence = (
        f"The system holds {said(net)} of water{f' {interval}' if interval else ''}, {source}."
    )
    geometry = [*site.shown.of("gross_volume"), *site.shown.of("displacement")]
    return Check(
        "volume", "How much water", sentence, net, others=geometry,
        changes="A change of the water line, more rock, or a fill by bucket and scale: write that "
        "one as 'measured_volume' with its error. Every dose and every turnover rests on it.",
        missing=[] if measured else ["fill: {measured_volume: 286 ± 6 L}"],
    )  # fmt: skip


def surface_check(site: Site) -> Check | None:
    """Give the check of the surface: gas exchange and skimming."""
    areas, weir = site.shown.of("water_surface"), site.shown.one("weir_height")
    if not areas:
        return None
    total = sum(result.value for result in areas)
    net = site.metrics.one("net_volume")
    each = f", {100 * total / net.value:.2f} m² for each 100 L" if net else ""
    sentence = f"Gas passes through {total:.2f} m² of surface{each}"
    sentence += f"; {said(weir)} of water runs over the overflow." if weir else "."
    return Check(
        "surface", "Surface", sentence, weir or areas[0],
        gauge(site, weir, _SURFACE) if weir else "",
        _SURFACE.words if weir else "",
        "A cover, a still corner, or a film on the water takes from it; moving the surface and a "
        "longer or cleaner edge add to it.",
        [r for r in areas if r is not (weir or areas[0])],
        [] if weir else ["vessels: [{name: display, weir: 22 cm}], and the pump's curve and pipes"],
    )  # fmt: skip


def power_cut_check(site: Site) -> Check | None:
    """Give the check of what runs down when the pumps stop."""
    margin, arrives = site.shown.one("sump_margin"), site.shown.one("back_siphon")
    cooling = site.shown.of("hours_to_cool")
    missing = []
    if margin is None:
        missing = ["vessels: [{name: display, drains_down: 2 cm}, {name: sump, height: 40 cm}]"]
    if margin is None and not cooling:
        return Check("power-cut", "Power cut", "What a power cut does is not known yet.",
                     missing=[*missing, "room: {coldest: 17, humidity: 50 %}"])  # fmt: skip
    parts = []
    if margin is not None and arrives is not None:
        low = margin.low if margin.low is not None else margin.value
        room = (
            f"the sump has {said(margin)} of room left" if low > 0
            else f"the sump may overflow: its room less that is {said(margin)}"
        )  # fmt: skip
        parts.append(f"If the pumps stop, {said(arrives)} runs down and {room}")
    if cooling:
        parts.append(
            f"in the coldest room the water falls {cooling[0].subject} in {said(cooling[0])}"
        )
    sentence = "; ".join(parts)
    others = [r for r in (arrives, *cooling) if r is not None and r is not margin]
    return Check(
        "power-cut", "Power cut", sentence[:1].upper() + sentence[1:] + ".",
        margin or cooling[0], others=[r for r in others if r is not (margin or cooling[0])],
        practice="Try it: pull the plug of the return pump while you watch, with a towel and the "
        f"lid of the sump open ({NO_SOURCE}).",
        changes="A siphon break that is grown shut, a higher water line in the sump, or a fuller "
        "reservoir that tops off meanwhile. A blanket round the tank slows the cooling.",
        missing=missing,
    )  # fmt: skip
