from __future__ import annotations

import json
import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.charts.pump import pump_chart
from journal_tools.charts.sheet import sheet_width, word_px
from journal_tools.charts.theme import NARROW, WIDE

from .seen import HOSTILE, names, rows_of, size, texts, written

# An invented pump: 3 m without flow, 3,200 L/h without head.
GIVEN = [(0, 3.0), (1000, 2.6), (2000, 1.8), (3200, 0)]
FLOW = np.linspace(0, 3200, 60)
PUMP = pd.DataFrame({"flow": FLOW, "head": 3 - 3 * (FLOW / 3200) ** 2})
SYSTEM = pd.DataFrame({"flow": FLOW, "head": 1 + (FLOW / 1600) ** 2})
# 3 - 3 (q / 3200)² = 1 + (q / 1600)² gives q = 3200 sqrt(2 / 7) and a head of 3 - 6 / 7.
MEET = (3200 * math.sqrt(2 / 7), 3 - 6 / 7, 1600.0, 1810.0)
EMPTY = PUMP.iloc[:0]

CASES = {
    "all": (GIVEN, PUMP, SYSTEM, MEET),
    "no range": (GIVEN, PUMP, SYSTEM, (*MEET[:2], *MEET[:1], *MEET[:1])),
    "range unknown": (GIVEN, PUMP, SYSTEM, (*MEET[:2], math.nan, math.inf)),
    "do not meet": (GIVEN, PUMP, SYSTEM.assign(head=9.0), None),
    "pump only": (GIVEN, PUMP, EMPTY, None),
    "plumbing only": ([], EMPTY, SYSTEM, None),
    "one point": ([(1000, 2)], PUMP.iloc[:1], SYSTEM.iloc[:1], None),
    "nothing": ([], EMPTY, EMPTY, None),
    "not numbers": ([(math.nan, 1), (5, math.inf)], PUMP.assign(head=math.nan), SYSTEM, MEET),
    "all equal": ([(0, 0)] * 3, PUMP.assign(head=0.0, flow=0.0), SYSTEM * 0, (0, 0, 0, 0)),
    "huge": ([(0, 1e8)], PUMP * 1e5, SYSTEM * 1e5, (1.7e8, 2.1e5, 1e8, 2e8)),
}


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("case", CASES)
def test_every_case_is_valid_and_small(case, shape):
    chart = pump_chart(*CASES[case], shape=shape)
    spec = chart.to_dict(validate=True)
    assert spec["description"].startswith("Pump and plumbing: ")
    assert spec["width"] == sheet_width(shape)
    assert size(chart) < 20_000


def test_words_of_the_operating_point():
    words = pump_chart(*CASES["all"]).to_dict(validate=False)["description"]
    plain = words.replace("\u00a0", " ").replace("\u202f", " ")
    assert "They meet at 1 710 L/h, likely 1 600 to 1 810, at a head of 2.14 m." in plain
    assert "given for the pump: 0 L/h at 3.00 m, 1 000 L/h at 2.60 m" in plain
    assert "the plumbing asks 1.00 m at 0 L/h and 5.00 m at 3 200 L/h" in plain
    assert "do not meet" in pump_chart(*CASES["do not meet"]).to_dict(validate=False)["description"]
    none = pump_chart(*CASES["nothing"]).to_dict(validate=False)["description"]
    assert none == "Pump and plumbing: no curve known yet."


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_every_part_is_labelled_where_it_is(shape):
    found = " ".join(texts(pump_chart(*CASES["all"], shape=shape))).replace("\u202f", " ")
    for says in ("pump", "plumbing", "given", "1 710", "likely 1 600 to 1 810"):
        assert says in found
    assert "legend" not in json.dumps(
        pump_chart(*CASES["all"], shape=shape).to_dict(validate=False)["layer"]
    )


def test_units_are_those_asked_for():
    chart = pump_chart(
        *CASES["all"], flow_unit="gal/h", flow_factor=0.264172, length_unit="ft",
        length_factor=3.28084,
    )  # fmt: skip
    words = chart.to_dict(validate=False)["description"].replace("\u00a0", " ")
    assert "They meet at 452 gal/h, likely 423 to 478, at a head of 7.03 ft." in words
    assert {"flow, gal/h", "head, ft"} <= set(texts(chart))


def test_the_operating_point_lies_on_both_curves():
    chart = pump_chart(*CASES["all"])
    meet = rows_of(chart, "meet")[0]
    for name in ("pump", "system"):
        line = [row for row in rows_of(chart, name) if row["x"] is not None]
        y = np.interp(meet["x"], [row["x"] for row in line], [row["y"] for row in line])
        assert y == pytest.approx(meet["y"], abs=0.3)


def test_a_curve_that_leaves_the_plot_ends_at_its_edge():
    chart = pump_chart(*CASES["all"])
    top = min(row["y"] for row in rows_of(chart, "system") if row["y"] is not None)
    right = max(row["x"] for row in rows_of(chart, "system") if row["x"] is not None)
    assert top == pytest.approx(28, abs=0.1)
    assert right < max(row["x"] for row in rows_of(chart, "pump") if row["x"] is not None)


def test_the_likely_flows_are_a_soft_area_around_the_point():
    chart = pump_chart(*CASES["all"])
    x = [row["x"] for row in rows_of(chart, "likely") if row["x"] is not None]
    assert min(x) < rows_of(chart, "meet")[0]["x"] < max(x)
    assert "likely" not in names(pump_chart(*CASES["no range"]))


def test_a_range_that_misses_the_flow_is_widened_to_it():
    words = pump_chart(GIVEN, PUMP, SYSTEM, (1710, 2.14, 1900, 1800)).to_dict(validate=False)[
        "description"
    ]
    assert "likely 1\u202f710 to 1\u202f900" in words


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_labels_stay_on_the_sheet_whatever_the_unit_is_called(shape):
    chart = pump_chart(*CASES["all"], flow_unit=HOSTILE, length_unit=HOSTILE, shape=shape)
    for word in written(chart):
        if word["align"] == "left":
            right = word["x"] + word_px(word["says"], word["fontSize"])
            assert right <= sheet_width(shape) + 20


@settings(max_examples=25, deadline=None)
@given(st.floats(0.5, 6), st.floats(300, 9000), st.floats(0, 4), st.floats(0.2, 3))
def test_labels_do_not_cover_each_other(shut_off_m, most_l_h, static_m, loss_m):
    flow = np.linspace(0, most_l_h, 40)
    pump = pd.DataFrame({"flow": flow, "head": shut_off_m * (1 - (flow / most_l_h) ** 2)})
    system = pd.DataFrame({"flow": flow, "head": static_m + loss_m * (flow / most_l_h) ** 2})
    share = (shut_off_m - static_m) / (shut_off_m + loss_m)
    meet = None
    if share > 0:
        at = most_l_h * math.sqrt(share)
        meet = (at, static_m + loss_m * share, 0.9 * at, 1.1 * at)
    chart = pump_chart([(0, shut_off_m), (most_l_h, 0)], pump, system, meet)
    labels = [
        word for word in written(chart)
        if word["align"] == "left" and word["fontSize"] == 12 and word["fontWeight"] == "normal"
    ]  # fmt: skip
    for i, a in enumerate(labels):
        for b in labels[i + 1 :]:
            apart = abs(a["y"] - b["y"]) >= 11
            a_right, b_right = (w["x"] + word_px(w["says"]) for w in (a, b))
            assert apart or a_right <= b["x"] or b_right <= a["x"]


def test_the_same_input_gives_the_same_chart():
    first, second = (
        json.dumps(pump_chart(*CASES["all"]).to_dict(validate=False)) for _ in range(2)
    )
    assert first == second
