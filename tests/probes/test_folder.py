"""Probe files of a journal: what is read, what is said about the others, and nothing raises."""

from __future__ import annotations

import datetime as dt
import gzip
import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal_tools.cache import Cache
from journal_tools.probes import folder as reading
from tests.journals import TANK
from tests.probes.made_up import COLUMNS, PLAIN, TODAY, codes, journal, load, rows, said

ROOT = Path(__file__).parents[2]
THREE = rows(25.0, 25.2, 25.1)
TEMPLATE = "time: time\n" + COLUMNS


def test_a_journal_without_probes_has_none(tmp_path: Path) -> None:
    found = load(tmp_path, {})
    assert found.series == () and found.problems == ()


def test_a_file_is_found_by_the_name_of_its_description(tmp_path: Path) -> None:
    found = load(tmp_path, {"tank.csv": THREE, "tank.yml": PLAIN})
    (series,) = found.series
    assert found.problems == ()
    assert (series.source, series.parameter) == ("tank", "temperature")
    assert series.file == "probes/tank.csv"
    assert series.data.minimum.tolist() == [25.0] and series.data.count.tolist() == [3]


@pytest.mark.parametrize("ending", ["csv.gz", "parquet"])
def test_packed_files_say_the_same_as_csv(tmp_path: Path, ending: str) -> None:
    plain = load(tmp_path / "a", {"tank.csv": THREE, "tank.yml": PLAIN})
    if ending == "csv.gz":
        content = gzip.compress(THREE.encode())
    else:
        times = pd.date_range("2026-03-01", periods=3, freq="15min")
        content = pd.DataFrame({"time": times, "T1": [25.0, 25.2, 25.1]}).to_parquet()
    packed = load(tmp_path / "b", {f"tank.{ending}": content, "tank.yml": PLAIN})
    assert packed.problems == ()
    for name, value in vars(plain.series[0].data).items():
        assert np.array_equal(value, getattr(packed.series[0].data, name), equal_nan=True), name


SAYINGS = {
    "probe-missing": ({"tank.yml": PLAIN}, "probes/tank.yml:1:1: There is no file tank.csv"),
    "probe-undescribed": ({"tank.csv": THREE}, "probes/tank.csv: No description"),
    "probe-outside": (
        {"tank.yml": "file: ../tank.yml\n" + PLAIN},
        "probes/tank.yml:1:7: '../tank.yml' does not lie",
    ),
    "probe-kind": ({"tank.yml": "file: tank.xlsx\n" + PLAIN}, "probes/tank.yml:1:7: 'tank.xlsx'"),
    "probe-empty": ({"tank.csv": " \n", "tank.yml": PLAIN}, "probes/tank.csv: The file has no"),
    "probe-no-column": (
        {"tank.csv": "time,T2\n2026-03-01,25\n", "tank.yml": PLAIN},
        "probes/tank.csv:1: There is no column 'T1'. Name one of those in the file: 'time', 'T2'.",
    ),
    "probe-not-text": (
        {"tank.csv": "time,T1\n".encode("utf-16"), "tank.yml": PLAIN}, "probes/tank.csv: The file",
    ),
    "probe-value": (
        {"tank.csv": rows(25, "ERR", 25, "inf"), "tank.yml": PLAIN},
        "probes/tank.csv:3:18: 2 cells of 'T1' cannot be read as a number; the first is 'ERR'.",
    ),
    "probe-no-values": ({"tank.csv": rows("", ""), "tank.yml": PLAIN}, "probes/tank.csv: The col"),
    "probe-cells": (
        {"tank.csv": rows(25.0, "25,3"), "tank.yml": PLAIN + "decimal: '.'\n"},
        "probes/tank.csv:3: 1 row has more cells than the heading.",
    ),
    "probe-time": (
        {"tank.csv": rows(25, 25) + "noon,25\nlate,25\n", "tank.yml": PLAIN},
        "probes/tank.csv:4:1: 2 times cannot be read; the first is 'noon'.",
    ),
    "probe-time-range": (
        {"tank.csv": rows(25, 25) + "2001-01-01,25\n", "tank.yml": PLAIN},
        "probes/tank.csv:4:1: 1 row has a time long before the tank's start (2000-12-31).",
    ),
    "probe-order": (
        {"tank.csv": rows(25, 25) + "2026-02-28 12:00,25\n", "tank.yml": PLAIN},
        "probes/tank.csv:4:1: 1 row goes back in time.",
    ),
    "probe-doubles": (
        {"tank.csv": rows(25, 25) + "2026-03-01 00:15,26\n", "tank.yml": PLAIN},
        "probes/tank.csv:4:1: 1 row has the time of another row.",
    ),
    "probe-damaged": (
        {"tank.csv.gz": gzip.compress(b"time,T1\n" * 99)[:30], "tank.yml": PLAIN},
        "probes/tank.csv.gz: The packed file",
    ),
    "probe-limits": (
        {"tank.csv": THREE, "tank.yml":
         "time: time\ncolumns: {temperature: {column: T1, limits: {fail: [30, 20]}}}\n"},
        "probes/tank.yml:2:",
    ),
    "unknown-unit": (
        {"tank.csv": THREE, "tank.yml": "time: time\ncolumns: {ph: {column: T1, unit: V}}\n"},
        "probes/tank.yml:2:34: 'V' is no unit of pH (buffer scale).",
    ),
    "unknown-key": (
        {"tank.csv": THREE, "tank.yml": "time: time\ncolumns: {temprature: T1, ph: T1}\n"},
        "probes/tank.yml:2:11: ",
    ),
    "time-zone": (
        {"tank.csv": THREE, "tank.yml": "time: {column: time, zone: Mars}\n" + COLUMNS},
        "probes/tank.yml:1:28: 'Mars' is no time zone.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("code", SAYINGS)
def test_each_mistake_is_said_once_with_its_place(tmp_path: Path, code: str) -> None:
    files, begin = SAYINGS[code]
    found = load(tmp_path, files)
    assert codes(found) == [code], said(found)
    assert said(found)[0].startswith(begin), said(found)


def test_two_problems_of_one_kind_in_two_columns_are_both_said(tmp_path: Path) -> None:
    text = "time;T1;pH\n2026-03-01 10:00;x;8,1\n2026-03-01 11:00;25,1;y\n"
    found = load(tmp_path, {"tank.csv": text, "tank.yml":
                            "time: time\ncolumns: {temperature: T1, ph: pH}\n"})  # fmt: skip
    assert [(p.code, p.line, p.column) for p in found.problems] == [
        ("probe-value", 2, 18), ("probe-value", 3, 23),
    ]  # fmt: skip
    assert [s.data.maximum.tolist() for s in found.series] == [[25.1], [8.1]]


def test_words_for_a_missing_value_are_no_problem(tmp_path: Path) -> None:
    told = PLAIN + "missing: [ERR, '---']\n"
    found = load(tmp_path, {"tank.csv": rows(25, "ERR", "---", "", "NaN", 26), "tank.yml": told})
    assert found.problems == () and found.series[0].data.count.tolist() == [2]


def test_rows_of_the_future_are_left_out_until_they_are_past(tmp_path: Path) -> None:
    text = rows(25, 26, 27, start="2026-03-31 23:00", step="30min")
    files = {"tank.csv": text, "tank.yml": PLAIN}
    cache = Cache(tmp_path / "cache")
    found = load(tmp_path, files, cache=cache)
    assert codes(found) == ["probe-time-range"] and found.problems[0].line == 4
    assert found.series[0].data.maximum.tolist() == [26]
    later = load(tmp_path, files, today=TODAY + dt.timedelta(days=1), cache=cache)
    assert later.problems == () and later.series[0].data.maximum.tolist() == [26, 27]


def test_a_file_too_large_is_not_read(tmp_path: Path) -> None:
    place = journal(tmp_path, {"tank.csv": "time,T1\n", "tank.yml": PLAIN})
    with (place / "probes/tank.csv").open("r+b") as file:
        file.truncate(1_000_000_001)  # of a sparse file nothing lies on the disk
    assert codes(load(tmp_path, {})) == ["probe-too-large"]


def test_a_packed_file_is_not_unpacked_without_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("journal_tools.probes.table_file.MAX_BYTES", 10_000)
    files = {"tank.csv.gz": gzip.compress(b"\n" * 20_000), "tank.yml": PLAIN}
    assert codes(load(tmp_path, files)) == ["probe-too-large"]


def test_too_many_rows_are_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("journal_tools.probes.table_file.MAX_ROWS", 2)
    assert codes(load(tmp_path, {"tank.csv": THREE, "tank.yml": PLAIN})) == ["probe-too-large"]


def test_parquet_without_its_package_is_said_and_csv_needs_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = pd.DataFrame({"time": [pd.Timestamp("2026-03-01")], "T1": [25.0]}).to_parquet()
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    found = load(tmp_path, {"a.parquet": content, "a.yml": PLAIN, "b.csv": THREE, "b.yml": PLAIN})
    assert codes(found) == ["probe-needs-reader"]
    assert [series.source for series in found.series] == ["b"]


@pytest.mark.parametrize(
    "frame",
    [
        pd.DataFrame({"time": ["2026-03-01 10:00"], "T1": ["25.1"]}),
        pd.DataFrame({"time": pd.to_datetime(["2026-03-01 09:00"], utc=True), "T1": [25.1]}),
        pd.DataFrame({"time": [1_772_355_600], "T1": [25.1]}),
    ],
    ids=["texts", "with a zone", "numbers"],
)
def test_parquet_of_any_kind_of_time(tmp_path: Path, frame: pd.DataFrame) -> None:
    told = PLAIN
    if frame["time"].dtype.kind == "i":
        told = "time: {column: time, unit: s}\n" + COLUMNS
    found = load(tmp_path, {"tank.parquet": frame.to_parquet(), "tank.yml": told})
    assert found.problems == ()
    moment = pd.Timestamp(int(found.series[0].data.recent_ns[0]), tz="UTC")
    assert moment == pd.Timestamp("2026-03-01 09:00", tz="UTC")


def test_parquet_of_odd_columns_is_no_traceback(tmp_path: Path) -> None:
    frame = pd.DataFrame({"time": pd.to_datetime(["2026-03-01"]), "T1": [[1.0, 2.0]]})
    found = load(tmp_path, {"tank.parquet": frame.to_parquet(), "tank.yml": PLAIN})
    assert codes(found) == ["probe-value"]
    found = load(tmp_path, {"tank.parquet": b"PAR1" + b"x" * 99})
    assert codes(found) == ["probe-damaged"]


def test_two_files_may_measure_the_same(tmp_path: Path) -> None:
    found = load(tmp_path, {"a.csv": THREE, "a.yml": PLAIN, "b.yml": "file: a.csv\n" + PLAIN})
    assert [series.source for series in found.series] == ["a", "b"] and found.problems == ()


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    place = journal(tmp_path / "journal", {"tank.yml": "file: tank.csv\n" + PLAIN})
    (tmp_path / "secret.csv").write_text(THREE)
    (place / "probes/tank.csv").symlink_to(tmp_path / "secret.csv")
    assert codes(load(tmp_path / "journal", {})) == ["probe-outside"]


def test_a_linked_folder_is_not_followed(tmp_path: Path) -> None:
    journal(tmp_path / "other", {"tank.csv": THREE, "tank.yml": PLAIN})
    place = journal(tmp_path / "journal", {})
    (place / "probes").symlink_to(tmp_path / "other" / "probes")
    assert codes(load(place, {})) == ["probe-outside"]


def test_csv_is_read_with_the_core_packages_alone(tmp_path: Path) -> None:
    """Without pyarrow pandas keeps texts otherwise: all kinds of column are tried."""
    text = "time;T1;pH\n2026-03-01 10:00;25,1;8\nnoon;x;8\n2026-03-01 11:00;25,3;y\n"
    place = journal(tmp_path, {"tank.csv": text, "tank.yml":
                               "time: time\ncolumns: {temperature: T1, ph: pH}\n"})  # fmt: skip
    program = (
        "import sys; sys.modules['pyarrow'] = None\n"
        "import datetime as dt; from pathlib import Path\n"
        "from journal_tools.journal import load_journal\n"
        "from journal_tools.probes import load_probes\n"
        f"folder, today = Path({str(place)!r}), dt.date(2026, 3, 31)\n"
        "found = load_probes(folder, load_journal(folder, today).profile, today)\n"
        "print([s.data.recent.tolist() for s in found.series], [p.code for p in found.problems])"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], check=False, capture_output=True, text=True, cwd=ROOT
    )
    assert run.stderr == ""
    assert run.stdout == ("[[25.1, 25.3], [8.0]] ['probe-time', 'probe-value', 'probe-value']\n")


# --- The cache


def test_a_warm_build_does_not_read_the_series(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache, files = Cache(tmp_path / "cache"), {"tank.csv": rows(25, "x", 26), "tank.yml": PLAIN}
    cold = load(tmp_path, files, cache=cache)

    def never(*_: object) -> None:
        raise AssertionError("the series was read again")

    monkeypatch.setattr(reading, "read_series", never)
    warm = load(tmp_path, files, cache=cache)
    assert warm.problems == cold.problems and codes(warm) == ["probe-value"]
    for name, value in vars(cold.series[0].data).items():
        kept = getattr(warm.series[0].data, name)
        assert np.array_equal(value, kept, equal_nan=True) and value.dtype == kept.dtype, name


@pytest.mark.parametrize(
    "change",
    [
        {"tank.csv": rows(25, 27)},
        {"tank.yml": TEMPLATE.replace("T1", "{column: T1, unit: F}")},
    ],
    ids=["file", "description"],
)
def test_a_change_is_seen(tmp_path: Path, change: dict[str, str]) -> None:
    cache, files = Cache(tmp_path / "cache"), {"tank.csv": rows(80, 81), "tank.yml": TEMPLATE}
    files["tank.csv"] = rows(25, 26)
    before = load(tmp_path, files, cache=cache)
    after = load(tmp_path, files | change, cache=cache)
    highest = [found.series[0].data.maximum.tolist() if found.series else None
               for found in (before, after)]  # fmt: skip
    assert highest[0] == [26] and highest[1] != highest[0]


def test_a_change_of_the_time_zone_or_the_band_is_seen(tmp_path: Path) -> None:
    cache, files = Cache(tmp_path / "cache"), {"tank.csv": rows(25, 26), "tank.yml": PLAIN}
    one = load(tmp_path, files, cache=cache)
    two = load(tmp_path, files, tank=TANK.replace("Berlin", "Lisbon"), cache=cache)
    assert one.series[0].data.start_ns[0] != two.series[0].data.start_ns[0]
    cold = load(tmp_path, files, tank=TANK + "targets: {temperature: 20 to 21}\n", cache=cache)
    assert one.series[0].data.outside_h.sum() == 0 < cold.series[0].data.outside_h.sum()


def test_a_spoilt_value_in_the_cache_is_made_anew(tmp_path: Path) -> None:
    cache, files = Cache(tmp_path / "cache"), {"tank.csv": THREE, "tank.yml": PLAIN}
    load(tmp_path, files, cache=cache)
    (kept,) = (tmp_path / "cache").rglob("*.npz")
    for spoilt in (b"", b"no archive", kept.read_bytes()[:500]):
        kept.write_bytes(spoilt)
        assert load(tmp_path, files, cache=cache).series[0].data.count.tolist() == [3]


# --- Whatever a device writes


lines = st.lists(
    st.lists(
        st.one_of(
            st.sampled_from(
                ["2026-03-01 10:00", "2026-03-29 02:30", "2026-03-01T10:00Z", "9999-12-31", "25,1",
                 "25.1", "inf", "-1e999", '"', "", "NaN", "True", "0x1F", "1_000", "T1", "time"]
            ),
            st.text(max_size=12),
        ),
        max_size=4,
    ),
    max_size=12,
)  # fmt: skip


@settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    table=lines,
    sign=st.sampled_from(",;\t|"),
    end=st.sampled_from(["\n", "\r\n", "\r", "\n\n"]),
    header=st.booleans(),
    bom=st.booleans(),
)
def test_no_text_raises(
    tmp_path: Path, table: list[list[str]], sign: str, end: str, header: bool, bom: bool
) -> None:
    head = [["time", "T1"]] if header else []
    text = end.join(sign.join(cells) for cells in [*head, *table])
    content = (b"\xef\xbb\xbf" if bom else b"") + text.encode("utf-8", "replace")
    found = load(tmp_path, {"tank.csv": content, "tank.yml": PLAIN})
    assert found.series or found.problems
    for series in found.series:
        assert (np.diff(series.data.recent_ns) > 0).all()
        assert np.isfinite(series.data.recent).all()


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    content=st.binary(max_size=300),
    name=st.sampled_from(["tank.csv", "tank.csv.gz", "tank.parquet"]),
)
def test_no_bytes_raise(tmp_path: Path, content: bytes, name: str) -> None:
    for old in ("tank.csv", "tank.csv.gz", "tank.parquet"):
        (tmp_path / "probes" / old).unlink(missing_ok=True)
    found = load(tmp_path, {name: content, "tank.yml": PLAIN})
    assert found.series or found.problems


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(text=st.text(st.sampled_from("time: columnsf{}[]\n-.5T1'"), max_size=80))
def test_no_description_raises(tmp_path: Path, text: str) -> None:
    load(tmp_path, {"tank.csv": THREE, "tank.yml": text})
