"""Words and cautions that all checks share."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.metrics import Result
from journal_tools.metrics.gear import PLANNED
from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.checks.record import (
    Check,
    Practice,
    Warned,
    amount,
    cautions_of,
    change_text,
    gauge,
    level_text,
    ranged,
    said,
)
from tests.pages.checks.finding import of

US = "units: {system: us, salinity: SG}\n"


@pytest.mark.parametrize(
    ("result", "words"),
    [
        (Result("x", 2350, "L/h", -1), "2\u202f350 L/h"), (Result("x", 1, "days", 0), "1 day"),
        (Result("x", 8.2, "1/h", 1), "8.2 times an hour"), (Result("x", 4, "EUR", 2), "€4.00"),
    ],
)  # fmt: skip
def test_a_figure_in_words(result: Result, words: str) -> None:
    assert said(result) == words


def test_amounts_follow_the_units_of_the_journal(tmp_path: Path) -> None:
    metric, us = of(tmp_path / "a", ""), of(tmp_path / "b", US)
    assert (
        amount(metric, 470, "kg", -1) == "470 kg" and amount(us, 470, "kg", -1) == "1\u202f040 lb"
    )
    assert ranged(metric, 5, 20, "mm") == "5 to 20 mm"
    assert ranged(us, 2, 5, "cm") == "0.8 to 2.0 in"
    assert level_text(metric, "salinity", 35) == "35.0 psu"
    assert level_text(us, "salinity", 35) == "1.0264 SG"  # EOS-80
    assert level_text(us, "temperature", 25) == "77.0 °F" and level_text(us, "ph", 8.1) == "8.10"


def test_a_change_has_no_offset_and_no_sign(tmp_path: Path) -> None:
    metric, us = of(tmp_path / "a", ""), of(tmp_path / "b", US)
    assert change_text(metric, "temperature", 25, -0.5) == "0.5 °C"
    assert change_text(us, "temperature", 25, -0.5) == "0.9 °F"
    assert change_text(metric, "salinity", 35, 0.14) == "0.14 psu"


def test_planned_is_told_by_a_figure_or_by_the_check() -> None:
    assert Check("a", "A", "B.", Result("x", 1, "L", note=PLANNED)).planned
    assert Check("a", "A", "B.", to_come=True).planned
    assert not Check("a", "A", "B.", Result("x", 1, "L")).planned


def test_a_caution_is_in_full_once_and_then_leads_there(tmp_path: Path) -> None:
    site = of(tmp_path, "")
    checks = [
        Check("a", "A", "B.", hazards=["mains"]), Check("b", "A", "B.", hazards=["mains", "load"]),
        Check("c", "A", "B.", hazards=["none"]),
        Check("d", "A", "B.", Result("turnover", 1, "1/h")),
    ]  # fmt: skip
    found = cautions_of(site, checks)
    assert found["a"] == [Warned(CAUTIONS["mains"], anchor="caution-mains")]
    short = "Mains electricity near salt water can kill."
    assert found["b"][0] == Warned(short, link="caution-mains")
    assert found["b"][1].text == CAUTIONS["load"] and found["c"] == []
    assert found["d"] == [Warned(short, link="caution-mains")]


def test_a_gauge_speaks_in_the_shown_unit(tmp_path: Path) -> None:
    us = of(tmp_path, US)
    shown = us.display.result(Result("weir_height", 12.7, "mm"))
    svg = gauge(us, shown, Practice(5, 20, ""))
    assert "jt-gauge--in" in svg and "0.8 in" in svg
