"""Calcium and alkalinity together: do both uptakes fit calcification, and what would mend it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from journal_tools.metrics.consumption import Window, windows
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.supplied import NEW_WATER, UNTESTED_WATER
from journal_tools.moments import epoch_days
from journal_tools.parameters import PARAMETERS
from journal_tools.science.additives.calcification import calcium_per_dkh_mg_l
from journal_tools.science.estimation.ratio import LEAST_CALCIUM_PER_DKH_MG_L, calcium_ratio
from journal_tools.science.estimation.regression import Z90
from journal_tools.science.estimation.uptake import LONGEST_GAP_DAYS, Uptake, uptake
from journal_tools.tables import Tables
from journal_tools.words import day_text, number_text

_MOST_APART_DAYS = 15.0
_OWN_ERRORS = frozenset({NEW_WATER, UNTESTED_WATER})
_MOST_ERRORS = 6.0


def _ratio(tables: Tables, done: Metrics) -> Iterator[Result]:
    found = windows(tables, done)
    if "alkalinity" not in found or "calcium" not in found:
        return
    calcium, alkalinity = found["calcium"], found["alkalinity"]
    reason = _hindrance(calcium, alkalinity, tables)
    if reason:
        done.beyond["calcium_ratio"] = reason
        return
    rates = calcium.found.rate, alkalinity.found.rate
    ratio = calcium_ratio(max(rates[0], 0.0), rates[1], *_errors(calcium.found, alkalinity.found))
    note = "Calcification alone may explain it."
    if not ratio.agrees:
        note = _mismatch(ratio.ratio.value) + _explained(calcium, alkalinity, ratio.ratio.value)
    rows = calcium.balance.rows, alkalinity.balance.rows
    inputs = (
        Input("calcium consumed", f"{rates[0]:.1f} mg/L/day", rows[0][-1].entry,
              int(rows[0][-1].line)),
        Input("alkalinity consumed", f"{rates[1]:.2f} dKH/day", rows[1][-1].entry,
              int(rows[1][-1].line)),
        Input("calcification takes",
              f"{LEAST_CALCIUM_PER_DKH_MG_L:g} to {calcium_per_dkh_mg_l():.2f} mg/L per dKH"),
    )  # fmt: skip
    start = min(part[0].time for part in rows)
    end = max(part[-1].time for part in rows)
    yield Result("calcium_ratio", ratio.ratio.value, "mg/L per dKH", 1, "", ratio.ratio.low,
                 ratio.ratio.high, start, end, inputs, note)  # fmt: skip


def _hindrance(calcium: Window, alkalinity: Window, tables: Tables) -> str:
    """Say why the two cannot be compared, or nothing."""
    if calcium.found.reason or alkalinity.found.reason:
        return "one of the two uptakes is not known"
    newest = [float(window.balance.tests.day[-1]) for window in (calcium, alkalinity)]
    now = float(epoch_days(pd.Series([tables.now]))[0])
    if now - min(newest) > LONGEST_GAP_DAYS or abs(newest[0] - newest[1]) > _MOST_APART_DAYS:
        return "the tests of the two are too far apart, or too old"
    if alkalinity.found.low <= 0 or calcium.found.high <= 0:
        return "the tank uses too little of them for the tests to tell a ratio"
    return ""


def _errors(calcium: Uptake, alkalinity: Uptake) -> tuple[float, float]:
    """Give both errors (1 sd), what is common to both left out as far as it moves both alike.

    The net volume, and a supplement that brings both, move both rates: only what they move the
    calcium more or less than in proportion counts, and is booked to calcium.
    """
    common = (calcium.systematic.keys() & alkalinity.systematic.keys()) - _OWN_ERRORS
    scale = calcium.rate / alkalinity.rate
    uneven = [calcium.systematic[name] - scale * alkalinity.systematic[name] for name in common]
    return _own(calcium, common, uneven), _own(alkalinity, common, [])


def _own(found: Uptake, common: set[str], more: list[float]) -> float:
    scatter = ((found.high - found.rate) / Z90) ** 2 - found.systematic_sd**2
    parts = [part**2 for name, part in found.systematic.items() if name not in common]
    return math.sqrt(max(scatter, 0.0) + sum(parts) + sum(part**2 for part in more))


def _mismatch(value: float) -> str:
    if value > calcium_per_dkh_mg_l():
        return (
            "More calcium than calcification takes: a calcium mix stronger than told, an "
            "alkalinity mix weaker than told, or a slip in a test. "
        )
    return (
        "Less calcium than calcification takes: nitrification, precipitation on pumps and "
        "heaters, a calcium mix weaker than told, an alkalinity mix stronger than told, or a slip "
        "in a test. "
    )


@dataclass(frozen=True, slots=True)
class _Slip:
    """What the newest test of one of the two would have to read for both to agree."""

    name: str
    day: str
    read: float
    needed: float
    errors: float


def _explained(calcium: Window, alkalinity: Window, value: float) -> str:
    """Name the one reading that, off by the fewest of its errors, would explain a mismatch."""
    most = calcium_per_dkh_mg_l()
    bound = most if value > most else LEAST_CALCIUM_PER_DKH_MG_L
    slips = [
        slip
        for window, rate in ((calcium, bound * alkalinity.found.rate),
                             (alkalinity, calcium.found.rate / bound))
        if (slip := _slip(window, rate)) is not None
    ]  # fmt: skip
    if not slips:
        return ""
    least = min(slips, key=lambda slip: slip.errors)
    if least.errors > _MOST_ERRORS:
        return "No single one of the newest tests would explain it by itself."
    row = PARAMETERS[least.name]
    read, needed = (number_text(one, row.decimals) for one in (least.read, least.needed))
    return (
        f"A {row.in_text} of {needed} instead of {read} {row.unit} on {least.day} would "
        "explain it by itself."
    )


def _slip(window: Window, rate: float) -> _Slip | None:
    """Find the newest test's reading at which the uptake would be a given one."""
    tests = window.found.tests
    used = np.flatnonzero((tests.censored == 0) & (window.found.weight > 0))
    if not len(used):
        return None
    place = int(used[-1])
    error = float(np.sqrt(tests.variance()[place]))
    moved = tests.value.copy()
    moved[place] += error
    other = uptake(replace(tests, value=moved), window.balance.supply)
    by_error = other.rate - window.found.rate
    if other.reason is not None or abs(by_error) < 1e-12:
        return None
    errors = (rate - window.found.rate) / by_error
    row = [r for r in window.balance.rows if r.censored == ""][-1]
    read = float(tests.value[place])
    return _Slip(window.balance.parameter, day_text(row.time.date()), read, read + errors * error,
                 abs(errors))  # fmt: skip


CALCIUM_RATIO = Metric(
    "calcium_ratio", "Calcium used for each dKH", "mg/L per dKH",
    "Consumption of calcium divided by that of alkalinity, last 30 days of tests. Calcification "
    "takes 6 to 7.15 mg/L for each dKH, by the magnesium in the skeleton. Net volume and "
    "supplements that bring both count only as far as they move the two unevenly.",
    "Ca + 2 HCO3 = CaCO3 + CO2 + H2O with IUPAC 2021 weights; Wolf-Gladrow et al. 2007, Mar. Chem. "
    "106:287; interval by Fieller 1954.",
    "chemical", "90 % interval", _ratio,
)  # fmt: skip
