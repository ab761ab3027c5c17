"""The build report on paper: A4 and Letter, light on white, no figure and no check cut in two."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pypdf
import pytest
from playwright.sync_api import Browser, Page

from tests.site.browsing import served
from tests.site.program import Demo

SIZES_MM = {"A4": (210, 297), "Letter": (215.9, 279.4)}
"""ISO 216; ANSI/ASME Y14.1."""

WHOLE = (
    ".jt-planfigure", ".jt-report__check", ".jt-check__gauge", ".jt-report__picture",
    ".jt-step", ".jt-report tr", ".jt-report article",
)  # fmt: skip
MARK = """selectors => {
  let n = 0;
  for (const element of document.querySelectorAll(selectors)) {
    if (!element.getClientRects().length) continue;
    if (getComputedStyle(element).display !== "table-row") element.style.position = "relative";
    const host = element.matches("tr") ? element.cells[0] : element;
    host.style.position = "relative";
    for (const [place, edge] of [["a", "top"], ["z", "bottom"]]) {
      const mark = document.createElement("span");
      mark.textContent = `q${place}${n}q`;
      mark.style.cssText =
        `position:absolute;left:0;${edge}:0;font:4px/4px monospace;white-space:nowrap`;
      host.append(mark);
    }
    n += 1;
  }
  return n;
}"""
"""Puts a word at the upper and at the lower edge of each element: on paper both must be on one
page. A figure drawn by the browser cannot tell where it was cut, words can."""

Printed = tuple[pypdf.PdfReader, int]


@pytest.fixture(scope="module")
def report(browser: Browser, demo: Demo) -> Iterator[Page]:
    with served(demo.site) as home:
        context = browser.new_context(viewport={"width": 1000, "height": 900}, color_scheme="dark")
        page = context.new_page()
        page.goto(f"{home}report/")
        page.wait_for_load_state("networkidle")
        yield page
        context.close()


@pytest.fixture(scope="module")
def printed(report: Page, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Printed]:
    count = report.evaluate(MARK, ", ".join(WHOLE))
    found: dict[str, Printed] = {}

    def of(size: str) -> Printed:
        if size not in found:
            path: Path = tmp_path_factory.mktemp("print") / f"{size}.pdf"
            report.pdf(path=path, format=size, print_background=True)
            found[size] = pypdf.PdfReader(path), count
        return found[size]

    return of


@pytest.mark.parametrize("size", SIZES_MM)
def test_the_paper_has_its_size(size: str, printed: Callable[[str], Printed]) -> None:
    reader, _ = printed(size)
    for page in reader.pages:
        measured = [float(side) * 25.4 / 72 for side in page.mediabox[2:]]
        assert measured == pytest.approx(SIZES_MM[size], abs=0.5)
    assert 4 <= len(reader.pages) <= 14


@pytest.mark.parametrize("size", SIZES_MM)
def test_nothing_that_belongs_together_is_cut(size: str, printed: Callable[[str], Printed]) -> None:
    reader, count = printed(size)
    texts = ["".join(page.extract_text().split()) for page in reader.pages]
    assert count > 40
    for n in range(count):
        first, last = (
            [number for number, text in enumerate(texts) if f"q{place}{n}q" in text]
            for place in "az"
        )
        assert len(first) == 1 and first == last, (n, first, last)


@pytest.mark.parametrize("size", SIZES_MM)
def test_the_whole_report_is_on_the_paper(size: str, printed: Callable[[str], Printed]) -> None:
    reader, _ = printed(size)
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    for heading in ("Water and vessels", "Carrying it", "Before buying", "First animals"):
        assert heading in text
    assert "licensed electrician" in text and "structural engineer" in text


def test_paper_is_white_and_nothing_reaches_over_its_edge(report: Page) -> None:
    report.emulate_media(media="print", color_scheme="dark")
    colours = report.evaluate(
        "['html', 'body'].map(tag => getComputedStyle(document.querySelector(tag)).backgroundColor)"
    )
    assert set(colours) <= {"rgb(255, 255, 255)", "rgba(0, 0, 0, 0)"}
    report.set_viewport_size({"width": 680, "height": 900})  # A4 less its margins, in CSS pixels
    assert report.evaluate("document.documentElement.scrollWidth") <= 680
    report.emulate_media(media="screen")
