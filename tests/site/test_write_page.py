"""The form for the keeper in a real browser: what is typed becomes files that a journal takes."""

from __future__ import annotations

import datetime as dt
import io
import random
import re
import shutil
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, expect

from journal_tools.entries import Entry
from journal_tools.journal import load_journal
from journal_tools.read import Document, read_document
from journal_tools.validate import validate
from tests.site.browsing import Record, served
from tests.site.journals import three_entries
from tests.site.program import Program

PHONE = {"width": 390, "height": 844}
PROFILE = """
supplements: [{name: Kalk & Co, no_effect: true}]
upkeep: [{task: glass, every: 4 days}]
units: {salinity: SG}
"""
NOTES = """# Kein Kommentar
- and: "wet" # still a note
  'indented'
---
%weird @sign & *star {x: [1,2} | > ! ?
🐠 Grüße, Ölfilm\u200d

  last: line: """


@dataclass(frozen=True)
class Served:
    """A journal of three entries, and its site on this computer."""

    journal: Path
    home: str


@pytest.fixture(scope="module")
def reef(program: Program, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    journal = three_entries(tmp_path_factory.mktemp("write") / "reef")
    profile = journal / "content/tank.yml"
    text = profile.read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith(("units:", "  system:"))]
    profile.write_text("\n".join(kept) + PROFILE, encoding="utf-8")
    site, outcome = program.build(journal, "--strict")
    assert outcome.code == 0, outcome.said
    with served(site) as home:
        yield Served(journal, home)


@pytest.fixture
def phone(browser: Browser, reef: Served) -> Iterator[tuple[Page, Record]]:
    """Open the form on a phone that records what it asks for and complains about."""
    context = browser.new_context(viewport=PHONE, accept_downloads=True, locale="de-DE")
    record = Record.of(context, reef.home)
    page = opened(context, reef)
    yield page, record
    assert record.complaints == []
    assert record.elsewhere == []
    context.close()


def opened(context: BrowserContext, reef: Served) -> Page:
    page = context.new_page()
    page.goto(f"{reef.home}write/", wait_until="load")
    page.locator("#jw").wait_for()
    return page


def reading(page: Page, name: str, value: str, limit: str = "") -> None:
    row = page.locator(f"[data-parameter={name}]")
    if not row.is_visible():
        page.locator(".jw-more > summary").click()
    row.locator("[data-key=value]").fill(value)
    row.locator("[data-key=limit]").select_option(limit)


def add(page: Page, section: str, **fields: str) -> None:
    part = page.locator(f"details[data-section={section}]")
    if part.get_attribute("open") is None:
        part.locator("> summary").click()
    part.locator("[data-add]").click()
    for key, value in fields.items():
        field = part.locator(".jw-row").last.locator(f"[data-key={key}]")
        field.select_option(value) if key == "event" else field.fill(value)


def entry(page: Page, **values: str) -> None:
    part = page.locator("details[data-words]")
    if part.get_attribute("open") is None:
        part.locator("> summary").click()
    for name, value in values.items():
        page.locator(f"[data-entry={name}]").fill(value)


def keep(page: Page) -> None:
    page.get_by_role("button", name="Keep this entry").click()


def handed_over(page: Page, folder: Path) -> Path:
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Download ZIP").click()
    path = folder / waiting.value.suggested_filename
    waiting.value.save_as(path)
    return path


def photo_file(folder: Path) -> Path:
    """Save a picture that says when and where it was taken (an invented place at sea)."""
    picture = Image.new("RGB", (4000, 3000), "teal")
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "2026:03:09 18:40:00"
    exif.get_ifd(0x8825).update({1: "S", 2: (31.0, 15.0, 0.0), 3: "E", 4: (88.0, 30.0, 0.0)})
    picture.save(folder / "IMG 1.jpg", exif=exif)
    return folder / "IMG 1.jpg"


def first_entry(page: Page, photo: Path) -> None:
    entry(page, date="2026-03-15", time="07:05", title="Yes: the first # clown 🐠", notes=NOTES,
          question='Is "it" {normal}?')  # fmt: skip
    reading(page, "alkalinity", "8,25")
    reading(page, "salinity", "1,0264")
    reading(page, "nitrate", "0,25", "<")
    reading(page, "phosphate", "12 ppb")
    reading(page, "calcium", "420 ± 5")
    reading(page, "iron", "50", ">")
    add(page, "doses", what="Kalk & Co", amount="30,5")
    add(page, "water_change", volume="20,5", salinity="1,0260")
    add(page, "top_off", volume="4")
    add(page, "feed", what="no", amount="2,5")
    add(page, "livestock", event="added", name="clownfish", count="2", length="4,5")
    add(page, "livestock", event="lost", name="1984", why="unknown")
    add(page, "equipment", event="changed", name="lamp: left", note="10 h")
    add(page, "upkeep", task="hood, inside")
    page.get_by_label("glass", exact=True).check()
    add(page, "costs", what="salt #2", amount="54,90", category="salt")
    page.locator("[data-photos] summary").click()
    page.locator("[data-file]").set_input_files(photo)
    page.locator(".jw-row--photo [data-key=caption]").fill("Day 2: “blue”")


def photo_of(parcel: Path) -> bytes:
    """Give the one photo of a parcel, after a look at how it is packed."""
    with zipfile.ZipFile(parcel) as archive:
        assert archive.testzip() is None
        first, picture, second = archive.namelist()
        assert (first, second) == ("log/2026-03-15-0705.yml", "log/2026-03-15-2140.yml")
        assert picture.startswith("photos/2026-03-09-")
        content = archive.read(picture)
    with Image.open(io.BytesIO(content)) as small:
        assert (small.format, max(small.size), dict(small.getexif())) == ("JPEG", 2048, {})
    assert b"Exif" not in content
    return content


def test_from_the_form_to_the_journal(
    phone: tuple[Page, Record], reef: Served, program: Program, tmp_path: Path
) -> None:
    page, _ = phone
    first_entry(page, photo_file(tmp_path))
    keep(page)
    expect(page.locator("[data-list] li")).to_have_count(1)
    entry(page, date="2026-03-15", time="21:40", notes="- again\n")
    keep(page)
    expect(page.locator("[data-list] li")).to_have_count(2)
    parcel = handed_over(page, tmp_path)
    picture = photo_of(parcel)

    folder = tmp_path / "reef"
    shutil.copytree(reef.journal, folder)
    first = program.run("import", parcel, "--journal", folder, "--yes")
    assert (first.code, first.err) == (0, "")
    checked = program.run("check", folder)
    assert (checked.code, checked.err) == (0, "")
    again = program.run("import", parcel, "--journal", folder, "--yes")
    assert again.out.endswith("There is nothing new to write.\n")

    journal = load_journal(folder / "content", dt.date(2026, 11, 23))
    one, two = (e for e in journal.entries if e.day == dt.date(2026, 3, 15))
    assert two.record.notes == "- again"
    everything_is_there(one.record)
    assert (folder / "content/photos" / one.record.photos[0].file).read_bytes() == picture


def everything_is_there(record: Entry) -> None:
    assert (record.title, record.questions) == ("Yes: the first # clown 🐠", ['Is "it" {normal}?'])
    assert record.notes == NOTES.strip()
    values = {name: getattr(record.readings, name)[0].value for name in
              ("alkalinity", "salinity", "nitrate", "phosphate", "calcium", "iron")}  # fmt: skip
    assert (values["alkalinity"].value, values["alkalinity"].bare_unit) == (8.25, "dKH")
    assert values["salinity"].value == pytest.approx(35, abs=0.2)
    assert (values["nitrate"].value, values["nitrate"].censored) == (0.25, "below")
    assert values["phosphate"].value == pytest.approx(0.012)
    assert (values["calcium"].value, values["calcium"].error) == (420, 5)
    assert (values["iron"].value, values["iron"].censored) == (50, "above")
    assert [(d.what, d.amount.value) for d in record.doses] == [("Kalk & Co", 30.5)]
    assert record.water_change[0].volume.value == 20.5
    assert [(f.what, f.amount.value) for f in record.feed if f.amount] == [("no", 2.5)]
    assert [(a.event, a.name, a.count) for a in record.livestock] == [
        ("added", "clownfish", 2), ("lost", "1984", 1)]  # fmt: skip
    assert [(p.event, p.name, p.to) for p in record.equipment] == [
        ("changed", "lamp: left", "10 h")]  # fmt: skip
    assert [done.task for done in record.upkeep] == ["glass", "hood, inside"]
    assert [(c.what, c.amount, c.category) for c in record.costs] == [("salt #2", 54.9, "salt")]
    (use,) = record.photos
    assert (use.caption, str(use.taken)) == ("Day 2: “blue”", "2026-03-09")


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        ("alkalinity", "82", "Alkalinity of “82” is outside what can be (0.5 to 25 dKH). Check the "
         "decimal point and the unit."),
        ("calcium", "1,310", "“1,310” can be read in two ways: 1310 or 1.310. Write 1310 without "
         "the comma, or a decimal point."),
        ("alkalinity", "high", "“high” is not a number. Write a number, such as “12 dKH”."),
        ("alkalinity", "8 mS", "The unit “mS” is not known for alkalinity. Use dKH."),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_beside_the_field(
    phone: tuple[Page, Record], name: str, value: str, message: str
) -> None:
    page, _ = phone
    reading(page, name, value)
    field = page.locator(f"[data-parameter={name}] [data-key=value]")
    field.blur()
    keep(page)
    expect(page.locator("[data-said]")).to_have_text("One field is not right yet.")
    expect(field).to_be_focused()
    told = page.locator(f"#{field.get_attribute('aria-describedby')}")
    expect(told).to_have_text(message)
    expect(page.locator("[data-list] li")).to_have_count(0)
    field.fill("8.2" if name == "alkalinity" else "420")
    field.blur()
    expect(page.locator(".jw-fault")).to_have_count(0)


def test_other_faults(phone: tuple[Page, Record]) -> None:
    page, _ = phone
    keep(page)
    expect(page.locator("[data-said]")).to_have_text("Nothing is filled in yet.")
    add(page, "doses", what="Kalk & Co")
    add(page, "costs", what="salt", amount="5 USD")
    add(page, "livestock", event="added", name="x", count="1,5", length="<3")
    entry(page, date="2199-01-01")
    keep(page)
    expect(page.locator("[data-said]")).to_have_text("5 fields are not right yet.")
    assert page.locator(".jw-fault").all_text_contents() == [
        "The date 2199-01-01 is in the future. Correct it.",
        "This is needed. Fill it in, or remove the line.",
        "“1,5” is not a number of animals. Write a whole number such as 2.",
        "“<3” is a limit; a number is wanted here. Write the number itself, without the sign.",
        "“5 USD” is not in EUR, the journal's currency. Convert it.",
    ]


def test_a_draft_comes_back(phone: tuple[Page, Record], tmp_path: Path) -> None:
    page, _ = phone
    reading(page, "alkalinity", "8,", "<")
    add(page, "doses", what="a", amount="3")
    entry(page, title="T", notes="N\nM")
    page.locator("[data-photos] summary").click()
    page.locator("[data-file]").set_input_files(photo_file(tmp_path))
    page.locator(".jw-row--photo [data-key=view]").fill("front")
    page.reload()
    page.locator("#jw").wait_for()
    values = {name: page.locator(f"[data-entry={name}]").input_value() for name in
              ("title", "notes")}  # fmt: skip
    assert values == {"title": "T", "notes": "N\nM"}
    row = page.locator("[data-parameter=alkalinity]")
    assert row.locator("[data-key=value]").input_value() == "8,"
    assert row.locator("[data-key=limit]").input_value() == "<"
    assert page.locator("[data-section=doses] [data-key=amount]").input_value() == "3"
    assert page.locator(".jw-row--photo [data-key=view]").input_value() == "front"
    drawn = "canvas => canvas.getContext('2d').getImageData(80, 60, 1, 1).data[3]"
    page.wait_for_function(f"({drawn})(document.querySelector('.jw-row--photo canvas')) === 255")
    row.locator("[data-key=value]").fill("8")
    keep(page)
    page.get_by_role("button", name="Change", exact=True).click()
    assert page.locator("[data-entry=title]").input_value() == "T"
    expect(page.locator(".jw-row--photo")).to_have_count(1)


def test_offline_after_the_first_visit(browser: Browser, reef: Served) -> None:
    context = browser.new_context(viewport=PHONE)
    page = opened(context, reef)
    expect(page.locator("[data-offline]")).to_have_text("This page opens without a network, too.")
    scope = "navigator.serviceWorker.getRegistrations().then(all => all.map(one => one.scope))"
    assert page.evaluate(scope) == [f"{reef.home}write/"]
    context.set_offline(True)
    page.reload()
    page.locator("#jw").wait_for()
    styled = "getComputedStyle(document.querySelector('.jw-bar')).position"
    assert page.evaluate(styled) == "sticky"
    reading(page, "alkalinity", "8,2")
    keep(page)
    expect(page.locator("[data-list] li")).to_have_count(1)
    hosts = """Promise.all((await caches.keys()).map(async name => {
      const kept = await (await caches.open(name)).keys();
      return kept.map(one => one.url);
    }))"""
    kept = [url for urls in page.evaluate(f"(async () => {hosts})()") for url in urls]
    assert f"{reef.home}write/" in kept
    assert [url for url in kept if not url.startswith(reef.home)] == []
    assert [url for url in kept if "search_index" in url] == []
    context.set_offline(False)
    other = context.new_page()
    other.goto(f"{reef.home}water/")
    assert other.evaluate("navigator.serviceWorker.controller") is None, "only the form's page"
    context.close()


def test_search_engines_and_the_search_of_the_site_pass_it_over(
    phone: tuple[Page, Record], reef: Served
) -> None:
    page, _ = phone
    assert page.locator("head meta[name=robots]").get_attribute("content") == "noindex"
    index = page.request.get(f"{reef.home}search/search_index.json").json()
    found = {document["location"].partition("#")[0] for document in index["docs"]}
    assert "upkeep/" in found
    assert found & {"write/", "keys/"} == set()


def test_an_entry_is_copied_and_shared(browser: Browser, reef: Served) -> None:
    context = browser.new_context(viewport=PHONE, permissions=["clipboard-read", "clipboard-write"])
    context.add_init_script("""
      window.shared = [];
      navigator.canShare = what => what.files.length === 1 && window.zips;
      navigator.share = async what => { window.shared.push(Object.keys(what).sort().join()); };
    """)
    page = opened(context, reef)
    entry(page, date="2026-03-15", time="07:05", title="A: b")
    keep(page)
    page.get_by_role("button", name="Copy as text").click()
    expect(page.locator("[data-said]")).to_contain_text("Copied.")
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied == 'date: 2026-03-15\ntime: "07:05"\ntitle: "A: b"\n'
    page.get_by_role("button", name="Share").click()
    expect(page.locator("[data-said]")).to_have_text(
        "Only the text was shared: photos go by ZIP file."
    )
    page.evaluate("window.zips = true")
    page.get_by_role("button", name="Share").click()
    expect(page.locator("[data-said]")).to_have_text("")
    assert page.evaluate("window.shared") == ["text,title", "files,title"]
    page.on("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Remove what was handed over").click()
    expect(page.locator("[data-kept]")).to_be_hidden()
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_targets_are_large_and_named(browser: Browser, reef: Served, scheme: Any) -> None:
    context = browser.new_context(viewport=PHONE, color_scheme=scheme)
    page = opened(context, reef)
    for section in ("doses", "livestock", "upkeep", "costs"):
        add(page, section)
    targets = "button, select, summary, textarea, .jw-check, .jw-file"
    inputs = "input:not([type=checkbox], [type=file])"
    small = """targets => [...document.querySelectorAll(targets)]
      .filter(one => one.checkVisibility() && one.getBoundingClientRect().height < 44)
      .map(one => one.outerHTML)"""
    assert page.evaluate(small, f"#jw :is({targets}, {inputs})") == []
    nameless = """[...document.querySelectorAll('#jw :is(input, select, textarea)')]
      .filter(one => !one.labels.length && !one.ariaLabel && !one.getAttribute('aria-labelledby'))
      .map(one => one.outerHTML)"""
    assert page.evaluate(nameless) == []
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement !== document.body")
    context.close()


# --- The same answers as a check gives --------------------------------------------------------

SAID = [
    "8", "8.2", "8,2", "08", ".5", ",5", "-1", "+8", "8.", "1e1", "1E400", "1,310", "13,10",
    "1,3105", "0", "25", "25.1", "0.5", "0.49", "8.2 dKH", "8,2dkh", "8 ° KH", "2.9 meq/L",
    "2.9 MEQ / l", "145 ppm", "145 mg/L CaCO3", "7000 mg/L CaCO3", "8 psu", "8 dHK", "8 ± 0.1",
    "8 +/- 0,1 dKH", "8 +- 5 % dKH", "8 ± -1", "8 ± 1,310", "8 ± x", "<8", "< 0,25 dKH", "≤ 8",
    "below 8", "Under 8 dKH", "above 8", ">8", "≥8 dKH", "belo 8", "about 8", "8..2", "8 8",
    "", " ", "NaN", "inf", "1.026", "1.026 SG", "1,0264 sg 20/20", "53 mS/cm", "77 F", "77 °f",
    "25 degC", "298 K", "50 ± 2 %", "50 %", "420 ppm", "0,42 g/L", "420000 µg/L", "420000 μg/L",
    "420000 ug/L", "5 mg/l NO3-N", "1e-3", "8.15 pH", "٨",
]  # fmt: skip


def answer(name: str, text: str, journal: Path) -> float | None:
    """Give the value that a check takes, or None where it complains."""
    profile = load_journal(journal / "content", dt.date(2026, 11, 23)).profile
    record, _, problems = validate(
        Entry, Document("", {"readings": {name: text}}, {}, {}), {"units": profile.bare_units}
    )
    return None if problems or record is None else getattr(record.readings, name)[0].value.value


@pytest.mark.parametrize(
    "name", ["alkalinity", "salinity", "temperature", "calcium", "nitrate", "ph", "humidity", "orp"]
)
def test_the_form_takes_what_a_check_takes(
    phone: tuple[Page, Record], reef: Served, name: str
) -> None:
    page, _ = phone
    taken = page.evaluate(
        """([name, texts]) => texts.map(text => {
          try {
            const value = journalWrite.quantity(text, journalWrite.facts.tests[name]);
            return value.text ?? value.number;
          } catch (error) { return null; }
        })""",
        [name, SAID],
    )
    for text, written in zip(SAID, taken, strict=True):
        if text == "٨":
            assert written is None, "digits that no keyboard of a phone gives by mistake"
            continue
        expected = answer(name, text, reef.journal)
        assert (written is None) == (expected is None), text
        if written is not None:
            assert answer(name, written, reef.journal) == pytest.approx(expected), text


SIGNS = "ab Z09.,:;#-'\"[]{}&*!|>%@`?~\\/+=_()<\n\t\r\x07\x85\u00a0\u2028\ufeff\ufffe🐠é€\ud800"


def test_any_text_comes_back_from_the_yaml(phone: tuple[Page, Record]) -> None:
    page, _ = phone
    draw = random.Random(20260314)
    texts = ["".join(draw.choices(SIGNS, k=draw.randint(1, 12))) for _ in range(400)]
    texts += ["yes", "No", "null", "~", "0x1F", "1_000", "12e3", ".inf", "2026-03-14", "18:40",
              "-", "---", "<5", "true ", "# x", "a: b", "a #b", "<<", "=", "1.5",
              "5 g"]  # fmt: skip
    written = page.evaluate(
        """texts => texts.map(text => journalWrite.yaml({date: "2026-03-14", time: "",
          title: text.trim(), readings: {}, notes: text, question: "",
          lists: {feed: [{what: {text}, amount: {number: "1"}}]}}))""",
        texts,
    )
    for text, yaml in zip(texts, written, strict=True):
        whole = text.replace("\ud800", "\ufffd")
        document, problems = read_document("x.yml", yaml.encode())
        assert document is not None and problems == [], (text, yaml)
        (food,) = document.data["feed"]
        assert food == {"what": whole, "amount": 1} or str(food["what"]) == whole, (text, yaml)
        shown = str(document.data.get("notes", ""))
        meant = whole.replace("\r\n", "\n").replace("\r", "\n")
        assert bare(shown) == bare(meant), (text, yaml)


def bare(text: str) -> str:
    """Give text without the spaces around it, as browsers know them: the byte order mark is one."""
    return re.sub(r"^[\s\ufeff]+|[\s\ufeff]+$", "", text)
