"""Every piece of the system held against this tank, in the order of a build."""

from __future__ import annotations

from journal_tools.pages.checks import (
    filtration,
    instruments,
    lamps,
    mains,
    pumps,
    salt,
    structure,
    substrate,
    warmth,
    water,
)
from journal_tools.pages.checks.record import Check
from journal_tools.pages.site import Site


def checks_of(site: Site) -> list[tuple[str, list[Check]]]:
    """Give all checks under their headings; what cannot apply is left out."""
    groups: list[tuple[str, list[Check | None]]] = [
        ("Water and vessels", [water.volume_check(site), water.surface_check(site),
                               substrate.substrate_check(site)]),
        ("Carrying it", [structure.stand_check(site), structure.glass_check(site)]),
        ("Moving it", [*pumps.return_checks(site), pumps.circulation_check(site),
                       water.power_cut_check(site)]),
        ("Cleaning it", [*filtration.skimmer_checks(site), *filtration.media_checks(site),
                         *filtration.mechanical_checks(site)]),
        ("Light", [*lamps.light_checks(site)]),
        ("Warmth", [warmth.heater_check(site), warmth.cooling_check(site)]),
        ("Salt and top-off", [salt.salt_check(site), salt.top_off_check(site)]),
        ("Instruments", [*instruments.instrument_checks(site)]),
        ("Power", [mains.electricity_check(site)]),
    ]  # fmt: skip
    known = [(words, [check for check in found if check]) for words, found in groups]
    return [(words, found) for words, found in known if found]


__all__ = ["Check", "checks_of"]
