"""Nothing that a keeper hides is anywhere in the built site: every byte of it is looked at."""

from __future__ import annotations

import datetime as dt
import gzip
import io
import json
import re
import zlib
from pathlib import Path

import pytest
from PIL import Image

from journal_tools.cache import Cache
from journal_tools.journal import load_journal
from journal_tools.pages.site import gather_site
from journal_tools.profile import Privacy
from journal_tools.publishing import SMALL_PHOTO_PX, published
from journal_tools.starter import Answers, start_journal
from tests.site.program import Program

START = dt.date(2026, 3, 14)
PROFILE = """
about: A quiet tank.
altitude: 1234 m
tariff: 0.7311
budget: {gear: 98761}
equipment:
  - {name: pump, kind: return pump, installed: 2026-03-14, price: 98762, power: 20 W,
     photo: IMG_20260320_174613.jpg}
supplements: [{name: mix, potency: {by: 1 ml, water: 100 L, raises: {calcium: 4}}, price: 98763}]
salt_mix: {name: salt, fresh: {calcium: 420}, price: 98764}
vessels: [{name: display, length: 90, width: 45, water_height: 42}]
animals: [{name: clownfish, group: fish}]
privacy: {show_costs: false, show_keeper: false, show_place: false, exact_times: false,
  full_photos: false}
"""
ENTRIES = {
    "2026-03-20.yml": """
time: "17:46"
title: Shown
readings: {alkalinity: [8.2, {value: 8.3, time: "17:53"}], calcium: 420}
doses: [{what: mix, amount: 5 ml, time: "17:51"}]
dosing_plan: {what: mix, per_day: 5 ml, time: "17:52"}
water_change: {volume: 20 L, time: "17:54"}
costs: [{what: costmarkerwhat, amount: 98765, category: costmarkercategory}]
livestock: [{added: clownfish, count: 2, price: 98766}]
equipment: [{installed: lamp, price: 98767}]
photos: [{file: IMG_20260320_174613.jpg, view: front, caption: Seen},
  {file: lost_20260320_174699.jpg}]
""",
    "2026-03-21.yml": """
title: draftmarkertitle
draft: true
readings: {alkalinity: 8.0}
notes: draftmarkernotes
photos: [{file: draftmarkerphoto.jpg}]
""",
    "2026-03-27.yml": 'time: "17:57"\nreadings: {alkalinity: 8.1}\n',
}  # fmt: skip
MARKERS = (
    b"keepermarker", b"Lord_Howe", b"costmarker", b"9876", b"0.7311", b"1234 m", b"draftmarker",
    b"cameramarker", b"20260320_1746", b"20260320-1746", b"+10:30", b"+11:00", b"LHDT",
)  # fmt: skip
CLOCKS = re.compile(rb"(?<![\d.])17:(46|51|52|53|54|57)(?!\d)")


@pytest.fixture(scope="module")
def journal(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("private") / "journal"
    start_journal(folder, Answers("Hidden", "keepermarker", START, "Australia/Lord_Howe"))
    with (folder / "content/tank.yml").open("a", encoding="utf-8") as profile:
        profile.write(PROFILE)
    for name, text in ENTRIES.items():
        (folder / "content/log" / name).write_text(text, encoding="utf-8")
    exif = Image.Exif()
    exif[0x010F], exif[0x9003] = "cameramarker", "2026:03:20 17:46:13"
    exif.get_ifd(0x8825).update({1: "S", 2: (31.0, 33.0, 0.0), 3: "E", 4: (159.0, 5.0, 0.0)})
    picture = Image.radial_gradient("L").resize((2000, 1500)).convert("RGB")
    for name in ("IMG_20260320_174613.jpg", "draftmarkerphoto.jpg"):
        picture.save(folder / "content/photos" / name, exif=exif)
    return folder


@pytest.fixture(scope="module")
def site(journal: Path, program: Program) -> Path:
    built, outcome = program.build(journal)
    assert outcome.code == 0, outcome.said
    return built


def decoded(path: Path) -> list[bytes]:
    """Give the bytes of a file, and what is packed inside it."""
    data = path.read_bytes()
    found = [data]
    if path.suffix == ".gz":
        found.append(gzip.decompress(data))
    if path.suffix in (".png", ".webp", ".jpg"):
        with Image.open(io.BytesIO(data)) as picture:
            found += [repr(picture.info).encode(), repr(dict(picture.getexif())).encode()]
    if path.suffix == ".png":
        found += [zlib.decompress(c) for c in re.findall(rb"zTXt.*?\0\0(.+?)IDAT", data, re.S)]
    return found


def test_no_marker_is_anywhere(site: Path) -> None:
    files = [path for path in site.rglob("*") if path.is_file()]
    assert {".html", ".csv", ".json", ".gz", ".webp", ".js"} <= {path.suffix for path in files}
    leaks = [
        (path.relative_to(site).as_posix(), marker)
        for path in files
        for data in decoded(path)
        for marker in MARKERS
        if marker in data or marker in path.name.encode()
    ]
    assert leaks == []


def test_no_time_of_day_is_anywhere(site: Path) -> None:
    leaks = [
        (path.relative_to(site).as_posix(), CLOCKS.search(data))
        for path in site.rglob("*")
        if path.suffix in (".html", ".csv", ".json", ".xml", ".ics", ".txt")
        or path.parent.name in ("charts", "search")
        for data in decoded(path)
        if CLOCKS.search(data)
    ]
    assert leaks == []


def test_what_is_not_hidden_is_there(site: Path) -> None:
    """The markers would be found if they were there: so are the words beside them."""
    month = (site / "diary/2026-03/index.html").read_text(encoding="utf-8")
    assert "Shown" in month and "Seen" in month and "8.3 dKH" in month
    assert "2026-03-20,alkalinity,8.2" in (site / "data/readings.csv").read_text()


def test_photos_are_small_and_say_nothing(site: Path) -> None:
    pictures = [p for p in (site / "photos").iterdir() if p.suffix in (".webp", ".jpg")]
    assert pictures
    for path in pictures:
        with Image.open(path) as picture:
            assert picture.width <= SMALL_PHOTO_PX
            assert not picture.getexif() and "icc_profile" not in picture.info


def test_the_same_journal_without_privacy_shows_it_all(
    journal: Path, tmp_path: Path, program: Program
) -> None:
    """The markers do reach the pages of a keeper who hides nothing."""
    profile = (journal / "content/tank.yml").read_text(encoding="utf-8")
    open_one = tmp_path / "open"
    (open_one / "log").mkdir(parents=True)
    (open_one / "photos").mkdir()
    (open_one / "tank.yml").write_text(profile.partition("privacy:")[0], encoding="utf-8")
    for name, text in ENTRIES.items():
        (open_one / "log" / name).write_text(text, encoding="utf-8")
    for path in (journal / "content/photos").glob("*.jpg"):
        (open_one / "photos" / path.name).write_bytes(path.read_bytes())
    site = gather_site(load_journal(open_one, dt.date(2026, 4, 1)), Cache(program.cache))
    assert site.journal.profile.keeper == "keepermarker" and site.journal.profile.tariff
    assert not site.tables.costs.empty and "17:46" in str(site.journal.entries[0].time)
    assert max(r.width for s in site.shown_photos for r in s.photo.renditions) > SMALL_PHOTO_PX


def test_a_journal_that_hides_nothing_is_not_touched(journal: Path) -> None:
    read = load_journal(journal / "content", dt.date(2026, 4, 1))
    read = type(read)(**vars(read) | {"profile": read.profile.model_copy(
        update={"privacy": Privacy()})})  # fmt: skip
    assert published(read, {})[0] is read


def test_the_clock_stays_where_only_the_place_is_hidden(journal: Path) -> None:
    read = load_journal(journal / "content", dt.date(2026, 4, 1))
    profile = read.profile.model_copy(update={"privacy": Privacy(show_place=False)})
    shown, _ = published(type(read)(**vars(read) | {"profile": profile}), {})
    moments = [entry.time.isoformat() for entry in shown.entries]
    assert "2026-03-20T17:46:00+00:00" in moments
    assert shown.profile.altitude is not None and shown.profile.altitude.said == "1250 m"


def test_the_data_say_days_alone(site: Path) -> None:
    package = json.loads((site / "data/datapackage.json").read_text(encoding="utf-8"))
    types = {
        field["type"]
        for resource in package["resources"]
        for field in resource["schema"]["fields"]
        if field["name"] in ("time", "start", "end")
    }
    assert types == {"date"}
