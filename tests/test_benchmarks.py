"""The benchmarks: same journal for the same seed, same text on the floor, and they run."""

from __future__ import annotations

import html
import re
import subprocess
import sys
from pathlib import Path

import markdown
import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from benchmarks import journal_metrics, probes
from benchmarks.floor import to_markdown, write_floor
from benchmarks.generate import generate
from benchmarks.stages import STAGES, Clock
from benchmarks.timing import FailedRunError, Run, median_s, peak_mib, timed
from journal_tools.cache import Cache
from journal_tools.journal import load_journal
from journal_tools.tables import build_tables

ROOT = Path(__file__).parents[1]
NINE = {
    *("temperature", "salinity", "alkalinity", "calcium", "magnesium", "nitrate", "phosphate"),
    *("ph", "ammonia"),
}
EXTENSIONS = ["attr_list", "tables", "toc", "pymdownx.superfences", "pymdownx.tabbed"]


def content_of(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def words(markup: str) -> list[str]:
    return html.unescape(re.sub(r"<[^>]+>", " ", markup)).split()


# --- The generated journal


def test_same_seed_same_journal(tmp_path: Path) -> None:
    generate(tmp_path / "a", 60, 7)
    generate(tmp_path / "b", 60, 7)
    generate(tmp_path / "c", 60, 8)
    a, b, c = (content_of(tmp_path / name) for name in "abc")
    assert a == b
    assert a != c


def test_generated_journal_has_no_problem_and_nine_parameters(tmp_path: Path) -> None:
    made = generate(tmp_path, 120)
    journal = load_journal(tmp_path / "content", made.last_day)
    assert journal.problems == ()
    assert len(journal.entries) == made.entries == 120
    assert set(build_tables(journal).readings["parameter"]) == NINE
    used = [photo for entry in journal.entries for photo in entry.record.photos]
    assert len(used) == made.photos == 5
    assert all((journal.photo_folder / photo.file).is_file() for photo in used)


def test_a_journal_has_at_least_one_entry(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="1 or more"):
        generate(tmp_path, 0)


# --- The floor


@given(st.text(st.characters(codec="utf-8", exclude_categories=["C"]), max_size=60))
@example("1. not a list")
@example("- nor *this*_one_ `or` {: #this } [x](y) | a | b")
@example('=== "tab"')
@example("~~~")
@example("&amp; <b>not bold</b> &#35;")
@example("# no heading #")
def test_markdown_shows_exactly_the_text(text: str) -> None:
    page = f"<h2>{html.escape(text)}</h2><p>{html.escape(text)} <em>x</em></p>"
    shown = markdown.markdown(to_markdown(page), extensions=EXTENSIONS)
    assert words(shown) == words(page)


def test_blocks_become_paragraphs_and_pictures_are_left_out() -> None:
    page = (
        "<h1>Water</h1><svg><title>no</title><text>no</text></svg><script>no()</script>"
        "<table><tr><th>pH</th><td>8</td></tr><tr><td>a</td><td>b</td></tr></table>"
        "<ul><li>one <b>two</b></li><li>three</li></ul><h3>End</h3>"
    )
    expected = ["# Water", "pH 8", "a b", "one two", "three", "### End"]
    assert to_markdown(page).strip().split("\n\n") == expected


def test_floor_has_the_same_pages_and_what_hand_written_ones_embed(tmp_path: Path) -> None:
    journal, floor = tmp_path / "journal", tmp_path / "floor"
    generate(journal, 40)
    page = "# Mine\n\n```journal\nnumber: net_volume\n```\n"
    (journal / "content" / "mine.md").write_text(page, encoding="utf-8")
    number = write_floor(journal / "mkdocs.yml", floor, Cache(tmp_path / "cache"))
    names = {path for path in content_of(floor / "docs") if path.endswith(".md")}
    assert len(names) == number
    assert {"index.md", "water.md", "diary/2020-01.md", "mine.md"} <= names
    settings = yaml.safe_load((floor / "mkdocs.yml").read_text(encoding="utf-8"))
    assert settings["plugins"] == ["search"]
    assert settings["nav"][0] == {"Today": "index.md"}
    assert settings["nav"][-1] == "mine.md"
    assert "polyps were out" in (floor / "docs/diary/2020-01.md").read_text("utf-8").casefold()
    mine = (floor / "docs" / "mine.md").read_text(encoding="utf-8")
    assert "```" not in mine
    assert re.search(r"Net .*volume", mine)


# --- Time and memory


def test_time_and_memory_of_a_child(tmp_path: Path) -> None:
    code = "import time; a = bytearray(b'x') * 150_000_000; time.sleep(0.3)"
    run = timed(["-c", code], tmp_path, {})
    assert run.wall_s > 0.3
    if sys.platform == "win32":
        assert run.peak_bytes is None
    else:
        assert run.peak_bytes is not None
        assert run.peak_bytes > 150_000_000


def test_a_failed_child_says_why(tmp_path: Path) -> None:
    with pytest.raises(FailedRunError, match="no such tank"):
        timed(["-c", "raise SystemExit('no such tank')"], tmp_path, {})


def test_a_child_has_the_variables_it_is_given(tmp_path: Path) -> None:
    code = "import os; open('out', 'w').write(os.environ['JOURNAL_TOOLS_CACHE'])"
    timed(["-c", code], tmp_path, {"JOURNAL_TOOLS_CACHE": "here"})
    assert (tmp_path / "out").read_text() == "here"


def test_median_and_peak() -> None:
    runs = [Run(1.0, None), Run(9.0, 2**21), Run(2.0, 2**20)]
    assert median_s(runs) == 2.0
    assert peak_mib(runs) == 2.0
    assert peak_mib([Run(1.0, None)]) is None


def test_a_stage_counts_only_its_own_time(monkeypatch: pytest.MonkeyPatch) -> None:
    now = iter([0.0, 1.0, 3.0, 7.0, 15.0])
    monkeypatch.setattr("benchmarks.stages.time.perf_counter", lambda: next(now))
    clock = Clock("mkdocs")
    inner = clock.wrapped("charts", lambda: None)
    clock.wrapped("pages", inner)()
    found = {name: value for name, value in clock.seconds.items() if value}
    assert found == {"mkdocs": 1.0, "pages": 2.0 + 8.0, "charts": 4.0}


# --- The command


def test_quick_run_prints_ratios() -> None:
    command = [sys.executable, "-m", "benchmarks", "--quick"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    rows = {
        name: [float(n) for n in re.findall(r"\d+\.\d+", numbers)]
        for name, numbers in re.findall(r"^(journal, \w+ cache|floor) +(.*)$", done.stdout, re.M)
    }
    assert rows.keys() == {"journal, empty cache", "journal, full cache", "floor"}
    floor_s = rows["floor"][0]
    for name in ("journal, empty cache", "journal, full cache"):
        median, *_, ratio = rows[name]
        assert ratio == pytest.approx(median / floor_s, rel=0.03)
        assert ratio > 1
    assert rows["floor"][-1] == 1.0
    for stage in STAGES:
        assert re.search(rf"^{stage} +\d+\.\d\d$", done.stdout, re.M), stage


# --- Probes


@pytest.mark.parametrize("kind", ["csv", "parquet"])
def test_a_probe_is_measured_beside_bare_pandas(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], kind: str
) -> None:
    probes.main(["--rows", "3000", "--runs", "1"])
    lines = [line for line in capsys.readouterr().out.splitlines() if line.startswith(kind)]
    assert [line.split("  ")[0] for line in lines] == [kind] * 3
    ratios = [float(line.split()[-1]) for line in lines]
    assert ratios[0] == 1 and min(ratios) > 0
    assert f"bare pandas.read_{kind}" in lines[0]


def test_a_series_read_otherwise_than_written_is_no_measurement(tmp_path: Path) -> None:
    files = probes.journals(tmp_path, 300)
    files["csv"].write_text(files["csv"].read_text() + "noon,1,1\n")
    with pytest.raises(ValueError, match="noon"):
        probes.measure(files["csv"], 300, 1)


def test_the_journal_for_the_metrics_is_clean_and_timed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    today = journal_metrics.write_journal(tmp_path / "reef", 120)
    journal = load_journal(tmp_path / "reef", today)
    assert journal.problems == ()
    done, seconds = journal_metrics.timed_metrics(build_tables(journal))
    assert set(seconds) == set(done.definitions)
    assert {r.subject for r in done.of("consumption_now")} >= {"alkalinity", "calcium", "nitrate"}
    journal_metrics.main(["--days", "60"])
    assert "all metrics" in capsys.readouterr().out
