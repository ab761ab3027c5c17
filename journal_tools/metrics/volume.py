"""How much water the system holds."""

from __future__ import annotations

import math
from collections.abc import Iterator

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.science.estimate import Estimate
from journal_tools.science.structure import geometry
from journal_tools.system import Rock, Sand, Vessel
from journal_tools.tables import Tables

_MEASURE_ERROR = 0.015
"""Relative error (1 sd) of a volume from a tape measure. Common practice, no source."""

_LEAST_L, _MOST_L = 0.1, 1e6
"""Less is no tank: vessels and fill contradict each other."""


def vessel_volume_l(vessel: Vessel) -> float:
    """Give the water in a vessel in litres, from its inside measures up to the water line.

    >>> vessel = Vessel.model_validate(
    ...     {"name": "display", "length": 120, "width": 50, "water_height": 55})
    >>> vessel_volume_l(vessel)
    330.0
    """
    if vessel.volume is not None:
        return vessel.volume.value
    assert vessel.water_height is not None
    return geometry.water_volume_l(surface_cm2(vessel), vessel.water_height.value)


def surface_cm2(vessel: Vessel) -> float:
    """Give the water surface of a vessel in square centimetres, 0 where only litres are stated."""

    def measure(key: str) -> float:
        return float(getattr(vessel, key).value)

    match vessel.shape:
        case "rectangle":
            return geometry.rectangle_surface_cm2(measure("length"), measure("width"))
        case "cylinder":
            return geometry.cylinder_surface_cm2(measure("diameter"))
        case "bow_front":
            return geometry.bow_front_surface_cm2(
                measure("length"), measure("width"), measure("bow")
            )
        case "regular_polygon":
            assert vessel.sides is not None
            return geometry.regular_prism_surface_cm2(vessel.sides, measure("side_length"))
        case "stated":
            return 0.0


def displaced_l(piece: Rock | Sand) -> Estimate:
    """Give the water that rock or sand takes the place of, in litres with its range."""
    if isinstance(piece, Rock):
        if piece.displaces is not None:
            volume, error = piece.displaces.value, piece.displaces.error or 0.0
            return Estimate(volume, max(0.0, volume - error), volume + error)
        assert piece.mass is not None
        return geometry.rock_displacement_l(piece.mass.value / 1000)
    if piece.mass is not None:
        return geometry.sand_displacement_l(piece.mass.value / 1000)
    assert piece.bed_volume is not None
    return geometry.sand_bed_displacement_l(piece.bed_volume.value)


def _gross(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for vessel in tables.profile.vessels:
        value = vessel_volume_l(vessel)
        error = value * _MEASURE_ERROR
        if vessel.volume is not None and vessel.volume.error is not None:
            error = vessel.volume.error
        inputs = tuple(
            Input(key.replace("_", " "), quantity.said)
            for key in (
                "length",
                "width",
                "bow",
                "diameter",
                "side_length",
                "water_height",
                "volume",
            )
            if (quantity := getattr(vessel, key)) is not None
        )
        yield Result("gross_volume", value, "L", 0, vessel.name, value - error, value + error,
                     inputs=(Input("shape", vessel.shape.replace("_", " ")), *inputs))  # fmt: skip


GROSS_VOLUME = Metric(
    "gross_volume", "Water in each vessel, empty of rock and sand", "L",
    "Inside length, width and water height by the shape's formula. Inside measures already leave "
    "the glass out.",
    "Plane and solid geometry; ± 1.5 % for a tape measure: common practice, no source.",
    "none", "one standard deviation", _gross,
)  # fmt: skip


def _displacement(tables: Tables, _done: Metrics) -> Iterator[Result]:
    fill = tables.profile.fill
    pieces: list[Rock | Sand] = [*fill.rock, *fill.sand]
    for piece in pieces:
        found = displaced_l(piece)
        stated = (getattr(piece, key, None) for key in ("mass", "displaces", "bed_volume"))
        inputs = tuple(Input(piece.name, quantity.said) for quantity in stated if quantity)
        yield Result("displacement", found.value, "L", 1, piece.name, found.low, found.high,
                     inputs=inputs)  # fmt: skip


DISPLACEMENT = Metric(
    "displacement", "Water that rock and sand take the place of", "L",
    "Dry mass divided by the density of the solid; porous rock between solid aragonite and very "
    "porous; a sand bed's volume times one less its pores.",
    "Density of aragonite 2.93 g/cm3, from memory of handbooks; porosity and rock density: common "
    "practice, no source.",
    "none", "lowest and highest likely", _displacement,
)  # fmt: skip


def _net(tables: Tables, done: Metrics) -> Iterator[Result]:
    measured = tables.profile.fill.measured_volume
    if measured is not None:
        error = measured.error if measured.error is not None else measured.value * 0.03
        yield Result("net_volume", measured.value, "L", 0, "", measured.value - error,
                     measured.value + error, inputs=(Input("measured at filling", measured.said),),
                     note="Measured; the geometry is only a check.")  # fmt: skip
        return
    vessels, solids = done.of("gross_volume"), done.of("displacement")
    if not vessels:
        return
    value = sum(v.value for v in vessels) - sum(s.value for s in solids)
    error = math.hypot(*(_half_range(r) for r in (*vessels, *solids)))
    inputs = [Input(f"+ {v.subject}", f"{v.value:.0f} L") for v in vessels]
    inputs += [Input(f"− {s.subject}", f"{s.value:.1f} L") for s in solids]
    if _LEAST_L <= value <= _MOST_L:
        yield Result("net_volume", value, "L", 0, "", value - error, value + error,
                     inputs=tuple(inputs))  # fmt: skip


def _half_range(result: Result) -> float:
    if result.low is None or result.high is None:
        return 0.0
    return (result.high - result.low) / 2


NET_VOLUME = Metric(
    "net_volume", "Net water volume", "L",
    "A volume measured at filling where the profile has one (± 3 % if no error is stated). "
    "Otherwise all vessels up to the water line, less what rock and sand displace; half the range "
    "of each part, added as squares, gives the error.",
    "Geometry; combination of errors: JCGM 100:2008 (GUM), 5.1.2.",
    "none", "one standard deviation", _net,
)  # fmt: skip


def relative_volume_error(net_volume: Result) -> float:
    """Give one standard deviation of the net volume as a share of it."""
    return _half_range(net_volume) / net_volume.value
