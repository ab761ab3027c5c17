from __future__ import annotations

import json
import math
from datetime import timedelta

import pandas as pd
import pytest

from journal_tools.charts.estimate import estimate_chart
from journal_tools.charts.theme import NARROW, WIDE

from .made_up import LAST, TODAY, ZONE, happenings
from .seen import HOSTILE, names, size, texts
from .seen import rows_of as layer_rows

SAID = {"title": "Carbon dioxide", "unit": "µatm", "decimals": 0, "today": TODAY}


def course(*values: float, width: float = 50, step_days: float = 3) -> pd.DataFrame:
    count = len(values)
    times = [LAST - timedelta(days=step_days * (count - 1 - i)) for i in range(count)]
    return pd.DataFrame(
        {
            "time": pd.Series(times, dtype="datetime64[ns]").dt.tz_localize(ZONE),
            "value": [float(v) for v in values],
            "low": [v - width for v in values],
            "high": [v + width for v in values],
        }
    )


def wavy(count: int, step_days: float = 1) -> pd.DataFrame:
    values = [500 + 100 * math.sin(i * 0.7) * math.cos(i * 0.013) for i in range(count)]
    return course(*values, step_days=step_days)


CASES = {
    "nothing": course(),
    "one": course(500),
    "two": course(400, 900),
    "all equal": course(*[500] * 9),
    "no interval": course(480, 500).assign(low=math.nan, high=None),
    "not numbers": course(math.nan, math.inf, 500, 1e300, -math.inf, 510),
    "huge": course(-9e8, 9e8, 3),
    "tiny": course(1e-9, 2e-9, width=1e-10),
    "upside down": course(480, 500, width=-50),
    "ten years": wavy(3650),
}


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("case", CASES)
def test_every_case_is_valid_and_small(case, shape):
    chart = estimate_chart(
        CASES[case], events=happenings(9, 200), band=(380, None), marks=course(450), shape=shape,
        **SAID,
    )  # fmt: skip
    spec = chart.to_dict(validate=True)
    assert spec["description"].startswith("Carbon dioxide: ")
    assert spec["width"] == shape.plot_width
    assert size(chart) < 60_000


def test_words_counted_by_hand():
    chart = estimate_chart(course(400, 500, 620), band=(None, 500), **SAID)
    assert chart.to_dict(validate=False)["description"].replace("\u00a0", " ") == (
        "Carbon dioxide: 3 estimates from 7 May 2026 to 13 May 2026, 400 to 620 µatm; the latest "
        "is 620 µatm on 13 May 2026, likely 570 to 670 µatm. 2 of 3 lie in the reference band "
        "(at most 500 µatm)."
    )


def test_words_of_one_none_and_unusable_estimates():
    one = estimate_chart(course(500), band=(600, None), **SAID).to_dict(validate=False)[
        "description"
    ]
    assert "one estimate, 500\u00a0µatm on 13 May 2026" in one
    assert "It does not lie in the reference band" in one
    none = estimate_chart(course(), **SAID).to_dict(validate=False)["description"]
    assert none == "Carbon dioxide: nothing to estimate from yet."
    some = estimate_chart(course(math.nan, 500, math.inf), **SAID).to_dict(validate=False)[
        "description"
    ]
    assert some.endswith("2 rows without a usable number left out.")


def test_the_interval_is_one_filled_path():
    spec = estimate_chart(wavy(50), **SAID).to_dict(validate=False)
    areas = [layer for layer in spec["layer"] if layer["mark"]["type"] == "area"]
    assert len(areas) == 1
    assert (areas[0]["encoding"]["y"]["field"], areas[0]["encoding"]["y2"]["field"]) == ("lo", "hi")
    assert len(spec["data"]["values"]) == 50


def test_an_interval_upside_down_is_put_in_order():
    spec = estimate_chart(CASES["upside down"], **SAID).to_dict(validate=False)
    assert all(row["lo"] < row["v"] < row["hi"] for row in spec["data"]["values"])


def test_a_very_wide_interval_does_not_flatten_the_line():
    chart = estimate_chart(course(500, 510, 505, width=1e6), **SAID)
    scales = [
        layer["encoding"]["y"].get("scale") for layer in chart.to_dict(validate=False)["layer"]
    ]
    low, high = next(scale["domain"] for scale in scales if scale)
    assert high - low < 100


def test_line_and_area_break_at_a_long_pause():
    points = course(500, 510, 520, 530)
    points.loc[:1, "time"] -= pd.Timedelta(days=60)
    rows = estimate_chart(points, **SAID).to_dict(validate=False)["data"]["values"]
    assert [row["v"] for row in rows] == [500, 510, None, 520, 530]
    assert [row["hi"] for row in rows] == [550, 560, None, 570, 580]


def test_dots_are_sparse_but_hold_extremes_and_the_latest():
    points = wavy(700)
    dots = [row["v"] for row in layer_rows(estimate_chart(points, **SAID), "dots")]
    drawn = [v for v in dots if v is not None]
    assert len(drawn) < 35
    assert {points["value"].min(), points["value"].max(), points["value"].iloc[-1]} <= set(drawn)


def test_a_reference_band_is_named_and_not_called_a_target():
    found = texts(estimate_chart(course(450, 460), band=(380, 480), **SAID))
    assert "reference 380 to 480\u00a0µatm" in found
    assert "bands" not in names(estimate_chart(course(450), band=(None, None), **SAID))


def test_values_to_compare_with_are_drawn_with_their_label():
    marks = course(640, 1).iloc[:1].assign(label=HOSTILE)
    chart = estimate_chart(wavy(30), marks=marks, **SAID)
    assert [row["v"] for row in layer_rows(chart, "checks")] == [640]
    assert any(text.startswith("<script>") for text in texts(chart))
    unnamed = estimate_chart(wavy(30), marks=course(640), **SAID)
    assert "check-words" not in names(unnamed)


def test_events_are_marked_as_in_other_charts():
    assert "events" in names(estimate_chart(wavy(60), events=happenings(9, 40), **SAID))
    assert "events" not in names(estimate_chart(wavy(60), **SAID))


def test_a_hostile_title_stays_inside_the_drawing():
    said = {**SAID, "title": HOSTILE * 9, "unit": HOSTILE}
    for shape in (WIDE, NARROW):
        chart = estimate_chart(course(1, 2), shape=shape, **said)
        assert HOSTILE in chart.to_dict(validate=False)["description"]
        assert any(text.endswith("…") for text in texts(chart))


def test_the_same_input_gives_the_same_chart():
    first, second = (
        json.dumps(
            estimate_chart(wavy(99), events=happenings(5, 50), **SAID).to_dict(validate=False)
        )
        for _ in range(2)
    )
    assert first == second
