"""Charts, numbers, photos and tables inside hand-written pages.

A fenced block of the language ``journal`` holds one line of YAML::

    ```journal
    chart: alkalinity
    ```
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from journal_tools.metrics import METRICS
from journal_tools.pages.figures import parameter_figure
from journal_tools.pages.livestock import residents_by_group
from journal_tools.pages.site import Site
from journal_tools.parameters import PARAMETERS, find_alias
from journal_tools.read import read_document

_MOST_PHOTOS = 60
_ID = re.compile(r'(?<= id=")[^"]+')
_NAMING = re.compile(r'(?<= )(id|aria-labelledby|aria-describedby|for)="([^"]+)"')


class EmbedError(ValueError):
    """An embed that cannot be shown: the sentence says what to write instead."""


def render_embed(site: Site, source: str) -> str:
    """Give the HTML of one embed.

    Args:
        site: The journal.
        source: The text inside the fence.

    Raises:
        EmbedError: If it names nothing that the journal has.
    """
    document, problems = read_document("journal block", source.encode())
    if document is None or problems or not isinstance(document.data, dict):
        raise EmbedError("Write one line inside the block, such as 'chart: alkalinity'.")
    options = dict(document.data)
    kinds = [key for key in options if key in _KINDS]
    if len(kinds) != 1:
        raise EmbedError(f"Name one of {', '.join(_KINDS)}, such as 'chart: alkalinity'.")
    subject = options.pop(kinds[0])
    return _KINDS[kinds[0]](site, str(subject), options)


def with_own_ids(html: str, taken: set[str]) -> str:
    """Give HTML with a number at its ids if its page has them already, and take note of them.

    Args:
        html: One embed.
        taken: Ids of the embeds before it on the page; those of this one are added.

    >>> seen = set()
    >>> [with_own_ids('<p id="a" aria-labelledby="a b">', seen) for _ in range(2)][1]
    '<p id="a-2" aria-labelledby="a-2 b">'
    """
    ids, number = set(_ID.findall(html)), 1
    while any(_numbered(one, number) in taken for one in ids):
        number += 1
    taken |= {_numbered(one, number) for one in ids}

    def renamed(naming: re.Match[str]) -> str:
        words = (_numbered(w, number) if w in ids else w for w in naming[2].split())
        return f'{naming[1]}="{" ".join(words)}"'

    return _NAMING.sub(renamed, html)


def _numbered(name: str, number: int) -> str:
    return name if number == 1 else f"{name}-{number}"


def _part(site: Site, name: str, **values: Any) -> str:
    return site.templates.get_template("parts/embed.html").render(site=site, kind=name, **values)


def _no_more(options: dict[str, Any], *known: str) -> None:
    if unknown := [key for key in options if key not in known]:
        raise EmbedError(
            f"'{unknown[0]}' is not known here. Known: {', '.join(known) or 'nothing'}."
        )


def _chart(site: Site, name: str, options: dict[str, Any]) -> str:
    _no_more(options)
    parameter = PARAMETERS.get(name) or find_alias(name)
    if parameter is None or parameter not in site.tested:
        tested = ", ".join(p.name for p in site.tested)
        raise EmbedError(
            f"No chart '{name}'. This journal has readings of {tested or 'nothing yet'}."
        )
    return _part(site, "chart", figure=parameter_figure(site, parameter), parameter=parameter)


def _number(site: Site, name: str, options: dict[str, Any]) -> str:
    _no_more(options, "of")
    known = [metric.name for metric in METRICS]
    if name not in known:
        raise EmbedError(f"No number '{name}'. Known: {', '.join(known)}.")
    result = site.shown.one(name, options.get("of"))
    if result is None:
        subjects = ", ".join(dict.fromkeys(r.subject for r in site.shown.of(name) if r.subject))
        hint = f" Add 'of:' with one of {subjects}." if subjects else ""
        raise EmbedError(f"The journal does not say enough for '{name}'.{hint}")
    return _part(site, "number", result=result)


def _photos(site: Site, view: str, options: dict[str, Any]) -> str:
    _no_more(options, "last")
    last = options.get("last", 6)
    if type(last) is not int or not 0 < last <= _MOST_PHOTOS:
        raise EmbedError(f"Write 'last:' with a number from 1 to {_MOST_PHOTOS}.")
    shown = site.shown_photos if view == "all" else site.series(view)
    if not shown:
        views = ", ".join(dict.fromkeys(s.view for s in site.shown_photos if s.view))
        raise EmbedError(f"No photos of view '{view}'. Views: {views or 'none yet'}, or all.")
    return _part(site, "photos", shown=shown[-last:])


def _table(site: Site, name: str, options: dict[str, Any]) -> str:
    _no_more(options)
    if name != "livestock":
        raise EmbedError(f"No table '{name}'. Known: livestock.")
    return _part(site, "livestock", groups=residents_by_group(site))


_KINDS: dict[str, Callable[[Site, str, dict[str, Any]], str]] = {
    "chart": _chart, "number": _number, "photos": _photos, "table": _table,
}  # fmt: skip
