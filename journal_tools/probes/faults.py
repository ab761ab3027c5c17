"""What is wrong with a probe's file, as values: each kind once, with how often and where first."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from journal_tools.problems import Problem


@dataclass(frozen=True, slots=True)
class Fault:
    """One kind of thing to mend in a file.

    Attributes:
        code: Stable short name of the kind of problem.
        what: What is wrong, in one sentence for a person.
        hint: What to do instead.
        line: 1-based line of the first of them, or 0.
        column: 1-based column, or 0.
    """

    code: str
    what: str
    hint: str
    line: int = 0
    column: int = 0

    def at_row(self, line: int, column: int) -> Fault:
        """Give the same fault with its place."""
        return replace(self, line=line, column=column)

    def at(self, file: str) -> Problem:
        """Give the problem of a file."""
        return Problem(file, self.line, self.column, self.code, self.what, self.hint)


def counted(number: int, one: str, many: str) -> str:
    """Give a number with the right form of its noun and verb.

    >>> counted(1, "row is", "rows are"), counted(1200, "row is", "rows are")
    ('1 row is', '1,200 rows are')
    """
    return f"{number:,} {one if number == 1 else many}"


def first_of(marked: NDArray[np.bool_]) -> tuple[int, int]:
    """Give how many rows are marked and the first of them.

    >>> first_of(np.array([False, True, True]))
    (2, 1)
    """
    return int(np.count_nonzero(marked)), int(np.argmax(marked))
