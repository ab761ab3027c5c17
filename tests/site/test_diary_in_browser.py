"""Diary and photos in a real browser: filters, keys, fingers, the large view, the film."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.site.browsing import Record, served
from tests.site.program import Demo

SWIPE = """([from, to]) => {
  const target = document.querySelector("h1");
  const send = (type, clientX) => {
    const touch = new Touch({identifier: 1, target, clientX, clientY: 300});
    const touches = type === "touchend" ? [] : [touch];
    target.dispatchEvent(new TouchEvent(type, {bubbles: true, touches, changedTouches: [touch]}));
  };
  send("touchstart", from);
  send("touchend", to);
}"""


@pytest.fixture(scope="module")
def home(demo: Demo) -> Iterator[str]:
    assert demo.outcome.code == 0, demo.outcome.said
    with served(demo.site) as address:
        yield address


@pytest.fixture
def visited(browser: Browser, home: str, request: pytest.FixtureRequest) -> Iterator[Any]:
    """Give what opens a page; nothing may be asked of others or complained about."""
    context = browser.new_context(**getattr(request, "param", {}))
    record = Record.of(context, home)

    def visit(path: str) -> Page:
        page = context.new_page()
        page.goto(home + path, wait_until="load")
        return page

    yield visit
    complaints, elsewhere = list(record.complaints), list(record.elsewhere)
    context.close()
    assert complaints == []
    assert elsewhere == []


def shown_rows(page: Page) -> int:
    return page.locator("[data-entry]:visible").count()


def test_a_year_is_filtered_by_kind_and_tag_and_keeps_it_in_its_address(visited: Any) -> None:
    page = visited("diary/2026/")
    everything = shown_rows(page)
    page.get_by_role("checkbox", name="photos").check()
    with_photos = shown_rows(page)
    assert 0 < with_photos < everything
    assert page.url.endswith("#kind=photos")
    page.get_by_role("checkbox", name="dosing").check()
    assert shown_rows(page) > with_photos
    page.locator("select[name=tag]").select_option("animals")
    assert page.url.endswith("#kind=dosing,photos&tag=animals")
    few = shown_rows(page)
    expect(page.locator(".jt-filter__found")).to_have_text(
        re.compile(rf"^{few} of {everything} entr")
    )
    assert page.locator(".jt-yearmonth:visible [data-entry]:visible").count() == few
    page.reload()
    assert shown_rows(page) == few
    assert page.get_by_role("checkbox", name="dosing").is_checked()
    page.get_by_role("button", name="Show all").click()
    page.wait_for_function("location.hash === ''")
    assert shown_rows(page) == everything


def test_a_filter_goes_along_to_another_year(visited: Any) -> None:
    page = visited("diary/#kind=photos")
    assert page.locator(".jt-day--other").count() > 10
    page.locator(".jt-lead a", has_text="2025").click()
    page.wait_for_url("**/diary/2025/#kind=photos")
    assert page.get_by_role("checkbox", name="photos").is_checked()


@pytest.mark.parametrize("visited", [{"java_script_enabled": False}], indirect=True)
def test_without_scripts_everything_is_a_plain_list(visited: Any) -> None:
    page = visited("diary/2026/")
    assert page.locator("form[data-filter]:visible").count() == 0
    assert shown_rows(page) == page.locator("[data-entry]").count() > 100
    page = visited("photos/")
    assert page.locator(".jt-film:visible, .jt-compare__tools:visible").count() == 0
    assert page.locator(".jt-strip:visible").count() >= 3
    assert page.locator(".jt-compare__pair img:visible").count() >= 6


def test_arrow_keys_go_from_entry_to_entry(visited: Any) -> None:
    page = visited("diary/2026-04/#2026-04-26")
    page.keyboard.press("ArrowRight")
    page.wait_for_url("**/diary/2026-04/#2026-04-30")
    page.wait_for_timeout(100)
    page.keyboard.press("ArrowRight")
    page.wait_for_url("**/diary/2026-05/#2026-05-02-questions-for-okko")
    page.wait_for_load_state("load")
    page.wait_for_timeout(200)
    page.keyboard.press("ArrowLeft")
    page.wait_for_url("**/diary/2026-04/#2026-04-30")


def test_arrow_keys_are_left_alone_where_somebody_writes(visited: Any) -> None:
    page = visited("diary/2026-04/")
    page.locator("input.md-search__input").focus()
    page.keyboard.type("wrasse")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Escape")
    assert page.url.endswith("diary/2026-04/")


@pytest.mark.parametrize("visited", [{"has_touch": True}], indirect=True)
def test_a_stroke_of_the_finger_turns_the_page(visited: Any) -> None:
    page = visited("diary/2026-04/")
    page.evaluate(SWIPE, [300, 60])
    page.wait_for_url("**/diary/2026-05/")
    page.wait_for_load_state("load")
    page.evaluate(SWIPE, [60, 300])
    page.wait_for_url("**/diary/2026-04/")
    page.wait_for_load_state("load")
    page.evaluate(SWIPE, [100, 130])
    page.wait_for_timeout(150)
    assert page.url.endswith("diary/2026-04/")


def test_the_small_page_leads_on_by_key_and_back_to_the_diary(visited: Any) -> None:
    page = visited("e/2025-12-13-first-corals/")
    expect(page.get_by_role("heading", level=1)).to_have_text("First corals, with gloves on")
    page.keyboard.press("ArrowRight")
    page.wait_for_url("**/e/2025-12-18/")
    page.go_back()
    page.get_by_role("link", name="December 2025 in the diary").click()
    page.wait_for_url("**/diary/2025-12/#2025-12-13-first-corals")
    page.get_by_role("link", name=re.compile("Link to share.*First corals")).click()
    page.wait_for_url("**/e/2025-12-13-first-corals/")


def test_a_photo_opens_large_and_gives_the_focus_back(visited: Any) -> None:
    page = visited("photos/")
    first = page.locator(".jt-gallery a.jt-photo__open").first
    first.focus()
    page.keyboard.press("Enter")
    box = page.locator("dialog.jt-box")
    expect(box).to_be_visible()
    picture = box.locator("img")
    page.wait_for_function("document.querySelector('.jt-box img').naturalWidth >= 1000")
    assert picture.get_attribute("alt") == first.locator("img").get_attribute("alt")
    expect(box.get_by_role("button", name="Previous")).to_be_disabled()
    before = picture.get_attribute("src")
    page.keyboard.press("ArrowRight")
    assert picture.get_attribute("src") != before
    expect(box.locator(".jt-box__place")).to_have_text(re.compile(r"^2 of \d+$"))
    page.keyboard.press("End")
    expect(box.get_by_role("button", name="Next")).to_be_disabled()
    for _ in range(8):
        page.keyboard.press("Tab")
        assert page.evaluate(
            "document.activeElement === document.body || !!document.activeElement.closest('dialog')"
        )
    page.keyboard.press("Escape")
    expect(box).to_be_hidden()
    assert page.url.endswith("photos/")
    assert page.evaluate("document.activeElement.classList.contains('jt-photo__open')")


def test_a_photo_opens_large_on_the_small_page_too(visited: Any) -> None:
    page = visited("e/2025-12-13-first-corals/")
    page.locator("a.jt-photo__open").first.click()
    box = page.locator("dialog.jt-box").bounding_box()
    window = page.viewport_size
    assert box is not None and window is not None
    assert (box["width"], box["height"]) == (window["width"], window["height"])


def test_a_series_is_stepped_through(visited: Any) -> None:
    page = visited("photos/")
    film = page.locator(".jt-film").first
    words, slider = film.locator(".jt-film__words"), film.get_by_role("slider")
    expect(words).to_have_text(re.compile("^23 August 2025"))
    film.get_by_role("button", name="Later").click()
    expect(words).to_have_text(re.compile("^30 August 2025"))
    slider.focus()
    page.keyboard.press("End")
    expect(words).to_have_text(re.compile("^22 November 2026"))
    assert slider.get_attribute("aria-valuetext") == "22 November 2026"
    play = film.get_by_role("button", name="Play")
    play.click()
    stop = film.get_by_role("button", name="Stop")
    assert stop.get_attribute("aria-pressed") == "true"
    page.wait_for_timeout(1300)
    stop.click()
    place = int(slider.input_value())
    assert 1 <= place <= 3, "two pictures a second, from the first"


@pytest.mark.parametrize("visited", [{"reduced_motion": "reduce"}], indirect=True)
def test_nothing_plays_where_motion_is_not_wanted(visited: Any) -> None:
    page = visited("photos/")
    film = page.locator(".jt-film").first
    expect(film.get_by_role("button", name="Later")).to_be_visible()
    expect(film.locator("[data-play]")).to_be_hidden()


def test_any_two_days_are_compared(visited: Any) -> None:
    page = visited("photos/")
    compare = page.locator("[data-compare]").first
    row = compare.locator("[data-parameter=magnesium] td")
    from_build = row.all_text_contents()
    expect(compare.locator("select").first).to_be_visible()
    assert from_build[1].startswith("22 tests, 1\u202f245 to 1\u202f335 mg/L")
    left, right = compare.locator("[data-shown] p").all()
    compare.locator("select[data-side='0']").select_option(label="2 May 2026")
    compare.locator("select[data-side='1']").select_option(label="6 Jun 2026")
    expect(left).to_have_text("2 May 2026")
    expect(right).to_have_text("6 June 2026")
    assert compare.locator("[data-parameter=alkalinity] td").all_text_contents()[0] == "7.9 dKH"
    assert row.nth(1).text_content() != from_build[1]
    compare.get_by_role("checkbox").check()
    slider = compare.get_by_role("slider", name="How much of the left one")
    slider.fill("25")
    cut = compare.locator("[data-shown='0'] img").evaluate("e => getComputedStyle(e).clipPath")
    assert "75%" in cut


def test_the_script_and_the_build_say_between_alike(visited: Any) -> None:
    """The page comes filled in by the build; its script fills it in anew for the same two days."""
    page = visited("photos/")
    filled = page.locator("[data-compare]").evaluate_all(
        "all => all.map(one => "
        "[...one.querySelectorAll('[data-parameter] td')].map(e => e.textContent))"
    )
    markup = page.request.get(page.url).text()
    for cells in filled:
        for cell in cells:
            assert f"<td>{cell.replace('<', '&lt;')}</td>" in markup, cell


def test_search_finds_an_entry_by_its_title(visited: Any) -> None:
    page = visited("")
    page.locator("input.md-search__input").click()
    page.keyboard.type("gloves on", delay=20)
    found = page.locator(".md-search-result__item a[href*='2025-12-13-first-corals']").first
    found.wait_for()
    assert "First corals, with gloves on" in (found.text_content() or "")
    pages = page.locator(".md-search-result__item a").evaluate_all("all => all.map(e => e.href)")
    assert not any("/diary/2025/" in link for link in pages), "lists are not searched"


def test_pages_do_not_shift_while_they_load(visited: Any) -> None:
    for path in ("photos/", "diary/", "diary/2026-05/"):
        page = visited(path)
        shift = page.evaluate("""async () => {
          let sum = 0;
          new PerformanceObserver(list => list.getEntries().forEach(one => {
            if (!one.hadRecentInput) sum += one.value;
          })).observe({type: "layout-shift", buffered: true});
          await new Promise(done => setTimeout(done, 400));
          return sum;
        }""")
        assert shift < 0.1, (path, shift)
