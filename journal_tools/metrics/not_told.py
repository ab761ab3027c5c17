"""Why an uptake cannot be told, in a keeper's words, with what would mend it."""

from __future__ import annotations

from journal_tools.metrics.inflow import Balance
from journal_tools.science.estimation.uptake import NotEstimable

_WORDS = {
    NotEstimable.TOO_FEW: "it takes three tests within a month or so, and fewer are there",
    NotEstimable.GAP: (
        "more than 45 days without a test lie in between; three tests after such a gap tell it "
        "again"
    ),
    NotEstimable.KIT_CHANGE: (
        "two different kits were used; a third test with the same one tells it again"
    ),
    NotEstimable.SALINITY_SHIFT: (
        "the salinity moved by more than 1 psu meanwhile, and everything dissolved with it; it "
        "can be told again once the salinity has been steady for a few tests"
    ),
    NotEstimable.LIMITS_ONLY: (
        "most tests only said 'below' or 'above' something; three real figures are needed"
    ),
    NotEstimable.NOTHING_SEEN: "the tests lie too close together to show it",
    NotEstimable.NO_SCATTER: (
        "the tests agree to the last digit, so nobody knows how good they are; write the step of "
        "the kit under 'tests' in tank.yml"
    ),
}


def why_not(reason: NotEstimable, balance: Balance) -> str:
    """Give why there is no figure, and what to do about it.

    Args:
        reason: What the estimate says.
        balance: The balance that it was drawn from.
    """
    if reason is not NotEstimable.UNKNOWN_SUPPLY:
        return _WORDS[reason]
    names = sorted({one.product for one in balance.supplied.untold})
    listed = " and ".join(names) if len(names) < 3 else f"{names[0]} and {len(names) - 1} others"
    return (
        f"nobody knows what {listed or 'something'} did to it; describe it under 'supplements' in "
        "tank.yml, with the unit that it is dosed in, or write 'no_effect: true' there"
    )
