"""How well the uptake is found in tanks of known truth: ``python -m benchmarks.uptake``.

Beside it the two methods of a hobbyist: difference of the last two tests, and a straight line
through all tests, both without water changes.
"""

from __future__ import annotations

import argparse
import platform
import time
from collections.abc import Callable, Iterator, Mapping

import numpy as np

from journal_tools.science.estimation.tracking import track_uptake
from journal_tools.science.estimation.uptake import uptake
from tests.science.synthetic_tanks import (
    CONSTANT,
    VARYING,
    WRONG,
    Found,
    Tank,
    constant_case,
    root_mean_square,
    ten_years,
    varying_case,
)

WORDS = """\
Each tank is invented, its uptake known: 1 dKH a day unless stated, 0.9 dosed, a tenth of the water
changed weekly, 8 to 12 tests at irregular times in 30 days. Bias and sd are those of estimate less
truth over all runs; coverage is that of the 90 % interval shown. "Two tests" and "line" are the
root mean square errors of the difference of the last two tests and of a straight line through all,
which do not know of water changes; "x" is that error by the one of the estimate.
"""
HEAD = (
    f"{'':<24}{'bias/sd':>8}{'bias':>9}{'sd':>8}{'cover':>7}{'middle':>8}"
    f"{'two tests':>11}{'x':>6}{'line':>9}{'x':>6}{'none':>6}"
)


def row(name: str, found: Found) -> str:
    """Give a line of the table."""
    ours = root_mean_square(found.error)
    two, line = root_mean_square(found.two_tests), root_mean_square(found.line)
    middle = f"{found.covered_middle.mean():.2f}" if np.isfinite(found.error_middle[0]) else ""
    return (
        f"{name:<24}{found.bias_by_sd:>+8.2f}{found.error.mean():>+9.4f}{found.error.std():>8.4f}"
        f"{found.coverage:>7.2f}{middle:>8}{two:>11.3f}{two / ours:>6.1f}{line:>9.4f}"
        f"{line / ours:>6.1f}{found.not_estimable:>6}"
    )


def table(
    cases: Mapping[str, Tank], case: Callable[[Tank, int], Found], runs: int
) -> Iterator[str]:
    """Give the lines of a table, each as soon as it is there."""
    yield HEAD
    for name, tank in cases.items():
        yield row(name, case(tank, runs))


def timing() -> Iterator[str]:
    """Give how long ten years of daily tests take."""
    records = ten_years()
    yield (
        f"{len(records)} parameters, {len(records[0][0])} tests each, with as many doses and "
        "top-offs; by the clock, and of the processor alone"
    )

    def track() -> None:
        for tests, supply in records:
            track_uptake(tests, supply)

    def last_month() -> None:
        for tests, supply in records:
            uptake(tests.where(tests.day > tests.day[-1] - 30), supply)

    for name, work in (("tracked, ten years", track), ("constant, last 30 days", last_month)):
        clock_s, processor_s = time.perf_counter(), time.process_time()
        work()
        clock_s = time.perf_counter() - clock_s
        yield f"{name:<24}{clock_s:.2f} s, {time.process_time() - processor_s:.2f} s"


def main(arguments: list[str] | None = None) -> None:
    """Measure and print.

    Args:
        arguments: Of the command line, by default those of this process.
    """
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.uptake",
        description="Estimate the uptake of tanks of known truth and print tables.",
    )
    parser.add_argument("--runs", type=int, default=500, help="of each case")
    runs = parser.parse_args(arguments).runs
    print(f"Python {platform.python_version()}, numpy {np.__version__}, {runs} runs a case\n")
    print(WORDS)
    parts = (
        ("Constant rate, least squares", table(CONSTANT, constant_case, runs)),
        (
            "The journal wrong by its stated error (1 sd): the interval shown must still cover",
            table(WRONG, constant_case, runs),
        ),
        (
            "Changing rate, Kalman smoother, at the last day ('middle': coverage halfway)",
            table(VARYING, varying_case, runs),
        ),
        ("Ten years", timing()),
    )
    for title, lines in parts:
        print(title)
        for line in lines:
            print(line, flush=True)
        print()


if __name__ == "__main__":
    main()
