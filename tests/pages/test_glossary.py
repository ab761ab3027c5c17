"""The glossary page: every word once, in the order of the alphabet."""

from __future__ import annotations

from journal_tools.pages.glossary import letters
from journal_tools.pages.glossary_terms import TERMS
from tests.pages.built import Built, text_of


def test_every_word_has_its_heading(built: Built) -> None:
    page = built.html["glossary"]
    headings = {e.get("id"): text_of(e) for e in page.all("h3")}
    assert headings == {term.anchor: term.title for term in TERMS.values()}


def test_letters_come_once_and_in_order() -> None:
    names = [letter for letter, _ in letters()]
    assert names == sorted(set(names))
    assert sum(len(terms) for _, terms in letters()) == len(TERMS)


def test_every_link_to_a_word_finds_it(demo: Built) -> None:
    ids = {e.get("id") for e in demo.html["glossary"].all("h3")}
    links = {e.get("href", "").partition("#")[2] for page in demo.html.values()
             for e in page.by_class("jt-term")}  # fmt: skip
    assert links <= ids and len(links) > 20
