"""Money in the journal's own currency, as English readers write it."""

from __future__ import annotations

import pytest

from journal_tools.metrics import Result
from journal_tools.pages.money import is_money, money_of, money_text


@pytest.mark.parametrize(
    ("amount", "currency", "text"),
    [
        # CLDR 46, locale en
        (3669.35, "EUR", "€3,669.35"), (0, "USD", "$0.00"), (12, "GBP", "£12.00"),
        (1234.4, "JPY", "¥1,234"), (5, "CHF", "CHF\u00a05.00"), (-5, "EUR", "−€5.00"),
        (-5, "CHF", "−CHF\u00a05.00"), (5, "XQZ", "XQZ\u00a05.00"),
    ],
)  # fmt: skip
def test_amounts(amount: float, currency: str, text: str) -> None:
    assert money_text(amount, currency) == text


def test_whole_amounts() -> None:
    assert money_text(74.6, "EUR", whole=True) == "€75"


def test_what_is_money() -> None:
    assert not any(is_money(Result("x", 1, unit)) for unit in ("psu", "MPa", "kWh", "dKH", "L", ""))
    assert money_of(Result("x", 1.5, "USD per gal")) == "$1.50 per gal"
    assert money_of(Result("x", 1.5, "g/day per 100 L")) == ""
