"""How money is said: in the journal's currency, as English readers write it."""

from __future__ import annotations

from dataclasses import replace

from babel.numbers import format_currency

from journal_tools.metrics import Result


def money_text(amount: float, currency: str, *, whole: bool = False) -> str:
    """Give an amount of money with its sign, to the cent or in whole units.

    Args:
        amount: The amount.
        currency: Three letters (ISO 4217).
        whole: Whether cents are left out: a figure over years does not know them.

    Source:
        Unicode CLDR, locale ``en``.

    >>> money_text(1234.5, "EUR"), money_text(1234.5, "USD", whole=True), money_text(3, "CHF")
    ('€1,234.50', '$1,234', 'CHF\\xa03.00')
    """
    shape = "¤#,##0" if whole else None
    text: str = format_currency(amount, currency, shape, locale="en", currency_digits=not whole)
    sign, number = ("-", text[1:]) if text.startswith("-") else ("", text)
    # A code of letters runs into its number; CLDR parts them, its library does not.
    rest = number.removeprefix(currency)
    spaced = f"{currency}\u00a0{rest}" if rest != number and rest[:1].isdigit() else number
    return f"\u2212{spaced}" if sign else spaced


def money_of(result: Result) -> str:
    """Give a result that is money, or money for a unit of something; else nothing.

    >>> money_of(Result("cost_per_litre", 5, "EUR per L")), money_of(Result("net_volume", 5, "L"))
    ('€5.00 per L', '')
    """
    currency, of, each = result.unit.partition(" per ")
    if not is_money(replace(result, unit=currency)):
        return ""
    return f"{money_text(result.value, currency)}{of}{each}"


def is_money(result: Result) -> bool:
    """Tell whether a result is an amount of money.

    >>> is_money(Result("cost_total", 5, "EUR")), is_money(Result("net_volume", 5, "L"))
    (True, False)
    """
    return len(result.unit) == 3 and result.unit.isalpha() and result.unit.isupper()
