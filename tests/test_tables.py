"""Tables: one row a fact, in canonical units and the keeper's time, each with its line."""

from __future__ import annotations

import datetime as dt
import math
import tempfile
from pathlib import Path

import pandas as pd
import pytest

from journal_tools.events import chart_events
from journal_tools.journal import load_journal
from journal_tools.moments import epoch_days, local_time, months_between, months_of, next_month
from journal_tools.parameters import PARAMETERS
from journal_tools.rows import reading_error
from journal_tools.tables import COLUMNS, Tables, build_tables
from tests.journals import TANK, TODAY, read, tables, write

FULL = {
    "tank.yml": TANK
    + """\
supplements:
  - {name: alk mix, salts: {NaHCO3: 80 g}, made_up_to: 1 L}
equipment:
  - name: return pump
    kind: return pump
    installed: 2026-01-02
    price: 80
animals:
  - {name: clownfish, group: fish}
tests:
  alkalinity: {kit: drop test, resolution: 0.1, repeatability: 0.2}
salt_mix:
  name: bucket
  fresh: {salinity: 35, alkalinity: 7.5}
upkeep: [{task: glass, every: 3 days}]
""",
    "log/2026-03-01.yml": """\
title: A full day
tags: [one, two]
milestone: first fish
readings:
  temperature: 77 F
  alkalinity:
    - 8.2
    - value: 3 meq/L
      time: "20:15"
      kit: other test
      when: after dose
      error: 0.4
  nitrate: < 0.5
doses:
  - {what: Alk Mix, amount: 30 ml}
  - {what: alk mix, amount: 0.01 L, time: "21:00"}
dosing_plan: {what: alk mix, per_day: 5 ml, start: 2026-03-29}
water_change:
  - 20 L
  - volume: 10 gal
    salinity: 34
    fresh: {alkalinity: 8, calcium: [400, 410]}
top_off:
  - 4 L
  - {volume: 2 L, what: alk mix}
livestock:
  - added: Clown-Fish
    count: 2
    length: 1 in
    price: 30
  - {lost: snail, why: unknown}
equipment:
  - {installed: heater, price: 25}
  - {changed: return pump, to: {speed: 5}}
upkeep: [glass]
feed: [{what: mysis, amount: 2 g}, flakes]
costs: [{what: salt, amount: 54.90, category: salt}]
notes: |
  Something.
""",
}
NAMES = tuple(COLUMNS)
FIGURES = (
    "value", "error", "amount", "volume_l", "length_cm", "amount_g", "low", "high", "standard",
    "shown", "millivolts", "step", "minimum", "mean", "maximum", "known_h", "outside_h",
    "longest_gap_h", "largest_rate_per_h",
)  # fmt: skip
SPELLINGS = ("two-spellings",)


@pytest.fixture(scope="module")
def full() -> Tables:
    return tables(FULL, but=SPELLINGS)


def frame(found: Tables, name: str) -> pd.DataFrame:
    result: pd.DataFrame = getattr(found, name)
    return result


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("files", [{}, FULL], ids=["empty", "full"])
def test_every_table_has_its_columns_and_types(name: str, files: dict[str, str]) -> None:
    found = frame(tables(files, but=SPELLINGS), name)
    assert tuple(found.columns) == COLUMNS[name]
    kinds = {column: str(dtype) for column, dtype in found.dtypes.items()}
    for column, kind in kinds.items():
        if column in ("time", "start", "lowest_at", "highest_at"):
            assert kind == "datetime64[us, Europe/Berlin]", column
        elif column in ("line", "count", "photos", "flagged", "failed"):
            assert kind == "int64", column
        elif column in ("scheduled", "spread", "adjusted"):
            assert kind == "bool"
        elif column == "day":
            assert kind == "object"
        elif column in FIGURES or column.startswith("fresh_"):
            assert kind == "float64", column
        else:
            assert kind == "str", column


@pytest.mark.parametrize("name", [n for n in NAMES if n != "targets"])
def test_an_empty_journal_has_empty_tables(name: str) -> None:
    assert frame(tables({}), name).empty


def litres(volume_l: float, decimals: int) -> str:
    return f"{volume_l:.{decimals}f} L"


def test_an_empty_journal_has_the_usual_bands() -> None:
    usual = {p.name: p.usual for p in PARAMETERS.values() if p.usual}
    assert set(tables({}).targets["parameter"]) == set(usual)
    band = tables({}).band("alkalinity", TODAY)
    assert band is not None and (band.low, band.high) == usual["alkalinity"]


def test_values_are_in_canonical_units(full: Tables) -> None:
    (temperature,) = full.readings_of("temperature")["value"]
    # (77 - 32) / 1.8 = 25, by definition of the Fahrenheit scale (NIST SP 811, B.8)
    assert temperature == pytest.approx(25)
    # 1 meq/L = 2.80387 dKH: DIN 38409-7, 1 °dH = 10 mg/L CaO
    assert full.readings_of("alkalinity")["value"].tolist() == pytest.approx(
        [8.2, 3 * 2.80387], rel=1e-5
    )
    # US gallon 3.785411784 L, inch 2.54 cm: exact, NIST SP 811
    assert full.water_changes["volume_l"].tolist() == pytest.approx([20, 37.85411784])
    assert full.livestock["length_cm"].iloc[0] == pytest.approx(2.54)
    assert full.doses["amount"].tolist()[:2] == pytest.approx([30, 10])
    assert set(full.readings["unit"]) == {"°C", "dKH", "mg/L"}


def test_errors_come_from_the_reading_the_test_or_the_parameter(full: Tables) -> None:
    first, second = full.readings_of("alkalinity")["error"]
    # GUM F.2.2.1: a step of 0.1 adds 0.1²/12; repeatability 0.2 adds 0.04
    assert first == pytest.approx(math.sqrt(0.04 + 0.01 / 12))
    assert second == 0.4
    assert full.readings_of("temperature")["error"].iloc[0] == PARAMETERS["temperature"].test_error


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        ("{resolution: 0.6}", 0.6 / math.sqrt(12)),
        ("{repeatability: 0.3}", 0.3),
        ("{kit: drops}", PARAMETERS["alkalinity"].test_error),
    ],
)
def test_a_test_may_state_only_one_of_step_and_repeatability(stated: str, expected: float) -> None:
    profile = read({"tank.yml": TANK + f"tests: {{alkalinity: {stated}}}\n"}).profile
    assert reading_error(PARAMETERS["alkalinity"], profile, 8.0) == pytest.approx(expected)


def test_readings_carry_time_kit_and_when(full: Tables) -> None:
    rows = full.readings_of("alkalinity")
    assert rows["kit"].tolist() == ["drop test", "other test"]
    assert rows["when"].tolist() == ["", "after dose"]
    assert [f"{time:%H:%M}" for time in rows["time"]] == ["12:00", "20:15"]
    nitrate = full.readings_of("nitrate").iloc[0]
    assert (nitrate["value"], nitrate["censored"]) == (0.5, "below")


def test_a_product_is_named_as_in_the_profile(full: Tables) -> None:
    assert set(full.doses["product"]) == {"alk mix"}


def test_single_doses_and_planned_ones_are_told_apart(full: Tables) -> None:
    planned = full.doses[full.doses["scheduled"]]
    assert [str(time.date()) for time in planned["time"]] == [
        "2026-03-29", "2026-03-30", "2026-03-31",
    ]  # fmt: skip
    assert full.doses[~full.doses["scheduled"]]["amount"].tolist() == [30.0, 10.0]


def test_new_water_is_as_measured_else_as_the_salt_mix_says(full: Tables) -> None:
    plain, measured = full.water_changes.to_dict("records")
    assert (plain["fresh_salinity"], plain["fresh_alkalinity"]) == (35, 7.5)
    assert math.isnan(plain["fresh_calcium"])
    assert (measured["fresh_salinity"], measured["fresh_alkalinity"]) == (34, 8)
    assert measured["fresh_calcium"] == 410
    assert math.isnan(measured["fresh_nitrate"])


def test_animals_take_name_and_group_from_the_profile(full: Tables) -> None:
    assert full.livestock["name"].tolist() == ["clownfish", "snail"]
    assert full.livestock["group"].tolist() == ["fish", "other"]
    assert full.livestock["why"].tolist() == ["", "unknown"]


def test_costs_hold_profile_entries_and_what_came_with_events(full: Tables) -> None:
    rows = {row.what: (row.category, row.amount) for row in full.costs.itertuples()}
    assert rows == {
        "return pump": ("equipment", 80.0),
        "salt": ("salt", 54.90),
        "Clown-Fish": ("livestock", 30.0),
        "heater": ("equipment", 25.0),
    }


def test_a_price_in_profile_and_entry_counts_once() -> None:
    files = {
        "tank.yml": TANK + "equipment: [{name: pump, installed: 2026-01-02, price: 80}]\n",
        "log/2026-02-01.yml": "equipment: {installed: Pump, price: 75}\n",
    }
    assert tables(files, but=SPELLINGS).costs["amount"].tolist() == [75.0]
    without = files | {"log/2026-02-01.yml": "equipment: {installed: pump}\n"}
    assert tables(without).costs["amount"].tolist() == [80.0]


def test_what_is_planned_or_yet_to_come_has_cost_nothing() -> None:
    profile = "equipment: [{name: a, planned: true, price: 5}, {name: b, installed: 2026-04-01, "
    found = tables({"tank.yml": TANK + profile + "removed: 2026-05-01, price: 6}]\n"})
    assert found.costs.empty and found.equipment.empty


def test_the_register_is_left_out_where_an_entry_tells_of_it() -> None:
    pump = "{name: Return-Pump, installed: 2026-01-02, removed: 2026-02-03}"
    files = {
        "tank.yml": TANK + f"equipment: [{pump}]\n",
        "log/2026-01-05.yml": "equipment: {installed: return pump}\n",
    }
    rows = tables(files, but=SPELLINGS).equipment
    assert rows["event"].tolist() == ["installed", "removed"]
    assert [str(time.date()) for time in rows["time"]] == ["2026-01-05", "2026-02-03"]
    assert rows["entry"].tolist() == ["2026-01-05", ""]
    assert set(rows["name"]) == {"Return-Pump"}


def written_line(folder: Path, file: str, line: int) -> str:
    return (folder / file).read_text(encoding="utf-8").splitlines()[line - 1].strip()


def test_every_line_points_at_the_fact(tmp_path: Path) -> None:
    found = build_tables(load_journal(write(tmp_path, FULL), TODAY))
    expected = {
        "readings": {
            "temperature: 77 F", "- 8.2", "- value: 3 meq/L", "nitrate: < 0.5",
        },
        "doses": {
            "- {what: Alk Mix, amount: 30 ml}", '- {what: alk mix, amount: 0.01 L, time: "21:00"}',
            "dosing_plan: {what: alk mix, per_day: 5 ml, start: 2026-03-29}",
        },
        "water_changes": {"- 20 L", "- volume: 10 gal"},
        "top_offs": {"- 4 L", "- {volume: 2 L, what: alk mix}"},
        "livestock": {"- added: Clown-Fish", "- {lost: snail, why: unknown}"},
        "equipment": {
            "- {installed: heater, price: 25}", "- {changed: return pump, to: {speed: 5}}",
            "installed: 2026-01-02",
        },
        "costs": {
            "price: 80", "costs: [{what: salt, amount: 54.90, category: salt}]",
            "- added: Clown-Fish", "- {installed: heater, price: 25}",
        },
        "upkeep": {"upkeep: [glass]"},
        "feedings": {"feed: [{what: mysis, amount: 2 g}, flakes]"},
    }  # fmt: skip
    for name, lines in expected.items():
        rows = frame(found, name).itertuples()
        pointed = {
            written_line(tmp_path, "log/2026-03-01.yml" if row.entry else "tank.yml", row.line)
            for row in rows
        }
        assert pointed == lines, name


def plans(*entries: tuple[str, str], today: dt.date = dt.date(2026, 3, 10)) -> pd.DataFrame:
    files = {f"log/{day}.yml": f"dosing_plan: {text}\n" for day, text in entries}
    described = {"tank.yml": TANK + "supplements: [{name: a}, {name: b}]\n"}
    return tables(files | described, today).doses


def days_of(doses: pd.DataFrame) -> list[tuple[str, float]]:
    return [(f"{row.time:%m-%d}", row.amount) for row in doses.itertuples()]


def test_a_plan_gives_one_dose_a_day_up_to_today() -> None:
    doses = plans(("2026-03-08", "{what: a, per_day: 3 ml}"))
    assert days_of(doses) == [("03-08", 3), ("03-09", 3), ("03-10", 3)]
    assert doses["scheduled"].all() and set(doses["entry"]) == {"2026-03-08"}


def test_the_next_plan_supersedes_and_a_stop_ends() -> None:
    doses = plans(
        ("2026-03-04", "{what: a, per_day: 1 ml}"),
        ("2026-03-06", "{what: a, per_day: 2 ml}"),
        ("2026-03-08", "{what: a, stopped: true}"),
    )
    assert days_of(doses) == [("03-04", 1), ("03-05", 1), ("03-06", 2), ("03-07", 2)]


def test_plans_of_two_products_run_side_by_side() -> None:
    doses = plans(
        ("2026-03-09", "[{what: a, per_day: 1 ml}, {what: b, per_day: 2 g}]"),
    )
    assert sorted(days_of(doses)) == [("03-09", 1), ("03-09", 2), ("03-10", 1), ("03-10", 2)]
    assert set(doses["unit"]) == {"ml", "g"}


def test_until_is_the_last_day() -> None:
    doses = plans(("2026-03-05", "{what: a, per_day: 1 ml, until: 2026-03-06}"))
    assert days_of(doses) == [("03-05", 1), ("03-06", 1)]


def test_a_plan_may_have_begun_before_its_entry() -> None:
    doses = plans(("2026-03-09", "{what: a, per_day: 1 ml, start: 2026-03-07}"))
    assert [day for day, _ in days_of(doses)] == ["03-07", "03-08", "03-09", "03-10"]


def test_nothing_is_dosed_in_the_future() -> None:
    alone = plans(("2026-03-09", "{what: a, per_day: 1 ml, start: 2026-03-12}"))
    assert alone.empty
    followed = plans(
        ("2026-03-09", "{what: a, per_day: 1 ml}"),
        ("2026-03-10", "{what: a, per_day: 2 ml, start: 2026-04-01}"),
    )
    assert days_of(followed) == [("03-09", 1), ("03-10", 1)]


def test_a_plan_that_starts_on_the_day_of_another_replaces_it() -> None:
    doses = plans(
        ("2026-03-09", "{what: a, per_day: 1 ml}"),
        ("2026-03-10", "{what: a, per_day: 2 ml, start: 2026-03-09}"),
    )
    assert days_of(doses) == [("03-09", 2), ("03-10", 2)]


@pytest.mark.parametrize(("zone", "change"), [
    ("Europe/Berlin", dt.date(2026, 3, 29)), ("Europe/Berlin", dt.date(2025, 10, 26)),
    ("America/Santiago", dt.date(2025, 9, 7)), ("Australia/Lord_Howe", dt.date(2025, 10, 5)),
])  # fmt: skip
def test_a_day_with_a_clock_change_has_one_dose(zone: str, change: dt.date) -> None:
    start, today = change - dt.timedelta(days=2), change + dt.timedelta(days=2)
    tank = f"name: T\nstart: 2025-01-01\ntime_zone: {zone}\nsupplements: [{{name: a}}]\n"
    plan = {"tank.yml": tank, f"log/{start}.yml": "dosing_plan: {what: a, per_day: 1 ml}\n"}
    doses = tables(plan, today).doses
    days = [time.date() for time in doses["time"]]
    assert days == [start + dt.timedelta(days=n) for n in range(5)]
    assert {f"{time:%H:%M}" for time in doses["time"]} == {"12:00"}


def test_bands_step_on_their_day() -> None:
    profile = TANK + (
        "targets: {alkalinity: 7 to 9}\n"
        "later_targets:\n"
        "  - {start: 2026-02-01, stage: corals, bands: {alkalinity: 8 to 8.5}}\n"
        "  - {start: 2026-03-01, bands: {alkalinity: above 7.5, calcium: 400 to 420}}\n"
    )
    found = tables({"tank.yml": profile})
    rows = found.targets[found.targets["parameter"] == "alkalinity"]
    assert rows["start"].is_monotonic_increasing
    assert rows["stage"].tolist() == ["", "corals", ""]

    def ends(day: str, parameter: str = "alkalinity") -> tuple[float | None, float | None] | None:
        band = found.band(parameter, dt.date.fromisoformat(day))
        return (band.low, band.high) if band else None

    assert ends("2026-01-31") == (7, 9)
    assert ends("2026-02-01") == (8, 8.5)
    assert ends("2026-03-01") == (7.5, None)
    assert ends("2026-02-28", "calcium") is None
    assert ends("2026-03-01", "calcium") == (400, 420)
    assert ends("2026-03-01", "silicate") is None


def test_today_ends_at_the_keepers_midnight() -> None:
    found = tables({})
    assert found.now == pd.Timestamp("2026-04-01", tz="Europe/Berlin")
    assert found.days_ago(1) == pd.Timestamp("2026-03-31", tz="Europe/Berlin")
    # the clock went forward on 29 March 2026: 30 days are 719 hours
    assert found.now - found.days_ago(30) == pd.Timedelta(hours=719)


@pytest.mark.parametrize(
    ("zone", "day", "clock", "expected"),
    [
        # IANA tz data 2025: Chile skips midnight on 6 September 2026
        ("America/Santiago", "2026-09-06", "00:00", "2026-09-06T01:00:00-03:00"),
        # Havana has the hour from midnight twice on 1 November 2026; the first one counts
        ("America/Havana", "2026-11-01", "00:00", "2026-11-01T00:00:00-04:00"),
        ("Europe/Berlin", "2026-03-29", "02:30", "2026-03-29T03:30:00+02:00"),
        ("Europe/Berlin", "2026-01-01", "18:40", "2026-01-01T18:40:00+01:00"),
    ],
)
def test_a_moment_that_a_clock_change_skips_or_repeats(
    zone: str, day: str, clock: str, expected: str
) -> None:
    profile = read({"tank.yml": f"name: T\nstart: 2026-01-01\ntime_zone: {zone}\n"}).profile
    moment = local_time(dt.date.fromisoformat(day), profile, dt.time.fromisoformat(clock))
    assert moment.isoformat() == expected


def test_days_since_1970_are_exact() -> None:
    # 2026-01-01 is day 20454 of the Unix epoch (56 years with 14 leap days)
    times = pd.Series(pd.to_datetime(["2026-01-01T06:00Z"])).dt.tz_convert("Asia/Kolkata")
    assert epoch_days(times).tolist() == [20454.25]


def test_months_are_the_keepers() -> None:
    times = pd.Series(pd.to_datetime(["2026-01-31T23:30Z", "2026-02-28T22:30Z"]))
    local = times.dt.tz_convert("Europe/Berlin")
    assert months_of(local).tolist() == [dt.date(2026, 2, 1), dt.date(2026, 2, 1)]
    assert next_month(dt.date(2025, 12, 31)) == dt.date(2026, 1, 1)
    assert list(months_between(dt.date(2026, 2, 1), dt.date(2026, 1, 1))) == []


def test_charts_are_told_of_events_in_order(full: Tables) -> None:
    events = chart_events(full, litres)
    assert events["time"].is_monotonic_increasing
    assert sorted(zip(events["kind"], events["label"], strict=True)) == [
        ("dose_change", "alk mix 5 ml/day"),
        ("equipment", "changed return pump"),
        ("equipment", "installed heater"),
        ("equipment", "installed return pump"),
        ("livestock", "added clownfish"),
        ("loss", "lost snail"),
        ("milestone", "first fish"),
        ("water_change", "20 L water change"),
        ("water_change", "38 L water change"),
    ]
    assert list(chart_events(tables({}), litres).columns) == ["time", "kind", "label", "entry"]


def test_a_draft_is_in_no_table() -> None:
    entry = "draft: true\nreadings: {alkalinity: 8}\ncosts: {what: salt, amount: 5}\n"
    found = tables({"log/2026-03-01.yml": entry})
    assert found.readings.empty and found.costs.empty and found.entries.empty


def test_reading_needs_no_folder_afterwards() -> None:
    with tempfile.TemporaryDirectory() as folder:
        journal = load_journal(write(Path(folder), FULL), TODAY)
    assert len(build_tables(journal).readings) == 4


@pytest.mark.parametrize(
    ("units", "written", "sd"),
    [
        # 0.001 SG are 1.32 psu near 35: EOS-80, tests/reference/science_check_values.csv
        ("{salinity: SG}", "salinity: {value: 1.0264, error: 0.001}", 1.32),
        ("{system: us}", "temperature: {value: 78, error: 1.8}", 1.0),  # NIST SP 811, B.9
        ("{alkalinity: meq/L}", "alkalinity: {value: 2.85, error: 0.1}", 0.280387),  # DIN 38409-7
    ],
)
def test_an_error_is_in_the_unit_of_its_journal(units: str, written: str, sd: float) -> None:
    made = tables(
        {
            "tank.yml": f"name: x\nstart: 2026-01-01\nunits: {units}\n",
            "log/2026-01-02.yml": f"readings: {{{written}}}\n",
        }
    )
    assert made.readings["error"].iloc[0] == pytest.approx(sd, rel=0.01)
