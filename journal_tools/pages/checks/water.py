"""Checks of the vessels: how much water, its surface, and what a power cut does to the sump."""

from __future__ import annotations

from journal_tools.metrics import Result
from journal_tools.metrics.gear import in_use
from journal_tools.pages.checks.record import (
    NO_SOURCE,
    Check,
    Practice,
    amount,
    gauge,
    ranged,
    said,
)
from journal_tools.pages.shares import lengths_html, shares_html
from journal_tools.pages.site import Site, interval_text

_SHEET_MM = (5.0, 20.0)


def volume_check(site: Site) -> Check:
    """Give the check of the net volume."""
    net = site.shown.one("net_volume")
    if net is None:
        return Check(
            "volume", "How much water", "The volume is not known yet.",
            missing=[
                "vessels: [{name: display, length: 90 cm, width: 45 cm, water_height: 45 cm}]"
            ],
        )  # fmt: skip
    measured = site.journal.profile.fill.measured_volume is not None
    source = "measured when it was filled" if measured else "by tape measure, less rock and sand"
    interval = interval_text(net)
    sentence = (
        f"The system holds {said(net)} of water{f' ({interval})' if interval else ''}, {source}."
    )
    geometry = [*site.shown.of("gross_volume"), *site.shown.of("displacement")]
    return Check(
        "volume", "How much water", sentence, net, _volume_parts(site, net), others=geometry,
        practice="Buckets counted at the first fill are surer than a tape measure, for rock and "
        f"sand hide their volume ({NO_SOURCE}).",
        changes="A change of the water line, more rock, or a fill by bucket and scale. Every dose "
        "and every turnover rests on this figure.",
        missing=[] if measured else ["fill: {measured_volume: 286 ± 6 L}"],
    )  # fmt: skip


def _volume_parts(site: Site, net: Result) -> str:
    """Draw the vessels up to their water line as water and what takes its place."""
    gross = sum(result.value for result in site.shown.of("gross_volume"))
    if gross <= net.value:
        return ""
    parts = [("water", net.value), ("rock, sand and what stands in it", gross - net.value)]
    return shares_html(parts, lambda value: said(Result("volume", value, net.unit, net.decimals)))


def surface_check(site: Site) -> Check | None:
    """Give the check of the surface: gas exchange and skimming."""
    areas, weir = site.metrics.of("water_surface"), site.shown.one("weir_height")
    if not areas:
        return None
    total = sum(result.value for result in areas)
    net = site.metrics.one("net_volume")
    sentence = f"Gas passes through {amount(site, total, 'm²', 2)} of water surface"
    if net and net.value:
        sentence += f", {_surface_for_volume(site, total, net.value)}"
    sentence += f"; a sheet of {said(weir)} of water runs over the overflow." if weir else "."
    practice = Practice(
        *_SHEET_MM, f"A sheet of {ranged(site, *_SHEET_MM, 'mm')} over the edge draws the film off "
        f"the surface without roaring ({NO_SOURCE}).",
    )  # fmt: skip
    shown = site.shown.of("water_surface")
    return Check(
        "surface", "Surface", sentence, weir or shown[0],
        gauge(site, weir, practice) if weir else "",
        practice.words if weir else "",
        "A cover, a still corner, or a film on the water takes from it; moving the surface and a "
        "longer or cleaner edge add to it.",
        [r for r in shown if r is not (weir or shown[0])],
        [] if weir else ["vessels: [{name: display, weir: 22 cm}]|and the pump's curve and pipes"],
    )  # fmt: skip


def _surface_for_volume(site: Site, area_m2: float, net_l: float) -> str:
    """Give the surface for 100 L, or for 10 gallons where the journal counts in those."""
    unit, factor = site.display.measures.get("L", ("L", 1.0))
    lot = 100 if unit == "L" else 10
    return f"{amount(site, area_m2 / (net_l / factor) * lot, 'm²', 2)} for each {lot} {unit}"


def power_cut_check(site: Site) -> Check | None:
    """Give the check of what runs down when the pumps stop, and of how fast the water cools."""
    margin, arrives = site.shown.one("sump_margin"), site.shown.one("back_siphon")
    cooling = site.shown.of("hours_to_cool")
    missing = []
    if margin is None:
        missing = ["vessels: [{name: display, drains_down: 2 cm}, {name: sump, height: 40 cm}]"]
    if not cooling:
        missing.append(f"room: {{coldest: {room_example(site)[0]}, humidity: 50 %}}")
    if margin is None and not cooling:
        return Check("power-cut", "Power cut", "What a power cut does is not known yet.",
                     missing=missing)  # fmt: skip
    parts = []
    if margin is not None and arrives is not None:
        parts.append(f"if the pumps stop, {said(arrives)} runs down and {_room_left(margin)}")
    if cooling:
        falls = " and ".join(f"{_fall(site, one)} in {said(one)}" for one in cooling)
        parts.append(f"in the coldest room, unheated, the water falls {falls}")
    sentence = "; ".join(parts)
    others = [r for r in (margin, arrives, *cooling) if r is not None]
    return Check(
        "power-cut", "Power cut", sentence[:1].upper() + sentence[1:] + ".",
        others[0], _sump_room(margin, arrives), others=others[1:],
        practice="Try it: pull the plug of the return pump while you watch, with a towel and the "
        f"lid of the sump open. Without power, moving water and air come first ({NO_SOURCE}).",
        changes="A siphon break that is grown shut, a higher water line in the sump, or a fuller "
        "reservoir that tops off meanwhile. A blanket round the tank slows the cooling.",
        missing=missing,
        to_come=any(p.planned_on(site.today) for p in in_use(site.tables, "return pump")),
    )  # fmt: skip


def _room_left(margin: Result) -> str:
    low = margin.low if margin.low is not None else margin.value
    if low > 0:
        return f"the sump has room for {said(margin)} more"
    if margin.value > 0:
        return f"the sump has room for {said(margin)} more by the figures, and by their range none"
    return f"the sump is short of {said(_turned(margin))} of room: it may overflow"


def _turned(margin: Result) -> Result:
    return Result(margin.metric, -margin.value, margin.unit, margin.decimals)


def _sump_room(margin: Result | None, arrives: Result | None) -> str:
    """Draw what runs down beside the room that there is for it."""
    if margin is None or arrives is None:
        return ""
    room = max(0.0, arrives.value + margin.value)
    return lengths_html(
        [("runs down", arrives.value), ("room above the sump's water", room)],
        lambda value: said(Result("volume", value, margin.unit, margin.decimals)),
    )


def _fall(site: Site, result: Result) -> str:
    """Give a fall that is told in °C in the unit of the journal."""
    kelvins = float(result.subject.removeprefix("by ").removesuffix(" °C"))
    shown = site.display.parameters["temperature"]
    return f"by {site.display.error('temperature', 25.0, kelvins):.3g} {shown.unit}"


def room_example(site: Site) -> tuple[str, str]:
    """Give a cold and a warm room as a keeper of this journal would write them."""
    ends = (site.display.value("temperature", celsius) for celsius in (17.0, 29.0))
    unit = site.display.parameters["temperature"].unit
    cold, warm = (f"{end:.0f} {unit}" for end in ends)
    return cold, warm
