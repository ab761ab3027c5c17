"""The demo journal: it is what its script writes, it holds no problem, and its books balance."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import time
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from journal_tools.journal import Journal, load_journal
from journal_tools.science.additives.stoichiometry import CALCIUM_MG_L_PER_DKH, effect_of_dose
from journal_tools.tables import build_tables
from tests.demo.colonies import COLONIES, alkalinity_demand_dkh_day
from tests.demo.draw import FULL
from tests.demo.happenings import Change, Dose, happenings
from tests.demo.kits import KITS, result
from tests.demo.pictures import pictures
from tests.demo.simulate import (
    FRESH,
    LAST_DAY,
    NET_VOLUME_L,
    STRENGTHS_G_L,
    Water,
    apply_change,
    apply_dose,
    story_run,
    truth,
)
from tests.demo.story import told
from tests.demo.write import texts, write_texts

ROOT = Path(__file__).parents[2]
CONTENT = ROOT / "content"
TODAY = dt.date(2026, 11, 23)
WRITTEN = ("*.yml", "*.md", "log/*/*.yml", "probes/*")


@cache
def journal() -> Journal:
    return load_journal(CONTENT, TODAY)


def committed(pattern: str) -> dict[str, Path]:
    return {path.relative_to(CONTENT).as_posix(): path for path in CONTENT.glob(pattern)}


def test_committed_texts_are_what_the_script_writes() -> None:
    found = {name: path for pattern in WRITTEN for name, path in committed(pattern).items()}
    assert found.keys() == texts().keys()
    for name, path in found.items():
        assert path.read_bytes() == texts()[name].encode(), name


def test_nothing_else_lies_in_the_journal() -> None:
    wanted = {*texts(), *(f"photos/{picture.file}" for picture in pictures())}
    found = {name for name, path in committed("**/*").items() if path.is_file()}
    assert found == wanted


def test_writing_the_texts_is_quick_and_removes_old_ones(tmp_path: Path) -> None:
    old = tmp_path / "log" / "2025" / "2025-01-01-old.yml"
    old.parent.mkdir(parents=True)
    old.write_text("notes: old\n")
    program = (
        "from pathlib import Path; from tests.demo.write import write_texts;"
        f"write_texts(Path({str(tmp_path)!r}))"
    )
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", program], check=True, cwd=ROOT)
    assert time.perf_counter() - start < 5
    assert not old.exists()
    assert (tmp_path / "tank.yml").read_text(encoding="utf-8") == texts()["tank.yml"]


def test_writing_twice_gives_the_same(tmp_path: Path) -> None:
    write_texts(tmp_path)
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    write_texts(tmp_path)
    assert before == {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}


def test_the_journal_has_no_problem() -> None:
    assert [str(problem) for problem in journal().problems] == []


def test_it_is_long_enough_and_ends_before_today() -> None:
    days = [entry.day for entry in journal().entries]
    assert len(days) == len(told()) >= 160
    assert days[-1] <= LAST_DAY < TODAY
    assert (days[-1] - days[0]).days >= 14 * 30.4
    gaps = [(later - earlier).days for earlier, later in pairwise(days)]
    assert max(gaps) <= 7


def test_two_entries_share_a_day_and_some_have_no_time() -> None:
    days = [entry.day for entry in journal().entries]
    assert len(set(days)) < len(days)
    assert sum(entry.record.time is None for entry in journal().entries) >= 5


def test_pictures_are_there_in_size_and_number() -> None:
    assert len(pictures()) >= 62
    fronts = [picture for picture in pictures() if picture.view == "front"]
    assert len(fronts) >= 20
    for picture in pictures():
        with Image.open(CONTENT / "photos" / picture.file) as image:
            assert sorted(image.size) == sorted(FULL), picture.file
            taken = image.getexif().get_ifd(0x8769)[0x9003]
        assert taken == f"{picture.taken:%Y:%m:%d %H:%M:%S}", picture.file
    total = sum(path.stat().st_size for path in committed("**/*").values() if path.is_file())
    assert total < 11e6


def test_alkalinity_closes_day_by_day() -> None:
    daily = truth()
    came = daily["alkalinity_dosed"] + daily["alkalinity_changed"]
    went = daily["alkalinity_consumed"] + daily["alkalinity_skimmed"]
    start = FRESH["alkalinity"]
    assert daily["alkalinity"].iloc[0] - start == pytest.approx((came - went).iloc[0], abs=1e-9)
    change = daily["alkalinity"].diff().iloc[1:]
    assert np.abs(change - (came - went).iloc[1:]).max() < 1e-9


def test_consumption_rises_from_a_tenth_to_more_than_one_degree() -> None:
    daily = truth()["alkalinity_consumed"]
    assert daily.loc[dt.date(2026, 2, 1)] == pytest.approx(0.1, abs=0.03)
    assert 1.0 < daily.iloc[-1] < 1.3
    assert daily.loc[dt.date(2026, 5, 17)] < daily.loc[dt.date(2026, 5, 14)]


def test_calcium_is_taken_in_the_ratio_of_calcium_carbonate() -> None:
    daily = truth()
    ratio = daily["calcium_consumed"] / daily["alkalinity_consumed"]
    assert ratio.to_numpy() == pytest.approx(CALCIUM_MG_L_PER_DKH, rel=1e-3)


def test_alkalinity_stays_in_reach_but_for_the_mistake() -> None:
    alkalinity = truth()["alkalinity"].loc[dt.date(2025, 11, 22) :]
    inside = alkalinity.between(7.0, 9.5)
    assert inside.mean() > 0.97
    jump = alkalinity.loc[dt.date(2026, 5, 15)] - alkalinity.loc[dt.date(2026, 5, 14)]
    assert 2.0 < jump < 3.0


def test_ammonia_turns_into_nitrite_and_then_nitrate() -> None:
    daily = truth().loc[: dt.date(2025, 11, 4)]
    assert daily["ammonia"].idxmax() < daily["nitrite_n"].idxmax()
    assert daily["nitrate"].idxmax() > daily["nitrite_n"].idxmax()
    assert daily["ammonia"].iloc[-1] < 0.05 and daily["nitrite_n"].iloc[-1] < 0.05


@pytest.mark.parametrize("what", sorted(STRENGTHS_G_L))
def test_a_dose_lifts_as_molar_masses_say(what: str) -> None:
    salt, strength_g_l = STRENGTHS_G_L[what]
    water = Water()
    apply_dose(water, Dose(dt.datetime(2026, 1, 1), what, 100.0))
    expected = effect_of_dose(salt, strength_g_l / 10, NET_VOLUME_L)
    assert water.alkalinity - FRESH["alkalinity"] == pytest.approx(
        expected.alkalinity_dkh, rel=1e-3
    )
    assert water.calcium - FRESH["calcium"] == pytest.approx(expected.calcium_mg_l, rel=1e-3)
    assert water.magnesium - FRESH["magnesium"] == pytest.approx(expected.magnesium_mg_l, rel=1e-3)


@given(litres=st.floats(0, NET_VOLUME_L), alkalinity=st.floats(4, 14))
def test_a_change_ends_between_old_and_new_water(litres: float, alkalinity: float) -> None:
    water = Water(alkalinity=alkalinity)
    apply_change(water, Change(dt.datetime(2026, 1, 1), litres))
    low, high = sorted((alkalinity, FRESH["alkalinity"]))
    assert low - 1e-9 <= water.alkalinity <= high + 1e-9


def test_the_simulation_takes_the_doses_that_the_journal_reads() -> None:
    read = build_tables(journal()).doses
    mine = happenings([(entry.when, entry.data) for entry in told()], LAST_DAY)
    given_here = [h for h in mine if isinstance(h, Dose)]
    until = read[[day.date() <= LAST_DAY for day in read["time"]]]
    assert len(until) == len(given_here)
    for what in ("ammonia drops", *STRENGTHS_G_L):
        expected = until.loc[until["product"] == what, "amount"].sum()
        assert sum(d.amount for d in given_here if d.what == what) == pytest.approx(expected)


def test_the_profile_describes_what_was_simulated() -> None:
    profile = journal().profile
    assert profile.fill.measured_volume.value == NET_VOLUME_L
    fresh = {name: getattr(profile.salt_mix.fresh, name).value for name in FRESH}
    assert fresh == FRESH
    recipes = {s.name: s.salts for s in profile.supplements if s.salts}
    for name, salts in recipes.items():
        salt, strength_g_l = STRENGTHS_G_L[name]
        assert {salt: strength_g_l} == {key: mass.value for key, mass in salts.items()}


def test_readings_scatter_about_the_truth() -> None:
    readings = build_tables(journal()).readings_of("alkalinity")
    seen = story_run().seen
    off = [
        (row.value - seen[row.time.tz_localize(None).to_pydatetime()]["alkalinity"]) / row.error
        for row in readings.itertuples()
        if row.time.tz_localize(None).to_pydatetime() in seen
    ]
    assert len(off) > 90
    assert abs(np.mean(off)) < 0.4 and 0.6 < np.std(off) < 1.4


@given(true_value=st.floats(6, 12), draw=st.text(max_size=20))
def test_a_result_is_repeatable_and_on_the_scale(true_value: float, draw: str) -> None:
    shown = result("alk", true_value, draw)
    assert shown == result("alk", true_value, draw)
    assert abs(float(shown) - true_value) < 6 * KITS["alk"].sd + KITS["alk"].step


def test_a_result_beyond_the_scale_is_said_to_be() -> None:
    assert result("po4", 0.0, "any").startswith("< ")
    assert result("no2", 50.0, "any") == "above 5"


def test_colonies_only_grow_and_demand_follows() -> None:
    days = [dt.date(2026, 6, 1) + dt.timedelta(days=n) for n in range(0, 160, 8)]
    for colony in COLONIES:
        widths = [colony.width_cm(day) for day in days]
        assert widths == sorted(widths) and widths[-1] < colony.full_cm
    assert alkalinity_demand_dkh_day(days[-1]) > alkalinity_demand_dkh_day(days[0])
