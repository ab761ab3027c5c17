"""Skimmer, media and mechanical filters."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.pages.built import Built
from tests.pages.checks.finding import check, ids, of

TANK = "vessels: {name: d, shape: stated, volume: 100 L}\n"


def test_a_skimmer_against_the_bioload(full: Built) -> None:
    sentence = check(full.site, "skimmer-skimmer").sentence
    assert "Its box says tanks up to 400 L, 1.5 times the water here" in sentence
    assert "of air for each gram of fish" in sentence
    assert "0.04 g of food a day for each 100 L" in sentence  # 3 g in 30 days and 260 L
    assert sentence.endswith("; 1 coral lives in it.")


def test_a_skimmer_of_which_nothing_is_told(tmp_path: Path) -> None:
    found = check(of(tmp_path, "equipment: [{name: s, kind: skimmer}]\n"), "skimmer-s")
    assert found.sentence == "Its rating and its air are not told yet."
    assert "rated_volume" in found.missing[0]


def test_carbon_amount_contact_and_change(full: Built) -> None:
    """130 g in 260 L; 0.5 L at 300 L/h is 6 s; changed on 28 March."""
    found = check(full.site, "media-reactor")
    assert found.sentence == (
        "Activated carbon in the reactor: 50 g/100 L of water; at 300 L/h the water stays 6 s in "
        "0.5 L of it; changed every 4 weeks, next in 4 weeks."
    )
    assert found.gauge and "no source" in found.practice and found.missing == []


@pytest.mark.parametrize(
    ("media", "asked"),
    [
        ("what: carbon", ["mass: 120 g", "change_every: 4 weeks", "rated_flow"]),
        ("what: carbon, mass: 5 g, change_every: 1 week", ["rated_flow"]),
    ],
)
def test_what_is_not_told_of_media(media: str, asked: list[str], tmp_path: Path) -> None:
    site = of(tmp_path, TANK + f"equipment: [{{name: r, kind: reactor, media: {{{media}}}}}]\n")
    hints = " ".join(check(site, "media-r").missing)
    assert all(word in hints for word in asked)
    assert ("mass: 120 g" in hints) == ("mass: 120 g" in asked)


@pytest.mark.parametrize(
    ("what", "hazards"),
    [
        ("limewater powder", ["chemical"]), ("CO2 absorber", ["gas"]), ("floss ball", None),
        ("aragonite gravel", []),
    ],
)  # fmt: skip
def test_media_carry_their_caution(what: str, hazards: list[str] | None, tmp_path: Path) -> None:
    gear = f"equipment: [{{name: r, kind: reactor, media: {{what: {what}}}}}]\n"
    site = of(tmp_path, TANK + gear)
    if hazards is None:
        assert "media-r" not in ids(site)
    else:
        assert check(site, "media-r").hazards == hazards


def test_mechanical_filters_from_list_and_equipment(full: Built, us_planned: Built) -> None:
    assert check(full.site, "mechanical").sentence == (
        "Filter floss, changed every 5 days, now due."
    )
    found = check(us_planned.site, "mechanical")
    assert found.sentence == "Filter sock in sock holder, to be changed every 4 days."
    assert found.planned and "media-sockholder" not in ids(us_planned.site)


def test_no_mechanical_filter_no_check(empty: Built) -> None:
    assert "mechanical" not in ids(empty.site)
