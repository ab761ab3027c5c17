from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from journal_tools.journal import Journal, build_day, find_journal, load_journal
from journal_tools.problems import in_order
from journal_tools.profile import Privacy
from journal_tools.tables import build_tables
from tests.conftest import SHORTEST_PROFILE, Files

Load = Callable[[Files], Journal]


def said(journal: Journal) -> list[str]:
    return [str(problem) for problem in journal.problems]


def test_a_small_journal(load: Load) -> None:
    journal = load(
        {
            "log/2026/2026-03-15-more corals.yaml": "title: b",
            "log/2026-03-14.yml": "time: 9:30\ntitle: a",
            "log/words.YML": "date: 2026-03-13\ntitle: c",
            "log/notes.txt": "no entry",
            "log/.2026-03-12.yml": "title: hidden",
            "log/.trash/2026-03-11.yml": "title: hidden",
        }
    )
    assert said(journal) == []
    assert [(entry.id, entry.title) for entry in journal.entries] == [
        ("2026-03-13-words", "c"), ("2026-03-14", "a"), ("2026-03-15-more-corals", "b"),
    ]  # fmt: skip
    assert [entry.time.hour for entry in journal.entries] == [12, 9, 12]
    assert journal.entry_by_id["2026-03-14"].file == "log/2026-03-14.yml"
    assert journal.photo_folder == journal.folder / "photos"


@pytest.mark.parametrize("above", [".hidden/reef", "../reef", "./reef", "ünï cödé 🐠/my reef"])
def test_the_folder_may_lie_anywhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, above: str
) -> None:
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    log = Path(above) / "log"
    log.mkdir(parents=True)
    (log.parent / "tank.yml").write_text(SHORTEST_PROFILE, encoding="utf-8")
    (log / "2026-03-14.yml").write_text("title: a", encoding="utf-8")
    assert [entry.id for entry in load_journal(Path(above)).entries] == ["2026-03-14"]


@pytest.mark.parametrize(
    ("name", "text", "messages", "ids"),
    [
        ("2026-02-30.yml", "title: x", ["1:1: The date in the name '2026-02-30' does not exist. "
         "Rename the file."], []),
        ("2026-02-30.yml", "title: x\ndate: 2026-03-01", ["1:1: The date in the name '2026-02-30' "
         "does not exist. Rename the file."], ["2026-03-01"]),
        ("2026-13-01-x.yml", "title: x", ["1:1: The date in the name '2026-13-01-x' does not "
         "exist. Rename the file."], []),
        ("x.yml", "title: x\ndate: 2026-02-30", ["2:7: The date 2026-02-30 does not exist. Write "
         "year-month-day, such as 2026-03-14."], []),
        ("2026-03-14.yml", "title: x\ndate: 2026-02-30", ["2:7: The date 2026-02-30 does not "
         "exist. Write year-month-day, such as 2026-03-14."], ["2026-03-14"]),
        ("x.yml", "title: x", ["1:1: The entry has no date. Name the file like 2026-03-14.yml, or "
         "write 'date: 2026-03-14'."], []),
        ("x.yml", "title: x\ndate:", ["1:1: The entry has no date. Name the file like "
         "2026-03-14.yml, or write 'date: 2026-03-14'."], []),
        ("14.3.2026.yml", "title: x", ["1:1: The entry has no date. Name the file like "
         "2026-03-14.yml, or write 'date: 2026-03-14'."], []),
        ("2026-04-02.yml", "title: x", ["1:1: The date 2026-04-02 is in the future. Correct the "
         "date; the entry is left out until then."], []),
        ("2026-04-01.yml", "title: x", [], ["2026-04-01"]),
        ("x.yml", "title: x\ndate: 2026-04-02", ["2:7: The date 2026-04-02 is in the future. "
         "Correct the date; the entry is left out until then."], []),
        ("2026-02-30.yml", "date: 2026-04-02\ntitle: x", ["1:1: The date in the name '2026-02-30' "
         "does not exist. Rename the file.", "1:7: The date 2026-04-02 is in the future. Correct "
         "the date; the entry is left out until then."], []),
        ("0001-01-01.yml", "title: x", ["1:1: The date 0001-01-01 is too long ago. Correct the "
         "date; the entry is left out until then."], []),
        ("x.yml", "date: 0001-01-01\ntitle: x", ["1:7: The date 0001-01-01 is not between the "
         "years 1950 and 2100. Write year-month-day, such as 2026-03-14."], []),
        ("2026-03-14.yml", "title: x\ndate: 2026-03-15", ["2:7: The file name says 2026-03-14, the "
         "entry says 2026-03-15. Make them agree, or remove 'date:'; until then the file name "
         "counts."], ["2026-03-14"]),
        ("2026-03-14.yml", "tags: [a]\ntime: 9:30", ["1:1: The entry says nothing. Add readings, "
         "notes, photos or any other key."], ["2026-03-14"]),
        ("2026-03-14.yml", "{}", ["1:1: The entry says nothing. Add readings, notes, photos or any "
         "other key."], ["2026-03-14"]),
        ("2026-03-14.yml", "", ["1:1: The file has no content. Write at least one 'key: value' "
         "line, or delete the file."], []),
        ("2026-03-14.yml", "- a", ["1:1: Keys and values are wanted here. Write 'key: value' "
         "lines."], []),
        ("2026-03-14.yml", "titel: x", ["1:1: The key 'titel' is not known here. Did you mean "
         "'title'?"], ["2026-03-14"]),
        ("2026-03-14.yml", "title: a: b", ["1:9: This is not valid YAML: mapping values are not "
         "allowed in this context. Put text that holds a colon in quotes, and check the "
         "indentation."], []),
    ],
)  # fmt: skip
def test_one_entry_and_what_is_wrong_with_it(
    load: Load, name: str, text: str, messages: list[str], ids: list[str]
) -> None:
    journal = load({f"log/{name}": text})
    assert said(journal) == [f"log/{name}:{message}" for message in messages]
    assert [entry.id for entry in journal.entries] == ids


def test_drafts_are_checked_but_not_published(load: Load) -> None:
    journal = load({"log/2026-03-14.yml": "draft: true\ntitle: x\nreadings: {calcium: 9}"})
    assert journal.entries == ()
    assert said(journal) == [
        "log/2026-03-14.yml:3:21: Calcium of '9' is outside what can be (50 to 1000 mg/L). Check "
        "the decimal point and the unit."
    ]


def test_two_entries_with_one_name(load: Load) -> None:
    journal = load(
        {"log/2026/2026-03-14.yml": "title: b\ntime: 9:30", "log/2026-03-14.yml": "title: a"}
    )
    assert said(journal) == [
        "log/2026-03-14.yml:1:1: This entry and log/2026/2026-03-14.yml would share the link "
        "'2026-03-14'. Add a word to one file name: 2026-03-14-evening.yml."
    ]
    assert [(e.id, e.title) for e in journal.entries] == [
        ("2026-03-14", "b"),
        ("2026-03-14-2", "a"),
    ]
    assert len(journal.entry_by_id) == 2


@pytest.mark.parametrize(
    ("profile", "messages", "name", "start"),
    [
        (b"", ["1:1: The file has no content. Write at least one 'key: value' line, or delete the "
         "file."], "my-reef", "2026-03-14"),
        (b"- a", ["1:1: Keys and values are wanted here. Write 'key: value' lines, such as "
         "'name: My reef'."], "my-reef", "2026-03-14"),
        (b"words", ["1:1: Keys and values are wanted here. Write 'key: value' lines, such as "
         "'name: My reef'."], "my-reef", "2026-03-14"),
        (b"name: x", ["1:1: The key 'start' is missing here. Add 'start: …'."], "x", "2026-03-14"),
        (b"keeper: y\nstart: 2026-01-01", ["1:1: The key 'name' is missing here. Add 'name: …'."],
         "my-reef", "2026-01-01"),
        (b"name: [x]\nstart: never", ["1:7: Text is wanted here. Write a few words, in quotes if "
         "need be.", "2:8: 'never' is not a date. Write year-month-day, such as 2026-03-14."],
         "my-reef", "2026-03-14"),
        (b"name: x\nstart: 0001-01-01", ["2:8: The date 0001-01-01 is not between the years 1950 "
         "and 2100. Write year-month-day, such as 2026-03-14."], "x", "2026-03-14"),
        (b"name: [x]\ntarif: 1\nvessels:\n- {name: d, length: y, width: 1, water_height: 3}",
         ["1:1: The key 'start' is missing here. Add 'start: …'.",
          "1:7: Text is wanted here. Write a few words, in quotes if need be.",
          "2:1: The key 'tarif' is not known here. Did you mean 'tariff'?",
          "4:21: 'y' is not a number. Write a number, such as '12 cm'."],
         "my-reef", "2026-03-14"),
        (b"name: x\nstart: [", ["2: This is not valid YAML: did not find expected node content. "
         "Check quotes, brackets and indentation on this line and the one before."], "my-reef",
         "2026-03-14"),
        ("name: ä".encode("latin-1"), ["1: The text is not UTF-8. Save the file as UTF-8 in your "
         "editor."], "my-reef", "2026-03-14"),
    ],
)  # fmt: skip
def test_a_broken_profile_still_gives_a_journal(
    load: Load, profile: bytes, messages: list[str], name: str, start: str
) -> None:
    log = {
        "log/2026-03-14.yml": "readings: {calcium: 420}",
        "log/0001-01-01.yml": "title: x",
        "log/2999-01-01.yml": "title: x",
    }
    journal = load({"tank.yml": profile} | log)
    about_profile = [text for text in said(journal) if text.startswith("tank.yml")]
    assert about_profile == [f"tank.yml:{message}" for message in messages]
    assert (journal.profile.name, journal.profile.start.isoformat()) == (name, start)
    assert [entry.id for entry in journal.entries] == ["2026-03-14"]
    assert build_tables(journal).readings["value"].tolist() == [420]


def test_a_missing_profile(tmp_path: Path) -> None:
    journal = load_journal(tmp_path / "my reef", dt.date(2026, 4, 1))
    assert said(journal) == [
        "tank.yml: The file does not exist. Start a journal with 'journal-tools new', or write the "
        "file."
    ]
    assert journal.entries == ()
    assert journal.profile.start == dt.date(2000, 1, 1)


def test_a_folder_in_place_of_the_profile(tmp_path: Path) -> None:
    (tmp_path / "tank.yml").mkdir()
    journal = load_journal(tmp_path, dt.date(2026, 4, 1))
    assert said(journal) == [
        "tank.yml: The file cannot be read: Is a directory. Check its permissions."
    ]


def test_a_link_out_of_the_journal(load: Load, journal_folder: Callable[[Files], Path]) -> None:
    folder = journal_folder({"log/2026-03-14.yml": "title: a"})
    outside = folder.parent / "outside.yml"
    outside.write_text("title: b", encoding="utf-8")
    (folder / "log" / "2026-03-15.yml").symlink_to(outside)
    (folder / "log" / "2026-03-16.yml").symlink_to(folder / "log" / "2026-03-14.yml")
    journal = load_journal(folder, dt.date(2026, 4, 1))
    assert said(journal) == [
        "log/2026-03-15.yml: The link leads out of the journal folder. Copy the file into the "
        "journal instead of linking to it."
    ]
    assert [entry.id for entry in journal.entries] == ["2026-03-14", "2026-03-16"]


BROKEN: Files = {
    "tank.yml": "name: T\nstart: 2026-01-01\ntarif: 1\n",
    "log/2026-03-01.yml": "readings:\n  alkalinity: [8.2, much]\n  calcium: 9\n  nitrate: 5\n",
    "log/2026-03-02.yml": "doses:\n  - {what: alk, amount: 3 ml}\n  - {what: alk}\ntime: late\n",
    "log/2026-03-03.yml": "a: [",
    "log/2026-03-04.yml": "water_change: [20 L, 3 kg, 5 L]\n",
}


def test_all_problems_of_all_files_at_once_in_order(load: Load) -> None:
    journal = load(BROKEN)
    assert [str(problem).split(": ")[0] for problem in journal.problems] == [
        "tank.yml:3:1",
        "log/2026-03-01.yml:2:21", "log/2026-03-01.yml:3:12", "log/2026-03-02.yml:2:12",
        "log/2026-03-02.yml:3:5", "log/2026-03-02.yml:4:7", "log/2026-03-03.yml:1",
        "log/2026-03-04.yml:1:22",
    ]  # fmt: skip
    assert journal.problems == in_order(reversed(journal.problems))
    assert [problem.code for problem in journal.problems] == [
        "unknown-key", "not-a-number", "impossible-value", "unknown-supplement", "missing-key",
        "bad-time", "yaml-syntax", "wrong-unit",
    ]  # fmt: skip


def test_the_good_values_of_bad_entries_reach_the_tables(load: Load) -> None:
    tables = build_tables(load(BROKEN))
    readings = tables.readings[["parameter", "value", "line"]].to_numpy().tolist()
    assert readings == [["alkalinity", 8.2, 2], ["nitrate", 5, 4]]
    assert tables.doses[["product", "amount"]].to_numpy().tolist() == [["alk", 3]]
    assert tables.water_changes["volume_l"].tolist() == [20, 5]
    assert tables.entries["entry"].tolist() == ["2026-03-01", "2026-03-02", "2026-03-04"]


def test_loading_changes_nothing(journal_folder: Callable[[Files], Path]) -> None:
    folder = journal_folder(BROKEN)

    def state() -> dict[Path, tuple[int, bytes]]:
        paths = [folder, *folder.rglob("*")]
        return {p: (p.stat().st_mtime_ns, p.read_bytes() if p.is_file() else b"") for p in paths}

    before = state()
    load_journal(folder, dt.date(2026, 4, 1))
    assert state() == before


def zoned(zone: str) -> str:
    return SHORTEST_PROFILE + f"time_zone: {zone}\n"


@pytest.mark.parametrize(
    ("zone", "day", "clock", "moment"),
    [
        # Central Europe: 02:00 to 03:00 did not exist on 2026-03-29 and came twice on 2025-10-26.
        ("Europe/Berlin", "2026-03-29", "01:59", "2026-03-29T01:59:00+01:00"),
        ("Europe/Berlin", "2026-03-29", "02:30", "2026-03-29T03:30:00+02:00"),
        ("Europe/Berlin", "2025-10-26", "02:30", "2025-10-26T02:30:00+02:00"),
        ("Europe/Berlin", "2025-10-26", "03:00", "2025-10-26T03:00:00+01:00"),
        ("America/Chicago", "2026-03-08", "02:30", "2026-03-08T03:30:00-05:00"),
        ("Asia/Kathmandu", "2026-03-08", "00:00", "2026-03-08T00:00:00+05:45"),
    ],
)  # fmt: skip
def test_times_where_clocks_change(
    load: Load, zone: str, day: str, clock: str, moment: str
) -> None:
    text = f"time: {clock}\nreadings: {{calcium: [420, {{value: 421, time: '{clock}'}}]}}"
    journal = load({"tank.yml": zoned(zone), f"log/{day}.yml": text})
    assert said(journal) == []
    times = build_tables(journal).readings["time"]
    assert [time.isoformat() for time in times] == [moment, moment]


def test_an_unknown_time_zone_leaves_utc(load: Load) -> None:
    journal = load({"tank.yml": zoned("Mars/Base"), "log/2026-03-14.yml": "title: x"})
    assert said(journal) == [
        "tank.yml:3:12: 'Mars/Base' is no time zone. Write an IANA name, such as Europe/Berlin or "
        "America/Chicago."
    ]
    assert journal.entries[0].time.tzinfo == ZoneInfo("UTC")


def test_bare_numbers_of_a_us_journal(load: Load) -> None:
    profile = SHORTEST_PROFILE + "units: {system: us, salinity: SG, nitrate: spoons}\n"
    vessel = "vessels: {name: d, length: 48, width: 20, water_height: 20}\n"
    entry = "readings: {temperature: 77, salinity: 1.026372709}\nwater_change: 10"
    journal = load({"tank.yml": profile + vessel, "log/2026-03-14.yml": entry})
    assert [problem.code for problem in journal.problems] == ["unknown-unit"]
    assert journal.profile.vessels[0].length is not None
    assert journal.profile.vessels[0].length.value == pytest.approx(121.92)
    tables = build_tables(journal)
    assert tables.readings["value"].tolist() == pytest.approx([25, 35], abs=0.005)
    assert tables.water_changes["volume_l"].tolist() == pytest.approx([37.85411784])


def test_where_a_journal_is_found(journal_folder: Callable[[Files], Path]) -> None:
    folder = journal_folder({})
    assert find_journal(folder) == folder
    assert find_journal(folder.parent) == folder
    assert find_journal(folder.parent.parent) is None


def test_the_day_of_a_build(monkeypatch: pytest.MonkeyPatch) -> None:
    # 1774994400 is 2026-03-31 22:00 UTC.
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1774994400")
    assert build_day(ZoneInfo("UTC")) == dt.date(2026, 3, 31)
    assert build_day(ZoneInfo("Europe/Berlin")) == dt.date(2026, 4, 1)
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    now = dt.datetime.now(dt.UTC)
    assert abs((build_day(ZoneInfo("UTC")) - now.date()).days) <= 1


def test_the_newest_day_is_the_keepers(
    journal_folder: Callable[[Files], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1774994400")
    files = {"tank.yml": zoned("Europe/Berlin"), "log/2026-04-01.yml": "title: x"}
    journal = load_journal(journal_folder(files))
    assert journal.today == dt.date(2026, 4, 1)
    assert said(journal) == []


@pytest.mark.parametrize("line", ["draft: private", "Draft: true", "drafts: yes", "draft: maybe"])
def test_a_slip_in_draft_hides_the_entry(load: Callable[[Files], Journal], line: str) -> None:
    journal = load({"log/2026-03-14.yml": f"{line}\nnotes: not yet\n"})
    assert journal.entries == ()
    assert journal.problems


@pytest.mark.parametrize(
    "line", ["privacy: none", "privacy: {show_cost: false}", "Privacy: {show_costs: false}"]
)
def test_a_slip_in_privacy_hides_all_that_it_could(
    load: Callable[[Files], Journal], line: str
) -> None:
    journal = load({"tank.yml": f"name: x\nstart: 2026-01-01\n{line}\n"})
    assert journal.profile.privacy == Privacy.nothing_shown()
    assert journal.problems


def test_switches_that_can_be_read_are_taken_as_they_are(
    load: Callable[[Files], Journal],
) -> None:
    profile = "name: x\nstart: 2026-01-01\nprivacy: {show_costs: false}\n"
    journal = load({"tank.yml": profile, "log/2026-03-14.yml": "draft: false\nnotes: now\n"})
    assert len(journal.entries) == 1
    assert journal.profile.privacy == Privacy(show_costs=False)


def test_numbered_ids_do_not_collide(load: Load) -> None:
    journal = load({
        "log/2026-03-14.yml": "notes: a", "log/x/2026-03-14.yml": "notes: b",
        "log/2026-03-14-2.yml": "notes: c",
    })  # fmt: skip
    assert len(journal.entry_by_id) == 3
    assert "2026-03-14-2" in journal.entry_by_id


@pytest.mark.parametrize("epoch", ["²", "9" * 30, "-1", "soon"])
def test_an_epoch_that_is_none_is_passed_over(monkeypatch: pytest.MonkeyPatch, epoch: str) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
    assert build_day(ZoneInfo("UTC")) == dt.datetime.now(dt.UTC).date()


def test_a_file_that_only_looks_like_an_entry_is_named(load: Load) -> None:
    journal = load({"log/2026-03-14.yml.txt": "notes: x", "log/README.txt": "y"})
    assert said(journal) == [
        "log/2026-03-14.yml.txt: The file is named like an entry, but its name does not end in "
        ".yml. Rename it to 2026-03-14.yml."
    ]


def test_a_start_in_the_future_is_named(load: Load) -> None:
    journal = load({"tank.yml": "name: x\nstart: 2030-01-01\n"})
    assert said(journal) == ["tank.yml:2:8: The start 2030-01-01 is years ahead. Correct the date."]
