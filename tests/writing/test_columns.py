from __future__ import annotations

import pytest

from journal_tools.writing.cells import CellError
from journal_tools.writing.columns import (
    Column,
    Layout,
    Target,
    find_layout,
    target_of,
    told_target,
)
from journal_tools.writing.spreadsheet import Cell, Sheet

SUPPLEMENTS = ("alk mix",)


@pytest.mark.parametrize(
    ("heading", "target"),
    [
        ("Date", "date"), ("Datum", "date"), ("Fecha", "date"), ("Date/Time", "date"),
        ("Uhrzeit", "time"), ("Hora", "time"), ("Bemerkungen", "notes"), ("KH", "alkalinity"),
        ("Alk (dKH)", "alkalinity dKH"),
        ("Karbonathärte [°dH]", "alkalinity °dH"),
        ("Alcalinidad", "alkalinity"),
        ("Alk_meq/L", "alkalinity meq/L"), ("Ca mg/l", "calcium mg/l"),
        ("Calcium [ppm]", "calcium ppm"),
        ("Temp °C", "temperature °C"),
        ("temperature_c", "temperature c"),
        ("Temperatur in °C", "temperature °C"),
        ("Wassertemperatur", "temperature"), ("Raumtemperatur (°C)", "room_temperature °C"),
        ("Salinidad (ppt)", "salinity ppt"),
        ("SG", "salinity SG"),
        ("Leitfähigkeit", "salinity mS/cm"),
        ("Nitrat (NO3)", "nitrate"), ("Nitrate (NO3-N)", "nitrate mg/L N"),
        ("NO3-N", "nitrate mg/L N"), ("NO3 (mg/L as N)", "nitrate mg/L N"),
        ("PO4-P [µg/l]", "phosphate µg/l"), ("Fosfatos", "phosphate"), ("pH-Wert", "ph"),
        ("Kalium\n(mg/l)", "potassium mg/l"),
        ("alk mix", "dose alk mix"),
        ("Alk Mix (ml)", "dose alk mix ml"),
        ("Wasserwechsel (L)", "water change L"),
        ("WW", "water change"), ("Top-off [l]", "top-off l"),
    ],
)  # fmt: skip
def test_headings(heading: str, target: str) -> None:
    found = target_of(heading, SUPPLEMENTS)
    assert found is not None and found.doubt == ""
    assert str(found) == target
    assert told_target(target, SUPPLEMENTS) == found


@pytest.mark.parametrize("heading", ["", "Mood", "Stimmung", "2026", "Total"])
def test_headings_that_say_nothing_known(heading: str) -> None:
    assert target_of(heading, SUPPLEMENTS) is None


def test_a_unit_that_is_not_known_is_a_doubt() -> None:
    assert target_of("Alkalinity (°fH)") == Target("reading", "alkalinity", doubt="°fH")
    for heading in ("Water change (%)", "WW %"):
        assert target_of(heading) == Target("water change", doubt="%")


def test_what_no_column_can_hold() -> None:
    with pytest.raises(CellError) as caught:
        told_target("mood", SUPPLEMENTS)
    assert str(caught.value) == (
        "'mood' is nothing that a column can hold. Use date, time, notes, title, feed, parameter, "
        "value, unit, ignore, water change, top-off, a water parameter with its unit, "
        "'dose NAME ml'."
    )


def layout(*rows: list[Cell], told: dict[str, Target] | None = None) -> Layout:
    found = find_layout(Sheet("", list(rows)), SUPPLEMENTS, told)
    assert found is not None
    return found


def said(found: Layout) -> list[str]:
    return [str(column.target) for column in found.columns if column.target]


DAYS: list[list[Cell]] = [["2026-03-14", "8.2", "420"], ["2026-03-15", "8.1", "421"]]


def test_titles_above_and_units_below() -> None:
    found = layout(["My tests", "", ""], [], ["Date", "Alk", "Ca"], ["", "meq/L", "(mg/l)"], *DAYS)
    assert (found.header, found.first) == (3, 5)
    assert said(found) == ["date", "alkalinity meq/L", "calcium mg/l"]


def test_merged_headings_above() -> None:
    found = layout(["", "Alkalinity", "Calcium"], ["Date", "dKH", "mg/l"], *DAYS)
    assert said(found) == ["date", "alkalinity dKH", "calcium mg/l"]
    found = layout(["Date", "Alkalinity", ""], ["", "morning", "KH"], *DAYS)
    assert said(found)[0] == "date"


def test_days_without_a_heading_are_found() -> None:
    assert said(layout(["", "Alk", "Ca"], *DAYS)) == ["date", "alkalinity", "calcium"]
    assert said(layout(["Time", "Alk", "Ca"], *DAYS)) == ["date", "alkalinity", "calcium"]


def test_what_the_keeper_says_counts() -> None:
    told = {"alk": Target("ignore"), "C": Target("reading", "magnesium")}
    found = layout(["Date", "Alk", "Ca"], *DAYS, told=told)
    assert said(found) == ["date", "ignore", "magnesium"]


def test_no_table_is_no_layout() -> None:
    assert find_layout(Sheet("", [["a", "b"], ["c", 1.0]]), SUPPLEMENTS) is None
    assert find_layout(Sheet("", []), SUPPLEMENTS) is None


@pytest.mark.parametrize(("index", "letter"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ")])
def test_letters(index: int, letter: str) -> None:
    assert Column(index, "", None).letter == letter
