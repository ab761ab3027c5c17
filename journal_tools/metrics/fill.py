"""Sand and rock: how deep, how coarse, how much."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import surface_cm2
from journal_tools.science.structure import geometry
from journal_tools.system import vessel_in_role
from journal_tools.tables import Tables

_POROSITY = (0.35, 0.45, 0.5)


def _depth(tables: Tables, _done: Metrics) -> Iterator[Result]:
    display = vessel_in_role(tables.profile.vessels, "display")
    area = surface_cm2(display) if display is not None else 0.0
    if not area:
        return
    for sand in tables.profile.fill.sand:
        if sand.bed_volume is not None:
            beds = [sand.bed_volume.value] * 3
            source = Input(f"bed of {sand.name}", sand.bed_volume.said)
        elif sand.mass is not None:
            solid = sand.mass.value / 1000 / geometry.ARAGONITE_KG_L
            beds = [solid / (1 - porosity) for porosity in _POROSITY]
            source = Input(f"mass of {sand.name}", sand.mass.said)
        else:
            continue
        low, value, high = (bed * 1000 / area for bed in beds)
        inputs = (source, Input("bottom of the display", f"{area / 1e4:.2f} m²"))
        yield Result("sand_depth", value, "cm", 1, sand.name, low, high, inputs=inputs)


SAND_DEPTH = Metric(
    "sand_depth", "Depth of the sand if spread evenly", "cm",
    "Bed volume (or dry mass by aragonite's 2.93 kg/L and 45 % pores) over the bottom of the "
    "display. Rock stands on part of it, so the open bed is deeper.",
    "Geometry; density from memory of handbooks; 35 to 50 % pores: common practice, no source.",
    "none", "by 35 to 50 % pores", _depth,
)  # fmt: skip


def _rock(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    rocks = [rock for rock in tables.profile.fill.rock if rock.mass is not None]
    if net is None or not rocks:
        return
    total = sum(rock.mass.value for rock in rocks if rock.mass) / 1000
    inputs = (*(Input(rock.name, rock.mass.said) for rock in rocks if rock.mass),
              Input("net volume", f"{net.value:.0f} L"))  # fmt: skip
    left = [rock.name for rock in tables.profile.fill.rock if rock.mass is None]
    note = f"Without {', '.join(left)}: its mass is not told." if left else ""
    yield Result("rock_amount", 100 * total / net.value, "kg/100 L", 1, inputs=inputs,
                 note=note)  # fmt: skip


ROCK_AMOUNT = Metric(
    "rock_amount", "Rock for each 100 litres", "kg/100 L",
    "Dry mass of the rock divided by net volume.",
    "Definition. 5 to 12 kg for 100 L is common practice, no source: porous rock needs less.",
    "none", "", _rock,
)  # fmt: skip
