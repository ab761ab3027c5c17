"""Odd journals: whatever a keeper writes about doses and tests, every figure stays sound."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.attention import notices
from journal_tools.metrics import compute_metrics
from journal_tools.outlook import outlook
from journal_tools.tables import build_tables
from tests.journals import HUNDRED_LITRES, read

TANK = (
    HUNDRED_LITRES
    + """\
supplements:
  - {name: mix, potency: {by: 10 ml, water: 100 L, raises: {alkalinity: 0.5}}, bottle: 1 L}
  - {name: powder, salts: {NaHCO3: 80 g}}
  - {name: lime, potency: {by: 1 L, water: 100 L, raises: {alkalinity: 1, calcium: 7}}}
  - {name: reactor, effluent: {alkalinity: 9, calcium: 400}}
  - {name: untold}
"""
)
PRODUCTS = ("mix", "MIX", "powder", "lime", "reactor", "untold", "nobody knows it")
products = st.sampled_from(PRODUCTS)
amounts = st.sampled_from(("0.001 ml", "5 ml", "900 ml", "40 L", "3 g", "0.01 g"))
clocks = st.sampled_from(("00:00", "02:30", "12:00", "23:59"))
values = {
    "alkalinity": ("0.5", "8", "8.0", "24.9", "< 3", "above 12"),
    "calcium": ("51", "400", "900", "< 100"),
    "salinity": ("5", "35", "41.9"),
    "nitrate": ("0", "< 0.5", "500"),
}


@st.composite
def lines(draw: st.DrawFn) -> str:
    """Give one line of an entry, odd but readable."""
    kind = draw(st.sampled_from(("test", "test", "test", "dose", "plan", "stop", "change", "top",
                                 "stock")))  # fmt: skip
    product, amount, clock = draw(products), draw(amounts), draw(clocks)
    if kind == "test":
        name = draw(st.sampled_from(tuple(values)))
        when = draw(st.sampled_from(("", ", when: before dose", ", when: after change")))
        kit = draw(st.sampled_from(("", ", kit: A", ", kit: a", ", kit: b", ", error: 0")))
        value = f"{{value: {draw(st.sampled_from(values[name]))}, time: '{clock}'{when}{kit}}}"
        return f"readings: {{{name}: {value}}}"
    return {
        "dose": f"doses: {{what: {product}, amount: {amount}, time: '{clock}'}}",
        "plan": f"dosing_plan: {{what: {product}, per_day: {amount}}}",
        "stop": f"dosing_plan: {{what: {product}, stopped: true}}",
        "change": f"water_change: {{volume: {draw(st.sampled_from(('0.1 L', '100 L', '900 L')))}}}",
        "top": f"top_off: {{volume: 4 L, what: {product}}}",
        "stock": f"stock: {{what: {product}, left: {amount}}}",
    }[kind]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 31), lines()), min_size=1, max_size=25))
def test_no_journal_stops_a_figure(written: list[tuple[int, str]]) -> None:
    files = {"tank.yml": TANK}
    for place, (day, line) in enumerate(written):
        files[f"log/2026-03-{day:02}-{place}.yml"] = line + "\n"
    tables = build_tables(read(files))
    done = compute_metrics(tables)
    for result in done:
        ends = [end for end in (result.low, result.high) if end is not None]
        assert math.isfinite(result.value), result
        assert not any(math.isnan(end) for end in ends), result
        if len(ends) == 2:
            assert ends[0] <= result.value <= ends[1], result
    assert all(notice.what for notice in notices(tables, done))
    assert all(one.day >= tables.today for one in outlook(tables, done))
