"""The interactive chart in a real browser: strict policy, another time zone, a file on disk."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from journal_tools.charts.parameter import parameter_chart
from journal_tools.charts.render import to_spec, vega_bundle
from journal_tools.charts.theme import variables_css

from .made_up import ALKALINITY, BANDS, TODAY, happenings, table

POLICY = "default-src 'none'; script-src file:; style-src 'unsafe-inline'; img-src data:"

SCRIPT = """
const spec = SPEC;
vegaEmbed("#chart", spec, spec.usermeta.embedOptions).then(r => { window.view = r.view; });
"""
PLACE = """() => {
  const [left, top] = view.origin(), pad = view.padding();
  const x = view.scale("alkalinity_wide_x")(Date.UTC(2026, 2, 14));
  const y = view.scale("alkalinity_wide_y")(8.2);
  return [x + left + pad.left, y + top + pad.top];
}"""


@pytest.fixture
def page_file(tmp_path: Path) -> Path:
    readings = table([(datetime(2026, 3, 14), 8.2, 0.2, ""), (datetime(2026, 4, 14), 8.0, 0.2, "")])
    chart = parameter_chart(ALKALINITY, readings, happenings(4, 50), BANDS, TODAY, interactive=True)
    (tmp_path / "vega.js").write_text(vega_bundle(), encoding="ascii")
    script = SCRIPT.replace("SPEC", json.dumps(to_spec(chart)))
    (tmp_path / "page.js").write_text(script, encoding="utf-8")
    html = (
        f'<!doctype html><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" '
        f'content="{POLICY}"><style>:root{{{variables_css("dark")}}}#chart{{width:800px}}</style>'
        '<div id="chart"></div><script src="vega.js"></script><script src="page.js"></script>'
    )
    (tmp_path / "page.html").write_text(html, encoding="utf-8")
    return tmp_path / "page.html"


def tooltip_at_the_first_reading(page: Page) -> str:
    box = page.locator("#chart svg").bounding_box()
    assert box is not None
    x, y = page.evaluate(PLACE)
    page.mouse.move(box["x"] + x + 1, box["y"] + y + 1)
    page.wait_for_selector("#vg-tooltip-element.visible")
    return page.inner_text("#vg-tooltip-element")


def test_chart_works_without_eval_and_shows_the_keepers_clock(page_file: Path, browser: Browser):
    said: list[str] = []
    asked: list[str] = []
    context = browser.new_context(timezone_id="America/Los_Angeles")
    page = context.new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(page_file.as_uri())
    page.wait_for_function("window.view !== undefined")
    tip = tooltip_at_the_first_reading(page)
    colours = page.evaluate(
        "[...document.querySelectorAll('#chart .mark-line path')]"
        ".map(path => getComputedStyle(path).stroke)"
    )
    globals_left = page.evaluate("Object.keys(window).filter(name => name.length < 3)")
    context.close()
    assert said == []
    assert all(url.startswith("file:") for url in asked)
    assert "14 March 2026, 00:00" in tip
    assert "8.2\u00a0dKH ± 0.2" in tip
    assert set(colours) == {"rgb(127, 195, 160)"}
    assert globals_left == []
