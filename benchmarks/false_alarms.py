"""Count false alarms in invented years, real changes found: ``python -m benchmarks.false_alarms``.

Every year is told test by test, as a keeper would see it: only what was known by then counts.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from journal_tools.science.series.anomalies import find_anomalies
from journal_tools.science.series.changes import find_change_points
from journal_tools.science.series.forecast import Forecast, forecast
from journal_tools.science.series.stability import noise_floor
from tests.science.synthetic_series import (
    QUANTITIES,
    FloatArray,
    Quantity,
    drift,
    readings,
    shift,
    weekly_days,
)

WORDS = """\
Stable years: tests about once a week of eight quantities, each with the error and steps of its
kit and a slow wandering within its band. An alarm counts when it is first raised. Sigma is the
standard deviation of such readings: error, rounding and wandering together. A drift starts in
the middle of the band and leaves it after the weeks given; "warned" is before it leaves, "held"
is that the first range of days then held the true day. Half band: how many sigmas away the end is.
"""
FIRST_TEST = 7
QUARTERS = 4.0
KINDS = ("anomaly", "change", "trend")


@dataclass(frozen=True)
class Alarm:
    """One alarm, as first raised.

    Attributes:
        kind: Anomaly, change or trend.
        test: Number of the test after which it was raised.
        about: Number of the test that it is about.
    """

    kind: str
    test: int
    about: int


def floor_of(quantity: Quantity) -> float:
    return noise_floor(quantity.step, quantity.kit_sd)


def outlook(days: FloatArray, values: FloatArray, quantity: Quantity) -> Forecast:
    return forecast(days, values, quantity.low, quantity.high, floor_of(quantity))


def alarms(
    days: FloatArray, values: FloatArray, quantity: Quantity, first: int = FIRST_TEST
) -> Iterator[Alarm]:
    """Give each alarm once, when it is first raised, while the tests come in one by one."""
    floor, odd, changed, leaving = floor_of(quantity), set[int](), set[int](), False
    for count in range(first, days.size + 1):
        known, shown = days[:count], values[:count]
        for anomaly in find_anomalies(known, shown, floor):
            if anomaly.index not in odd:
                odd.add(anomaly.index)
                yield Alarm("anomaly", count - 1, anomaly.index)
        for change in find_change_points(known, shown, floor):
            # More tests may move a change by a few readings: that is no second alarm.
            if not change.is_drift and not any(abs(change.index - one) <= 3 for one in changed):
                yield Alarm("change", count - 1, change.index)
            if not change.is_drift:
                changed.add(change.index)
        was, leaving = leaving, outlook(known, shown, quantity).leaves is not None
        if leaving and not was:
            yield Alarm("trend", count - 1, count - 1)


def false_alarms(seed: int) -> dict[str, int]:
    """Give how many alarms of each kind a stable year of all quantities raises."""
    rng = np.random.default_rng(seed)
    raised = dict.fromkeys(KINDS, 0)
    for quantity in QUANTITIES:
        days = weekly_days(rng)
        for alarm in alarms(days, readings(rng, days, quantity), quantity):
            raised[alarm.kind] += 1
    return raised


def _random(seed: int, quantity: Quantity) -> np.random.Generator:
    """Give other numbers for each quantity, or all would have the same luck."""
    return np.random.default_rng([seed, *quantity.name.encode()])


def shift_found_after(seed: int, quantity: Quantity, sigmas: float = 3.0) -> int | None:
    """Give how many tests after a shift it was found as a change of level; None if not in 8."""
    rng = _random(seed, quantity)
    days = weekly_days(rng)
    day = float(rng.uniform(120.0, 300.0))
    size = sigmas * quantity.sigma * float(rng.choice([-1.0, 1.0]))
    values = readings(rng, days, quantity, shift(day, size))
    first = int(np.searchsorted(days, day))
    for count in range(first + 1, min(first + 9, days.size + 1)):
        found = find_change_points(days[:count], values[:count], floor_of(quantity))
        if any(abs(change.index - first) <= 2 for change in found):
            return count - first
    return None


@dataclass(frozen=True)
class Announcement:
    """What was said of a drift before it left the band.

    Attributes:
        warned: Whether it was announced before it left.
        days_ahead: Days between the announcement and the true day.
        held: Whether the first range of days held the true day.
    """

    warned: bool
    days_ahead: float = 0.0
    held: bool = False


def announced(
    seed: int, quantity: Quantity, weeks: float = 3.0, days_between: float = 7.0
) -> Announcement:
    """Tell whether a drift from the middle of the band to its end is announced before it ends."""
    rng = _random(seed, quantity)
    days = weekly_days(rng) * days_between / 7.0
    start = float(rng.uniform(0.4, 0.6)) * float(days[-1])
    leaves = start + 7.0 * weeks
    sign = float(rng.choice([-1.0, 1.0]))
    rate = sign * (quantity.high - quantity.low) / 2 / (7.0 * weeks)
    values = readings(rng, days, quantity, drift(start, rate))
    first, last = np.searchsorted(days, [start, leaves]).tolist()
    for count in range(first + 1, last + 1):
        seen = outlook(days[:count], values[:count], quantity).leaves
        if seen is not None:
            ahead = leaves - float(days[count - 1])
            return Announcement(True, ahead, seen.low <= leaves <= seen.high)
    return Announcement(False)


def print_false_alarms(seeds: int) -> None:
    start = time.perf_counter()
    years = [false_alarms(seed) for seed in range(seeds)]
    print(f"False alarms a quarter, all {len(QUANTITIES)} quantities, {seeds} years:")
    for kind in KINDS:
        print(f"  {kind:8} {np.mean([year[kind] for year in years]) / QUARTERS:.3f}")
    totals = np.array([sum(year.values()) for year in years]) / QUARTERS
    error = totals.std(ddof=1) / math.sqrt(seeds)
    print(f"  all      {totals.mean():.3f} (standard error {error:.3f})")
    print(f"  {time.perf_counter() - start:.0f} s")


def print_shifts(seeds: int) -> None:
    print("Shifts found as a change of level within 4 tests, within 8 tests:")
    for sigmas in (2.0, 3.0, 4.0):
        counts = [
            shift_found_after(seed, one, sigmas) for one in QUANTITIES for seed in range(seeds)
        ]
        shares = [
            np.mean([count is not None and count <= most for count in counts]) for most in (4, 8)
        ]
        print(f"  {sigmas:.0f} sigma  {shares[0]:4.0%}  {shares[1]:4.0%}")


def print_drifts(seeds: int) -> None:
    print("Drifts out of the band: warned (held); tests every 7 days, every 3.5 days:")
    for quantity in QUANTITIES:
        away = (quantity.high - quantity.low) / 2 / quantity.sigma
        cells = []
        for weeks, between in ((3.0, 7.0), (3.0, 3.5), (8.0, 7.0), (8.0, 3.5)):
            said = [announced(seed, quantity, weeks, between) for seed in range(seeds)]
            warned = [one for one in said if one.warned]
            held = np.mean([one.held for one in warned]) if warned else math.nan
            cells.append(f"{weeks:.0f} weeks {len(warned) / seeds:4.0%} ({held:4.0%})")
        print(f"  {quantity.name:12} half band {away:3.1f} sigma: " + "  ".join(cells))


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("--seeds", type=int, default=200, help="years of each kind")
    seeds: int = parser.parse_args().seeds
    print(WORDS)
    print_false_alarms(seeds)
    print_shifts(seeds)
    print_drifts(seeds)


if __name__ == "__main__":
    main()
