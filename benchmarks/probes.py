"""Read and boil down a long probe series beside bare pandas: ``python -m benchmarks.probes``."""

from __future__ import annotations

import argparse
import datetime as dt
import importlib.util
import platform
import statistics
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pandas as pd

from journal_tools.cache import Cache
from journal_tools.probes import load_probes
from journal_tools.profile import Profile

ROWS = 1_050_000
START = dt.date(2023, 1, 1)
WORDS = """\
What is measured: one process, files in memory, medians of turns taken one after the other, by the
clock and as processor time of all threads. Speed and ratio are by processor time, which other
programs on the computer hardly change.
The series has a row a minute with temperature and pH, invented. "Empty cache" reads the file,
tests every value (range, spike, rate, flat line), and reduces both columns to days, hours and
the last week; the local clock has summer time. "Full cache" hashes the file and takes what was
kept. The baseline is bare pandas reading the same file, without parsing the times of the CSV.
"""
DESCRIPTION = """\
file: {file}
time: time
columns:
  temperature:
    column: T1
    unit: C
    limits: {{fail: [0, 45], suspect: [20, 30], spike: 0.5, rate_per_h: 20, flat: 0}}
  ph: {{column: pH, limits: {{fail: [6, 10], spike: 0.3}}}}
"""


def series(rows: int) -> pd.DataFrame:
    """Give an invented series by the keeper's clock in Berlin, summer time included."""
    utc = pd.date_range(START, periods=rows, freq="min", tz="UTC")
    draw, day = np.random.default_rng(1), np.arange(rows) / 1440 * 2 * np.pi
    return pd.DataFrame(
        {
            "time": utc.tz_convert("Europe/Berlin").tz_localize(None).as_unit("s"),
            "T1": np.round(25.3 + 0.3 * np.sin(day) + draw.normal(0, 0.03, rows), 2),
            "pH": np.round(8.1 + 0.15 * np.sin(day) + draw.normal(0, 0.01, rows), 3),
        }
    )


def journals(folder: Path, rows: int) -> dict[str, Path]:
    """Write a journal with the series in each kind of file that can be read, and give the files."""
    frame = series(rows)
    kinds = ["csv", "parquet"] if importlib.util.find_spec("pyarrow") else ["csv"]
    files = {}
    for kind in kinds:
        place = folder / kind / "probes"
        place.mkdir(parents=True)
        files[kind] = place / f"tank.{kind}"
        (place / "tank.yml").write_text(DESCRIPTION.format(file=f"tank.{kind}"), encoding="utf-8")
    frame.to_csv(files["csv"], index=False)
    if "parquet" in files:
        frame.to_parquet(files["parquet"])
    return files


@dataclass(frozen=True, slots=True)
class Turn:
    """How long some work took: by the clock, and as processor time of all threads, in seconds."""

    wall_s: float
    processor_s: float


def timed(work: Callable[[], object]) -> Turn:
    """Do some work and give how long it took."""
    wall_s, processor_s = time.perf_counter(), time.process_time()
    work()
    return Turn(time.perf_counter() - wall_s, time.process_time() - processor_s)


def measure(file: Path, rows: int, runs: int) -> dict[str, list[Turn]]:
    """Give how long each way to read a file took, by turn."""
    profile = Profile.model_validate(
        {"name": "x", "start": str(START), "time_zone": "Europe/Berlin"},
    )
    journal, today = file.parents[1], START + dt.timedelta(days=rows // 1440 + 2)
    reader = pd.read_csv if file.suffix == ".csv" else pd.read_parquet

    def ours(cache: Cache | None) -> None:
        found = load_probes(journal, profile, today, cache)
        if found.problems or sum(s.data.count.sum() for s in found.series) != 2 * rows:
            raise ValueError(f"the series was not read as it was written: {found.problems}")

    cache = Cache(journal / "cache")
    ours(cache)
    ways: dict[str, Callable[[], object]] = {
        "baseline": lambda: reader(file),
        "empty cache": lambda: ours(None),
        "full cache": lambda: ours(cache),
    }
    taken: dict[str, list[Turn]] = {name: [] for name in ways}
    for _ in range(runs):
        for name, work in ways.items():
            taken[name].append(timed(work))
    return taken


def main(arguments: list[str] | None = None) -> None:
    """Measure and print.

    Args:
        arguments: Of the command line, by default those of this process.
    """
    parser = argparse.ArgumentParser(prog="python -m benchmarks.probes", description=__doc__)
    parser.add_argument("--rows", type=int, default=ROWS)
    parser.add_argument("--runs", type=int, default=7)
    options = parser.parse_args(arguments)
    print(f"Python {platform.python_version()}, pandas {version('pandas')}\n\n{WORDS}")
    print(
        f"{'file':<9}{'way':<28}{'clock':>9}{'processor':>11}{'million rows/s':>16}"
        f"{'x baseline':>12}"
    )
    with tempfile.TemporaryDirectory(prefix="probe-benchmark-") as folder:
        for kind, file in journals(Path(folder), options.rows).items():
            found = measure(file, options.rows, options.runs)
            floor_s = statistics.median(turn.processor_s for turn in found["baseline"])
            for name, turns in found.items():
                way = f"bare pandas.read_{kind}" if name == "baseline" else name
                wall_s = statistics.median(turn.wall_s for turn in turns)
                taken_s = statistics.median(turn.processor_s for turn in turns)
                print(
                    f"{kind:<9}{way:<28}{wall_s:>7.3f} s{taken_s:>9.3f} s"
                    f"{options.rows / taken_s / 1e6:>16.1f}{taken_s / floor_s:>12.2f}"
                )


if __name__ == "__main__":
    main()
