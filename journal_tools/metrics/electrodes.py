"""Slope and offset of pH electrodes, from their voltages in two buffers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.science.meters.ph_electrode import Electrode, electrode_from_buffers
from journal_tools.science.validity import OutOfRangeError
from journal_tools.tables import Tables, rows_of

_BUFFER_C = 25.0


def _electrodes(tables: Tables) -> Iterator[tuple[str, Electrode, tuple[Input, ...], dt.datetime]]:
    """Give each calibration with two voltages: instrument, electrode, inputs and moment."""
    rows = tables.calibrations
    rows = rows[(rows["parameter"] == "ph") & rows["millivolts"].notna()]
    for (instrument, _), points in rows.groupby(["instrument", "time"], sort=True):
        if len(points) < 2:
            continue
        ordered = points.sort_values("standard")
        first, second = ordered.iloc[0], ordered.iloc[-1]
        try:
            found = electrode_from_buffers(
                float(first["millivolts"]), float(first["standard"]),
                float(second["millivolts"]), float(second["standard"]), _BUFFER_C,
            )  # fmt: skip
        except (OutOfRangeError, ValueError):
            continue  # buffers or voltages are exchanged: no electrode has such a slope
        inputs = tuple(
            Input(f"buffer {row.standard:.2f}", f"{row.millivolts:+.0f} mV", row.entry,
                  int(row.line))
            for row in rows_of(ordered)
        )  # fmt: skip
        moment: dt.datetime = points["time"].iloc[0]
        yield str(instrument), found, inputs, moment


def _slope(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for instrument, electrode, inputs, time in _electrodes(tables):
        note = "" if electrode.is_usual else (
            "Outside what is commonly accepted: clean it, take fresh buffers, then a new electrode."
        )  # fmt: skip
        yield Result("electrode_slope", electrode.slope_percent, "%", 1, instrument,
                     electrode.slope_percent - 1, electrode.slope_percent + 1,
                     end=time, inputs=inputs, note=note)  # fmt: skip


ELECTRODE_SLOPE = Metric(
    "electrode_slope", "Slope of the pH electrode", "%",
    "Voltage between two buffers by their distance in pH, as a share of the Nernst slope at 25 °C.",
    "Nernst equation, CODATA 2018; IUPAC 2002 (Buck et al., Pure Appl. Chem. 74:2169). 92 to 102 % "
    "is common practice, no source.",
    "none", "by 0.02 in the pH of the buffers", _slope,
)  # fmt: skip


def _offset(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for instrument, electrode, inputs, time in _electrodes(tables):
        yield Result("electrode_offset", electrode.offset_mv, "mV", 0, instrument, end=time,
                     inputs=inputs)  # fmt: skip


ELECTRODE_OFFSET = Metric(
    "electrode_offset", "Offset of the pH electrode", "mV",
    "Its voltage at pH 7, by the line through two buffers.",
    "Definition. Within 30 mV is common practice, no source.", "none", "", _offset,
)  # fmt: skip
