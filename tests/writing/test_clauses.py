"""Clauses about water, doses, food and money, as parts of a line."""

from __future__ import annotations

from typing import Any

import pytest

from journal_tools.writing.clauses import bare_number, money
from journal_tools.writing.sentence import understand
from journal_tools.writing.vocabulary import Vocabulary
from tests.writing.conftest import TODAY


def data(line: str, vocabulary: Vocabulary) -> dict[str, Any]:
    understood = understand(line, vocabulary, TODAY)
    assert understood.unclear == ()
    return understood.data


@pytest.mark.parametrize(
    ("line", "readings"),
    [
        ("alk 8,2,ca 420;mg 1310 and no3 5", {"alkalinity": 8.2, "calcium": 420,
                                             "magnesium": 1310, "nitrate": 5}),
        ("KH 8.2 dKH\nKarbonathärte: 8", {"alkalinity": ["8.2 dKH", 8]}),
        ("no2 <0.25, nitrate below 1, po4 > 2 ppm", {"nitrite": "<0.25", "nitrate": "below 1",
                                                    "phosphate": "> 2 ppm"}),
        ("temp is 78 F, ca420, orp -50, redox: 320 mV",
         {"temperature": "78 F", "calcium": 420, "orp": [-50, "320 mV"]}),
        ("sg 1.0264, NO3-N 1.2", {"salinity": "1.0264 SG", "nitrate": "1.2 mg/L N"}),
        ("sg <1.02, sg 1.025 SG 20/20", {"salinity": ["<1.02 SG", "1.025 SG 20/20"]}),
        ("alk 9.2 before change", {"alkalinity": {"value": 9.2, "when": "before change"}}),
        ("mg 1245 before the dose", {"magnesium": {"value": 1245, "when": "before dose"}}),
        ("alk 8.2 ± 0.1 dKH, room co2 800", {"alkalinity": "8.2 ± 0.1 dKH", "room_co2": 800}),
    ],
)  # fmt: skip
def test_readings(line: str, readings: dict[str, Any], vocabulary: Vocabulary) -> None:
    assert data(line, vocabulary) == {"readings": readings}


@pytest.mark.parametrize(
    ("line", "entry"),
    [
        ("changed 20 litres of water", {"water_change": ["20 L"]}),
        ("5 gal water change", {"water_change": ["5 gal"]}),
        ("water change 20 l at 35 psu", {"water_change": [{"volume": "20 L",
                                                           "salinity": "35 psu"}]}),
        ("changed 20 l water with 1.026 sg", {"water_change": [{"volume": "20 L",
                                                               "salinity": "1.026 SG"}]}),
        ("wc 20", {"water_change": [20]}),
        ("topped off 4 l", {"top_off": ["4 L"]}),
        ("top-off 3,5 l with limewater", {"top_off": [{"volume": "3,5 L", "what": "limewater"}]}),
        ("added 2 l fresh water", {"top_off": ["2 L"]}),
        ("30 ml alk mix", {"doses": [{"what": "alk mix", "amount": "30 ml"}]}),
        ("dosed 5g of Calcium-Mix", {"doses": [{"what": "calcium mix", "amount": "5 g"}]}),
        ("alk mix 30", {"doses": [{"what": "alk mix", "amount": 30}]}),
        ("dose 24 ml alk mix a day", {"dosing_plan": [{"what": "alk mix", "per_day": "24 ml"}]}),
        ("stopped dosing alk mix", {"dosing_plan": [{"what": "alk mix", "stopped": True}]}),
        ("fed 2 g frozen mysis and flakes", {"feed": [{"what": "frozen mysis", "amount": "2 g"},
                                                      "flakes"]}),
        ("fed mysis (1.5 g)", {"feed": [{"what": "mysis", "amount": "1.5 g"}]}),
        ("spent 54.90 on salt (salt)", {"costs": [{"what": "salt", "amount": 54.9,
                                                   "category": "salt"}]}),
        ("paid €12 for flakes", {"costs": [{"what": "flakes", "amount": "12 EUR"}]}),
        ("salt cost 58 EUR", {"costs": [{"what": "salt", "amount": "58 EUR"}]}),
        ("title: Über Öl 🐠, tag: water", {"title": "Über Öl 🐠", "tags": ["water"]}),
        ('title: "One, two", question: is it well?', {"title": "One, two",
                                                      "questions": ["is it well?"]}),
    ],
)  # fmt: skip
def test_water_doses_food_money(line: str, entry: dict[str, Any], vocabulary: Vocabulary) -> None:
    assert data(line, vocabulary) == entry


@pytest.mark.parametrize(
    ("text", "number"),
    [("8,2", 8.2), ("1,310", "1,310"), ("-50", -50), ("<0.2", "<0.2"), ("1e5", "1e5")],
)
def test_bare_numbers(text: str, number: object) -> None:
    assert bare_number(text) == number


@pytest.mark.parametrize(
    ("text", "amount"),
    [("54.90", 54.9), ("€ 12", "12 EUR"), ("12$", "12 USD"), ("£3", "3 GBP"), ("5 EUR", "5 EUR")],
)
def test_money(text: str, amount: object) -> None:
    assert money(text) == amount
