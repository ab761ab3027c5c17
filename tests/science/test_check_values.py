"""Every row of the reference table is tested, but for those of the deep sea."""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path

from tests.science.check_values import Key, read_rows

ROWS_OUT_OF_SCOPE = (
    ("01 density-salinity", "seawater density EOS-80",
     "S=35 PSS-78; t=5 degC IPTS-68; p=10000 dbar"),
    ("01 density-salinity", "seawater density EOS-80",
     "S=35 PSS-78; t=25 degC IPTS-68; p=10000 dbar"),
)  # fmt: skip
"""Rows of the deep sea: no tank has that pressure, so density is for the surface only."""


def keys_with_a_check() -> set[Key]:
    below = pkgutil.walk_packages([str(Path(__file__).parent)], f"{__package__}.")
    paths = ["tests.test_units", *(module.name for module in below)]
    modules = [importlib.import_module(path) for path in paths]
    return {key for module in modules for key in getattr(module, "CHECKS", {})}


def test_every_row_is_tested() -> None:
    untested = {row.key for row in read_rows()} - keys_with_a_check()
    assert untested == set(ROWS_OUT_OF_SCOPE)


def test_no_check_is_for_a_row_that_is_not_there() -> None:
    assert keys_with_a_check() <= {row.key for row in read_rows()}


def test_every_row_names_its_source_and_no_script() -> None:
    rows = read_rows()
    assert len(rows) == 236
    assert not [row.key for row in rows if not row.source]
    assert not [row for row in rows if ".py" in row.source]
