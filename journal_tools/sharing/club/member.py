"""One member: what was handed in let in, checked, built, and its facts gathered."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import shutil
import tempfile
from dataclasses import dataclass, field
from functools import cache as memoize
from pathlib import Path
from typing import Literal

import journal_tools
from journal_tools import cache as store
from journal_tools.cache import Cache
from journal_tools.journal import load_journal
from journal_tools.pages.site import gather_site
from journal_tools.sharing.club.admission import Bounds, admit
from journal_tools.sharing.club.facts import Facts, as_json, facts_of, from_json
from journal_tools.sharing.offline import BuildError, build_site
from journal_tools.starter import Answers, starter_files
from journal_tools.templates import shipped_folder

_STAMP = ".built"
_LONGEST_BUILD_S = 900


@dataclass(frozen=True)
class Job:
    """What is to be done for one member.

    Attributes:
        slug: Name of the member's folder on the club's site.
        source: Folder or ZIP file that the member has handed in.
        site: Where the member's site goes.
        today: The day to reckon from.
        bounds: How much may be handed in.
    """

    slug: str
    source: Path
    site: Path
    today: dt.date
    bounds: Bounds


@dataclass(frozen=True)
class Outcome:
    """How it went.

    Attributes:
        slug: Which member.
        state: ``built``, ``unchanged`` or ``broken``.
        facts: What the club knows, or None of a journal that is broken.
        told: What its owner should know, a sentence each.
    """

    slug: str
    state: Literal["built", "unchanged", "broken"]
    facts: Facts | None = None
    told: list[str] = field(default_factory=list)


def build_member(job: Job) -> Outcome:
    """Build a member's site, unless nothing has changed since the last time.

    Args:
        job: What is to be done.
    """
    with tempfile.TemporaryDirectory(prefix="journal-club-") as folder:
        work = Path(folder)
        content = work / "content"
        content.mkdir()
        admitted = admit(job.source, content, job.bounds)
        if not admitted.usable:
            return Outcome(job.slug, "broken", None, admitted.faults)
        key = store.key("club member", code_version(), admitted.digest, job.today.isoformat())
        if (known := _known(job, key)) is not None:
            return known
        return _built(job, work, key, admitted.faults)


def _known(job: Job, key: str) -> Outcome | None:
    """Give the outcome of an earlier run over the same files, if its site is still there."""
    stamp, cache = job.site / _STAMP, Cache.default()
    if not stamp.is_file() or stamp.read_text(encoding="utf-8") != key:
        return None
    try:
        kept = json.loads(cache.get_text("club", key, ".json") or "")
        return Outcome(job.slug, "unchanged", from_json(kept["facts"]), kept["told"])
    except (ValueError, KeyError, TypeError):
        return None


def _built(job: Job, work: Path, key: str, faults: list[str]) -> Outcome:
    cache = Cache.default()
    site = gather_site(load_journal(work / "content", job.today), cache)
    told = [*faults, *map(str, site.problems)]
    profile = site.journal.profile
    settings = starter_files(Answers(profile.name, "", profile.start, "UTC"))["mkdocs.yml"]
    (work / "mkdocs.yml").write_text(_on_that_day(settings, job.today), encoding="utf-8")
    try:
        build_site(work / "mkdocs.yml", work / "site", longest_s=_LONGEST_BUILD_S)
    except BuildError as error:
        return Outcome(job.slug, "broken", None, [*told, f"The site does not build: {error}"])
    # It links from the root of a host, where the club's site need not be.
    (work / "site/404.html").unlink(missing_ok=True)
    facts = facts_of(site)
    cache.put_text("club", key, ".json", json.dumps({"facts": as_json(facts), "told": told}))
    (work / "site" / _STAMP).write_text(key, encoding="utf-8")
    if job.site.exists():
        shutil.rmtree(job.site)
    job.site.parent.mkdir(parents=True, exist_ok=True)
    shutil.move(work / "site", job.site)
    return Outcome(job.slug, "built", facts, told)


def _on_that_day(settings: str, today: dt.date) -> str:
    """Give settings by which all members' pages reckon from the same day."""
    return settings.replace("  - journal_tools\n", f"  - journal_tools: {{today: {today}}}\n")


@memoize
def code_version() -> str:
    """Give a digest of the program and its templates: a new version builds all sites anew."""
    digest = hashlib.sha256()
    for folder in (Path(journal_tools.__file__).parent, shipped_folder()):
        for path in sorted(p for p in folder.rglob("*") if p.suffix in _CODE):
            digest.update(path.read_bytes())
    return digest.hexdigest()


_CODE = (".py", ".html", ".css", ".js", ".yml")
