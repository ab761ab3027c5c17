"""The ribbon of a probe: as large for ten years as for one, and no spike is lost."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.charts.render import to_svg
from journal_tools.charts.ribbon import ribbon_chart, week_chart
from journal_tools.charts.theme import NARROW, WIDE

from .made_up import ALKALINITY, BANDS, TODAY, ZONE, Quantity, table

TEMPERATURE = Quantity("temperature", "Temperature", "°C", 1)
BAND = [(None, None, 24.0, 26.0)]
NO_KITS = table([])


def days(count: int, last: date = TODAY, low: float = 24.8, high: float = 25.4) -> pd.DataFrame:
    starts = pd.date_range(end=pd.Timestamp(last), periods=count, freq="D").tz_localize(ZONE)
    wave = 0.2 * np.sin(np.arange(count) / 9)
    return pd.DataFrame(
        {"time": starts, "minimum": low + wave, "mean": (low + high) / 2 + wave,
         "maximum": high + wave}
    )  # fmt: skip


def kits(*rows: tuple[int, float, str]) -> pd.DataFrame:
    noon = datetime(TODAY.year, TODAY.month, TODAY.day, 12)
    return table([(noon - timedelta(days=ago), value, 0.1, sign) for ago, value, sign in rows])


def rows_of(spec: dict, name: str) -> list[dict]:
    return next(x for x in spec["layer"] if x.get("data", {}).get("name") == name)["data"]["values"]


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("count", [0, 1, 30, 3650])
def test_the_chart_is_valid_and_small_whatever_its_length(shape, count):
    frame = days(count)
    chart = ribbon_chart(TEMPERATURE, frame, kits((0, 25.2, "")), BAND, TODAY, shape=shape)
    spec = chart.to_dict(validate=True)
    drawn = [row for row in rows_of(spec, "ribbon") if row["v"] is not None]
    # Two rows a stretch of days, each of which takes more than half of a column of two px.
    assert len(drawn) <= 2 * shape.plot_width
    if count:
        assert min(row["v"] for row in drawn) == pytest.approx(frame["minimum"].min(), abs=1e-4)
        assert max(row["v2"] for row in drawn) == pytest.approx(frame["maximum"].max(), abs=1e-4)
    assert len(to_svg(chart, name="x").encode()) < 30_000


@settings(max_examples=40, deadline=None)
@given(at=st.integers(0, 3649), up=st.booleans(), count=st.sampled_from([400, 3650]))
def test_no_spike_is_lost_in_ten_years(at, up, count):
    frame = days(count)
    row = at % count
    column, value = ("maximum", 31.5) if up else ("minimum", 12.5)
    frame.loc[row, column] = value
    spec = ribbon_chart(TEMPERATURE, frame, NO_KITS, BAND, TODAY, shape=NARROW).to_dict()
    field = "v2" if up else "v"
    hits = [each for each in rows_of(spec, "ribbon") if each[field] == value]
    day = frame["time"].iloc[row].tz_localize(None)
    assert len(hits) == 2
    assert pd.Timestamp(hits[0]["t"]) <= day < pd.Timestamp(hits[1]["t"])
    low, high = next(
        layer["encoding"]["y"]["scale"]["domain"]
        for layer in spec["layer"]
        if layer.get("data", {}).get("name") == "ribbon"
    )
    assert low <= value <= high


def test_missing_days_break_ribbon_and_line():
    frame = days(30).drop(index=[10, 11, 12])
    spec = ribbon_chart(TEMPERATURE, frame, NO_KITS, BAND, TODAY).to_dict()
    for name, rows in (("ribbon", 27 * 2), ("means", 27)):
        found = rows_of(spec, name)
        assert [row["v"] for row in found].count(None) == 1
        assert len(found) == rows + 1


def test_a_day_without_a_value_is_no_day():
    frame = days(5)
    frame.loc[2, ["minimum", "mean", "maximum"]] = np.nan
    spec = ribbon_chart(TEMPERATURE, frame, NO_KITS, BAND, TODAY).to_dict()
    assert "4 days" in spec["description"]


def test_kit_readings_stand_on_the_ribbon_and_limits_of_a_test_do_not():
    frame = kits((0, 25.2, ""), (1, 20.0, "below"), (400, 25.0, ""))
    spec = ribbon_chart(TEMPERATURE, days(30), frame, BAND, TODAY).to_dict()
    assert [row["v"] for row in rows_of(spec, "kits")] == [25.2]


def test_the_words_say_what_the_chart_shows():
    frame = days(3, low=25.0, high=25.5)
    frame[["minimum", "maximum"]] = [[25.0, 25.5], [24.1, 25.4], [25.0, 26.9]]
    found = kits((0, 25.2, ""), (1, 25.6, ""), (2, 25.55, ""))
    spec = ribbon_chart(TEMPERATURE, frame, found, BAND, TODAY).to_dict()
    assert spec["description"] == (
        "Temperature by the probe: 3 days from 12 May 2026 to 14 May 2026; lowest 24.1\u00a0°C on "
        "13 May 2026, highest 26.9\u00a0°C on 14 May 2026. On half of the days it moves by less "
        "than 1.30\u00a0°C. 2 of 3 kit readings lie within their error of the day's range."
    )
    none = ribbon_chart(TEMPERATURE, days(0), NO_KITS, BAND, TODAY).to_dict()
    assert none["description"] == "Temperature by the probe: no values yet."


def recent(count: int, minutes: int) -> pd.DataFrame:
    times = pd.date_range("2026-05-07", periods=count, freq=f"{minutes}min", tz=ZONE)
    return pd.DataFrame({"time": times, "value": 8.0 + 0.2 * np.sin(np.arange(count) / 20)})


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_the_last_week_is_drawn_as_it_was(shape):
    frame = recent(1_000, 10)
    frame.loc[500, "value"] = 9.7
    chart = week_chart(ALKALINITY, frame, NO_KITS, BANDS, 2.0, shape=shape)
    spec = chart.to_dict(validate=True)
    drawn = rows_of(spec, "course")
    assert len(drawn) == 1_000 and max(row["v"] for row in drawn) == 9.7
    assert "between 7.8\u00a0dKH and 9.7\u00a0dKH" in spec["description"]
    assert len(to_svg(chart, name="x").encode()) < 30_000


def test_a_gap_in_the_week_breaks_the_line():
    frame = recent(100, 15).drop(index=range(40, 60))
    told = rows_of(week_chart(ALKALINITY, frame, NO_KITS, BANDS, 2.0).to_dict(), "course")
    assert [row["v"] for row in told].count(None) == 1
    whole = rows_of(week_chart(ALKALINITY, frame, NO_KITS, BANDS, 6.0).to_dict(), "course")
    assert [row["v"] for row in whole].count(None) == 0


def test_a_single_row_is_a_week_too():
    week_chart(ALKALINITY, recent(1, 15), kits((3, 8.1, "")), BANDS, 2.0).to_dict(validate=True)
