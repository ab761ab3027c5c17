"""When supplements run out, from the rows of a journal alone.

The same arithmetic as the metric ``days_left``, without tables: a command that runs every morning
must not wait for them. A test holds the two together.
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

_SINGLE_DAYS = 14
_STOCK_ERROR, _DOSE_ERROR = 0.05, 0.10  # one sd as a share: common practice, no source
_DELIVERY_DAYS = 7  # common practice, no source
_TOO_FAR_DAYS = 3650


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
        if lasts is not None and lasts.low <= _TOO_FAR_DAYS:
            wait = max(0, math.floor(lasts.low) - _DELIVERY_DAYS)
            yield Bottle(product, lasts, today + dt.timedelta(days=wait))


def _doses(profile: Profile, rows: Mapping[str, Sequence[Row]]) -> Iterator[Mapping[str, Any]]:
    """Give all doses, and the top-offs with a supplement as such."""
    yield from rows["doses"]
    names = {name_key(supplement.name): supplement.name for supplement in profile.supplements}
    for row in rows["top_offs"]:
        if row["product"]:
            product = names.get(name_key(row["product"]), row["product"])
            yield {"time": row["time"], "product": product, "amount": row["volume_l"] * 1000,
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
    left = max(0.0, amount - used)
    return days_left(left, daily, _STOCK_ERROR * amount, _DOSE_ERROR * daily)


def _known_stock(
    profile: Profile, product: str, unit: str, doses: Sequence[Mapping[str, Any]],
    stock: Sequence[Row],
) -> tuple[float, dt.datetime] | None:  # fmt: skip
    """Give what was there at the last count and when; a bottle is full at its first dose."""
    counts = [row for row in stock if (row["product"], row["unit"]) == (product, unit)]
    if counts:
        last = max(counts, key=lambda row: row["time"])
        return last["amount"], last["time"]
    supplement = next((s for s in profile.supplements if s.name == product), None)
    if supplement is None or supplement.bottle is None or unit != "ml":
        return None
    full_ml = 1000 * supplement.bottle.value
    if sum(row["amount"] for row in doses) > full_ml:
        return None  # refilled without a word: nobody knows
    return full_ml, doses[0]["time"] - dt.timedelta(seconds=1)
