from __future__ import annotations

import gzip
import json
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import altair as alt
import pytest

from journal_tools.charts.parameter import parameter_chart, sparkline
from journal_tools.charts.render import (
    VEGA_LITE,
    responsive,
    short_path,
    stylesheet,
    to_spec,
    to_svg,
    vega_bundle,
)
from journal_tools.charts.theme import NARROW, PALETTE, WIDE

from .made_up import ALKALINITY, BANDS, TODAY, Quantity, censored, happenings, series
from .test_parameter import CASES

SVG = "{http://www.w3.org/2000/svg}"


def drawn(case: str, shape=WIDE) -> str:
    readings, events, bands = CASES[case]
    return to_svg(parameter_chart(ALKALINITY, readings, events, bands, TODAY, shape=shape))


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("case", CASES)
def test_every_case_is_a_self_contained_picture(case, shape):
    text = drawn(case, shape)
    root = ET.fromstring(text)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    assert set(root.get("aria-labelledby", "").split()) <= set(ids)
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg\")|<script|<style|<image|href", text)
    assert "NaN" not in text and "font-family=" not in text and "aria-label=" not in text


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("case", ["one reading", "fourteen months", "ten years"])
def test_width_is_that_of_the_shape_so_that_charts_line_up(case, shape):
    box = ET.fromstring(drawn(case, shape)).get("viewBox", "").split()
    assert abs(float(box[2]) - shape.width) <= 2


def test_all_colours_are_those_of_the_theme():
    text = drawn("fourteen months")
    found = set(re.findall(r'(?:fill|stroke)="([^"]+)"', text)) - {"none", "transparent"}
    assert found <= {ink.css for ink in PALETTE.values()}


def test_five_hundred_readings_stay_small():
    chart = parameter_chart(ALKALINITY, series(500, 500), happenings(60, 410), BANDS, TODAY)
    text = to_svg(chart).encode()
    assert len(text) < 60_000
    assert len(gzip.compress(text)) < 10_000


def test_each_reading_is_drawn():
    readings = series(30, 60)
    root = ET.fromstring(to_svg(parameter_chart(ALKALINITY, readings, happenings(0, 1), [], TODAY)))
    dots = [p for p in root.iter(f"{SVG}path") if p.get("stroke-linecap") == "round"]
    assert [p.get("d", "").count("h0") for p in dots] == [30]


def test_censored_readings_have_a_sign_of_their_own():
    chart = parameter_chart(ALKALINITY, censored(12), happenings(0, 1), [], TODAY)
    root = ET.fromstring(to_svg(chart))
    signs = [p for p in root.iter(f"{SVG}path") if p.get("stroke-width") == "1.4"]
    assert len(signs) == 12
    assert not [p for p in root.iter(f"{SVG}path") if p.get("stroke-linecap") == "round"]


def test_same_chart_same_bytes_also_after_other_charts():
    first = drawn("fourteen months")
    drawn("three readings")
    assert drawn("fourteen months") == first


@pytest.mark.parametrize("zone", ["America/Los_Angeles", "Asia/Tokyo"])
def test_same_bytes_on_a_machine_of_any_zone(zone, tmp_path: Path):
    script = tmp_path / "draw.py"
    script.write_text(
        "import sys\n"
        "from charts.test_render import drawn\n"
        "sys.stdout.buffer.write(drawn('three readings').encode())\n"
    )
    folder = Path(__file__).parent.parent
    path = os.pathsep.join([str(folder), str(folder.parent)])
    environment = {**os.environ, "TZ": zone, "PYTHONPATH": path}
    result = subprocess.run(
        [sys.executable, str(script)], env=environment, capture_output=True, check=True
    )
    assert result.stdout.decode() == drawn("three readings")


def test_words_of_users_are_escaped():
    nasty = Quantity("x", 'A "<b>&\x07 quantity', "g/L", 1)
    events = happenings(1, 1)
    events["label"] = ["<script>&\x00"]
    text = to_svg(parameter_chart(nasty, series(3, 9), events, [], TODAY), title='"<i>&')
    assert "<b>" not in text and "<script" not in text and "<i>" not in text
    root = ET.fromstring(text)
    assert root.findtext(f"{SVG}title") == '"<i>&'
    assert root.findtext(f"{SVG}desc", "").startswith('A "<b>& quantity: 3 readings')


def test_names_part_the_ids_of_two_drawings():
    chart = sparkline(ALKALINITY, series(9, 20), (7.5, 8.5))
    ids = [set(re.findall(r' id="([^"]+)"', to_svg(chart, name=name))) for name in ("a", "b")]
    assert ids[0] and not ids[0] & ids[1]


@pytest.mark.parametrize(
    "path,expected",
    [
        ("M0.04,44L0.04,36.26M3,7Z", "M0,44V36.3M3,7h0"),
        ("M1,1L2.04,1L2.04,5L1,5Z", "M1,1H2V5H1Z"),
        ("M0,0A3.391,3.391,0,1,1,-3.391,0", "M0,0A3.4,3.4,0,1,1,-3.4,0"),
        ("M0,-0.04L5,1e-14", "M0,0H5"),
        ("", ""),
    ],
)
def test_short_path(path, expected):
    assert short_path(path) == expected


def test_spec_fits_its_container_and_needs_no_eval():
    args = (ALKALINITY, series(9, 20), happenings(3, 9), BANDS, TODAY)
    spec = to_spec(parameter_chart(*args, interactive=True))
    assert spec["width"] == "container"
    assert spec["usermeta"]["embedOptions"]["ast"] is True
    assert json.loads(json.dumps(spec)) == spec


def test_the_renderer_has_the_vega_lite_of_altair():
    import vl_convert

    assert VEGA_LITE in vl_convert.get_vegalite_versions()
    assert f"{alt.VEGALITE_VERSION}.".startswith(f"{VEGA_LITE}.")


def test_bundle_is_one_wrapped_ascii_script():
    script = vega_bundle()
    assert script.isascii()
    assert script.startswith("(function () {") and script.rstrip().endswith("})();")
    assert "window.vegaEmbed" in script
    assert "</script" not in script


def test_responsive_holds_both_drawings():
    html = responsive("<svg>1</svg>", "<svg>2</svg>")
    assert html.index("jt-chart__wide") < html.index("jt-chart__narrow")
    assert all(name in stylesheet() for name in ("jt-chart__wide", "jt-chart__narrow"))
