"""The photos page: series of one view, and every picture by month."""

from __future__ import annotations

from collections import Counter

from tests.pages.built import Built, text_of


def test_an_empty_journal_says_where_pictures_go(empty: Built) -> None:
    assert "No photos yet." in empty.html["photos"].text


def test_every_picture_is_shown_under_its_month(demo: Built) -> None:
    page = demo.html["photos"]
    galleries = page.by_class("jt-gallery")
    months = [e.get("id") for e in page.all("h2") if e.get("id", "").startswith("m")]
    wanted = Counter(f"m{shown.entry.day:%Y-%m}" for shown in demo.site.shown_photos)
    assert months == sorted(wanted, reverse=True)
    shown = [sum(1 for _ in gallery.iter("img")) for gallery in galleries]
    assert shown == [wanted[month] for month in months]


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
