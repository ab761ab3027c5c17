"""How a journal wants to be cited, and under which terms its parts may be used."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from journal_tools.licences import Licence, licence_of
from journal_tools.profile import Profile

PARTS = ("text", "photos", "data")


@dataclass(frozen=True, slots=True)
class Citation:
    """What a citation names.

    Attributes:
        title: Name of the tank.
        keeper: Name that the keeper shows, or ``""``.
        year: Year of the version that is cited.
        url: Where it is published, or ``""``.
        licences: Terms of text, photos and data, as far as the keeper has chosen them.
    """

    title: str
    keeper: str
    year: int
    url: str
    licences: dict[str, Licence]

    @property
    def sentence(self) -> str:
        """The citation in one line, as in a list of references.

        Source:
            Order of creator, year, title, kind and address: DataCite Metadata Schema 4.5,
            recommended citation.
        """
        who = f"{self.keeper} ({self.year})" if self.keeper else f"{self.year}"
        where = f" {self.url}" if self.url else ""
        return f"{who}. {self.title}: journal of a reef tank [data set].{where}"

    @property
    def text(self) -> str:
        """The citation and the terms as a plain text file."""
        lines = ["How to cite", "", self.sentence, ""]
        lines += ["Terms of use"] if self.licences else []
        for part, licence in self.licences.items():
            address = f" {licence.url}" if licence.url else ""
            lines.append(f"- {part}: {licence.words}{address}")
        return "\n".join(lines).rstrip() + "\n"


def citation_of(profile: Profile, today: dt.date, url: str = "") -> Citation:
    """Give the citation of a journal.

    Args:
        profile: The tank.
        today: Day of the version that is cited.
        url: Where it is published, or ``""``.
    """
    keeper = profile.keeper if profile.privacy.show_keeper else None
    chosen = {part: getattr(profile.licence, part) for part in PARTS}
    licences = {part: licence_of(said) for part, said in chosen.items() if said}
    return Citation(profile.name, keeper or "", today.year, url, licences)
