"""Guideline values for ammonia in seawater: figures to compare with, never a verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from journal_tools.science.carbonates.ph_scales import PhScale
from journal_tools.science.validity import Number, as_given
from journal_tools.science.water.ammonia import (
    Basis,
    ammonia_nitrogen_mg_l,
    un_ionised_share,
)


@dataclass(frozen=True, slots=True)
class Guideline:
    """A published or customary figure for ammonia.

    Attributes:
        name: What the figure is called.
        value_mg_l: The figure in mg/L of its basis.
        basis: What those mg are of.
        form: Whether it is for un-ionised or for total ammonia.
        source: Where it stands.
        recalled: Whether the figure is only from memory, which has to be shown with it.
    """

    name: str
    value_mg_l: float
    basis: Basis
    form: Literal["un-ionised", "total"]
    source: str
    recalled: bool

    @property
    def nitrogen_mg_l(self) -> float:
        """The figure in mg/L of nitrogen, of the same form."""
        return ammonia_nitrogen_mg_l(self.value_mg_l, self.basis)


GUIDELINES: Mapping[str, Guideline] = MappingProxyType({
    "epa-1989-chronic": Guideline(
        "four-day mean for salt water", 0.035, "NH3", "un-ionised",
        "US EPA 440/5-88-004 (1989); document identified, figure from memory", True,
    ),
    "epa-1989-acute": Guideline(
        "one-hour mean for salt water", 0.233, "NH3", "un-ionised",
        "US EPA 440/5-88-004 (1989); document identified, figure from memory", True,
    ),
    "anzecc-2000": Guideline(
        "trigger for 95 % of marine species at pH 8.0 and 20 °C", 0.91, "N", "total",
        "ANZECC & ARMCANZ 2000; figure from memory, quoted alike in later papers", True,
    ),
    "batley-simpson-2009": Guideline(
        "revised trigger for 95 % of marine species", 0.46, "N", "total",
        "Batley & Simpson 2009, ammonia in marine water, figure from its abstract", False,
    ),
    "aquaculture-rule": Guideline(
        "rule of thumb of fish farming", 0.02, "NH3", "un-ionised",
        "common practice, no source; its basis is often left unstated", True,
    ),
})  # fmt: skip
"""Guideline values by key."""


def total_ammonia_at_guideline_mg_l(
    guideline: str,
    ph: Number,
    salinity: Number | float,
    temperature_c: Number | float,
    ph_scale: PhScale,
) -> Number:
    """Give the total ammonia in mg/L N whose un-ionised part equals a guideline.

    Args:
        guideline: Key of ``GUIDELINES``, of the un-ionised form.
        ph: pH, 6 to 10.
        salinity: Practical salinity, 5 to 40.
        temperature_c: Temperature in °C, 5 to 35.
        ph_scale: Scale of the pH, ``nbs`` or ``total``.

    Raises:
        ValueError: If a single value is out of range, or the guideline is not known or for total
            ammonia, which holds at its own pH and temperature and cannot be converted.

    Uncertainty:
        As for ``un_ionised_share``: 7 % between models, 24 % for 0.1 in the pH.

    Source:
        Guideline over share.

    >>> round(total_ammonia_at_guideline_mg_l("epa-1989-chronic", 8.2, 35.0, 25.0, "nbs"), 3)
    0.438
    """
    if guideline not in GUIDELINES:
        raise ValueError(f"guideline '{guideline}' is not one of {', '.join(GUIDELINES)}")
    chosen = GUIDELINES[guideline]
    if chosen.form != "un-ionised":
        raise ValueError(f"guideline '{guideline}' is already for total ammonia: {chosen.name}")
    share = np.asarray(un_ionised_share(ph, salinity, temperature_c, ph_scale))
    return as_given(chosen.nitrogen_mg_l / share, ph)
