"""The glossary: every technical word of the site in plain language."""

from __future__ import annotations

from itertools import groupby

from journal_tools.pages.glossary_terms import GLOSSARY_PATH, TERMS, Term
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page


def glossary_page(site: Site) -> Page:
    """Give the glossary."""
    return site.page(
        "glossary.html",
        GLOSSARY_PATH,
        "Glossary",
        description=f"{len(TERMS)} words of reef keeping, told to a beginner.",
        letters=letters(),
        terms=TERMS,
    )


def letters() -> list[tuple[str, list[Term]]]:
    """Give the terms under the letter they begin with."""
    grouped = groupby(TERMS.values(), lambda term: _letter(term.title))
    return [(letter, list(terms)) for letter, terms in grouped]


def _letter(title: str) -> str:
    """Give the letter under which a reader looks, a sign or number being under "#"."""
    first = title[0].upper()
    return first if first.isascii() and first.isalpha() else "#"
