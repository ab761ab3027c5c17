"""Time every metric over ten invented years: ``python -m benchmarks.journal_metrics``.

The journal has an entry a day with nine readings, and daily dosing plans of four products that
change every quarter. Readings follow a simulated balance, so that every estimate has work to do.
Seconds are those of the processor, whatever else the computer does.
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
import tempfile
import time
from pathlib import Path

from journal_tools.attention import notices
from journal_tools.journal import Journal, load_journal
from journal_tools.metrics import METRICS, Metrics, collector_paused
from journal_tools.outlook import outlook
from journal_tools.tables import Tables, build_tables

FIRST_DAY = dt.date(2016, 1, 2)
PLAN_DAYS, CHANGE_DAYS, TOP_OFF_DAYS, POTION_DAYS = 91, 10, 3, 180
SHOWN = 12

PROFILE = """\
name: A generated tank
start: 2016-01-01
time_zone: Europe/Berlin
vessels: {name: display, shape: stated, volume: 300 ± 6 L}
supplements:
  - {name: alk mix, salts: {NaHCO3: 80 g}, made_up_to: 1 L, bottle: 5 L}
  - {name: calcium mix, salts: {CaCl2·2H2O: 140 g}, made_up_to: 1 L}
  - {name: magnesium mix, salts: {MgCl2·6H2O: 200 g}, made_up_to: 1 L}
  - {name: nitrate mix, potency: {by: 1 ml, water: 100 L, raises: {nitrate: 0.1}}}
  - {name: limewater, potency: {by: 1 L, water: 100 L, raises: {alkalinity: 0.9, calcium: 6.5}}}
salt_mix: {name: bucket, fresh: {alkalinity: 8, calcium: 420, magnesium: 1300, nitrate: 0}}
tests:
  alkalinity: {kit: titration, resolution: 0.1, repeatability: 0.15}
  calcium: {resolution: 5, repeatability: 5}
  magnesium: {resolution: 10, repeatability: 15}
targets: {alkalinity: 7 to 9, calcium: 400 to 450, magnesium: 1250 to 1400, nitrate: 2 to 15}
upkeep: [{task: glass, every: 7 days}]
"""

# Level kept, uptake a day, rise by one unit of the product in the tank, product, decimals.
_KEPT = {
    "alkalinity": (8.0, 0.8, 2.67 / 300, "alk mix", 1),
    "calcium": (425.0, 5.4, 38.2 / 300, "calcium mix", 0),
    "magnesium": (1320.0, 1.2, 23.9 / 300, "magnesium mix", 0),
    "nitrate": (6.0, 0.3, 10 / 300, "nitrate mix", 1),
}
_SCATTERED = {
    "temperature": (25.4, 0.2, 1), "salinity": (35.0, 0.2, 1), "ph": (8.1, 0.04, 2),
    "phosphate": (0.05, 0.01, 2), "ammonia": (0.03, 0.01, 2),
}  # fmt: skip
_ERROR = {"alkalinity": 0.15, "calcium": 5.0, "magnesium": 15.0, "nitrate": 0.5}


def write_journal(folder: Path, days: int, seed: int = 1) -> dt.date:
    """Write the journal and give its last day.

    Args:
        folder: An empty folder.
        days: Days with an entry each, 1 or more.
        seed: Another seed gives other numbers.
    """
    chance = random.Random(seed)
    (folder / "log").mkdir(parents=True)
    (folder / "tank.yml").write_text(PROFILE, encoding="utf-8")
    levels = {name: kept[0] for name, kept in _KEPT.items()}
    per_day = dict.fromkeys(_KEPT, 0.0)
    for number in range(days):
        day = FIRST_DAY + dt.timedelta(days=number)
        lines = []
        if number % PLAN_DAYS == 0:
            plans = [_plan(chance, name, levels, per_day) for name in _KEPT]
            lines.append(f"dosing_plan: [{', '.join(plans)}]")
        lines += _events(number)
        lines.append(f"readings: {{{', '.join(_readings(chance, levels, per_day))}}}")
        (folder / "log" / f"{day}.yml").write_text("\n".join(lines), encoding="utf-8")
    return day


def _plan(
    chance: random.Random, name: str, levels: dict[str, float], per_day: dict[str, float]
) -> str:
    """Plan for the uptake and a way back to the level that is kept, and a bit beside it."""
    kept, uptake, rise, product, _ = _KEPT[name]
    back = (kept - levels[name]) / PLAN_DAYS
    per_day[name] = max(0.1, (uptake + back) / rise * chance.uniform(0.97, 1.03))
    return f"{{what: {product}, per_day: {per_day[name]:.1f} ml}}"


def _events(number: int) -> list[str]:
    lines = []
    if number % CHANGE_DAYS == 5:
        lines.append("water_change: 30 L")
    if number % TOP_OFF_DAYS == 0:
        lines.append("top_off: {volume: 6 L, what: limewater}" if number % 2 else "top_off: 6 L")
    if number % POTION_DAYS == 100:
        lines.append("doses: {what: alk mix, amount: 60 ml}")
    return lines


def _readings(
    chance: random.Random, levels: dict[str, float], per_day: dict[str, float]
) -> list[str]:
    found = []
    for name, (kept, uptake, rise, _, decimals) in _KEPT.items():
        levels[name] += per_day[name] * rise - uptake + 0.02 * (kept - levels[name])
        shown = max(0.0, chance.gauss(levels[name], _ERROR[name]))
        found.append(f"{name}: {shown:.{decimals}f}")
    for name, (level, spread, decimals) in _SCATTERED.items():
        found.append(f"{name}: {max(0.0, chance.gauss(level, spread)):.{decimals}f}")
    return found


def timed_metrics(tables: Tables) -> tuple[Metrics, dict[str, float]]:
    """Give all results and the seconds that each metric took."""
    done, seconds = Metrics(), {}
    with collector_paused():
        for metric in METRICS:
            begin = time.process_time()
            done.add(metric, metric.compute(tables, done))
            seconds[metric.name] = time.process_time() - begin
    return done, seconds


def _timed_tables(journal: Journal) -> tuple[Tables, float]:
    begin = time.process_time()
    tables = build_tables(journal)
    return tables, time.process_time() - begin


def main(arguments: list[str] | None = None) -> None:
    """Measure and print.

    Args:
        arguments: Of the command line, by default those of this process.
    """
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("--days", type=int, default=3650, help="days with an entry each")
    days: int = parser.parse_args(arguments).days
    with tempfile.TemporaryDirectory(prefix="journal-metrics-") as folder:
        today = write_journal(Path(folder) / "reef", days)
        journal = load_journal(Path(folder) / "reef", today)
        tables, seconds = _timed_tables(journal)
    print(f"{len(journal.entries)} entries, {len(tables.readings)} readings, "
          f"{len(tables.doses)} doses, {len(journal.problems)} problems")  # fmt: skip
    done, by_metric = timed_metrics(tables)
    begin = time.process_time()
    notices(tables, done)
    outlook(tables, done)
    said = time.process_time() - begin
    print(f"{'tables':<28}{seconds:7.2f} s")
    for name in sorted(by_metric, key=lambda one: -by_metric[one])[:SHOWN]:
        print(f"{name:<28}{by_metric[name]:7.2f} s{len(done.of(name)):8} results")
    print(f"{'all metrics':<28}{sum(by_metric.values()):7.2f} s{len(done.results):8} results")
    print(f"{'attention list and outlook':<28}{said:7.2f} s")


if __name__ == "__main__":
    main()
