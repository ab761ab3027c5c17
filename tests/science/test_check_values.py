"""Which rows of the reference table are tested, and which are not yet."""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path

from .check_values import Key, read_rows

TOPICS_NOT_YET = (
    "07 consumption",
    "15 statistics",
)
"""Topics without any tested row."""

ROWS_OUT_OF_SCOPE = (
    ("01 density-salinity", "seawater density EOS-80",
     "S=35 PSS-78; t=5 degC IPTS-68; p=10000 dbar"),
    ("01 density-salinity", "seawater density EOS-80",
     "S=35 PSS-78; t=25 degC IPTS-68; p=10000 dbar"),
)  # fmt: skip
"""Rows of the deep sea: no tank has that pressure, so density is for the surface only."""


def keys_with_a_check() -> set[Key]:
    names = [module.name for module in pkgutil.iter_modules([str(Path(__file__).parent)])]
    modules = [importlib.import_module(f"{__package__}.{name}") for name in names]
    return {key for module in modules for key in getattr(module, "CHECKS", {})}


def test_every_row_is_tested_or_listed_here() -> None:
    untested = {row.key for row in read_rows()} - keys_with_a_check() - set(ROWS_OUT_OF_SCOPE)
    unlisted = {
        (topic, quantity)
        for topic, quantity, _ in untested
        if topic not in TOPICS_NOT_YET
    }
    assert not unlisted


def test_the_lists_name_only_what_is_untested() -> None:
    tested = keys_with_a_check()
    keys = {row.key for row in read_rows()}
    assert not {topic for topic, _, _ in tested} & set(TOPICS_NOT_YET)
    assert not tested & set(ROWS_OUT_OF_SCOPE)
    assert set(TOPICS_NOT_YET) <= {topic for topic, _, _ in keys}
    assert set(ROWS_OUT_OF_SCOPE) <= keys


def test_every_row_names_its_source_and_no_script() -> None:
    rows = read_rows()
    assert len(rows) == 236
    assert not [row.key for row in rows if not row.source]
    assert not [row for row in rows if ".py" in row.source]
