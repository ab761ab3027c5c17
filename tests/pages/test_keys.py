"""The page of all keys."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.keys import all_keys
from journal_tools.pages.keys import keys_page, sections_of
from tests import journals
from tests.pages.built import Html, text_of


@pytest.fixture(scope="module")
def html(tmp_path_factory: pytest.TempPathFactory) -> Html:
    return Html.of(keys_page(journals.site(Path(tmp_path_factory.mktemp("keys")), {})))


def test_every_key_is_on_it_once(html: Html) -> None:
    assert html.errors == []
    names = [text_of(e) for e in html.all("h3", "summary")]
    assert sorted(names) == sorted(key.path for key in all_keys())


def test_headings_can_be_linked_to(html: Html) -> None:
    anchors = [e.get("id") for e in html.all("h3")]
    assert len(anchors) == len(set(anchors))
    linked = [e.get("href", "") for e in html.all("a")]
    assert linked == [f"#{anchor}" for anchor in anchors]
    assert {"tank-equipment", "entry-equipment"} <= set(anchors)


def test_a_key_with_everything(html: Html) -> None:
    (found,) = [d for d in html.all("details") if text_of(d).startswith("feed.amount ")]
    assert text_of(found) == (
        "feed.amount Mass as given, wet or dry. Write a mass; a bare number is g. Units: g, kg, "
        "mg, lb, lbs, oz. feed: - {what: frozen mysis, amount: 2 g}"
    )


def test_sections_hold_what_is_below_them() -> None:
    sections = {section.key.path: section for section in sections_of("an entry")}
    assert [key.path for key in sections["doses"].inside] == [
        "doses.what", "doses.amount", "doses.time", "doses.note"]  # fmt: skip
    assert sections["notes"].inside == ()
