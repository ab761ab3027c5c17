"""The page of the water with probes: their charts, their figures, and how large all that is."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from journal_tools.cache import Cache
from journal_tools.journal import load_journal
from journal_tools.pages.probes import probe_figures
from journal_tools.pages.site import Site, gather_site
from journal_tools.pages.water import water_page
from journal_tools.probes import folder as reading
from tests.journals import TANK, write

TODAY = dt.date(2026, 3, 27)
LONG_AGO = TANK.replace("2026-01-01", "2016-01-01")
TOLD = "time: {column: time, zone: UTC}\ncolumns: {temperature: T1, ph: pH}\n"


def wave(days: int, minutes: int = 15) -> str:
    times = pd.date_range(
        end="2026-03-27 22:00", periods=days * 1440 // minutes, freq=f"{minutes}min"
    )
    day = 2 * np.pi * np.arange(len(times)) * minutes / 1440
    frame = pd.DataFrame(
        {"time": times, "T1": 25 + 0.3 * np.sin(day), "pH": 8.1 + 0.1 * np.sin(day)}
    )
    return frame.round(3).to_csv(index=False, lineterminator="\n")


def site(folder: Path, series: str, extra: dict[str, str] | None = None) -> Site:
    files = {"tank.yml": LONG_AGO, "probes/tank.csv": series, "probes/tank.yml": TOLD}
    entry = {"log/2026-03-20.yml": "readings: {temperature: 25.1}\n"}
    journal = load_journal(write(folder / "journal", files | entry | (extra or {})), TODAY)
    return gather_site(journal, Cache(folder / "cache"))


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> Site:
    return site(tmp_path_factory.mktemp("short"), wave(30))


def test_every_series_has_its_figures(short: Site) -> None:
    found = probe_figures(short)
    assert list(found) == ["temperature", "ph"]
    (temperature,) = found["temperature"]
    assert temperature.ribbon.description.startswith("Temperature by the probe: 3")
    assert [fact.metric for fact in temperature.facts] == [
        "probe_swing", "probe_lowest", "probe_highest", "probe_outside_h", "probe_rate",
        "probe_gaps_h",
    ]  # fmt: skip


def test_the_page_shows_probes_with_and_without_a_kit(short: Site) -> None:
    html = water_page(short).html
    assert html.index('id="temperature"') < html.index("chart-temperature-probe-1")
    assert html.index('id="ph"') < html.index("chart-ph-probe-2")
    assert html.count('id="temperature"') == html.count('id="ph"') == 1
    assert "Last seven days of “tank”" in html and "Daily swing" in html


def test_the_name_of_a_file_is_text_wherever_it_stands(tmp_path: Path) -> None:
    name = 'a" <b>&'
    extra = {f"probes/{name}.csv": wave(3), f"probes/{name}.yml": TOLD}
    html = water_page(site(tmp_path, wave(3), extra)).html
    assert "a&#34; &lt;b&gt;&amp;" in html and "<b>" not in html
    ids = re.findall(r' id="([^"]*)"', html)
    assert len(ids) == len(set(ids)) and not any(" " in each for each in ids)


def test_a_journal_without_probes_shows_none(tmp_path: Path) -> None:
    files = {"log/2026-03-20.yml": "readings: {temperature: 25.1}\n"}
    journal = load_journal(write(tmp_path / "journal", files), TODAY)
    found = gather_site(journal, Cache(tmp_path / "cache"))
    assert probe_figures(found) == {} and "jt-probe" not in water_page(found).html


def test_the_page_does_not_grow_with_the_series(short: Site, tmp_path: Path) -> None:
    long = site(tmp_path, wave(3650, minutes=30))
    sizes = [len(water_page(each).html.encode()) for each in (short, long)]
    assert sizes[1] < 1.8 * sizes[0]
    for figures in probe_figures(long).values():
        for each in figures:
            assert len(each.ribbon.svg.encode()) < 60_000
            assert len(each.week.svg.encode()) < 60_000


def test_a_second_build_reads_no_series_and_draws_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = water_page(site(tmp_path, wave(30))).html

    def never(*_: object, **__: object) -> None:
        raise AssertionError("this was made before")

    monkeypatch.setattr(reading, "read_series", never)
    monkeypatch.setattr("journal_tools.charts.ribbon.ribbon_chart", never)
    monkeypatch.setattr("journal_tools.charts.ribbon.week_chart", never)
    assert water_page(site(tmp_path, wave(30))).html == first


def test_problems_of_a_probe_are_problems_of_the_site(tmp_path: Path) -> None:
    found = site(tmp_path, wave(30) + "noon,25,8\n")
    assert [(p.file, p.code) for p in found.problems] == [("probes/tank.csv", "probe-time")]
