"""Names that people give to things: when two spellings mean the same thing."""

from __future__ import annotations

import re
import unicodedata


def name_key(name: str) -> str:
    """Give a form in which case, spaces, hyphens and accents do not count.

    >>> name_key("Clown-Fish") == name_key("clown fish")
    True
    """
    # Taking letters apart may bring forth capitals, as of a circled letter: fold them as well.
    plain = unicodedata.normalize("NFKD", name.casefold()).casefold()
    return "".join(c for c in unicodedata.normalize("NFKD", plain) if c.isalnum())


def same_but_for_a_slip(one: str, other: str) -> bool:
    """Tell whether two names look like one name with a slip of the finger or a plural s.

    Names that differ in a number, or in a word of one or two letters, are kept apart:
    ``heater 1`` and ``heater 2`` are two heaters.

    >>> same_but_for_a_slip("turbo snail", "turbo snial"), same_but_for_a_slip("pump a", "pump b")
    (True, False)
    """
    a, b = name_key(one), name_key(other)
    if a == b:
        return True
    if re.findall(r"\d+", a) != re.findall(r"\d+", b) or min(len(a), len(b)) < 5:
        return False
    short_a, short_b = (_short_words(name) for name in (one, other))
    return short_a == short_b and _edits_within(a, b, 2 if min(len(a), len(b)) >= 9 else 1)


def _short_words(name: str) -> list[str]:
    return [word for word in re.findall(r"\w+", name.casefold()) if len(word) <= 2]


def _edits_within(a: str, b: str, limit: int) -> bool:
    """Tell whether at most ``limit`` insertions, deletions, changes or swaps turn a into b.

    Source:
        Optimal string alignment distance (Damerau 1964, Commun. ACM 7:171).
    """
    if abs(len(a) - len(b)) > limit:
        return False
    before: list[int] = []
    row = list(range(len(b) + 1))
    for i, char in enumerate(a, 1):
        before, last, row = row, before, [i]
        for j, other in enumerate(b, 1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (char != other))
            if i > 1 and j > 1 and char == b[j - 2] and a[i - 2] == other:
                cost = min(cost, last[j - 2] + 1)
            row.append(cost)
    return row[-1] <= limit
