"""Reads the table of reference values and pairs its rows with calls.

A test module holds ``CHECKS``: (topic, quantity, inputs) of a row to the ``Check`` for it.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

TABLE = Path(__file__).parents[1] / "reference" / "science_check_values.csv"

Key = tuple[str, str, str]


@dataclass(frozen=True)
class Row:
    topic: str
    quantity: str
    inputs: str
    value: float
    tolerance: float
    source: str

    @property
    def key(self) -> Key:
        return self.topic, self.quantity, self.inputs


@dataclass(frozen=True)
class Check:
    """A call that must give the value of a row.

    A ``tolerance`` of its own needs a reason, ``because``.
    """

    call: Callable[[], float]
    tolerance: float | None = None
    because: str = ""

    def __post_init__(self) -> None:
        assert (self.tolerance is None) == (not self.because)


def read_rows() -> list[Row]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return [
            Row(
                line["topic"],
                line["quantity"],
                line["inputs"],
                float(line["value"]),
                float(line["tolerance"]),
                line["source"],
            )
            for line in csv.DictReader(file)
        ]


def cases(checks: Mapping[Key, Check]) -> list[object]:
    """Give one pytest parameter set for each row that ``checks`` names, source in its id."""
    rows = read_rows()
    lost = sorted(checks.keys() - {row.key for row in rows})
    assert not lost, f"no such row in {TABLE.name}: {lost}"
    return [
        pytest.param(row, checks[row.key], id=f"{row.quantity} | {row.inputs} | {row.source}")
        for row in rows
        if row.key in checks
    ]


def assert_agrees(row: Row, check: Check) -> None:
    tolerance = row.tolerance if check.tolerance is None else check.tolerance
    # The table prints ten digits, so a tolerance of 0 means "to the last digit printed".
    assert check.call() == pytest.approx(row.value, rel=1e-10, abs=tolerance)
