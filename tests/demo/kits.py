"""Test kits of the invented keeper: noise, the step of the scale, and how a result is written."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Kit:
    """A test: ``step`` of its scale, ``sd`` of one result, least and most that it shows.

    ``factor`` and ``shift`` lead from the unit of the simulation to that of the scale, ``share``
    adds noise in proportion to the result, and ``comma`` writes a decimal comma.
    """

    parameter: str
    step: float
    sd: float
    decimals: int
    least: float | None = None
    most: float | None = None
    share: float = 0.0
    factor: float = 1.0
    shift: float = 0.0
    comma: bool = False


KITS = {
    "t": Kit("temperature", 0.1, 0.08, 1),
    "s": Kit("salinity", 0.1, 0.12, 1),
    "sr": Kit("salinity", 0.5, 0.35, 1),
    "alk": Kit("alkalinity", 0.1, 0.11, 1),
    "tc": Kit("temperature", 0.1, 0.08, 1, comma=True),
    # Specific gravity at 25/25 °C near 35 psu, and alkalinity in meq/L.
    "sg": Kit("salinity", 0.0005, 0.0003, 4, factor=0.000757, shift=1.02637 - 35 * 0.000757),
    "meq": Kit("alkalinity", 0.05, 0.04, 2, factor=1 / 2.8038691),
    "ca": Kit("calcium", 5, 6, 0),
    "mg": Kit("magnesium", 15, 16, 0),
    "ph": Kit("ph", 0.01, 0.03, 2),
    "no3": Kit("nitrate", 1, 0.5, 0, least=1, share=0.06),
    "po4": Kit("phosphate", 0.01, 0.01, 2, least=0.02),
    "nh3": Kit("ammonia", 0.05, 0.02, 2, least=0.05, share=0.06),
    "no2": Kit("nitrite", 0.05, 0.02, 2, least=0.05, most=5, share=0.06),
}
"""Kits by the short name that the chapters use; the steps are those of the profile."""


def result(short: str, true_value: float, draw: str) -> str:
    """Give what the test shows, as it is written down.

    Args:
        short: key of ``KITS``.
        true_value: what a perfect test would show.
        draw: name of this one test; the same name gives the same noise.
    """
    kit = KITS[short]
    noise = np.random.RandomState(zlib.crc32(f"{draw} {short}".encode())).normal()
    exact = true_value * kit.factor + kit.shift
    shown = exact + noise * (kit.sd + kit.share * exact)
    shown = round(shown / kit.step) * kit.step
    if kit.least is not None and shown < kit.least - kit.step / 1000:
        return f"< {kit.least:g}"
    if kit.most is not None and shown > kit.most:
        return f"above {kit.most:g}"  # a bare ">" would begin a block of YAML text
    written = f"{shown:.{kit.decimals}f}"
    return written.replace(".", ",") if kit.comma else written
