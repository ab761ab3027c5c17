"""What a keeper may write of a probe's file."""

from __future__ import annotations

import pytest

from journal_tools.probes.description import ProbeFile, read_description
from journal_tools.profile import Profile
from journal_tools.read import read_document

PROFILE = Profile.model_validate({"name": "x", "start": "2026-01-01", "time_zone": "Europe/Berlin"})


def described(text: str) -> tuple[ProbeFile | None, list[tuple[str, int]]]:
    document, problems = read_document("probes/tank.yml", text.encode())
    assert document is not None
    found, more = read_description(document, PROFILE)
    return found, [(problem.code, problem.line) for problem in [*problems, *more]]


def test_the_shortest_description() -> None:
    found, problems = described("time: utc\ncolumns: {ph: pH}\n")
    assert found is not None and problems == []
    assert (found.time.column, found.by_parameter["ph"].column) == ("utc", "pH")
    assert found.time.zone_name(PROFILE) == "Europe/Berlin"


def test_the_longest_description() -> None:
    text = (
        "file: tank.csv\nseparator: ';'\ndecimal: ','\nmissing: ERR\n"
        "time: {column: t, format: '%d.%m.%Y', zone: UTC}\n"
        "columns:\n"
        "  ph: {column: pH, unit: pH, instrument: pen}\n"
        "  temperature: {column: T1, unit: °F, limits: {fail: [32, 113], suspect: [68, 86],"
        " spike: 1, rate_per_h: 2, flat: 0.0, flat_h: 8}}\n"
    )
    found, problems = described(text)
    assert found is not None and problems == []
    assert list(found.by_parameter) == ["temperature", "ph"] and found.missing == ["ERR"]
    assert found.time.zone_name(PROFILE) == "UTC"
    assert found.by_parameter["temperature"].limits.suspect == (68, 86)


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("columns: {ph: pH}\n", "missing-key", 1),
        ("time: t\n", "missing-key", 1),
        ("time: t\ncolumns: {}\n", "missing-key", 2),
        ("time: {column: t, zone: Mars}\ncolumns: {ph: pH}\n", "time-zone", 1),
        ("time: {column: t, unit: h}\ncolumns: {ph: pH}\n", "unknown-word", 1),
        ("time: t\ncolumns: {phh: pH, orp: x}\n", "unknown-key", 2),
        ("time: t\ncolumns: {ph: {column: pH, unit: mV}}\n", "unknown-unit", 2),
        ("time: t\ncolumns: {ph: {column: p, limits: {spike: 0}}}\n", "impossible-value", 2),
        ("time: t\ncolumns: {ph: {column: p, limits: {fail: [9, 7]}}}\n", "probe-limits", 2),
        ("time: t\ncolumns: {ph: {column: p, limits: {fail: [7, 9], suspect: [6, 8]}}}\n",
         "probe-limits", 2),
    ],
)  # fmt: skip
def test_a_slip_is_said_once_where_it_stands(text: str, code: str, line: int) -> None:
    _, problems = described(text)
    assert problems == [(code, line)]


def test_a_slip_in_one_column_leaves_the_others() -> None:
    found, problems = described("time: t\ncolumns: {ph: {column: p, unit: mV}, orp: {column: o}}\n")
    assert found is not None and len(problems) == 1 and "orp" in found.by_parameter
