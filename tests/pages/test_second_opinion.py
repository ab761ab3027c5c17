"""The mentor's sheet: the system, the last ninety days, what is asked, and nothing private."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.pages.second_opinion import second_opinion_page
from tests import journals
from tests.pages.built import Built, Html, text_of

TANK = (
    journals.HUNDRED_LITRES
    + """\
keeper: Secret Name
targets: {alkalinity: 7 to 9}
equipment: [{name: pump, kind: return pump, rated_flow: 900, price: 123.45}]
instruments: [{name: optical, kind: refractometer}]
animals: [{name: clownfish, group: fish, adult_length: 8 cm}]
privacy: {show_keeper: false, show_costs: false}
"""
)
LOG = {
    "log/2025-12-01.yml": "readings: {alkalinity: 5}\nquestions: [An old question?]\n",
    "log/2026-03-01.yml": "readings: {alkalinity: 7.4}\nlivestock: {added: clownfish, count: 2}\n",
    "log/2026-03-20.yml": """\
readings: {alkalinity: 9.6}
water_change: 10 L
livestock: {lost: clownfish, why: '<b>jumped</b>'}
questions: [Why "so" <high>?]
costs: [{what: salt, amount: 77.77}]
""",
}


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Html:
    found = journals.site(tmp_path_factory.mktemp("opinion"), {"tank.yml": TANK} | LOG)
    return Html.of(second_opinion_page(found))


def test_it_is_sound_html(page: Html) -> None:
    assert page.errors == []


def test_the_questions_come_first_and_the_newest_first(page: Html) -> None:
    asked = [text_of(e) for e in page.by_class("jt-asked")[0]]
    assert [words.partition("?")[0] for words in asked] == ['Why "so" <high>', "An old question"]
    headings = [text_of(e) for e in page.all("h2")]
    assert headings[0] == "What the keeper asks"


def test_only_the_last_ninety_days_are_watched(page: Html) -> None:
    (row,) = [e for e in page.all("tr") if text_of(e).startswith("Alkalinity")]
    assert [text_of(cell) for cell in row] == [
        "Alkalinity", "9.6 dKH", "7.4 to 9.6", "2", "7.0 to 9.0 dKH", "± 0.2"]  # fmt: skip


def test_losses_and_doubts_are_told(page: Html) -> None:
    assert "Lost: clownfish" in page.text and "<b>jumped</b>" in page.text
    assert "Alkalinity was above its band in the last test." in page.text
    assert "Which scale the optical has is not told" in page.text


def test_no_cost_and_no_name_is_on_it(page: Html) -> None:
    for private in ("Secret Name", "123.45", "77.77", "Europe/Berlin"):
        assert private not in page.text


def test_an_empty_journal_has_one_too(empty: Built) -> None:
    html = empty.html["second-opinion"]
    assert html.errors == []
    assert "No animal was lost" in html.text
    assert not html.by_class("jt-asked")


def test_every_entry_that_is_named_can_be_reached(page: Html, tmp_path: Path) -> None:
    links = {e.get("href", "") for e in page.all("a")}
    assert any(link.startswith("site:diary/2026-03#2026-03-20") for link in links)
    assert "None" not in links
