"""The words themselves, and links to them."""

from __future__ import annotations

import re

import pytest
from jinja2 import TemplateRuntimeError

from journal_tools.pages.glossary_terms import TERMS, term_link, term_of_parameter
from journal_tools.parameters import PARAMETERS

WANTED = {
    "alkalinity", "aragonite", "censored", "dkh", "dli", "interval-90", "microatmosphere", "psu",
    "specific-gravity", "standard-deviation", "turnover",
}  # fmt: skip


def test_there_are_enough_words_and_those_that_were_asked_for() -> None:
    assert len(TERMS) >= 60
    assert TERMS.keys() >= WANTED


def test_a_term_is_told_in_a_few_plain_sentences() -> None:
    for term in TERMS.values():
        assert re.fullmatch(r"[a-z0-9-]+", term.name)
        assert 40 <= len(term.words) <= 420 and term.words.endswith("."), term.name
        assert set(term.see) <= TERMS.keys() - {term.name}, term.name


def test_a_link_says_the_word_as_a_sentence_would() -> None:
    assert term_link("alkalinity") == (
        '<a class="jt-term" href="site:glossary#term-alkalinity">alkalinity</a>'
    )
    assert str(term_link("dkh")).endswith(">dKH</a>")
    assert str(term_link("ph", "<pH>")).endswith(">&lt;pH&gt;</a>")
    with pytest.raises(TemplateRuntimeError, match="no term 'nothing'"):
        term_link("nothing")


def test_what_is_tested_has_its_word() -> None:
    without = {name for name in PARAMETERS if term_of_parameter(name) is None}
    assert without == {"temperature", "silicate", "room_temperature", "room_co2", "humidity"}


def test_figures_agree_with_published_ones() -> None:
    """Worked out from atomic masses (IUPAC 2021, abridged)."""
    calcium_g, nitrogen_g, oxygen_g, hydrogen_g = 40.078, 14.007, 15.999, 1.008
    # 1 dKH is 10 mg/L of CaO, two charges each: 0.3566 meq/L (DIN 38409-7).
    meq_per_dkh = 2 * 10 / (calcium_g + oxygen_g)
    assert f"{meq_per_dkh:.3f}" in TERMS["dkh"].words
    assert f"{1 / meq_per_dkh:.1f}" in TERMS["meq"].words
    assert f"some {meq_per_dkh / 2 * calcium_g:.0f} mg/L" in TERMS["calcification"].words
    nitrate_g = nitrogen_g + 3 * oxygen_g
    assert f"{nitrate_g / nitrogen_g:.1f} times less" in TERMS["nitrate"].words
    ammonia_g = nitrogen_g + 3 * hydrogen_g
    assert f"{ammonia_g / nitrogen_g:.1f} times" in TERMS["total-ammonia"].words
