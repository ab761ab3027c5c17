"""Licences that a keeper may choose, by the short names of the SPDX list."""

from __future__ import annotations

import re
from dataclasses import dataclass

NAMES = {
    "CC0-1.0": "Creative Commons Zero v1.0 Universal",
    "CC-BY-4.0": "Creative Commons Attribution 4.0 International",
    "CC-BY-SA-4.0": "Creative Commons Attribution Share Alike 4.0 International",
    "CC-BY-NC-4.0": "Creative Commons Attribution Non Commercial 4.0 International",
    "CC-BY-NC-SA-4.0": "Creative Commons Attribution Non Commercial Share Alike 4.0 International",
    "CC-BY-ND-4.0": "Creative Commons Attribution No Derivatives 4.0 International",
    "CC-BY-NC-ND-4.0": (
        "Creative Commons Attribution Non Commercial No Derivatives 4.0 International"
    ),
    "ODbL-1.0": "Open Data Commons Open Database License v1.0",
    "ODC-By-1.0": "Open Data Commons Attribution License v1.0",
    "PDDL-1.0": "Open Data Commons Public Domain Dedication & License 1.0",
}
"""Licences for texts, pictures and data by their id.

Source:
    SPDX License List, full names (spdx.org/licenses).
"""

_BY_FOLDED = {name.casefold(): name for name in NAMES}


@dataclass(frozen=True, slots=True)
class Licence:
    """Under which terms something may be used.

    Attributes:
        said: What the keeper wrote, with the list's own spelling of an id.
        name: Full name of a licence on the list, or what the keeper wrote.
        url: Where its text is, or ``""`` for free words.
    """

    said: str
    name: str
    url: str = ""

    @property
    def words(self) -> str:
        """The licence for a reader: the id with its name, or the keeper's words."""
        return f"{self.said} ({self.name})" if self.url else self.said


def licence_of(said: str) -> Licence:
    """Give the licence that somebody names by its id or describes in words of their own.

    >>> licence_of("cc-by-4.0").words
    'CC-BY-4.0 (Creative Commons Attribution 4.0 International)'
    >>> licence_of("all rights reserved").words
    'all rights reserved'
    """
    words = " ".join(said.split())
    known = _BY_FOLDED.get(re.sub(r"[\s_]+", "-", words).casefold())
    if known is None:
        return Licence(words, words)
    return Licence(known, NAMES[known], f"https://spdx.org/licenses/{known}.html")
