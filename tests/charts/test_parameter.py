from __future__ import annotations

import json
from datetime import date, datetime, timedelta

import pytest

from journal_tools.charts.parameter import parameter_chart, sparkline, title_words
from journal_tools.charts.theme import NARROW, WIDE

from .made_up import (
    ALKALINITY,
    BANDS,
    LAST,
    PHOSPHATE,
    TODAY,
    Quantity,
    censored,
    happenings,
    series,
    table,
)

CASES = {
    "no readings": (series(0, 1), happenings(0, 1), BANDS),
    "nothing at all": (series(0, 1), happenings(0, 1), []),
    "only events": (series(0, 1), happenings(4, 60), []),
    "one reading": (series(1, 1), happenings(2, 9), BANDS),
    "equal values": (series(9, 80, swing=0), happenings(3, 70), []),
    "only below": (censored(12), happenings(5, 90), [(None, None, None, 0.1)]),
    "only above": (censored(3, "above"), happenings(0, 1), []),
    "three readings": (series(3, 10), happenings(4, 9), [(None, None, 7.5, None)]),
    "fourteen months": (series(400, 420), happenings(60, 410), BANDS),
    "ten years": (series(3650, 3650), happenings(60, 3600), BANDS),
}


def layers(spec: dict, mark: str) -> list[dict]:
    return [layer for layer in spec["layer"] if layer["mark"]["type"] == mark]


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("interactive", [False, True], ids=["drawn", "interactive"])
@pytest.mark.parametrize("case", CASES)
def test_every_case_is_valid_vega_lite(case, shape, interactive):
    readings, events, bands = CASES[case]
    chart = parameter_chart(
        ALKALINITY, readings, events, bands, TODAY, shape=shape, interactive=interactive
    )
    spec = chart.to_dict(validate=True)
    assert spec["$schema"].startswith("https://vega.github.io/schema/vega-lite/v6")
    assert spec["description"].startswith("Alkalinity: ")


def test_times_are_wall_times_with_a_time_part_and_no_zone():
    # A bare date or a zone would move the point to the day before for readers in the Americas.
    for zone in ("America/Los_Angeles", "Asia/Tokyo"):
        readings = table([(datetime(2026, 3, 14), 8.2, 0.2, "")], zone)
        spec = parameter_chart(ALKALINITY, readings, happenings(0, 1), [], TODAY).to_dict()
        assert [row["t"] for row in spec["data"]["values"]] == ["2026-03-14T00:00:00"]
        assert spec["data"]["format"]["parse"]["t"].startswith("utc:")
        scales = [layer["encoding"]["x"].get("scale") for layer in spec["layer"]]
        assert all(scale["type"] == "utc" for scale in scales if scale)


def test_error_bars_and_dots_are_one_mark_each():
    spec = parameter_chart(ALKALINITY, series(50, 90), happenings(0, 1), BANDS, TODAY).to_dict()
    assert len(layers(spec, "line")) == 3
    assert len(spec["data"]["values"]) == 50


def test_readings_without_error_have_no_bars():
    readings = series(5, 20, error=float("nan"))
    spec = parameter_chart(ALKALINITY, readings, happenings(0, 1), BANDS, TODAY).to_dict()
    assert len(layers(spec, "line")) == 2


def test_an_open_side_of_a_band_has_no_line():
    bands = [(None, None, None, 0.1)]
    spec = parameter_chart(
        PHOSPHATE, series(5, 20, 0.05, 0.02), happenings(0, 1), bands, TODAY
    ).to_dict()
    limits = next(layer for layer in spec["layer"] if layer["data"]["name"] == "limits")
    assert [row["v"] for row in limits["data"]["values"]] == [0.1]


def test_an_outlier_is_never_hidden():
    readings = series(60, 200)
    readings.loc[30, "value"] = 82.0
    text = json.dumps(
        parameter_chart(ALKALINITY, readings, happenings(0, 1), BANDS, TODAY).to_dict(),
        ensure_ascii=False,
    )
    assert "82.0\u00a0dKH" in text


def test_the_same_input_gives_the_same_chart():
    args = (ALKALINITY, series(20, 60), happenings(9, 50), BANDS, TODAY)
    for interactive in (False, True):
        first, second = (
            parameter_chart(*args, interactive=interactive).to_dict() for _ in range(2)
        )
        assert json.dumps(first) == json.dumps(second)


def test_the_axis_ends_today_though_the_last_reading_is_old():
    readings = table([(LAST - timedelta(days=d), 8.0, 0.1, "") for d in (60, 50, 40)])
    spec = parameter_chart(ALKALINITY, readings, happenings(0, 1), [], TODAY).to_dict()
    base = next(layer for layer in spec["layer"] if layer["data"]["name"] == "base")
    assert base["data"]["values"][0]["t2"] >= "2026-05-15"


def test_title_has_the_unit_once():
    assert title_words(ALKALINITY) == "Alkalinity, dKH"
    assert title_words(Quantity("ph", "pH", "pH", 2)) == "pH"
    assert title_words(Quantity("ph", "pH", "", 2)) == "pH"


@pytest.mark.parametrize("case", CASES)
def test_sparklines_are_valid_and_have_no_axes(case):
    spec = sparkline(ALKALINITY, CASES[case][0], (7.5, 8.5)).to_dict(validate=True)
    assert (spec["width"], spec["height"]) == (156, 32)
    for layer in spec["layer"]:
        assert layer["encoding"]["x"]["axis"] is None
        assert layer["encoding"]["y"]["axis"] is None


def test_sparkline_can_be_cut_to_the_last_days():
    spec = sparkline(ALKALINITY, series(100, 99), None, days=30).to_dict()
    assert "30 readings" in spec["description"] or "31 readings" in spec["description"]
    assert min(row["t"] for row in spec["data"]["values"]) > str(date(2026, 4, 12))
