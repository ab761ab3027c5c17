from __future__ import annotations

import json
import math
from datetime import timedelta

import pandas as pd
import pytest

from journal_tools.charts.overview import overview_chart
from journal_tools.charts.sheet import sheet_width, word_px
from journal_tools.charts.theme import NARROW, WIDE
from journal_tools.parameters import PARAMETERS, Parameter

from .made_up import LAST, TODAY, table
from .seen import HOSTILE, names, rows_of, size, texts, written

ALL = list(PARAMETERS.values())
ALK = PARAMETERS["alkalinity"]
BANDS = {"alkalinity": [(None, None, 7.5, 8.5)]}


def measured(name: str, *readings: tuple[float, float, str]) -> pd.DataFrame:
    """Readings as days before the last one, value, censored."""
    rows = [(LAST - timedelta(days=days), value, 0.1, side) for days, value, side in readings]
    return table(rows).assign(parameter=name)


def dense(count: int, days: float) -> pd.DataFrame:
    rows = [(days * i / count, 8 + math.sin(i) + i % 5, "") for i in range(count)]
    return pd.concat([measured(p.name, *rows) for p in ALL], ignore_index=True)


NOTHING = measured("ph")
CASES = {
    "nothing": NOTHING,
    "one reading": measured("ph", (3, 8.1, "")),
    "too old": measured("ph", (200, 8.1, "")),
    "all equal": measured("ph", *((day, 8.1, "") for day in range(9))),
    "only above": measured("nitrate", (3, 50, "above"), (9, 50, "above")),
    "not numbers": measured("ph", (3, math.nan, ""), (4, -math.inf, ""), (5, 8.0, "")),
    "extreme": measured("calcium", (3, 9e8, ""), (9, -9e8, "")),
    "outlier": measured("ph", *((day, 8.1 + day / 99, "") for day in range(20)), (30, 81, "")),
    "every day": dense(90, 90),
}


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("case", CASES)
def test_every_case_is_valid_and_small(case, shape):
    chart = overview_chart(CASES[case], ALL, BANDS, TODAY, shape=shape)
    spec = chart.to_dict(validate=True)
    assert spec["description"].startswith("The last 90 days. Temperature ")
    assert spec["width"] == sheet_width(shape)
    assert size(chart) < 60_000


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_twenty_probes_stay_under_60_kb(shape):
    readings = dense(24 * 90, 90)
    assert size(overview_chart(readings, ALL, BANDS, TODAY, shape=shape)) < 60_000


def test_no_parameters():
    chart = overview_chart(NOTHING, [], {}, TODAY)
    assert chart.to_dict(validate=True)["description"] == "The last 90 days: nothing tested yet."
    assert "nothing tested yet" in texts(chart)


def test_words_counted_by_hand():
    readings = measured("alkalinity", (0, 7.0, ""), (5, 8.0, ""), (120, 9.9, ""))
    words = overview_chart(readings, [ALK, PARAMETERS["ph"]], BANDS, TODAY).to_dict(validate=False)[
        "description"
    ]
    assert words.replace("\u00a0", " ") == (
        "The last 90 days. Alkalinity 7.0 dKH on 13 May 2026 (too low, target 7.5 to 8.5 dKH), "
        "2 readings; pH (buffer scale) never tested."
    )


def test_phones_get_two_columns_and_screens_four():
    for shape, columns in ((NARROW, 2), (WIDE, 4)):
        found = written(overview_chart(dense(9, 80), ALL[:8], {}, TODAY, shape=shape))
        labels = {parameter.label for parameter in ALL[:8]}
        lefts = {word["x"] for word in found if word["says"] in labels}
        assert len(lefts) == columns


def test_eight_parameters_fit_one_phone_screen():
    # 390 by 664 px is what a common phone leaves between the bars of its browser.
    assert overview_chart(dense(9, 80), ALL[:8], {}, TODAY, shape=NARROW).height < 664


def test_the_age_of_a_reading_is_told():
    readings = measured("alkalinity", (19, 8.0, ""))
    assert "20 days ago" in texts(overview_chart(readings, [ALK], {}, TODAY))
    assert "never tested" in texts(overview_chart(NOTHING, [ALK], {}, TODAY))


def test_ages_have_the_same_form_in_all_plots():
    wide = PARAMETERS["magnesium"]
    readings = pd.concat(
        [measured("alkalinity", (19, 8.0, "")), measured("magnesium", (0, 1999, ""))]
    )
    bands = {"magnesium": [(None, None, 1250, 1400)]}
    found = texts(overview_chart(readings, [ALK, wide], bands, TODAY, shape=NARROW))
    assert {"20 d ago", "1 d ago"} <= set(found)


def test_an_old_reading_is_named_though_it_is_not_drawn():
    chart = overview_chart(CASES["too old"], [PARAMETERS["ph"]], {}, TODAY)
    assert "8.10" in texts(chart)
    assert "dots" not in names(chart)


def test_coral_is_only_for_what_lies_outside_its_band():
    inside = overview_chart(measured("alkalinity", (0, 8.0, "")), [ALK], BANDS, TODAY)
    outside = overview_chart(measured("alkalinity", (0, 9.0, "")), [ALK], BANDS, TODAY)
    assert "jt-coral" not in json.dumps(inside.to_dict(validate=False))
    assert "last-coral" in names(outside)
    assert "9.0\u00a0dKH, high" in texts(outside)


def test_an_outlier_leaves_a_sign_at_the_edge():
    chart = overview_chart(CASES["outlier"], [PARAMETERS["ph"]], {}, TODAY)
    assert len(rows_of(chart, "beyond-high")) == 1


def test_what_comes_after_today_is_not_the_latest():
    readings = measured("alkalinity", (0, 8.0, ""), (-30, 7.0, ""))
    assert "8.0\u00a0dKH" in texts(overview_chart(readings, [ALK], {}, TODAY))


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_hostile_names_stay_in_their_column(shape):
    odd = [Parameter(f"p{i}", HOSTILE * 3, HOSTILE, "x", 1, (0, 1)) for i in range(4)]
    readings = pd.concat([measured(p.name, (3, 123456.7, "")) for p in odd], ignore_index=True)
    columns = 4 if shape is WIDE else 2
    room = (sheet_width(shape) + 20) / columns - 20
    for word in written(overview_chart(readings, odd, {}, TODAY, shape=shape)):
        if word["says"].startswith(("<script>", "123")):
            bold = word["fontWeight"] == "bold"
            assert word_px(word["says"], word["fontSize"], bold=bold) <= room + 0.1


def test_the_same_input_gives_the_same_chart():
    first, second = (
        json.dumps(overview_chart(CASES["every day"], ALL, BANDS, TODAY).to_dict(validate=False))
        for _ in range(2)
    )
    assert first == second
