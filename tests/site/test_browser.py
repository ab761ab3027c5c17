"""The demo in a real browser, below a sub-path: every page, phone and desk, light and dark."""

from __future__ import annotations

import contextlib
import faulthandler
import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.site.browsing import SUB_PATH, Record, served
from tests.site.journals import change_settings, three_entries
from tests.site.program import ROOT, Demo, Program

SHOTS = ROOT / "tests/screenshots"
LONGEST_S = 180
PAGES = {
    "today": "", "diary": "diary/", "month-first-corals": "diary/2025-12/",
    "month-spike": "diary/2026-05/", "water": "water/", "dosing": "dosing/", "build": "build/",
    "livestock": "livestock/", "photos": "photos/", "data": "data/", "about": "about/",
    "lessons": "lessons/",
}  # fmt: skip
SIZES = {"phone": (390, 844), "desk": (1280, 900)}
SCHEMES = ("light", "dark")
CHARTED = {"water": 8, "build": 1, "data": 1, "lessons": 1}
"""The least number of charts on a page."""

# A lazy picture is fetched when it comes into view, also sideways inside a strip.
# A browser on a busy machine may draw no frame for long: nothing here waits for one.
SEE_ALL = """async () => {
  const pause = (time = 20) => new Promise(done => setTimeout(done, time));
  for (let y = 0; y < document.body.scrollHeight; y += innerHeight) {
    scrollTo(0, y);
    await pause();
  }
  for (const picture of document.images) {
    if (!picture.checkVisibility()) continue;
    picture.scrollIntoView({inline: "center", block: "center"});
    await Promise.race([picture.decode().catch(() => {}), pause(5000)]);
  }
  scrollTo(0, 0);
  await pause();
  window.allSeen = true;
}"""
MEASURE = """() => ({
  wide: document.documentElement.scrollWidth,
  charts: [...document.querySelectorAll(".jt-chart svg")].filter(svg => svg.checkVisibility())
    .map(svg => [svg.getBoundingClientRect().width, svg.getBoundingClientRect().height]),
  pictures: [...document.images].filter(one => one.checkVisibility())
    .map(one => [one.currentSrc, one.naturalWidth]),
  ground: getComputedStyle(document.body).backgroundColor,
})"""


@pytest.fixture(autouse=True)
def _watchdog() -> Iterator[None]:
    """End the worker if a browser never answers: not every call to one can be given a limit."""
    faulthandler.dump_traceback_later(LONGEST_S, exit=True, file=sys.__stderr__)
    yield
    faulthandler.cancel_dump_traceback_later()


@pytest.fixture(scope="session")
def home(demo: Demo) -> Iterator[str]:
    assert demo.outcome.code == 0, demo.outcome.said
    with served(demo.site) as address:
        yield address


@contextlib.contextmanager
def visit(
    browser: Browser, home: str, size: str = "desk", scheme: Any = "light", **options: Any
) -> Iterator[tuple[BrowserContext, Record]]:
    """Open a fresh browser window that records what it asks for and complains about."""
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, **options
    )
    record = Record.of(context, home)
    try:
        yield context, record
    finally:
        context.close()


def opened(context: BrowserContext, address: str) -> Page:
    page = context.new_page()
    page.goto(address, wait_until="load")
    return page


def luminance(colour: str) -> float:
    """Give how bright an ``rgb(r, g, b)`` is, 0 to 1, without regard to gamma."""
    red, green, blue = (int(part) / 255 for part in re.findall(r"\d+", colour)[:3])
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", PAGES)
def test_page_is_whole(browser: Browser, home: str, name: str, size: str, scheme: str):
    with visit(browser, home, size, scheme) as (context, record):
        page = opened(context, home + PAGES[name])
        page.evaluate(f"void ({SEE_ALL})()")
        page.wait_for_function("window.allSeen", polling=50)
        seen = page.evaluate(MEASURE)
        SHOTS.mkdir(exist_ok=True)
        page.screenshot(
            path=SHOTS / f"{name}-{size}-{scheme}.jpg", full_page=True, type="jpeg", quality=60
        )
    assert record.complaints == []
    assert record.elsewhere == []
    assert seen["wide"] <= SIZES[size][0]
    assert len(seen["charts"]) >= CHARTED.get(name, 0)
    assert [box for box in seen["charts"] if box[0] <= 100 or box[1] <= 50] == []
    assert [source for source, width in seen["pictures"] if width == 0] == []
    assert (luminance(seen["ground"]) > 0.5) == (scheme == "light"), seen["ground"]


def test_the_page_for_unknown_addresses_works(browser: Browser, program: Program, tmp_path: Path):
    journal = three_entries(tmp_path / "reef")
    change_settings(journal, site_url=f"https://example.org{SUB_PATH}")
    site, outcome = program.build(journal, "--strict")
    assert outcome.code == 0, outcome.said
    with served(site) as home, visit(browser, home, "phone") as (context, record):
        page = opened(context, f"{home}diary/1999-01/nothing/")
        expect(page.locator("h1")).to_contain_text("404")
        ground = page.evaluate(MEASURE)["ground"]
        page.goto(page.evaluate("document.querySelector('a.md-logo').href"))
        expect(page.locator("h1")).to_contain_text("The test tank")
    # That the address is unknown is the one thing the browser has to say.
    assert [c for c in record.complaints if "status of 404" not in c] == []
    assert len(record.complaints) == 1
    assert record.elsewhere == []
    assert ground not in ("rgba(0, 0, 0, 0)", "rgb(255, 255, 255)")


def test_the_recorder_notices_other_hosts_and_complaints(browser: Browser, home: str):
    lure = """async home => {
      new Image().src = "http://picture.invalid/x.png";
      const text = "fetch('http://worker.invalid/').catch(() => postMessage(0))";
      const worker = new Worker(URL.createObjectURL(new Blob([text])));
      await Promise.all([
        new Promise(done => { worker.onmessage = done; }),
        fetch("http://page.invalid/").catch(() => {}),
        fetch(home.replace(/:[0-9]+/, ":1")).catch(() => {}),
      ]);
      console.warn("canary");
      setTimeout(() => { throw new Error("canary"); });
      await new Promise(done => setTimeout(done, 200));
    }"""
    with visit(browser, home) as (context, record):
        opened(context, home).evaluate(lure, home)
    hosts = {url.split("/")[2] for url in record.elsewhere}
    assert hosts == {"picture.invalid", "worker.invalid", "page.invalid", "127.0.0.1:1"}
    assert "warning: canary" in record.complaints
    assert any("canary" in said and "warning" not in said for said in record.complaints)


@pytest.mark.parametrize("size", SIZES)
def test_a_chart_can_be_zoomed(browser: Browser, home: str, size: str):
    with visit(browser, home, size) as (context, record):
        page = opened(context, f"{home}water/")
        figure = page.locator("figure#chart-alkalinity")
        figure.get_by_role("button", name="Zoom and read values").click()
        drawing = figure.locator(".vega-embed svg").first
        drawing.wait_for()
        box = drawing.bounding_box()
        width = page.evaluate("document.documentElement.scrollWidth")
        expect(figure.get_by_role("button", name="Zoom and read values")).to_have_count(0)
        marks = figure.locator(".vega-embed svg path").count()
    assert box is not None
    assert box["width"] > 200
    assert marks > 20
    assert width <= SIZES[size][0]
    assert record.complaints == []
    assert record.elsewhere == []


def test_a_chart_that_does_not_load_can_be_asked_for_again(browser: Browser, home: str):
    with visit(browser, home) as (context, _):
        page = opened(context, f"{home}water/")
        figure = page.locator("figure#chart-calcium")
        page.route("**/assets/vega.js", lambda route: route.abort())
        figure.get_by_role("button", name="Zoom and read values").click()
        again = figure.get_by_role("button", name="Try again")
        expect(again).to_be_enabled()
        expect(figure.locator(".jt-chart svg:visible")).to_have_count(1)
        page.unroute("**/assets/vega.js")
        again.click()
        expect(figure.locator(".vega-embed svg").first).to_be_visible()


def test_how_a_number_is_worked_out_opens_by_keyboard(browser: Browser, home: str):
    with visit(browser, home, "phone") as (context, record):
        page = opened(context, f"{home}dosing/")
        details = page.locator("details.jt-how:visible").first
        body = details.locator(".jt-how__body")
        expect(body).to_be_hidden()
        details.locator("summary").focus()
        page.keyboard.press("Enter")
        expect(body).to_be_visible()
        expect(body).to_contain_text("Source:")
        page.keyboard.press("Space")
        expect(body).to_be_hidden()
    assert record.complaints == []


def test_charts_and_words_are_there_without_scripts(browser: Browser, home: str):
    with visit(browser, home, java_script_enabled=False) as (context, _):
        page = opened(context, f"{home}water/")
        boxes = [svg.bounding_box() for svg in page.locator(".jt-chart svg").all()]
        shown = [box for box in boxes if box is not None]
        assert len(shown) >= 5
        assert all(box["width"] > 100 and box["height"] > 50 for box in shown)
        assert page.locator("button[data-chart]:visible").count() == 0
        page.goto(home)
        expect(page.locator("h1")).to_be_visible()


def test_search_finds_a_word_of_an_entry(browser: Browser, home: str):
    with visit(browser, home) as (context, record):
        page = opened(context, home)
        page.locator("input.md-search__input").click()
        page.keyboard.type("palytoxin", delay=20)
        found = page.locator(".md-search-result__item a[href*='2025-12-13-first-corals']").first
        found.wait_for()
        found.click()
        expect(page.locator("[id='2025-12-13-first-corals']")).to_be_in_viewport()
        assert "diary/2025-12/" in page.url
    assert record.complaints == []
    assert record.elsewhere == []


def test_the_switch_between_light_and_dark_is_kept(browser: Browser, home: str):
    ground = "getComputedStyle(document.body).backgroundColor"
    with visit(browser, home) as (context, record):
        page = opened(context, home)
        light = page.evaluate(ground)
        for switch in ("Follow the system", "Light"):
            page.locator(f"label[title='{switch}']:visible").click()
        page.wait_for_function(f"{ground} !== {json.dumps(light)}")
        dark = page.evaluate(ground)
        page.goto(f"{home}water/")
        kept = page.evaluate(ground)
    assert luminance(dark) < 0.15
    assert luminance(light) > 0.85
    assert kept == dark
    assert record.complaints == []


def test_a_photo_opens_large_without_scripts(browser: Browser, home: str):
    with visit(browser, home, "phone", java_script_enabled=False) as (context, record):
        page = opened(context, f"{home}photos/")
        page.locator("a.jt-photo__open").first.click()
        page.wait_for_url(re.compile(r"/photos/[^/]+\.webp$"))
    assert record.elsewhere == []
