"""How fast animals have grown between measurements of their length."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.names import name_key
from journal_tools.science.life.growth import specific_growth_rate_estimate_per_day
from journal_tools.tables import Tables, rows_of

_FEWEST_DAYS = 14
_RULER_ERROR = 0.05
_DAYS_A_MONTH = 30.4375


def _growth(tables: Tables, _done: Metrics) -> Iterator[Result]:
    rows = tables.livestock[tables.livestock["length_cm"].notna()]
    for _, of_one in rows.groupby(rows["name"].map(name_key), sort=False):
        first, last = of_one.iloc[0], of_one.iloc[-1]
        days = (last["time"] - first["time"]).total_seconds() / 86_400
        if days < _FEWEST_DAYS or first["length_cm"] <= 0 or last["length_cm"] <= 0:
            continue
        found = specific_growth_rate_estimate_per_day(
            float(first["length_cm"]), float(last["length_cm"]), days, _RULER_ERROR
        )
        value, low, high = (
            100 * rate * _DAYS_A_MONTH for rate in (found.value, found.low, found.high)
        )
        inputs = tuple(
            Input(f"{row.time:%Y-%m-%d}", f"{row.length_cm:.1f} cm", row.entry, int(row.line))
            for row in rows_of(of_one)
        )
        yield Result("growth", value, "% a month", 1, str(first["name"]), low, high, first["time"],
                     last["time"], inputs)  # fmt: skip


GROWTH = Metric(
    "growth", "Growth in length", "% a month",
    "Natural logarithm of the last length over the first, by the days between; a month is 30.4 "
    "days. Of several animals of one name it is that of the ones measured.",
    "Specific growth rate (Hopkins 1992, J. World Aquac. Soc. 23:173), from memory; ± 5 % of each "
    "length: common practice, no source.",
    "none", "by ± 5 % of both lengths", _growth,
)  # fmt: skip
