"""Records for other programs: complete, and unable to break out of their element."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from journal_tools.pages import build_tree
from journal_tools.pages.address import Address
from journal_tools.pages.diary import entry_views
from journal_tools.pages.linked_data import (
    author_of,
    blog,
    blog_posting,
    dataset,
    json_script,
    open_graph,
    with_head,
)
from tests import journals
from tests.pages.built import Built

ROOT = "https://example.org/reef/"
OPENING, CLOSING = '<script type="application/ld+json">', "</script>"


def record_in(script: str) -> dict[str, Any]:
    assert script.startswith(OPENING) and script.endswith(CLOSING)
    found: dict[str, Any] = json.loads(script[len(OPENING) : -len(CLOSING)])
    return found


@given(st.text(st.characters(exclude_categories=("Cs",))))
def test_no_text_ends_the_element(text: str) -> None:
    script = str(json_script({"name": f"</script><!--{text}"}))
    inside = script[len(OPENING) : -len(CLOSING)]
    assert not set("<>&\u2028\u2029") & set(inside)
    assert record_in(script) == {"name": f"</script><!--{text}"}


def test_an_entry_is_a_posting(three: Built) -> None:
    site = replace(three.site, address=Address.of(ROOT))
    view = entry_views(site)["2026-01-31"]
    assert blog_posting(site, view, "e/2026-01-31/card.png") == {
        "@context": "https://schema.org",
        "@type": "BlogPosting",
        "headline": "First <script>alert(1)</script> water",
        "description": view.summary,
        "datePublished": "2026-01-31T23:59:00+01:00",
        "author": {"@type": "Person", "name": "Ilse & Son"},
        "isPartOf": {"@type": "Blog", "name": "Test reef"},
        "keywords": ["a&b", "<i>"],
        "image": f"{ROOT}e/2026-01-31/card.png",
        "mainEntityOfPage": f"{ROOT}e/2026-01-31/",
        "url": f"{ROOT}e/2026-01-31/",
    }


def test_without_an_address_nothing_pretends_to_have_one(three: Built) -> None:
    view = entry_views(three.site)["2026-01-31"]
    records = [blog_posting(three.site, view, "x"), blog(three.site), dataset(three.site, [])]
    for record in records:
        assert not {"url", "image", "mainEntityOfPage", "distribution"} & record.keys()


def test_the_tables_are_a_dataset(three: Built) -> None:
    site = replace(three.site, address=Address.of(ROOT))
    files = [a for a in three.tree.assets if a.path.startswith("data/")]
    record = dataset(site, files)
    assert record["temporalCoverage"] == "2026-01-31/2026-03-30"
    assert {file["contentUrl"] for file in record["distribution"]} == {ROOT + f.path for f in files}


def test_a_keeper_who_hides_is_not_named(tmp_path: Path) -> None:
    tank = journals.TANK + "keeper: Secret\nprivacy: {show_keeper: false}\n"
    site = journals.site(tmp_path, {"tank.yml": tank, "log/2026-03-10.yml": "title: a\n"})
    assert author_of(site) == "Test reef"
    tree = build_tree(site)
    assert not any("Secret" in page.head + page.html for page in tree.pages)
    assert not any(b"Secret" in a.read() for a in tree.assets if a.path.startswith(("e/", "feed")))


def test_every_page_has_feeds_and_words_for_previews(built: Built) -> None:
    for page in built.tree.pages:
        if "noindex" in page.head:  # meant for the keeper alone
            continue
        assert "feed" not in page.head, "a feed without an address is no use"
        assert page.head.count("og:title") == 1
        assert "og:image" not in page.head, "nobody told the address"
    heads = {page.path: page.head for page in built.tree.pages}
    assert '"@type":"Blog"' in heads["diary/index"]
    assert '"@type":"Dataset"' in heads["data"]


def test_a_site_with_an_address_names_its_feeds(three: Built) -> None:
    known = replace(three.site, address=Address.of(ROOT))
    head = with_head(known, three.tree.pages[0], {}).head
    assert 'href="site:feed.xml"' in head and 'href="site:feed.json"' in head


def test_words_in_the_head_are_escaped() -> None:
    (meta,) = open_graph({"og:title": 'a "b" <c>', "og:url": ""})
    assert meta == '<meta property="og:title" content="a &#34;b&#34; &lt;c&gt;">'
