"""Tanks whose uptake is known, tested with the errors of a hobbyist. All of it is invented.

The truth is stepped through hour by hour, on purpose not with the formulas under test.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from journal_tools.science.estimation.measured import Readings, readings
from journal_tools.science.estimation.supply import Change, Dose, Feed, Supply, Unknown
from journal_tools.science.estimation.tracking import track_uptake
from journal_tools.science.estimation.uptake import uptake

FloatArray = NDArray[np.float64]
HOURS = 24
PRODUCT, SALT = "mix", "salt mix"
WEEKLY = tuple(day + 0.5 for day in range(5, 60, 7))


def steady(day: float) -> float:
    return 1.0


def ramp(day: float) -> float:
    return 0.7 + 0.6 * day / 30


def slow_ramp(day: float) -> float:
    return 0.7 + 0.6 * day / 60


def jump(day: float) -> float:
    return 0.8 if day < 15 else 1.2


def swing(day: float) -> float:
    return 1.0 + 0.2 * float(np.sin(2 * np.pi * day / 60))


@dataclass(frozen=True)
class Tank:
    """How a tank is run, tested and logged.

    Attributes:
        days: Length of the record.
        truth: Uptake a day at a day.
        wander: Random walk of the uptake on top (1 sd over one day).
        start: Concentration at the start; ``start_spread`` to both sides of it.
        dose: Logged rise a day.
        single_doses: Whether half of it goes in at once every third day.
        potency: True strength of the product by the logged one.
        volume: True net volume by the stated one.
        change_days: Days of water changes of a tenth, with new water of ``fresh``.
        sd: Error of a test (1 sd); the kit shows steps of ``step``.
        told_sd: Error as stated; NaN if not stated.
        tests: Least and most number of tests.
        least_gap_hours: If above 0, tests come at any hour, at least so far apart; else on
            different days in the evening.
        outliers: Number of tests that are 1.5 to 3 off (in units of ``sd`` = 0.2).
        kit_day: From here another kit reads ``kit_offset`` more, or less by the toss of a coin.
        missing: First and last day of a time without any tests.
        unlogged_day: Day of a dose of 1.0 of which only the fact is logged.
        lowest: Below it the kit gives only a limit; above ``highest``, too.
        potency_sd: Stated relative error of the potency (1 sd); ``volume_sd`` of the net volume.
        kit_sd: Stated error that all tests of a kit share (1 sd).
    """

    days: int = 30
    truth: Callable[[float], float] = steady
    wander: float = 0.0
    start: float = 8.0
    start_spread: float = 0.5
    dose: float = 0.9
    single_doses: bool = False
    potency: float = 1.0
    volume: float = 1.0
    change_days: tuple[float, ...] = (5.5, 12.5, 19.5, 26.5)
    fresh: float = 9.0
    sd: float = 0.2
    step: float = 0.1
    told_sd: float = 0.2
    tests: tuple[int, int] = (8, 12)
    least_gap_hours: int = 0
    outliers: int = 0
    kit_day: float = np.inf
    kit_offset: float = 0.0
    missing: tuple[int, int] = (0, 0)
    unlogged_day: float = np.inf
    lowest: float = -np.inf
    highest: float = np.inf
    potency_sd: float = 0.0
    volume_sd: float = 0.0
    kit_sd: float = 0.0

    def supply(self) -> Supply:
        """Give what the journal says of the supply."""
        share = 0.5 if self.single_doses else 0.0
        doses = tuple(Dose(day + 9 / HOURS, 3 * share * self.dose, PRODUCT)
                      for day in range(1, self.days, 3) if share)  # fmt: skip
        lost = self.unlogged_day
        return Supply(
            doses,
            (Feed(0.0, float(self.days), (1 - share) * self.dose, PRODUCT),),
            tuple(Change(day, 0.1, self.fresh, SALT) for day in self.change_days),
            (Unknown(lost, lost),) if np.isfinite(lost) else (),
            {PRODUCT: self.potency_sd},
            {},
            self.volume_sd,
        )


CONSTANT: Mapping[str, Tank] = MappingProxyType({
    "error 0.2, step 0.1": Tank(),
    "error 0.1, step 0.5": Tank(sd=0.1, told_sd=0.1, step=0.5),
    "error 0.02, step 1.0": Tank(sd=0.02, told_sd=0.02, step=1.0, start_spread=3.0),
    "error not stated": Tank(told_sd=np.nan),
    "several tests a day": Tank(least_gap_hours=4),
    "single doses": Tank(single_doses=True),
    "one outlier": Tank(outliers=1),
    "two outliers": Tank(outliers=2, tests=(12, 16)),
    "kit change": Tank(kit_day=15.0, kit_offset=0.5),
    "weeks missing": Tank(days=60, change_days=WEEKLY, missing=(10, 35), tests=(10, 16)),
    "unlogged dose": Tank(unlogged_day=14.5),
    "limits below": Tank(lowest=6.3),
    "limits above": Tank(highest=7.6),
    "calcium": Tank(truth=lambda day: 7.0, start=420.0, start_spread=10.0, dose=6.3, fresh=440.0,
                    sd=8.0, told_sd=8.0, step=5.0),
    "nitrate, produced": Tank(truth=lambda day: -0.8, start=15.0, start_spread=2.0, dose=0.0,
                              fresh=0.0, sd=1.5, told_sd=1.5, step=1.0),
})  # fmt: skip
"""Tanks of constant uptake whose journal is right."""

WRONG: Mapping[str, Tank] = MappingProxyType(
    {
        "potency 10 % more": Tank(potency=1.1, potency_sd=0.1),
        "potency 10 % less": Tank(potency=0.9, potency_sd=0.1),
        "volume 10 % more": Tank(volume=1.1, volume_sd=0.1),
        "volume 10 % less": Tank(volume=0.9, volume_sd=0.1),
        "kit reads 0.5 off": Tank(kit_day=-1.0, kit_offset=0.5, kit_sd=0.5),
    }
)
"""Tanks of constant uptake whose journal is wrong by the error that it states."""

VARYING: Mapping[str, Tank] = MappingProxyType({
    "steady": Tank(),
    "ramp 0.7 to 1.3": Tank(truth=ramp),
    "jump 0.8 to 1.2": Tank(truth=jump),
    "swing of 0.2": Tank(truth=swing),
    "wandering": Tank(wander=0.03),
    "wandering, 60 days": Tank(wander=0.03, days=60, change_days=WEEKLY, tests=(16, 24)),
    "ramp, 4 or 5 tests": Tank(truth=ramp, tests=(4, 5)),
    "ramp, 3 tests": Tank(truth=ramp, tests=(3, 3)),
    "ramp, step 0.5": Tank(truth=ramp, sd=0.1, told_sd=0.1, step=0.5),
    "ramp, no error stated": Tank(truth=ramp, told_sd=np.nan),
    "ramp, one outlier": Tank(truth=ramp, outliers=1),
    "ramp, kit change": Tank(truth=ramp, kit_day=15.0, kit_offset=0.5),
    "ramp, weeks missing": Tank(truth=slow_ramp, days=60, change_days=WEEKLY, missing=(10, 35),
                                tests=(10, 16)),
    "ramp, unlogged dose": Tank(truth=ramp, unlogged_day=14.5),
    "ramp, limits above": Tank(truth=ramp, highest=8.4),
    "ramp, potency 10 %": Tank(truth=ramp, potency=1.1, potency_sd=0.1),
})  # fmt: skip
"""Tanks whose uptake changes, or of which the keeper does not know that it does not."""


@dataclass(frozen=True)
class Run:
    """A tank as it was: the journal, and the true uptake hour by hour."""

    tank: Tank
    tests: Readings
    supply: Supply
    path: FloatArray

    def true_rate(self, day: float) -> float:
        return float(self.path[min(int(day * HOURS), len(self.path) - 1)])


def simulate(tank: Tank, seed: int) -> Run:
    """Run a tank and test it at irregular times."""
    rng = np.random.default_rng(seed)
    supply = tank.supply()
    middle = (np.arange(tank.days * HOURS) + 0.5) / HOURS
    path = np.array([tank.truth(day) for day in middle])
    path = path + np.cumsum(rng.normal(0, tank.wander / HOURS**0.5, len(path)))
    start = tank.start + rng.uniform(-1, 1) * tank.start_spread
    place = _test_hours(tank, rng)
    value = _levels(tank, path, start, supply)[place]
    return Run(tank, _tested(tank, place / HOURS, value, rng), supply, path)


def _levels(tank: Tank, path: FloatArray, start: float, supply: Supply) -> FloatArray:
    """Give the true concentration at each hour, just before what happens then."""
    dosed = {round(dose.day * HOURS): dose.rise for dose in supply.doses}
    changed = {round(change.day * HOURS): change for change in supply.changes}
    lost = round(tank.unlogged_day * HOURS) if np.isfinite(tank.unlogged_day) else -1
    strength = tank.potency / tank.volume
    fed = sum(feed.rise_per_day for feed in supply.feeds) * strength
    level, levels = start, [start]
    for hour, rate in enumerate(path):
        if hour in changed:
            share = changed[hour].share / tank.volume
            level += share * (changed[hour].fresh - level)
        level += dosed.get(hour, 0.0) * strength + (1.0 if hour == lost else 0.0)
        level += (fed - rate) / HOURS
        levels.append(level)
    return np.array(levels)


def _test_hours(tank: Tank, rng: np.random.Generator) -> NDArray[np.int64]:
    number = int(rng.integers(tank.tests[0], tank.tests[1] + 1))
    if tank.least_gap_hours:
        while True:
            hours = np.sort(rng.choice(tank.days * HOURS, number, replace=False))
            if np.diff(hours).min() >= tank.least_gap_hours:
                return np.asarray(hours)
    days = np.arange(tank.days)
    days = days[(days < tank.missing[0]) | (days >= tank.missing[1])]
    chosen = np.sort(rng.choice(days, number, replace=False))
    return np.asarray(chosen * HOURS + rng.integers(17, 23, number))


def _tested(tank: Tank, day: FloatArray, value: FloatArray, rng: np.random.Generator) -> Readings:
    second_kit = day >= tank.kit_day
    seen = value + rng.normal(0, tank.sd, len(value))
    seen = seen + rng.choice([-1, 1]) * tank.kit_offset * second_kit
    off = rng.choice(len(value), tank.outliers, replace=False)
    sign = rng.choice([-1, 1], tank.outliers)
    seen[off] += sign * rng.uniform(1.5, 3.0, tank.outliers) * tank.sd / 0.2
    censored = (seen > tank.highest).astype(int) - (seen < tank.lowest).astype(int)
    shown = np.round(seen / tank.step) * tank.step
    shown = np.clip(shown, tank.lowest, tank.highest)
    return readings(day, shown, tank.told_sd, tank.step, second_kit.astype(int), censored)


def differences(run: Run) -> FloatArray:
    """Give dose less rise a day from each test to the next, as if there were no changes."""
    slopes = np.diff(run.tests.value) / np.diff(run.tests.day)
    return np.asarray(run.tank.dose - slopes)


def straight_line(run: Run) -> tuple[float, float]:
    """Give dose less the slope of a line through all tests, with its error (1 sd)."""
    day = run.tests.day
    slope = np.polyfit(day, run.tests.value, 1)[0]
    variance = (run.tank.sd**2 + run.tank.step**2 / 12) / ((day - day.mean()) ** 2).sum()
    return float(run.tank.dose - slope), float(variance**0.5)


@dataclass(frozen=True)
class Found:
    """Errors of one case, estimate less truth; a row for each run.

    Attributes:
        error: Of the estimate.
        covered: Whether the shown 90 % interval held the truth.
        by_tests_alone: Whether 1.645 statistical errors held it.
        error_middle: Of the estimate at the middle reading; NaN for a constant rate.
        covered_middle: Likewise.
        two_tests: Error of the difference of the last two tests.
        line: Error of the straight line.
        not_estimable: Runs without an estimate.
    """

    error: FloatArray
    covered: FloatArray
    by_tests_alone: FloatArray
    error_middle: FloatArray
    covered_middle: FloatArray
    two_tests: FloatArray
    line: FloatArray
    not_estimable: int

    @property
    def bias_by_sd(self) -> float:
        return float(self.error.mean() / self.error.std())

    @property
    def coverage(self) -> float:
        return float(self.covered.mean())


def root_mean_square(error: FloatArray) -> float:
    return float(np.sqrt(np.mean(error**2)))


def constant_case(tank: Tank, runs: int, first_seed: int = 0) -> Found:
    """Estimate a constant rate in many runs of a tank."""
    return _found(tank, runs, first_seed, _constant)


def varying_case(tank: Tank, runs: int, first_seed: int = 0) -> Found:
    """Track the rate in many runs of a tank; the estimate is that for the last day."""
    return _found(tank, runs, first_seed, _varying)


def _found(tank: Tank, runs: int, first_seed: int,
           estimate: Callable[[Run], tuple[float, ...] | None]) -> Found:  # fmt: skip
    rows = []
    for seed in range(first_seed, first_seed + runs):
        run = simulate(tank, seed)
        found = estimate(run)
        if found is not None:
            now = float(run.path[-1])
            rows.append((*found, differences(run)[-1] - now, straight_line(run)[0] - now))
    columns = np.array(rows).T
    parts = [np.asarray(column) for column in columns]
    error, covered, alone, error_middle, covered_middle, two_tests, line = parts
    return Found(
        error, covered, alone, error_middle, covered_middle, two_tests, line, runs - len(rows)
    )


def _constant(run: Run) -> tuple[float, ...] | None:
    found = uptake(run.tests, run.supply, run.tank.kit_sd)
    if found.reason is not None:
        return None
    true = float(run.path[-1])
    error = found.rate - true
    return (error, found.low <= true <= found.high, abs(error) <= 1.645 * found.sd,
            np.nan, np.nan)  # fmt: skip


def _varying(run: Run) -> tuple[float, ...] | None:
    found = track_uptake(run.tests, run.supply, float(run.tank.days))
    if found.reason is not None:
        return None
    true, middle = float(run.path[-1]), len(found.day) // 2
    there = run.true_rate(found.day[middle])
    error = found.rate[-1] - true
    return (
        error, found.low[-1] <= true <= found.high[-1], abs(error) <= 1.645 * found.sd[-1],
        found.rate[middle] - there, found.low[middle] <= there <= found.high[middle],
    )  # fmt: skip


def ten_years(seed: int = 1, tests: int = 3650) -> list[tuple[Readings, Supply]]:
    """Give ten years of daily tests of seven parameters, dosed, topped off and changed."""
    rng = np.random.default_rng(seed)
    days = np.arange(3650.0)
    changes = tuple(Change(7 * week + 0.5, 0.1, 1.0, SALT) for week in range(521))
    doses = tuple(Dose(day + 0.4, 0.05, PRODUCT) for day in days)
    feeds = tuple(Feed(day, day + 1, 0.05, "limewater") for day in days)
    supply = Supply(doses, feeds, changes, (), {PRODUCT: 0.1, "limewater": 0.07}, {SALT: 0.03},
                    0.05)  # fmt: skip
    at = np.sort(rng.choice(days, tests, replace=False)) + 0.8
    tested = (readings(at, 1 + rng.normal(0, 0.025, tests), 0.025, 0.01) for _ in range(7))
    return [(series, supply) for series in tested]
