"""Build two journals and their floors in turns and print a table: ``python -m benchmarks``."""

from __future__ import annotations

import argparse
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

# Only what is small: on Linux a child's peak memory is never below that of the process that
# started it, so whatever needs the package itself runs in a child, too.
from benchmarks.console import head, whole_number
from benchmarks.stages import STAGES
from benchmarks.timing import Run, median_s, peak_mib, timed

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = (
    *("mkdocs", "mkdocs-material", "Markdown", "Jinja2", "pandas", "altair"),
    *("vl-convert-python", "pydantic", "PyYAML", "pillow"),
)
WORDS = """\
What is measured: whole processes from start to end, by the clock. "Empty cache" is the first
build on a computer: every photo is sized and every chart drawn. "Full cache" is a build after
it with nothing changed. The floor is plain MkDocs with Material, the same settings, as many pages
in the same navigation and the same visible text as Markdown headings and paragraphs, without
pictures, charts and data files. Builds take turns: empty cache, floor, full cache, floor.
Bytecode is compiled and the files are in memory before. "x floor" is median by median; memory
is the largest that one process held in any run. A small journal's floor is mostly start-up.
"""


@dataclass(frozen=True)
class Case:
    """One journal to measure and what was found.

    Attributes:
        name: What it is called in the table.
        folder: Folder with its ``mkdocs.yml``.
        work: Folder for its cache, sites and floor.
        runs: Finished builds by kind: cold, warm and floor.
        stages: Seconds by stage of a cold and a warm build.
    """

    name: str
    folder: Path
    work: Path
    runs: dict[str, list[Run]] = field(default_factory=dict)
    stages: dict[str, dict[str, float]] = field(default_factory=dict)

    @property
    def settings(self) -> str:
        """The journal's ``mkdocs.yml``."""
        return str(self.folder / "mkdocs.yml")

    @property
    def environment(self) -> dict[str, str]:
        """Variables of every build: a cache of its own, the package from this folder."""
        paths = [str(ROOT), os.environ.get("PYTHONPATH", "")]
        return {
            "JOURNAL_TOOLS_CACHE": str(self.work / "cache"),
            "NO_MKDOCS_2_WARNING": "1",
            "PYTHONPATH": os.pathsep.join(path for path in paths if path),
        }

    def child(self, *arguments: str) -> Run:
        """Run Python to its end."""
        return timed(arguments, ROOT, self.environment)

    def emptied(self, name: str) -> Path:
        """Give the place of a folder that is not there."""
        shutil.rmtree(self.work / name, ignore_errors=True)
        return self.work / name


def measure(case: Case, runs: int) -> None:
    """Build a journal and its floor in turns.

    Args:
        case: The journal; results are added to it.
        runs: Builds of each kind, 1 or more.
    """
    floor = case.emptied("floor")
    case.child("-m", "benchmarks.floor", case.settings, str(floor))
    for _ in range(runs):
        case.emptied("cache")
        for kind in ("cold", "warm"):
            built = ["journal_tools", "build", str(case.folder), "--site"]
            plain = ["mkdocs", "build", "--quiet", "-f", str(floor / "mkdocs.yml"), "-d"]
            for name, command in ((kind, built), ("floor", plain)):
                site = str(case.emptied(f"site-{name}"))
                case.runs.setdefault(name, []).append(case.child("-m", *command, site))
    ours, plain_pages = (page_count(case.work / f"site-{name}") for name in ("warm", "floor"))
    if ours != plain_pages:
        raise ValueError(f"{case.name}: {ours} pages against {plain_pages} of the floor")


def measure_stages(case: Case, kinds: tuple[str, ...]) -> None:
    """Build a journal with a clock for each stage.

    Args:
        case: The journal, measured before, so that its cache is full.
        kinds: ``warm``, or ``cold`` and then ``warm``.
    """
    for kind in kinds:
        if kind == "cold":
            case.emptied("cache")
        found = case.work / "stages.json"
        site = str(case.emptied(f"site-{kind}"))
        case.child("-m", "benchmarks.stages", case.settings, site, str(found))
        case.stages[kind] = json.loads(found.read_text(encoding="utf-8"))


def page_count(site: Path) -> int:
    """Give the number of HTML pages that MkDocs made, that for missing pages included.

    The small page of each entry (``e/``) is a file to MkDocs, so it is no part of the floor.
    """
    return sum(1 for page in site.rglob("*.html") if page.relative_to(site).parts[0] != "e")


def report(cases: list[Case]) -> Iterator[str]:
    """Give the lines of the tables."""
    yield f"{'build':<22}{'median':>10}{'from':>9}{'to':>9}{'x floor':>10}{'peak memory':>14}"
    for case in cases:
        content = case.folder / "content"
        entries = sum(1 for _ in (content / "log").rglob("*.yml"))
        photos = sum(1 for _ in (content / "photos").rglob("*.jpg"))
        pages = page_count(case.work / "site-warm")
        yield f"\n{case.name}: {entries} entries, {photos} photos, {pages} pages"
        yield from _rows(case)
    yield "\nSeconds by stage, one build of each in one process; a stage counts only its own time"
    columns = [(case, kind) for case in cases for kind in case.stages]
    yield f"{'':<16}" + "".join(f"{case.name.split()[0]:>11}" for case, _ in columns)
    words = {"cold": "empty", "warm": "full"}
    yield f"{'':<16}" + "".join(f"{words[kind]:>11}" for _, kind in columns)
    for stage in STAGES:
        cells = (f"{case.stages[kind][stage]:>11.2f}" for case, kind in columns)
        yield f"{stage:<16}" + "".join(cells)
    totals = (f"{sum(case.stages[kind].values()):>11.2f}" for case, kind in columns)
    yield f"{'sum':<16}" + "".join(totals)


def _rows(case: Case) -> Iterator[str]:
    floor_s = median_s(case.runs["floor"])
    names = {"cold": "journal, empty cache", "warm": "journal, full cache", "floor": "floor"}
    for kind, name in names.items():
        runs = case.runs[kind]
        middle_s, times_s = median_s(runs), [run.wall_s for run in runs]
        memory = peak_mib(runs)
        held = "unknown" if memory is None else f"{memory:.0f} MiB"
        yield (
            f"{name:<22}{middle_s:>8.2f} s{min(times_s):>7.2f} s{max(times_s):>7.2f} s"
            f"{middle_s / floor_s:>10.1f}{held:>14}"
        )


def _options(arguments: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks",
        description="Build two journals and their floors in turns and print a table.",
    )
    parser.add_argument(
        "--entries", type=whole_number, default=1000, help="of the generated journal"
    )
    parser.add_argument("--runs", type=whole_number, default=3, help="of each build")
    parser.add_argument(
        "--quick",
        action="store_true",
        help="only a generated journal of 100 entries, once, stages only with a full cache",
    )
    return parser.parse_args(arguments)


def main(arguments: list[str] | None = None) -> None:
    """Measure and print.

    Args:
        arguments: Of the command line, by default those of this process.
    """
    options = _options(arguments)
    entries, runs = (100, 1) if options.quick else (options.entries, options.runs)
    with tempfile.TemporaryDirectory(prefix="journal-benchmark-") as folder:
        work = Path(folder)
        generated = Case("generated journal", work / "journal", work / "generated")
        demo = Case("demo journal", ROOT, work / "demo")
        cases = [generated] if options.quick else [demo, generated]
        generated.child("-m", "benchmarks.generate", str(generated.folder), str(entries))
        print(f"{head(PACKAGES)}\n{WORDS}\nRuns of each journal build: {runs}\n", flush=True)
        for case in cases:
            case.work.mkdir()
            print(f"measuring the {case.name} ...", file=sys.stderr, flush=True)
            measure(case, runs)
            measure_stages(case, ("warm",) if options.quick else ("cold", "warm"))
        print("\n".join(report(cases)))


if __name__ == "__main__":
    main()
