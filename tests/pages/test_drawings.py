"""Charts of worked-out figures: there where there is something to draw, with words for all."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from journal_tools.metrics import Result
from journal_tools.pages.drawings import estimate_figure, lamp_figure, pump_figure
from journal_tools.pages.site import Site
from tests import journals
from tests.pages.built import Built


@pytest.fixture
def site(tmp_path: Path) -> Site:
    return journals.site(tmp_path, {})


def course(*values: float) -> list[Result]:
    start = pd.Timestamp("2026-03-01", tz="Europe/Berlin")
    return [
        Result("pco2", v, "µatm", 0, "", v - 9, v + 9, end=start + pd.Timedelta(days=n))
        for n, v in enumerate(values)
    ]


def test_the_course_of_an_estimate_has_a_table(site: Site) -> None:
    found = estimate_figure(site, "x", course(400, 500), "Carbon dioxide")
    assert found is not None and found.description and "<svg" in found.svg
    assert [row.value for row in found.rows] == ["500 µatm", "400 µatm"]  # newest first
    assert found.rows[0].error == "± 9" and found.more == 0


def test_a_long_table_is_cut(site: Site) -> None:
    found = estimate_figure(site, "x", course(*range(400, 445)), "Carbon dioxide")
    assert found is not None and len(found.rows) == 40 and found.more == 5


def test_less_than_two_moments_make_no_course(site: Site) -> None:
    assert estimate_figure(site, "x", course(400), "Carbon dioxide") is None
    assert estimate_figure(site, "x", [Result("pco2", 1, "µatm")] * 3, "Carbon dioxide") is None


def test_a_pump_meets_its_pipes(full: Built) -> None:
    site = full.site
    piece = next(p for p in site.journal.profile.equipment if p.name == "return pump")
    flow = site.metrics.one("return_flow")
    assert flow is not None
    found = pump_figure(site, piece, flow)
    assert found is not None and "They meet at" in found.description and "L/h" in found.description


def test_a_us_pump_is_drawn_in_gallons(us_planned: Built) -> None:
    site = us_planned.site
    piece = next(p for p in site.journal.profile.equipment if p.name == "big pump")
    flow = site.metrics.one("return_flow")
    assert flow is not None
    found = pump_figure(site, piece, flow)
    assert found is not None and "gal/h" in found.description and "L/h" not in found.description


def test_a_pump_without_pipes_or_flow_is_not_drawn(full: Built) -> None:
    site = full.site
    pieces = {p.name: p for p in site.journal.profile.equipment}
    flow = Result("return_flow", 1000, "L/h")
    assert pump_figure(site, pieces["left pump"], flow) is None
    assert pump_figure(site, pieces["return pump"], Result("return_flow", 0, "L/h")) is None


def test_the_day_of_a_lamp_by_place(full: Built) -> None:
    site = full.site
    lamp = next(p for p in site.journal.profile.equipment if p.name == "lamp")
    assert lamp.light is not None
    found = lamp_figure(site, "lamp", lamp.light)
    assert found is not None
    assert "rock up to 250" in found.description and "sand up to 100" in found.description
    bare = lamp.light.model_copy(update={"par": {}})
    assert lamp_figure(site, "lamp", bare) is None
