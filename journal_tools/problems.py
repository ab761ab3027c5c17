"""What is wrong with a journal, as values: nothing here prints or raises."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass


def excerpt(written: object, longest: int = 40) -> str:
    """Give what someone wrote, cut short where it would swamp a message.

    >>> excerpt("a very long text", 7)
    'a very…'
    """
    text = str(written).strip()
    return text if len(text) <= longest else text[: longest - 1] + "…"


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing to mend in a user's file.

    Attributes:
        file: Path relative to the journal folder, with forward slashes.
        line: 1-based line, or 0 where the whole file is meant.
        column: 1-based column, or 0 where the whole line is meant.
        code: Stable short name of the kind of problem, for tools (``unknown-key``).
        what: What is wrong, in one sentence for a person.
        hint: What to write instead.
    """

    file: str
    line: int
    column: int
    code: str
    what: str
    hint: str = ""

    def __str__(self) -> str:
        """Give ``file:line:column: what. hint``, leaving out the parts that are 0."""
        place = ":".join([self.file, *(str(n) for n in (self.line, self.column) if n)])
        return f"{place}: {self.what}" + (f" {self.hint}" if self.hint else "")

    def as_dict(self) -> dict[str, str | int]:
        """Give the fields by name, ready for JSON."""
        return asdict(self)


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Give problems once each by place, those of the profile first: others may follow from it."""
    return tuple(sorted(set(problems), key=lambda p: ("/" in p.file, p)))
