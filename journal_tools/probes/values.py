"""The values of a probe's column: numbers in the canonical unit, each with its quality flag."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from journal_tools.parameters import Parameter
from journal_tools.probes.clock import Moments
from journal_tools.probes.description import Limits, ProbeColumn
from journal_tools.probes.faults import Fault, counted, first_of
from journal_tools.probes.summer_time import usual_step_ns
from journal_tools.probes.table_file import Table
from journal_tools.problems import excerpt
from journal_tools.science.series.probe_quality import (
    FAIL,
    SUSPECT,
    Flags,
    flat_line_flags,
    gross_range_flags,
    rate_flags,
    spike_flags,
)
from journal_tools.science.series.probes import NS_PER_H
from journal_tools.science.validity import FloatArray
from journal_tools.units import Unit

_FEW_VALUES, _GRID = 20_000, 4_001
_LEAST_TOLERANCE = 1e-9


@dataclass(frozen=True)
class Values:
    """The values of one parameter at each moment.

    Attributes:
        numbers: In the canonical unit; NaN where there is none or it failed.
        suspect: Which are doubted but kept.
        failed: Which were left out as wrong.
    """

    numbers: FloatArray
    suspect: NDArray[np.bool_]
    failed: NDArray[np.bool_]


def numbers_of(table: Table, heading: str, decimal: str = ".") -> tuple[FloatArray, list[Fault]]:
    """Give the numbers of a column as written, NaN where there is none, and what is no number."""
    series = table.columns[heading]
    told = series.notna().to_numpy()
    if not told.any():
        hint = "Is it the right column? Else remove it from the description."
        what = f"The column '{heading}' holds no value at all."
        return np.full(len(series), np.nan), [Fault("probe-no-values", what, hint)]
    if pd.api.types.is_bool_dtype(series.dtype) or series.dtype.kind in "mM":
        numbers = np.full(len(series), np.nan)
    elif pd.api.types.is_numeric_dtype(series.dtype):
        numbers = series.to_numpy(np.float64, na_value=np.nan)
    else:
        numbers = _from_text(series, decimal)
    usable = np.isfinite(numbers)
    bad = told & ~usable
    if not bad.any():
        return numbers, []
    number, first = first_of(bad)
    what = (
        f"{counted(number, 'cell', 'cells')} of '{heading}' cannot be read as a number; "
        f"the first is '{excerpt(series.iloc[first])}'."
    )
    hint = "If it means that there is no value, name it under 'missing:'."
    fault = Fault("probe-value", what, hint, *table.place(first, heading))
    return np.where(usable, numbers, np.nan), [fault]


def _from_text(series: pd.Series, decimal: str) -> FloatArray:
    texts = series.where(series.notna()).astype("str").str.strip()
    if decimal == ",":
        texts = texts.str.replace(",", ".", regex=False)
    numbers = pd.to_numeric(texts, errors="coerce")
    return numbers.to_numpy(np.float64, na_value=np.nan)


def checked(
    written: FloatArray, moments: Moments, column: ProbeColumn, parameter: Parameter, unit: Unit
) -> Values:
    """Give the values of a column in canonical units with what is doubted about them.

    Args:
        written: Numbers as in the file, at these moments.
        moments: When.
        column: Its limits, in the unit of the file.
        parameter: What is measured; what cannot be tank water fails.
        unit: Unit of the file.
    """
    canonical = _canonical(written, unit)
    low, high = parameter.possible
    with np.errstate(invalid="ignore"):
        failed = ~np.isnan(written) & ~((canonical >= low) & (canonical <= high))
    suspect = np.zeros(written.size, dtype=bool)
    limits = column.limits
    if limits.fail or limits.suspect:
        flags = gross_range_flags(written, limits.fail or (-np.inf, np.inf), limits.suspect)
        failed |= flags == FAIL
        suspect |= flags == SUSPECT
    if failed.any():
        # A wrong value must not cast doubt on its neighbours.
        canonical, written = (np.where(failed, np.nan, each) for each in (canonical, written))
    for flags in _comparisons(written, moments.ns, limits):
        suspect |= flags == SUSPECT
    return Values(canonical, suspect & ~failed, failed)


def _comparisons(written: FloatArray, ns: NDArray[np.int64], limits: Limits) -> Iterator[Flags]:
    """Give the flags of every test of a value against its neighbours that the keeper asked for."""
    if limits.spike is not None:
        yield spike_flags(written, limits.spike, np.inf)
    if limits.rate_per_h is not None:
        yield rate_flags(ns, written, limits.rate_per_h)
    if limits.flat is not None and ns.size > 1:
        tolerance = max(_LEAST_TOLERANCE, limits.flat * (1 + 1e-12))
        rows = max(3, round(limits.flat_h * NS_PER_H / max(1.0, usual_step_ns(ns))))
        if _may_be_flat(written, tolerance, rows):
            # A water that stands still is odd and no proof: never more than a doubt.
            yield _doubt(flat_line_flags(written, tolerance, rows, rows))


def _may_be_flat(written: FloatArray, tolerance: float, rows: int) -> bool:
    """Tell whether a stretch of so many rows without change can be there at all.

    Every such stretch holds a whole block of half its length: looking at blocks is ten times
    quicker than the test, and most series have none.
    """
    length = max(1, rows // 2)
    blocks = written[: written.size // length * length].reshape(-1, length)
    return bool((np.ptp(blocks, axis=1) < 2 * tolerance).any())


def _doubt(flags: Flags) -> Flags:
    flags[flags == FAIL] = SUSPECT
    return flags


def _canonical(written: FloatArray, unit: Unit) -> FloatArray:
    if unit.curve is None:
        if unit.factor == 1.0 and unit.offset == 0.0:
            return written
        return written * unit.factor + unit.offset
    return _along(unit, written)


def _along(unit: Unit, written: FloatArray) -> FloatArray:
    """Convert along a curve: each different value once, or a fine grid of them."""
    different, back = np.unique(written, return_inverse=True)
    if different.size <= _FEW_VALUES:
        return np.array([_on_curve(unit, value) for value in different])[back]
    finite = different[np.isfinite(different)]
    grid = np.linspace(finite[0], finite[-1], _GRID)
    return np.interp(written, grid, [_on_curve(unit, value) for value in grid])


def _on_curve(unit: Unit, value: float) -> float:
    try:
        return float(unit.to_canonical(float(value)))
    except ValueError:
        # Beyond the formula is beyond water: it fails as impossible.
        return np.nan
