"""All members at once: one that raises, or ends its process, stops nobody."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from journal_tools.sharing.club.admission import Bounds
from journal_tools.sharing.club.member import Job, Outcome
from journal_tools.sharing.club.together import build_all, jobs_of
from tests.sharing.club.handed_in import fails_or_dies

DAY = dt.date(2026, 4, 1)


def test_one_that_fails_stops_nobody(tmp_path: Path) -> None:
    names = ["good", "raises", "dies", "also-good"]
    jobs = [Job(name, tmp_path, tmp_path, DAY, Bounds()) for name in names]
    seen: list[Outcome] = []
    outcomes = build_all(jobs, 2, seen.append, fails_or_dies)
    assert [o.slug for o in outcomes] == names
    assert [o.state for o in outcomes] == ["built", "broken", "broken", "built"]
    assert "ValueError: a fault of the program" in outcomes[1].told[0]
    assert "ended the program" in outcomes[2].told[0]
    assert sorted(o.slug for o in seen) == sorted(names)


def test_folders_and_archives_are_members(tmp_path: Path) -> None:
    for name in ("Größe", "a b", ".git"):
        (tmp_path / name).mkdir()
    for name in ("a-b.zip", "notes.txt", "X.ZIP"):
        (tmp_path / name).write_bytes(b"")
    jobs = jobs_of(tmp_path, tmp_path / "out", DAY, Bounds())
    assert [job.slug for job in jobs] == ["grosse", "x", "a-b", "a-b-2"]
    assert len({job.site for job in jobs}) == 4
