"""Time the carbonate system beside PyCO2SYS: ``python -m benchmarks.carbonate``."""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import PyCO2SYS

from benchmarks.console import head, whole_number
from journal_tools.science.carbonates.carbonate import carbonate_system
from journal_tools.science.validity import FloatArray

RANGES = {
    "alkalinity_umol_kg": (2000.0, 4500.0),
    "ph": (7.6, 8.6),
    "salinity": (30.0, 38.0),
    "temperature_c": (20.0, 30.0),
}
WORDS = """\
What is measured: from alkalinity, pH on the NBS scale, salinity and temperature, another in every
row, to carbon dioxide, saturation and inorganic carbon, in one process, by the clock. The rows are
random with a fixed seed. Both work on the same rows in turns; each has one small call before, so
that imports and first use do not count. PyCO2SYS gives a hundred quantities more, even with its
buffer factors turned off as here: the ratio is of two answers to one question, not of quality.
"""
OURS = "this package"
THEIRS = "PyCO2SYS"


@dataclass(frozen=True, slots=True)
class Answer:
    """What both are asked for.

    Attributes:
        pco2_uatm: Partial pressure of carbon dioxide in µatm.
        aragonite_saturation: Saturation state of aragonite.
        dic_umol_kg: Inorganic carbon in µmol/kg.
    """

    pco2_uatm: FloatArray
    aragonite_saturation: FloatArray
    dic_umol_kg: FloatArray


Columns = dict[str, FloatArray]


def rows_of(count: int, seed: int = 1) -> Columns:
    """Give random tanks.

    Args:
        count: Rows, 1 or more.
        seed: Of the random numbers; the same gives the same rows.
    """
    rng = np.random.default_rng(seed)
    return {name: rng.uniform(low, high, count) for name, (low, high) in RANGES.items()}


def ours(columns: Columns) -> Answer:
    """Ask this package."""
    found = carbonate_system(**columns, ph_scale="nbs")
    return Answer(found.pco2_uatm, found.aragonite_saturation, found.dic_umol_kg)


def theirs(columns: Columns) -> Answer:
    """Ask PyCO2SYS, with the same constants and boron."""
    found: dict[str, Any] = PyCO2SYS.sys(
        columns["alkalinity_umol_kg"],
        columns["ph"],
        1,
        3,
        salinity=columns["salinity"],
        temperature=columns["temperature_c"],
        opt_pH_scale=4,
        opt_total_borate=2,
        opt_buffers_mode=0,
    )
    return Answer(found["pCO2"], found["saturation_aragonite"], found["dic"])


def measure(columns: Columns, runs: int) -> dict[str, list[float]]:
    """Give the seconds of each run by name, both in turns.

    Args:
        columns: The rows.
        runs: Runs of each, 1 or more.

    Raises:
        ValueError: The two do not agree to 0.1 %, so that the times would mean nothing.
    """
    askers: dict[str, Callable[[Columns], Answer]] = {OURS: ours, THEIRS: theirs}
    few = {name: column[:10] for name, column in columns.items()}
    times: dict[str, list[float]] = {name: [] for name in askers}
    for ask in askers.values():
        ask(few)
    for _ in range(runs):
        answers = []
        for name, ask in askers.items():
            begin_s = time.perf_counter()
            answers.append(ask(columns))
            times[name].append(time.perf_counter() - begin_s)
        worst = disagreement(*answers)
        if not worst < 1e-3:
            raise ValueError(f"the two differ by {100 * worst:.2g} %")
    return times


def disagreement(one: Answer, other: Answer) -> float:
    """Give the largest relative difference of any number; NaN where one is blank."""
    pairs = (
        (one.pco2_uatm, other.pco2_uatm),
        (one.aragonite_saturation, other.aragonite_saturation),
        (one.dic_umol_kg, other.dic_umol_kg),
    )
    return float(max(np.max(np.abs(a / b - 1)) for a, b in pairs))


def report(times: dict[str, list[float]], rows: int) -> Iterator[str]:
    """Give the lines of the table."""
    fastest_s = statistics.median(times[OURS])
    yield f"{'':<14}{'median':>12}{'from':>12}{'to':>12}{'a row':>12}{'ratio':>8}"
    for name, seconds in times.items():
        middle_s = statistics.median(seconds)
        shown = "".join(f"{one:>10.4f} s" for one in (middle_s, min(seconds), max(seconds)))
        yield f"{name:<14}{shown}{1e6 * middle_s / rows:>9.3f} µs{middle_s / fastest_s:>8.1f}"


def _options(arguments: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.carbonate",
        description="Time the carbonate system beside PyCO2SYS on the same rows.",
    )
    parser.add_argument("--rows", type=whole_number, default=100_000, help="of random tanks")
    parser.add_argument("--runs", type=whole_number, default=3, help="of each")
    return parser.parse_args(arguments)


def main(arguments: list[str] | None = None) -> None:
    """Measure and print.

    Args:
        arguments: Of the command line, by default those of this process.
    """
    options = _options(arguments)
    print(f"{head(('numpy', 'PyCO2SYS'))}\n{WORDS}", flush=True)
    print(f"{options.rows} rows, {options.runs} runs of each\n", flush=True)
    times = measure(rows_of(options.rows), options.runs)
    print("\n".join(report(times, options.rows)))


if __name__ == "__main__":
    main()
