"""The club's own pages, made of its members' facts: directory, comparisons, monthly digest."""

from __future__ import annotations

import datetime as dt
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from markupsafe import Markup

from journal_tools.charts.theme import variables_css
from journal_tools.parameters import Parameter
from journal_tools.sharing.blocks import Block, Items, Span, Words, paragraph
from journal_tools.sharing.club.comparison import (
    FEWEST_TANKS,
    distribution,
    kind_counts,
    species_counts,
)
from journal_tools.sharing.club.facts import Facts, MonthFacts
from journal_tools.sharing.club.together import MEMBERS
from journal_tools.sharing.markups import MARKUPS
from journal_tools.sharing.parts import parts
from journal_tools.templates import environment
from journal_tools.words import ago, counted, day_text, month_text, number_text

_ATOM = "http://www.w3.org/2005/Atom"
_MONTHS_IN_FEED = 12
_POST_CHARS = 10_000
_PAGES = ("index", "compare", "species", "equipment", "digest")


@dataclass(frozen=True)
class Club:
    """A club on one day.

    Attributes:
        name: Its name.
        home: Address of its site with a slash at the end, or ``""``.
        today: The day.
        parameter: What is compared.
        members: Facts by the name of the member's folder.
    """

    name: str
    home: str
    today: dt.date
    parameter: Parameter
    members: dict[str, Facts]

    def link(self, slug: str, path: str = "") -> str:
        """Give the link from a page of the club to a page or file of a member's site."""
        page = f"{path}/" if path and "." not in path.rpartition("/")[2] else path
        inside = page if page and not page.endswith("/") else f"{page}index.html"
        return f"{MEMBERS}/{slug}/{inside}"


@dataclass(frozen=True)
class Digest:
    """One month of the whole club: what each member wrote."""

    month: dt.date
    members: list[tuple[str, Facts, MonthFacts]]

    @property
    def sentence(self) -> str:
        """The month in one sentence."""
        entries = sum(month.entries for _, _, month in self.members)
        photos = sum(month.photos for _, _, month in self.members)
        said = [counted(entries, "entry", "entries"), counted(photos, "photo")]
        return f"{' and '.join(said)} from {counted(len(self.members), 'tank')}."


def club_files(club: Club) -> dict[str, bytes]:
    """Give the files of the club's own pages: five pages, a feed, and a post of the last month."""
    digests = digests_of(club)
    members = list(club.members.values())
    templates = environment(None)
    templates.filters.update(
        day=day_text, month=month_text, number=number_text,
        ago=lambda day: ago(dt.date.fromisoformat(day), club.today),
    )  # fmt: skip
    values: dict[str, Any] = {
        "club": club,
        "distribution": distribution(members, club.parameter),
        "fewest": FEWEST_TANKS,
        "species": species_counts(members),
        "kinds": kind_counts(members),
        "digests": digests,
        "date": dt.date.fromisoformat,
        "light": Markup(variables_css("light")),
        "dark": Markup(variables_css("dark")),
    }
    files = {
        f"{name}.html": templates.get_template(f"sharing/club/{name}.html")
        .render(values, here=name)
        .encode()
        for name in _PAGES
    }
    files["digest.xml"] = _feed(club, digests)
    return files | dict(_posts(club, digests))


def digests_of(club: Club) -> list[Digest]:
    """Give the months that are over, newest first, with who wrote in them."""
    months: dict[dt.date, list[tuple[str, Facts, MonthFacts]]] = {}
    for slug, facts in club.members.items():
        for month in facts.months:
            day = dt.date.fromisoformat(f"{month.month}-01")
            if day < club.today.replace(day=1):
                months.setdefault(day, []).append((slug, facts, month))
    return [Digest(day, months[day]) for day in sorted(months, reverse=True)]


def digest_blocks(club: Club, digest: Digest) -> Iterator[Block]:
    """Give a month as blocks of a post."""
    yield Words("heading", (Span(f"{club.name}: {month_text(digest.month)}", (), club.home),))
    yield paragraph(digest.sentence)
    for slug, facts, month in digest.members:
        home = f"{club.home}{club.link(slug, month.path)}" if club.home else ""
        yield Words("subheading", (Span(facts.name, (), home),))
        said = [counted(month.entries, "entry", "entries"), counted(month.photos, "photo")]
        items = [", ".join(said), *month.titles]
        yield Items(tuple((Span(item),) for item in items))


def _posts(club: Club, digests: Sequence[Digest]) -> Iterator[tuple[str, bytes]]:
    """Give the last month as texts for a forum."""
    if not digests:
        return
    for name in ("bbcode", "markdown"):
        markup = MARKUPS[name]
        found = parts(digest_blocks(club, digests[0]), markup, _POST_CHARS, lambda file: file)
        for number, (text, _) in enumerate(found, 1):
            file = f"digest-{digests[0].month:%Y-%m}-{number}{markup.suffix}"
            yield file, f"{text}\n".encode()


def _feed(club: Club, digests: Sequence[Digest]) -> bytes:
    """Give the months as a feed.

    Source:
        RFC 4287, The Atom Syndication Format.
    """
    ET.register_namespace("", _ATOM)
    feed = ET.Element(f"{{{_ATOM}}}feed")
    name = club.home or f"tag:club.invalid,2026:{club.name.replace(' ', '-')}"
    newest = digests[0].month if digests else club.today.replace(day=1)
    for tag, text in (("title", f"{club.name}: month by month"), ("id", f"{name}digest"),
                      ("updated", _end_of(newest))):  # fmt: skip
        ET.SubElement(feed, f"{{{_ATOM}}}{tag}").text = text
    author = ET.SubElement(feed, f"{{{_ATOM}}}author")
    ET.SubElement(author, f"{{{_ATOM}}}name").text = club.name
    if club.home:
        ET.SubElement(feed, f"{{{_ATOM}}}link", rel="self", href=f"{club.home}digest.xml")
    for digest in digests[:_MONTHS_IN_FEED]:
        entry = ET.SubElement(feed, f"{{{_ATOM}}}entry")
        ET.SubElement(entry, f"{{{_ATOM}}}title").text = month_text(digest.month)
        ET.SubElement(entry, f"{{{_ATOM}}}id").text = f"{name}digest#{digest.month:%Y-%m}"
        ET.SubElement(entry, f"{{{_ATOM}}}updated").text = _end_of(digest.month)
        address = f"{club.home}digest.html#m{digest.month:%Y-%m}"
        ET.SubElement(entry, f"{{{_ATOM}}}link", rel="alternate", href=address)
        html = MARKUPS["html"]
        ((text, _),) = parts(digest_blocks(club, digest), html, 10_000_000, str)
        ET.SubElement(entry, f"{{{_ATOM}}}content", type="html").text = text
    return f'<?xml version="1.0" encoding="utf-8"?>\n{ET.tostring(feed, "unicode")}\n'.encode()


def _end_of(month: dt.date) -> str:
    following = (month + dt.timedelta(days=32)).replace(day=1)
    return f"{following}T00:00:00Z"


def report_text(name: str, told: Sequence[str], *, built: bool) -> str:
    """Give what the owner of a journal should know.

    Args:
        name: Name of the folder or file that was handed in.
        told: What is to be mended, a sentence each.
        built: Whether a site was made all the same.
    """
    head = "A site was made of your journal." if built else "No site was made of your journal."
    lines = [f"{name}: {head}", ""]
    lines += ["To mend:", "", *(f"- {' '.join(line.split())}" for line in told)]
    return "\n".join(lines if told else [lines[0], "", "Nothing is to be mended."]) + "\n"


def report_path(reports: Path, slug: str) -> Path:
    """Give where a member's report goes."""
    return reports / slug / "report.txt"
