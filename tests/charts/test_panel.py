from __future__ import annotations

import math
from datetime import timedelta

import pandas as pd
import pytest

from journal_tools.charts.frame import unchecked
from journal_tools.charts.panel import made, panel_layers, reading_said, time_axis, usable
from journal_tools.charts.placing import Area
from journal_tools.charts.scale import TimeSpan
from journal_tools.charts.series import points
from journal_tools.charts.sheet import sheet
from journal_tools.charts.theme import WIDE
from journal_tools.parameters import PARAMETERS

from .made_up import LAST, table
from .seen import names, rows_of, written

ALK = PARAMETERS["alkalinity"]
SPAN = TimeSpan(pd.Timestamp(2026, 4, 14), pd.Timestamp(2026, 5, 14))
AREA = Area(10, 20, 210, 60)


def measured(*readings: tuple[float, float, str]) -> pd.DataFrame:
    rows = [(LAST - timedelta(days=days), value, 0.1, side) for days, value, side in readings]
    return table(rows).assign(parameter="alkalinity")


def panel_of(readings: pd.DataFrame, bands=((None, None, 7.5, 8.5),)):
    return made(ALK, readings, bands, SPAN, AREA)


def chart_of(*panels):
    return sheet(panel_layers(panels), WIDE, 80, name="x", title="t", description="d")


def test_only_readings_of_the_parameter_with_a_number_are_usable():
    readings = measured((1, 8, ""), (2, math.nan, ""), (3, math.inf, ""), (4, 1e300, ""))
    other = measured((1, 9, "")).assign(parameter="calcium")
    assert list(usable(pd.concat([readings, other]), ALK)["value"]) == [8]
    assert list(usable(readings.iloc[:0], ALK).columns) == list(readings.columns)


def test_places_run_from_foot_to_top_and_from_left_to_right():
    panel = panel_of(measured((1, 8.2, ""), (9, 7.9, "")))
    assert (panel.x(SPAN.start), panel.x(SPAN.end)) == (10, 210)
    assert panel.y(panel.scale.low) == 60
    assert panel.y(panel.scale.high) == pytest.approx(20)
    assert panel.y(1e6) == 20
    assert panel.y(-1e6) == 60


@pytest.mark.parametrize(
    "value,side,verdict",
    [
        (8.0, "", ""),
        (7.0, "", "low"),
        (9.0, "", "high"),
        (9.0, "above", "high"),
        (8.0, "below", ""),
    ],
)
def test_a_reading_is_judged_by_its_band(value, side, verdict):
    readings = measured((1, value, side))
    assert panel_of(readings).verdict(points(readings)[0]) == verdict


def test_all_panels_of_a_sheet_share_their_layers():
    panel = panel_of(measured((1, 8.2, ""), (9, 7.9, ""), (12, 8, "below")))
    assert len(names(chart_of(panel))) == len(names(chart_of(panel, panel, panel)))


def test_an_open_side_reaches_the_edge_without_a_line():
    chart = chart_of(panel_of(measured((1, 8.2, "")), [(None, None, None, 8.5)]))
    assert max(row["y"] for row in rows_of(chart, "bands") if row["y"] is not None) == 60
    assert len({row["y"] for row in rows_of(chart, "limits")} - {None}) == 1


def test_censored_readings_are_open_and_break_the_line():
    chart = chart_of(panel_of(measured((1, 8, ""), (3, 8, "below"), (5, 8, ""), (7, 8, ""))))
    assert len(rows_of(chart, "open")) == 1
    assert len([row for row in rows_of(chart, "lines") if row["x"] is not None]) == 2


def test_crowded_readings_lose_their_dots_but_not_their_extremes():
    values = [(i / 20, 8 + 0.4 * math.sin(i), "") for i in range(500)]
    panel = panel_of(measured(*values))
    chart = chart_of(panel)
    drawn = [row["y"] for row in rows_of(chart, "lines") if row["y"] is not None]
    assert "dots" not in names(chart)
    assert len(drawn) < 120
    assert min(drawn) == pytest.approx(panel.y(max(value for _, value, _ in values)), abs=0.1)
    assert max(drawn) == pytest.approx(panel.y(min(value for _, value, _ in values)), abs=0.1)


def test_readings_in_words():
    below = points(measured((1, 0.25, "below")))[0]
    assert reading_said(ALK, below) == "below 0.25\u00a0dKH"
    assert reading_said(PARAMETERS["ph"], points(measured((1, 8.15, "")))[0]) == "8.15"
    assert reading_said(ALK, points(measured((1, 8.15, "")))[0], unit=False) == "8.2"


@pytest.mark.parametrize("days,says", [(28, "30 Apr"), (200, "Jan"), (1900, "2024")])
def test_the_time_axis_is_written_under_each_column(days, says):
    span = TimeSpan(SPAN.end - pd.Timedelta(days=days), SPAN.end)
    with unchecked():
        layers = time_axis("axis", span, [0, 300], 200, 50, WIDE)
    chart = sheet(layers, WIDE, 80, name="x", title="t", description="d")
    assert len([word for word in written(chart) if says in word["says"]]) == 2
