"""When supplements run out, from the rows of a journal alone.

A command that runs every morning must not wait for tables. The metric ``days_left`` gathers the
same amounts from them, with their working, and reckons on with the functions of this module.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from journal_tools.names import name_key
from journal_tools.profile import Profile
from journal_tools.rows import Row
from journal_tools.science.additives.dose_plan import days_left
from journal_tools.science.estimate import Estimate
from journal_tools.units import Quantity

DELIVERY_DAYS = 7
"""Days from ordering to having. Common practice, no source."""

TOO_FAR_DAYS = 3650
"""What lasts longer is not worth a date."""

ML_PER_L = 1000

_SINGLE_DAYS = 14
_STOCK_ERROR, _DOSE_ERROR = 0.05, 0.10  # one sd as a share: common practice, no source


@dataclass(frozen=True, slots=True)
class Bottle:
    """A supplement that runs out.

    Attributes:
        name: Its name.
        lasts: For how many days, with its 90 % interval.
        order_by: The day by which to order it if it runs out at its earliest.
    """

    name: str
    lasts: Estimate
    order_by: dt.date


def bottles_of(
    profile: Profile, today: dt.date, rows: Mapping[str, Sequence[Row]]
) -> Iterator[Bottle]:
    """Give every product of which the days left are known.

    Args:
        profile: The tank.
        today: The last day that counts.
        rows: Every fact, by table.
    """
    doses = sorted(_doses(profile, rows), key=lambda row: row["time"])
    for product, unit in sorted({(row["product"], row["unit"]) for row in doses}):
        own = [row for row in doses if (row["product"], row["unit"]) == (product, unit)]
        lasts = _lasts(own, _known_stock(profile, product, unit, own, rows["stock"]), today)
        if lasts is not None and lasts.low <= TOO_FAR_DAYS:
            yield Bottle(product, lasts, order_day(today, lasts.low))


def order_day(today: dt.date, least_days: float) -> dt.date:
    """Give the day by which to order what may be used up in so many days, today at the earliest.

    >>> order_day(dt.date(2026, 3, 1), 10.5)
    datetime.date(2026, 3, 4)
    """
    return today + dt.timedelta(days=max(0, math.floor(least_days) - DELIVERY_DAYS))


def lasting(counted: float, used: float, daily: float) -> Estimate:
    """Give for how many days a stock lasts, with its 90 % interval.

    Args:
        counted: What was there at the last count.
        used: What was dosed since, in the same unit.
        daily: What goes in a day at present, above 0.
    """
    left = max(0.0, counted - used)
    return days_left(left, daily, _STOCK_ERROR * counted, _DOSE_ERROR * daily)


def full_bottle(profile: Profile, product: str, unit: str, dosed: float) -> Quantity | None:
    """Give the size in L of a bottle that was full at its first dose, or None if nobody knows.

    Args:
        profile: The tank.
        product: Name of the supplement.
        unit: Unit of its doses.
        dosed: All that was dosed of it.
    """
    supplement = next((s for s in profile.supplements if s.name == product), None)
    if supplement is None or supplement.bottle is None or unit != "ml":
        return None
    # More than it holds: it was refilled without a word.
    return supplement.bottle if dosed <= ML_PER_L * supplement.bottle.value else None


def _doses(profile: Profile, rows: Mapping[str, Sequence[Row]]) -> Iterator[Mapping[str, Any]]:
    """Give all doses, and the top-offs with a supplement as such."""
    yield from rows["doses"]
    names = {name_key(supplement.name): supplement.name for supplement in profile.supplements}
    for row in rows["top_offs"]:
        if row["product"]:
            product = names.get(name_key(row["product"]), row["product"])
            yield {"time": row["time"], "product": product, "amount": row["volume_l"] * ML_PER_L,
                   "unit": "ml", "scheduled": False}  # fmt: skip


def _lasts(
    doses: Sequence[Mapping[str, Any]], known: tuple[float, dt.datetime] | None, today: dt.date
) -> Estimate | None:
    daily = sum(row["amount"] for row in doses if row["scheduled"] and row["time"].date() >= today)
    since = today - dt.timedelta(days=_SINGLE_DAYS - 1)
    late = [row for row in doses if not row["scheduled"] and row["time"].date() >= since]
    daily += sum(row["amount"] for row in late) / _SINGLE_DAYS
    if known is None or daily <= 0:
        return None
    amount, counted = known
    used = sum(row["amount"] for row in doses
               if row["time"] > counted and row["time"].date() <= today)  # fmt: skip
    return lasting(amount, used, daily)


def _known_stock(
    profile: Profile, product: str, unit: str, doses: Sequence[Mapping[str, Any]],
    stock: Sequence[Row],
) -> tuple[float, dt.datetime] | None:  # fmt: skip
    """Give what was there at the last count and when; a bottle is full at its first dose."""
    counts = [row for row in stock if (row["product"], row["unit"]) == (product, unit)]
    if counts:
        last = max(counts, key=lambda row: row["time"])
        return last["amount"], last["time"]
    bottle = full_bottle(profile, product, unit, sum(row["amount"] for row in doses))
    if bottle is None:
        return None
    return ML_PER_L * bottle.value, doses[0]["time"] - dt.timedelta(seconds=1)
