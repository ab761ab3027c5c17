"""Probe series as a tidy table: one row a day, parameter and file."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from journal_tools.parameters import PARAMETERS
from journal_tools.probes.folder import ProbeSeries

PROBE_DAY_COLUMNS = (
    "time", "parameter", "minimum", "mean", "maximum", "unit", "count", "known_h", "outside_h",
    "longest_gap_h", "largest_rate_per_h", "flagged", "failed", "lowest_at", "highest_at", "source",
)  # fmt: skip
"""Columns of the table of days; ``time`` is the start of the keeper's day."""

_FIGURES = (
    "minimum", "mean", "maximum", "known_h", "outside_h", "longest_gap_h", "largest_rate_per_h",
)  # fmt: skip
_COUNTS = ("count", "flagged", "failed")
_TIMES = {"time": "start_ns", "lowest_at": "minimum_ns", "highest_at": "maximum_ns"}


def probe_days(series: Sequence[ProbeSeries], time_zone: str) -> pd.DataFrame:
    """Give the days of all series by time, in canonical units and the keeper's local time."""
    columns: dict[str, object] = {}
    sizes = [one.data.start_ns.size for one in series]
    for name, of_data in _TIMES.items():
        utc = pd.DatetimeIndex(_joined(series, of_data, np.int64), tz="UTC").as_unit("us")
        columns[name] = utc.tz_convert(time_zone)
    for name in _FIGURES:
        columns[name] = _joined(series, name, np.float64)
    for name in _COUNTS:
        columns[name] = _joined(series, name, np.int64)
    texts = {
        "parameter": [one.parameter for one in series],
        "unit": [PARAMETERS[one.parameter].unit for one in series],
        "source": [one.source for one in series],
    }
    for name, words in texts.items():
        columns[name] = pd.Series(np.repeat(np.array(words, dtype=object), sizes), dtype="str")
    frame = pd.DataFrame(columns)[list(PROBE_DAY_COLUMNS)]
    return frame.sort_values(["time", "source"], kind="stable", ignore_index=True)


def _joined(
    series: Sequence[ProbeSeries], name: str, kind: type[np.generic]
) -> NDArray[np.generic]:
    parts = [getattr(one.data, name) for one in series]
    return np.concatenate(parts).astype(kind) if parts else np.empty(0, kind)
