"""A club, built as a user builds it: good members, a broken one, an evil one, one who leaves."""

from __future__ import annotations

import shutil
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.sharing import journals
from tests.sharing.club.handed_in import TANK, archive, zipped
from tests.site.browsing import Record
from tests.site.links import BuiltSite
from tests.site.program import Outcome, Program

DAY = ("--today", "2026-05-03")


@pytest.fixture(scope="module")
def handed_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    base = tmp_path_factory.mktemp("club")
    folder = base / "in"
    folder.mkdir()
    zipped(journals.no_photos(base / "plain"), folder / "Plain water.zip")
    german = journals.german(folder / "Größenwahn")
    (german / "content/about.md").write_text("<script>alert(1)</script>")
    with (german / "content/tank.yml").open("a", encoding="utf-8") as profile:
        profile.write("equipment: [{name: warm, kind: heater, installed: 2026-03-14}]\n"
                      "privacy: {show_keeper: false}\n")  # fmt: skip
    (german / "content/log/2026-03-29.yml").write_text(
        "livestock: [{added: clownfish, count: 2}]\nequipment: {failed: warm}\n"
    )
    archive(folder / "evil.zip", {"tank.yml": TANK, "../../evil.yml": "x"})
    archive(folder / "broken.zip", {"notes.txt": "no journal"})
    return folder


@pytest.fixture(scope="module")
def club(handed_in: Path, program: Program) -> tuple[Path, Outcome]:
    out = handed_in.parent / "site"
    done = program.run("club", "build", handed_in, "--out", out, "--name", "Rückseite & <Riff>",
                       "--url", "https://example.org/club", "--workers", 2, *DAY)  # fmt: skip
    return out, done


def test_a_broken_journal_is_told_to_its_owner_alone(club: tuple[Path, Outcome]) -> None:
    out, done = club
    assert done.code == 1, done.said
    assert "broken: broken" in done.out and "3 members" in done.out
    reports = out.with_name("site-reports")
    broken = (reports / "broken/report.txt").read_text(encoding="utf-8")
    assert "No site was made" in broken and "There is no tank.yml" in broken
    evil = (reports / "evil/report.txt").read_text(encoding="utf-8")
    assert "A site was made" in evil and "leads out of the journal" in evil
    plain = (reports / "plain-water/report.txt").read_text(encoding="utf-8")
    assert "Nothing is to be mended" in plain
    assert not list(out.rglob("report.txt"))
    assert not list(out.parent.parent.glob("**/evil.yml"))


def test_every_link_works_and_no_member_runs_code(club: tuple[Path, Outcome]) -> None:
    out, _ = club
    site = BuiltSite.read(out)
    assert site.broken() == [] and site.fetched_elsewhere() == []
    assert not list(out.rglob("about*"))
    assert "alert(1)</script>" not in "".join(
        page.read_text(encoding="utf-8") for page in out.rglob("*.html")
    )


def test_the_directory_shows_what_members_show(club: tuple[Path, Outcome]) -> None:
    index = (club[0] / "index.html").read_text(encoding="utf-8")
    assert "Größenwahn am Riff" in index and "Rückseite &amp; &lt;Riff&gt;" in index
    assert "kept by Somebody" in index and "Jemand" not in index
    assert "<img" in index


def test_animals_and_equipment_are_counted(club: tuple[Path, Outcome]) -> None:
    species = (club[0] / "species.html").read_text(encoding="utf-8")
    row = "".join(species.partition("clownfish")[2].partition("</tr>")[0].split())
    assert "<td>1</td><td>2</td><td>0</td><td>0</td><td>2of2</td>" in row
    equipment = (club[0] / "equipment.html").read_text(encoding="utf-8")
    heater = "".join(equipment.partition("heater")[2].partition("</tr>")[0].split())
    assert heater == "</th><td>1</td><td>1</td><td>0.0</td><td>1</td>"
    compare = (club[0] / "compare.html").read_text(encoding="utf-8")
    assert "too few to show" in compare and "<circle" not in compare


def test_the_digest_is_a_page_a_feed_and_a_post(club: tuple[Path, Outcome]) -> None:
    out, _ = club
    feed = ET.parse(out / "digest.xml").getroot()
    atom = "{http://www.w3.org/2005/Atom}"
    titles = [e.findtext(f"{atom}title") for e in feed.iter(f"{atom}entry")]
    assert titles == ["April 2026", "March 2026"]
    assert all(feed.findtext(f"{atom}{tag}") for tag in ("id", "title", "updated"))
    post = (out / "digest-2026-04-1.txt").read_text(encoding="utf-8")
    assert "A quiet fortnight" in post and "https://example.org/club/members/plain-water/" in post
    assert "A quiet fortnight" in (out / "digest.html").read_text(encoding="utf-8")


def test_only_what_has_changed_is_built_again(
    club: tuple[Path, Outcome], handed_in: Path, program: Program, tmp_path: Path
) -> None:
    second = tmp_path / "in"
    shutil.copytree(handed_in, second)
    (second / "evil.zip").unlink()
    entry = second / "Größenwahn/content/log/2026-03-27.yml"
    entry.write_text("readings: {alkalinity: 8.6}\n")
    out = tmp_path / "site"
    shutil.copytree(club[0], out)
    done = program.run("club", "build", second, "--out", out, *DAY)
    assert "plain-water: unchanged" in done.out and "grossenwahn: built" in done.out
    assert not (out / "members/evil").exists()
    assert sorted(p.name for p in (out / "members").iterdir()) == ["grossenwahn", "plain-water"]


def test_the_clubs_pages_look_at_no_other_host(
    club: tuple[Path, Outcome], browser: Browser
) -> None:
    context = browser.new_context()
    record = Record.of(context, club[0].as_uri())
    page = context.new_page()
    for name in ("index", "compare", "species", "equipment", "digest"):
        page.goto((club[0] / f"{name}.html").as_uri())
        assert page.locator("nav [aria-current=page]").count() == 1
    assert record.elsewhere == [] and record.complaints == []
    context.close()


def test_a_folder_without_members(program: Program, tmp_path: Path) -> None:
    assert program.run("club", "build", tmp_path, "--out", tmp_path / "out").code == 2
    assert program.run("club", "build", tmp_path / "none", "--out", tmp_path / "out").code == 2
