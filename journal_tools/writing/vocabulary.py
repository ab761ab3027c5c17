"""The names that a journal knows, and what somebody may have meant by another one."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import SequenceMatcher

from journal_tools.journal import Journal
from journal_tools.names import name_key, same_but_for_a_slip
from journal_tools.profile import Profile
from journal_tools.quantities import BareUnits

_ARTICLE = re.compile(r"(?:a|an|the|my|our|some|one more|another)\s+", re.IGNORECASE)
_NEAR = 0.8


@dataclass(frozen=True, slots=True)
class Name:
    """A name that the journal knows.

    Attributes:
        kind: ``animal``, ``supplement``, ``equipment``, ``task`` or ``food``.
        name: As it is written in tank.yml, or in the entries.
    """

    kind: str
    name: str


@dataclass(frozen=True)
class Vocabulary:
    """All names of a journal.

    Attributes:
        profile: The tank.
        names: Every name, those of tank.yml first.
        meant: What the keeper has said that a written name means, by its key.
    """

    profile: Profile
    names: tuple[Name, ...]
    meant: dict[str, str] = field(default_factory=dict)

    @property
    def units(self) -> BareUnits:
        """The units of numbers that stand without one."""
        return self.profile.bare_units

    def find(self, written: str, *kinds: str) -> Name | None:
        """Give the name that was written, whatever its case, article or plural, or None."""
        bare = _without_article(written)
        keys = _keys(self.meant.get(name_key(bare), bare))
        known = self._of(kinds)
        return next((name for key in keys for name in known if name_key(name.name) == key), None)

    def near(self, written: str, *kinds: str) -> list[Name]:
        """Give names that may have been meant, the likeliest first, three at most."""
        bare = _without_article(written)
        words = {name_key(word) for word in bare.split()}
        rated = []
        for name in self._of(kinds):
            likeness = SequenceMatcher(None, name_key(bare), name_key(name.name)).ratio()
            inside = bool(words) and words <= {name_key(word) for word in name.name.split()}
            if inside or same_but_for_a_slip(bare, name.name) or likeness >= _NEAR:
                rated.append((-likeness, name.name, name))
        return [name for _, _, name in sorted(rated, key=lambda rating: rating[:2])[:3]]

    def _of(self, kinds: Iterable[str]) -> list[Name]:
        return [name for kind in kinds for name in self.names if name.kind == kind]


def _without_article(written: str) -> str:
    text = re.sub(r"\s+", " ", written.strip())
    return _ARTICLE.sub("", text, count=1) if _ARTICLE.match(text) else text


def _keys(name: str) -> list[str]:
    """Give the keys of a name and of what it may be the plural of, by the rules of English."""
    key = name_key(name)
    ends = (("ies", "y"), ("es", ""), ("s", ""))
    singular = [key.removesuffix(end) + new for end, new in ends if key.endswith(end)]
    return [key, *(k for k in singular if len(k) >= 3), f"{key}s"]


def vocabulary_of(journal: Journal) -> Vocabulary:
    """Give the names of tank.yml and those that entries have used."""
    profile = journal.profile
    names = [Name("animal", item.name) for item in profile.animals]
    names += [Name("supplement", item.name) for item in profile.supplements]
    names += [Name("equipment", item.name) for item in profile.equipment]
    names += [Name("task", item.task) for item in profile.upkeep]
    for entry in journal.entries:
        record = entry.record
        names += [Name("animal", event.name) for event in record.livestock]
        names += [Name("supplement", dose.what) for dose in record.doses]
        names += [Name("supplement", plan.what) for plan in record.dosing_plan]
        names += [Name("equipment", event.name) for event in record.equipment]
        names += [Name("task", done.task) for done in record.upkeep]
        names += [Name("food", food.what) for food in record.feed]
    return Vocabulary(profile, _once(names))


def _once(names: Iterable[Name]) -> tuple[Name, ...]:
    first: dict[tuple[str, str], Name] = {}
    for name in names:
        first.setdefault((name.kind, name_key(name.name)), name)
    return tuple(first.values())
