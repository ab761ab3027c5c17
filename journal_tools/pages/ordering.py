"""What is used up: how long it lasts, and the day by which it should be ordered again."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from journal_tools.bottles import TOO_FAR_DAYS, order_day
from journal_tools.pages.site import Site
from journal_tools.tasks import Once
from journal_tools.words import counted, number_text


@dataclass(frozen=True, slots=True)
class Order:
    """Something that runs out.

    Attributes:
        name: What it is.
        lasts: How long it lasts, in words with its range.
        by: The day by which to order it, early enough for the shortest time.
        late: Whether that day has come.
    """

    name: str
    lasts: str
    by: dt.date
    late: bool


def orders_of(site: Site) -> list[Order]:
    """Give what runs out, the soonest first: every product of which the days left are known.

    A week is left for the delivery: common practice, no source.
    """
    found = []
    for result in site.metrics.of("days_left"):
        least = result.value if result.low is None else result.low
        if not math.isfinite(least) or least > TOO_FAR_DAYS:
            continue
        by = order_day(site.today, least)
        lasts = counted(round(result.value), "day")
        if result.high is not None and math.isfinite(result.high):
            lasts += f" ({number_text(least, 0)} to {number_text(result.high, 0)})"
        found.append(Order(result.subject, lasts, by, by <= site.today))
    return sorted(found, key=lambda order: (order.by, order.name))


def reminders(orders: list[Order]) -> list[Once]:
    """Give the orders as days of a calendar."""
    return [Once(f"order {one.name}", one.by, f"Lasts {one.lasts}.") for one in orders]
