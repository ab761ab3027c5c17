"""Which rows of the reference table are tested, and which are not yet."""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path

from .check_values import Key, read_rows

TOPICS_NOT_YET = (
    "03 carbonate",
    "04 ammonia",
    "05 oxygen",
    "07 consumption",
    "11 heat-evaporation",
    "12 light",
    "14 nitrification",
    "15 statistics",
    "16 evaporation-salinity",
    "17 calibration",
)
"""Topics without any tested row."""

QUANTITIES_NOT_YET = (
    ("01 density-salinity", "NaCl solution density at 20 degC"),
    ("01 density-salinity", "NaCl solution nD at 20 degC"),
    ("01 density-salinity", "SG 20/20 shown by NaCl SG-scale refractometer in S=35 seawater"),
    ("01 density-salinity", "dnD/dS of seawater at 20 degC"),
    ("01 density-salinity", "dnD/dw of NaCl at 20 degC"),
    ("01 density-salinity", "pure water nD relative to air"),
    ("01 density-salinity", "refractive index nD Millard & Seaver 1990 (p=0)"),
    ("01 density-salinity", "refractive index nD Quan & Fry 1995"),
    ("01 density-salinity", "true S when a NaCl-scale refractometer shows 35.0 per mille"),
    ("02 units", "78 degF"),
    ("02 units", "US liquid gallon"),
    ("02 units", "imperial gallon"),
    ("02 units", "temperature difference of 1 degF"),
    ("10 tank-structure", "hydrostatic, 3 edges ss + top free, alpha on H^4"),
    ("10 tank-structure", "hydrostatic, 3 edges ss + top free, beta on H^2 (nu=0.3), mid-line"),
    ("10 tank-structure", "hydrostatic, 4 edges simply supported, alpha on H^4"),
    ("10 tank-structure", "hydrostatic, 4 edges simply supported, beta on H^2 (nu=0.3)"),
    ("10 tank-structure", "kmod glass permanent load"),
    ("10 tank-structure", "plate 4 edges simply supported, uniform load, alpha (nu=0.3)"),
    ("10 tank-structure", "plate 4 edges simply supported, uniform load, beta (nu=0.3)"),
    ("10 tank-structure", "rimless pane stress"),
    ("10 tank-structure", "rimless pane top-edge deflection"),
)
"""Quantities of the other topics without any tested row: optics, units, glass."""

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
        if topic not in TOPICS_NOT_YET and (topic, quantity) not in QUANTITIES_NOT_YET
    }
    assert not unlisted


def test_the_lists_name_only_what_is_untested() -> None:
    tested = keys_with_a_check()
    keys = {row.key for row in read_rows()}
    assert not {topic for topic, _, _ in tested} & set(TOPICS_NOT_YET)
    assert not {key[:2] for key in tested} & set(QUANTITIES_NOT_YET)
    assert not tested & set(ROWS_OUT_OF_SCOPE)
    assert set(TOPICS_NOT_YET) <= {topic for topic, _, _ in keys}
    assert set(QUANTITIES_NOT_YET) <= {key[:2] for key in keys}
    assert set(ROWS_OUT_OF_SCOPE) <= keys


def test_every_row_names_its_source_and_no_script() -> None:
    rows = read_rows()
    assert len(rows) == 236
    assert not [row.key for row in rows if not row.source]
    assert not [row for row in rows if ".py" in row.source]
