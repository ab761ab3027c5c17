"""A packed site: opened from a folder in a real browser, and the same bytes every time."""

from __future__ import annotations

import datetime as dt
import hashlib
import zipfile
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from journal_tools.journal import load_journal
from journal_tools.sharing.archive import stamp_of, write_archive
from journal_tools.sharing.offline import offline_page
from journal_tools.sharing.photo_budget import narrow_photos
from tests.site.browsing import Record
from tests.site.links import BuiltSite
from tests.site.program import EPOCH, Program


def packed(program: Program, journal: Path, target: Path, *options: object) -> Path:
    made = program.run("pack", journal, "--out", target, *options)
    assert made.code == 0, made.said
    return target


def unpacked(archive: Path, folder: Path) -> Path:
    with zipfile.ZipFile(archive) as opened:
        opened.extractall(folder)
    (top,) = folder.iterdir()
    return top


def search(page: Page, words: str) -> list[str]:
    """Type words into the search and give where its results lead."""
    page.keyboard.press("/")
    page.keyboard.type(words)
    page.wait_for_selector(".md-search-result__link")
    links = page.locator(".md-search-result__link").all()
    return [link.get_attribute("href") or "" for link in links]


@pytest.mark.parametrize(
    ("name", "words", "chart"),
    [("plain", "fortnight", "alkalinity"), ("german", "Strömung", "temperature"),
     ("demo", "zoanthids", "alkalinity")],
)  # fmt: skip
def test_it_works_from_a_folder(
    name: str, words: str, chart: str, request: pytest.FixtureRequest, program: Program,
    tmp_path: Path, browser: Browser,
) -> None:  # fmt: skip
    archive = packed(program, request.getfixturevalue(name), tmp_path / "site.zip")
    site = unpacked(archive, tmp_path / "out")
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    record = Record.of(context, site.as_uri())
    page = context.new_page()
    page.goto(f"{site.as_uri()}/index.html")
    found = search(page, words)
    assert any("/diary/2" in link for link in found), found
    page.goto(next(link for link in found if "/diary/2" in link))
    assert words.lower() in page.inner_text("main").lower()
    page.goto(f"{site.as_uri()}/water.html")
    page.locator(f"button[data-chart={chart}]").click()
    page.wait_for_selector(".jt-live svg")
    page.goto(f"{site.as_uri()}/photos.html")
    if name != "plain":
        page.locator('a[href$=".webp"]:visible').first.click()
        wide = "[...document.images].some(image => image.naturalWidth > 480)"
        page.wait_for_function(wide, timeout=5000)
    assert record.elsewhere == [] and record.complaints == []
    context.close()


def test_every_link_of_a_packed_site_leads_to_a_file(
    german: Path, program: Program, tmp_path: Path
) -> None:
    site = unpacked(packed(program, german, tmp_path / "site.zip"), tmp_path / "out")
    pages = BuiltSite.read(site)
    assert pages.broken() == [] and pages.fetched_elsewhere() == []
    folders = [
        str(r) for r in pages.references() if r.address.partition("#")[0].endswith(("/", "."))
    ]
    assert folders == []  # a browser would list the files of a folder


def test_the_same_journal_gives_the_same_bytes(
    plain: Path, program: Program, tmp_path: Path
) -> None:
    archives = [packed(program, plain, tmp_path / name) for name in ("one.zip", "two.zip")]
    one, two = (hashlib.sha256(archive.read_bytes()).hexdigest() for archive in archives)
    assert one == two
    with zipfile.ZipFile(archives[0]) as opened:
        entries = opened.infolist()
    assert [e.filename for e in entries] == sorted(e.filename for e in entries)
    stamp = dt.datetime.fromtimestamp(int(EPOCH), dt.UTC)
    assert {e.date_time for e in entries} == {stamp.timetuple()[:6]}
    assert {e.external_attr >> 16 for e in entries} == {0o100644}
    assert not [e for e in entries if e.filename.endswith((".map", "404.html", "sitemap.xml"))]


def test_the_stamp(monkeypatch: pytest.MonkeyPatch, plain: Path) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    last = load_journal(plain / "content", dt.date(2026, 5, 1)).entries[-1].day
    assert stamp_of(last).isoformat() == "2026-04-02T12:00:00+00:00"
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1")
    assert stamp_of(last).year == 1980  # the format knows no earlier day


def test_links_are_not_packed(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    (tmp_path / "secret").write_text("secret")
    (tmp_path / "in/link").symlink_to(tmp_path / "secret")
    (tmp_path / "in/file").write_text("x")
    write_archive(tmp_path / "in", "top", tmp_path / "a.zip", stamp_of(dt.date(2026, 1, 1)))
    with zipfile.ZipFile(tmp_path / "a.zip") as opened:
        assert opened.namelist() == ["top/file"]


def test_a_size_is_kept_or_nothing_is_written(
    german: Path, program: Program, tmp_path: Path
) -> None:
    whole = packed(program, german, tmp_path / "whole.zip").stat().st_size
    small = tmp_path / "small.zip"
    made = program.run("pack", german, "--out", small, "--photo-width", "320")
    assert made.code == 0 and "made 320 px wide" in made.err
    assert small.stat().st_size < whole
    refused = program.run("pack", german, "--out", tmp_path / "tiny.zip", "--max-mb", "0.2")
    assert refused.code == 1 and "cannot be smaller than" in refused.err
    assert not (tmp_path / "tiny.zip").exists()


@pytest.mark.parametrize(("suffix", "kind"), [(".webp", "WEBP"), (".jpg", "JPEG")])
def test_photos_get_narrower_under_their_names(tmp_path: Path, suffix: str, kind: str) -> None:
    whole = tmp_path / "originals"
    whole.mkdir()
    picture = Image.radial_gradient("L").resize((1000, 500)).convert("RGB")
    picture.save(whole / f"a{suffix}", kind)
    Image.new("RGB", (100, 50)).save(whole / f"b{suffix}", kind)
    done = narrow_photos(whole, tmp_path, 400)
    assert done.count == 1 and done.after < done.before
    assert Image.open(tmp_path / f"a{suffix}").size == (400, 200)
    assert Image.open(tmp_path / f"b{suffix}").size == (100, 50)
    assert narrow_photos(whole, tmp_path, 1000).count == 0
    assert Image.open(tmp_path / f"a{suffix}").size == (1000, 500)


def test_the_stand_in_comes_before_the_themes_script() -> None:
    bundle = '<script src="../assets/javascripts/bundle.0a1b.min.js"></script>'
    page = offline_page(f"<body>{bundle}</body>", "diary/2026-03.html", searchable=True)
    worker = '<script src="../assets/javascripts/file-worker.js"></script>'
    assert page == f"<body>{worker}{bundle}</body>"
    assert offline_page(bundle, "a.html", searchable=False) == bundle


@pytest.mark.parametrize("name", ["plain", "german", "demo"])
def test_one_file_for_mail(
    name: str, request: pytest.FixtureRequest, program: Program, tmp_path: Path, browser: Browser
) -> None:
    target = tmp_path / "mail.html"
    made = program.run("pack", request.getfixturevalue(name), "--single-file", "--out", target)
    assert made.code == 0, made.said
    html = target.read_text(encoding="utf-8")
    assert "<script" not in html and "site:" not in html and len(html) < 5_000_000
    context = browser.new_context()
    record = Record.of(context, target.as_uri())
    page = context.new_page()
    page.goto(target.as_uri())
    assert page.locator("h2").all_inner_texts()[-1] == "The build in short"
    assert bool(page.locator("img").count()) == (name != "plain")
    sizes = page.evaluate("[...document.images].map(image => image.naturalWidth)")
    assert all(sizes)
    assert record.elsewhere == [] and record.complaints == []
    context.close()


def test_a_site_that_does_not_build_is_told(plain: Path, program: Program, tmp_path: Path) -> None:
    journal = tmp_path / "journal"
    journal.mkdir()
    (journal / "mkdocs.yml").write_text("site_name: x\ndocs_dir: content\nplugins: [nothing]\n")
    (journal / "content").mkdir()
    (journal / "content/tank.yml").write_bytes((plain / "content/tank.yml").read_bytes())
    made = program.run("pack", journal, "--out", tmp_path / "a.zip")
    assert made.code == 1 and "does not build" in made.err and "nothing" in made.err
    assert not (tmp_path / "a.zip").exists()
