"""The photos page: series of one view, and every picture by month."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from journal_tools.pages.gallery import ribbon
from tests import journals
from tests.pages.built import Built, text_of


def test_an_empty_journal_says_where_pictures_go(empty: Built) -> None:
    assert "No photos yet." in empty.html["photos"].text


def test_every_picture_is_shown_under_its_month(demo: Built) -> None:
    shown: Counter[str] = Counter()
    for path in ("photos", "photos/2025"):
        page = demo.html[path]
        months = [e.get("id", "") for e in page.all("h2") if e.get("id", "").startswith("m20")]
        assert months == sorted(months, reverse=True)
        for month, gallery in zip(months, page.by_class("jt-gallery"), strict=True):
            shown[month] += sum(1 for _ in gallery.iter("img"))
    assert shown == Counter(f"m{one.entry.day:%Y-%m}" for one in demo.site.shown_photos)


def test_each_older_year_has_a_page_of_its_own(demo: Built, three: Built) -> None:
    links = [e.get("href") for e in demo.html["photos"].all("a")]
    assert "site:photos/2025" in links
    assert "photos/2025" not in three.html and "photos/2026" not in three.html


def test_the_ribbon_shows_the_whole_tank_oldest_first(demo: Built, three: Built) -> None:
    (strip,) = demo.html["photos"].by_class("jt-ribbon")
    alts = [e.get("alt") for e in strip.iter("img")]
    assert alts == [shown.alt for shown in demo.site.series("front")]
    days = [text_of(e) for e in three.html["photos"].by_class("jt-ribbon__day")]
    assert days == ["30 Mar 2026", "30", "30"]


def test_a_ribbon_needs_three_pictures(tmp_path: Path) -> None:
    for name in ("a", "b"):
        journals.photo(tmp_path / "journal/photos" / f"{name}.jpg")
    log = {
        "log/2026-03-10.yml": "photos: [{file: a.jpg, view: front}, {file: b.jpg, view: front}]\n"
    }
    assert ribbon(journals.site(tmp_path, log)) == []


def test_a_series_can_be_stepped_through_and_compared(three: Built) -> None:
    page = three.html["photos"]
    (film,) = page.by_class("jt-film")
    assert "hidden" in film.attrib and film.get("role") == "group"
    (slider,) = film.iter("input")
    assert (slider.get("min"), slider.get("max"), slider.get("value")) == ("0", "2", "0")
    left, right = page.by_class("jt-compare")[0].iter("select")
    chosen = [[o.get("value") for o in e.iter("option") if "selected" in o.attrib]
              for e in (left, right)]  # fmt: skip
    assert chosen == [["0"], ["2"]]
    (file,) = [e for e in page.all("a") if "film" in e.get("href", "")]
    assert file.get("href", "").removeprefix("site:") in {a.path for a in three.tree.assets}


def test_a_view_of_three_or_more_is_a_series_oldest_first(three: Built) -> None:
    (strip,) = three.html["photos"].by_class("jt-strip")
    assert strip.get("aria-label") == "front over time" and strip.get("tabindex") == "0"
    alts = [image.get("alt") for image in strip.iter("img")]
    assert alts == [shown.alt for shown in three.site.shown_photos]


def test_views_seen_once_or_twice_are_no_series(demo: Built) -> None:
    counts = Counter(shown.view for shown in demo.site.shown_photos if shown.view)
    strips = [e.get("aria-label") for e in demo.html["photos"].by_class("jt-strip")]
    assert strips == [f"{view} over time" for view in counts if counts[view] >= 3]


def test_pictures_come_in_two_sizes_with_a_plain_one_to_fall_back_on(three: Built) -> None:
    files = {asset.path for asset in three.tree.assets}
    for picture in three.html["photos"].all("picture"):
        (source,), (image,) = list(picture.iter("source")), list(picture.iter("img"))
        candidates = dict(part.rsplit(" ", 1) for part in source.get("srcset", "").split(", "))
        assert list(candidates.values()) == ["480w", "1280w"]
        assert {name.removeprefix("site:") for name in candidates} <= files
        assert image.get("src", "").endswith((".jpg", ".jpeg"))
        # 1600 x 1200 made smaller keeps its shape
        assert (image.get("width"), image.get("height")) == ("1280", "960")


def test_each_picture_leads_to_its_entry(three: Built) -> None:
    links = [e.get("href") for e in three.html["photos"].by_class("jt-photo__day")]
    assert set(links) == {"site:diary/2026-03#2026-03-30-photos"} and len(links) == 6
    days = {text_of(e) for e in three.html["photos"].by_class("jt-photo__day")}
    assert days == {"30 Mar 2026"}
