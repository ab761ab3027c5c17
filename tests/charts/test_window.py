from __future__ import annotations

import json
import math
from datetime import date, datetime, timedelta

import pandas as pd
import pytest

from journal_tools.charts.sheet import sheet_width, word_px
from journal_tools.charts.theme import NARROW, WIDE
from journal_tools.charts.window import window_chart
from journal_tools.parameters import PARAMETERS, Parameter

from .made_up import ZONE, happenings, table
from .seen import HOSTILE, names, rows_of, size, texts, written

MOMENT = datetime(2026, 4, 28, 18, 40)
ALL = list(PARAMETERS.values())
BANDS = {"alkalinity": [(None, None, 7.5, 8.5)], "nitrate": [(None, None, None, 10.0)]}


def measured(name: str, *readings: tuple[float, float, str]) -> pd.DataFrame:
    """Readings as days from the moment, value, censored."""
    rows = [(MOMENT + timedelta(days=days), value, 0.1, side) for days, value, side in readings]
    return table(rows).assign(parameter=name)


def dense(count: int, names: list[str]) -> pd.DataFrame:
    days = [28 * i / count - 14 for i in range(count)]
    rows = [(day, 8 + math.sin(i * 1.7) + i % 7, "") for i, day in enumerate(days)]
    return pd.concat([measured(name, *rows) for name in names], ignore_index=True)


ALKALINITY = measured("alkalinity", (-9, 8.2, ""), (-2, 8.0, ""), (1, 7.1, ""), (6, 7.9, ""))
NOTHING = ALKALINITY.iloc[:0]
NO_EVENTS = happenings(0, 1)

CASES = {
    "nothing": (NOTHING, NO_EVENTS),
    "only events": (NOTHING, happenings(9, 30)),
    "one reading": (measured("ph", (-3, 8.15, "")), NO_EVENTS),
    "outside the days": (measured("ph", (-30, 8.15, ""), (40, 8.2, "")), happenings(3, 5)),
    "all equal": (measured("ph", *((day, 8.1, "") for day in range(-9, 9))), happenings(3, 20)),
    "only below": (measured("ammonia", (-3, 0.05, "below"), (3, 0.05, "below")), NO_EVENTS),
    "not numbers": (
        measured("ph", (-3, math.nan, ""), (2, math.inf, ""), (3, 1e300, ""), (4, 8.0, "")),
        NO_EVENTS,
    ),
    "extreme": (measured("calcium", (-3, 9e8, ""), (3, -9e8, "")), happenings(1, 9)),
    "all parameters": (dense(9, [p.name for p in ALL]), happenings(60, 30)),
}


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("case", CASES)
def test_every_case_is_valid_and_small(case, shape):
    chart = window_chart(*CASES[case], ALL, BANDS, MOMENT, shape=shape)
    spec = chart.to_dict(validate=True)
    assert spec["description"].startswith("From 14 April 2026 to 12 May 2026, around 28 April")
    assert spec["width"] == sheet_width(shape)
    assert size(chart) < 40_000


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_ten_probes_read_every_quarter_of_an_hour_stay_under_40_kb(shape):
    readings = dense(4 * 24 * 28, [p.name for p in ALL[:10]])
    assert (
        size(window_chart(readings, happenings(60, 30), ALL, BANDS, MOMENT, shape=shape)) < 40_000
    )


def test_words_counted_by_hand():
    readings = pd.concat([ALKALINITY, measured("nitrate", (3, 2.0, "below"))], ignore_index=True)
    words = window_chart(readings, NO_EVENTS, ALL, BANDS, MOMENT).to_dict(validate=False)[
        "description"
    ]
    assert words.replace("\u00a0", " ") == (
        "From 14 April 2026 to 12 May 2026, around 28 April 2026. Alkalinity 8.0 dKH before, "
        "7.1 dKH, low after; Nitrate no reading before, below 2.0 mg/L after. "
        "Nothing else is written down."
    )


def test_events_are_said_and_those_without_a_name_by_their_kind():
    events = happenings(1, 0.001).assign(label="", time=pd.Timestamp(MOMENT, tz=ZONE))
    events = pd.concat([events, events.assign(label=HOSTILE)], ignore_index=True)
    words = window_chart(ALKALINITY, events, ALL, BANDS, MOMENT).to_dict(validate=False)[
        "description"
    ]
    assert f"{HOSTILE} on 28 April 2026" in words
    assert words.count("on 28 April 2026") == 2


def test_values_are_the_nearest_on_both_sides_and_coral_only_outside_the_band():
    chart = window_chart(ALKALINITY, NO_EVENTS, ALL, BANDS, MOMENT)
    values = {word["says"]: word["color"] for word in written(chart)}
    assert "ink" in values["8.0"]
    assert "coral" in values["7.1, low"]
    assert sum("coral" in ink for ink in values.values()) == 1


def test_a_reading_at_the_moment_counts_as_before():
    readings = measured("alkalinity", (0, 8.3, ""), (1, 8.0, ""))
    assert {"8.3", "8.0"} <= set(texts(window_chart(readings, NO_EVENTS, ALL, {}, MOMENT)))


def test_rows_make_the_figure_higher_up_to_ten():
    heights = [
        window_chart(dense(9, [p.name for p in ALL[:count]]), NO_EVENTS, ALL, {}, MOMENT).height
        for count in (1, 2, 10, 14)
    ]
    assert heights[1] - heights[0] == 42
    assert heights[2] - heights[0] == 9 * 42
    assert heights[3] == heights[2]


def test_parameters_without_room_are_named_in_the_words():
    chart = window_chart(dense(9, [p.name for p in ALL[:12]]), NO_EVENTS, ALL, {}, MOMENT)
    assert "Not drawn: Potassium, Strontium." in chart.to_dict(validate=False)["description"]


def test_parameters_read_on_both_sides_come_first():
    readings = pd.concat([measured("temperature", (3, 25, "")), ALKALINITY], ignore_index=True)
    chart = window_chart(readings, NO_EVENTS, ALL, {}, MOMENT)
    places = {word["says"]: word["y"] for word in written(chart)}
    assert places["Alkalinity"] < places["Temperature"]


def test_the_moment_is_marked_in_the_middle_with_its_time():
    chart = window_chart(ALKALINITY, NO_EVENTS, ALL, {}, MOMENT)
    mark = rows_of(chart, "moment")[0]["x"]
    assert mark == pytest.approx(164 + (sheet_width(WIDE) - 178 - 164) / 2, abs=0.1)
    assert "28 Apr, 18:40" in texts(chart)
    assert "28 Apr" in texts(window_chart(ALKALINITY, NO_EVENTS, ALL, {}, date(2026, 4, 28)))


def test_days_on_either_side_can_differ():
    chart = window_chart(ALKALINITY, NO_EVENTS, ALL, {}, MOMENT, days_before=3, days_after=2)
    assert chart.to_dict(validate=False)["description"].startswith(
        "From 25 April 2026 to 30 April 2026"
    )
    dots = [row for row in rows_of(chart, "dots") if row["x"] is not None]
    assert len(dots) == 2


def test_the_strip_has_a_sign_and_a_name_for_every_kind():
    chart = window_chart(ALKALINITY, happenings(60, 25), ALL, {}, MOMENT)
    assert {"loss", "water change", "livestock"} <= set(texts(chart))
    assert sum(name.startswith("signs-") for name in names(chart)) == 6


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_long_names_and_values_stay_on_the_sheet(shape):
    odd = Parameter("odd", HOSTILE * 4, HOSTILE * 2, "x", 2, (0, 1))
    readings = measured("odd", (-3, 123456.789, ""), (3, 987654.321, "above"))
    chart = window_chart(readings, NO_EVENTS, [odd], {"odd": [(None, None, 1, 2)]}, MOMENT,
                         shape=shape)  # fmt: skip
    for word in written(chart):
        length = word_px(word["says"], word["fontSize"], bold=word["fontWeight"] == "bold")
        share = {"left": 0.0, "center": 0.5, "right": 1.0}[word["align"]]
        assert word["x"] - share * length >= -1
        assert word["x"] + (1 - share) * length <= sheet_width(shape) + 1


def test_times_are_the_keepers_in_every_zone():
    local, far = (
        window_chart(readings, NO_EVENTS, ALL, {}, MOMENT).to_dict(validate=False)
        for readings in (ALKALINITY, table([
            (MOMENT + timedelta(days=d), v, 0.1, "")
            for d, v in ((-9, 8.2), (-2, 8.0), (1, 7.1), (6, 7.9))
        ], "Asia/Tokyo").assign(parameter="alkalinity"))
    )  # fmt: skip
    assert local == far


def test_the_same_input_gives_the_same_chart():
    first, second = (
        json.dumps(
            window_chart(*CASES["all parameters"], ALL, BANDS, MOMENT).to_dict(validate=False)
        )
        for _ in range(2)
    )
    assert first == second
