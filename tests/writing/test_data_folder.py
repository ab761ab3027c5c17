"""A site's data back into a journal: nothing that the tables hold is lost."""

from __future__ import annotations

import datetime as dt
import io
import shutil
from collections.abc import Mapping
from pathlib import Path

import pandas as pd
import pytest

from journal_tools import export
from journal_tools.journal import Journal, load_journal
from journal_tools.metrics import Metrics
from journal_tools.tables import build_tables
from journal_tools.writing.import_command import Told, import_file
from tests.command import Outcome
from tests.writing.conftest import TANK, TODAY

DEMO = Path(__file__).parents[2] / "content"
DEMO_DAY = dt.date(2026, 11, 23)

WRITTEN = {
    "tank.yml": TANK.replace("no_effect: true", "no_effect: true, bottle: 1 L")
    + "instruments: [{name: pen, kind: pH meter}]\n"
    + "salt_mix: {name: salt, fresh: {salinity: 35, alkalinity: 8}}\n"
    + "tests: {nitrate: {kit: card, resolution: 1}}\n",
    "log/2026-02-01-a-day.yml": """\
time: "18:40"
readings:
  alkalinity: [8.2, {value: 8.3 ± 0.3, kit: "=1+1", when: before dose, time: "07:00"}]
  nitrate: {value: < 0.25, kit: card}
  temperature: {value: 78.3 F, error: 0.15}
  salinity: 1.0264 SG
  ph: {value: 8.123456789, kit: pen}
doses: [{what: alk mix, amount: 30}, {what: alk mix, amount: 2.5 g, time: "21:00"}]
dosing_plan: [{what: calcium mix, per_day: 12.5 ml, start: 2026-01-20}]
calibrations: [{instrument: pen, ph: [{standard: 7, shown: 7.1}, {standard: 10, millivolts: -170}],
                adjusted: false, time: "09:30"}]
""",
    "log/2026-02-10.yml": """\
dosing_plan: {what: calcium mix, stopped: true}
water_change: [5 gal, {volume: 10, fresh: {alkalinity: 7.5, nitrate: 0}, time: "15:00"}]
top_off: [4, {volume: 1 L, what: limewater}]
""",
    "log/2026-02-20-grösse.yml": """\
time: "02:30"
livestock:
  - {added: clownfish, count: 2, length: 4 in, price: 45.5}
  - {added: clownfish, price: 20}
  - {lost: turbo snail, why: "-5 °C, 'cold'\\nvery"}
equipment: [{installed: skimmer, price: 189}, {changed: hall lamp, to: "+20 %"},
            {failed: first heater, note: "@night"}]
costs: [{what: "@salt", amount: 54.90, category: "'quoted'"}, {what: clownfish, amount: 3}]
upkeep: [glass, {task: filter floss, note: "Größe: 5 µm"}]
feed: [flakes, {what: "no", amount: 2 g}]
""",
}


def write(folder: Path, files: Mapping[str, str]) -> Path:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def published(journal: Journal) -> dict[str, str]:
    files = export.data_files(build_tables(journal), Metrics())
    # Days of a probe are worked out from its file, as metrics are from entries.
    derived = ("metrics.csv", "probe_days.csv")
    return {file.name: file.text for file in files if file.columns and file.name not in derived}


def facts(text: str) -> pd.DataFrame:
    """Give the rows of a table in one order; on which line of its file a fact stands may change."""
    frame = pd.read_csv(io.StringIO(text), dtype=str, keep_default_na=False)
    frame = frame.drop(columns="line")
    return frame.sort_values(list(frame.columns), ignore_index=True)


@pytest.fixture
def with_calibrations(monkeypatch: pytest.MonkeyPatch) -> None:
    """Publish what instruments showed as well."""
    names = tuple(dict.fromkeys((*export.EXPORTED, "calibrations")))
    monkeypatch.setattr(export, "EXPORTED", names)


def saved(folder: Path, files: Mapping[str, str]) -> Path:
    folder.mkdir()
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    return folder


def test_the_demo_comes_back_whole(
    tmp_path: Path, with_calibrations: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    noon = dt.datetime.combine(DEMO_DAY, dt.time(12), dt.UTC)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(noon.timestamp())))
    before = published(load_journal(DEMO, DEMO_DAY))
    data, again = saved(tmp_path / "data", before), tmp_path / "again"
    again.mkdir()
    shutil.copy(DEMO / "tank.yml", again)
    (again / "photos").symlink_to(DEMO / "photos")
    assert import_file(again, data, Told(), yes=True) == 0
    journal = load_journal(again, DEMO_DAY)
    assert [str(problem) for problem in journal.problems] == []
    after = published(journal)
    assert after.keys() == before.keys()
    for name, text in before.items():
        # the demo's keeper never wrote how much was left in a bottle
        assert len(facts(text)) > 5 or name == "stock.csv", name
        pd.testing.assert_frame_equal(facts(text), facts(after[name]), obj=name)


def test_every_kind_of_fact_comes_back(tmp_path: Path, with_calibrations: None) -> None:
    source = load_journal(write(tmp_path / "one", WRITTEN), TODAY)
    assert [str(problem) for problem in source.problems] == []
    before = published(source)
    data = saved(tmp_path / "data", before)
    again = write(tmp_path / "two", {"tank.yml": WRITTEN["tank.yml"]})
    assert import_file(again, data, Told(), yes=True) == 0
    journal = load_journal(again, TODAY)
    assert [str(problem) for problem in journal.problems] == []
    after = published(journal)
    for name, text in before.items():
        pd.testing.assert_frame_equal(facts(text), facts(after[name]), obj=name)
    assert [entry.id for entry in journal.entries if entry.day.month == 2] == [
        entry.id for entry in source.entries
    ]


def test_the_second_time_nothing_is_added(tmp_path: Path, with_calibrations: None) -> None:
    data = saved(tmp_path / "d", published(load_journal(write(tmp_path / "one", WRITTEN), TODAY)))
    again = write(tmp_path / "two", {"tank.yml": WRITTEN["tank.yml"]})
    for forget in (False, True, False):
        import_file(again, data, Told(), yes=True)
        files = {path: path.read_bytes() for path in (again / "log").rglob("*.yml")}
        if forget:
            (again / "imports" / "d.yml").unlink()
        run = Outcome("import", data, "--journal", again, "-y")
        assert (run.code, run.err) == (0, "")
        assert run.out.endswith("There is nothing new to write.\n")
        assert {path: path.read_bytes() for path in (again / "log").rglob("*.yml")} == files
    whole = write(tmp_path / "three", WRITTEN)
    run = Outcome("import", data, "--journal", whole, "-y")
    assert run.out.endswith("There is nothing new to write.\n")


def test_a_journal_of_other_units_and_another_zone_holds_the_same(tmp_path: Path) -> None:
    source = load_journal(write(tmp_path / "one", WRITTEN), TODAY)
    data = saved(tmp_path / "data", published(source))
    tank = "name: T\nstart: 2026-01-01\ntime_zone: America/Chicago\nunits: {system: us}\n"
    again = write(tmp_path / "two", {"tank.yml": tank})
    assert import_file(again, data, Told(), yes=True) == 0
    one, two = build_tables(source), build_tables(load_journal(again, TODAY))
    for name in ("readings", "water_changes", "top_offs", "livestock", "costs", "feedings"):
        left, right = getattr(one, name), getattr(two, name)
        times = [
            frame["time"].dt.tz_convert("UTC").sort_values().tolist() for frame in (left, right)
        ]
        assert times[0] == times[1], name
    for name, column in (("readings", "shown"), ("water_changes", "volume_l")):
        values = [sorted(getattr(tables, name)[column]) for tables in (one, two)]
        assert values[0] == pytest.approx(values[1], rel=1e-9), name


def test_one_table_alone_may_be_imported(tmp_path: Path) -> None:
    data = saved(tmp_path / "d", published(load_journal(write(tmp_path / "one", WRITTEN), TODAY)))
    again = write(tmp_path / "two", {"tank.yml": WRITTEN["tank.yml"]})
    run = Outcome("import", data / "upkeep.csv", "--journal", again, "-y")
    assert (run.code, run.err) == (0, "")
    assert "upkeep.csv: the data of a site, 2 rows\n" in run.out
    assert (again / "log" / "2026-02-20-grösse.yml").read_text(encoding="utf-8") == (
        'time: "02:30"\nupkeep:\n  - glass\n  - {task: filter floss, note: "Größe: 5 µm"}\n'
    )


def test_what_cannot_come_back_is_told(tmp_path: Path) -> None:
    again = write(tmp_path / "two", {"tank.yml": TANK})
    data = saved(tmp_path / "data", {
        "photos.csv": "time,file,view,caption,entry,line\r\n"
        "2026-02-01T12:00:00+01:00,a.jpg,front,,2026-02-01,3\r\n",
        "feedings.csv": "time,what,amount_g,entry,line\r\nsoon,flakes,,x,1\r\n"
        "2026-04-02T12:00:00+02:00,flakes,2,2026-04-02,1\r\n"
        "2026-02-01T12:00:00+01:00,flakes,two,2026-02-01,1\r\n",
    })  # fmt: skip
    run = Outcome("import", data, "--journal", again, "-y")
    assert run.code == 1
    assert run.err.splitlines() == [
        "Row 2, column A (time): A cell of feedings.csv cannot be read: Invalid isoformat string: "
        "'soon'. Take the file as the site has it.",
        "Row 3, column A (time): The day 2026-04-02 of feedings.csv is still to come. Import it "
        "when that day has come.",
        "Row 4: A cell of feedings.csv cannot be read: could not convert string to float: 'two'. "
        "Take the file as the site has it.",
        "Row 2, column B (file): The photo 'a.jpg' is not in the photos folder. Copy it there, and "
        "import again.",
    ]
    assert not (again / "log").exists()


def test_readings_corrected_by_what_is_not_told_come_in_as_shown(tmp_path: Path) -> None:
    again = write(tmp_path / "two", {"tank.yml": TANK})
    data = saved(tmp_path / "data", {
        "readings.csv": "time,parameter,value,unit,error,censored,kit,when,shown,correction,entry,"
        "line\r\n"
        "2026-02-01T12:00:00+01:00,salinity,34.5,psu,0.1,,pen,,34.6,by 0.1,2026-02-01,3\r\n",
    })  # fmt: skip
    run = Outcome("import", data, "--journal", again, "-y")
    assert run.code == 0
    assert (
        "Readings that were corrected by what the data does not tell come in as their instrument "
        "showed them.\n"
    ) in run.out
    assert (again / "log" / "2026-02-01.yml").read_text() == (
        "readings:\n  salinity: {value: 34.6, kit: pen}\n"
    )


def test_dosing_plans_say_that_they_end(tmp_path: Path) -> None:
    data = saved(tmp_path / "d", published(load_journal(write(tmp_path / "one", WRITTEN), TODAY)))
    again = write(tmp_path / "two", {"tank.yml": WRITTEN["tank.yml"]})
    run = Outcome("import", data / "doses.csv", "--journal", again, "-y")
    assert (
        "Dosing plans end on their last day in the data: where one goes on, remove 'until:'.\n"
    ) in run.out
    assert (
        "  - {what: calcium mix, per_day: 12.5 ml, start: 2026-01-20, until: 2026-02-09}\n"
    ) in (again / "log" / "2026-02-01-a-day.yml").read_text()
