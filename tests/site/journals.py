"""Small invented journals."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path
from typing import Any

import yaml
from PIL import Image

from journal_tools.starter import Answers, start_journal
from tests.site.program import ROOT

FIRST = "2026-03-14"
PROFILE = """
vessels: [{name: display, length: 90, width: 45, water_height: 42}]
targets: {alkalinity: 7.5 to 9}
animals: [{name: clownfish, group: fish}]
"""
ENTRIES = {
    f"{FIRST}-the-first-day.yml": """
title: The glass has arrived
readings: {alkalinity: 8.2, temperature: 25.4}
photos: [{file: front.jpg, view: front, caption: An empty box}]
notes: It is **heavier** than it looks.
""",
    "2026-03-21.yml": """
readings: {alkalinity: 8.0, temperature: 25.1}
livestock: [{added: clownfish, count: 2, length: 4 cm}]
photos: [{file: front-2.jpg, view: front}]
""",
    "2026-04-02.yml": """
title: A quiet fortnight
readings: {alkalinity: 9.6, temperature: 25.2}
water_change: 20 L
""",
}


def new_journal(folder: Path) -> Path:
    """Start a journal as ``journal-tools new`` does, without its first entry's words."""
    start_journal(folder, Answers("The test tank", "Nobody", dt.date.fromisoformat(FIRST), "UTC"))
    return folder


def three_entries(folder: Path) -> Path:
    """Give a journal of three entries, two readings and two photos."""
    new_journal(folder)
    with (folder / "content/tank.yml").open("a", encoding="utf-8") as profile:
        profile.write(PROFILE)
    for name, text in ENTRIES.items():
        (folder / "content/log" / name).write_text(text, encoding="utf-8")
    for name, colour in (("front.jpg", "teal"), ("front-2.jpg", "olive")):
        save_photo(folder / "content/photos" / name, colour)
    return folder


def save_photo(path: Path, colour: str) -> None:
    """Save a plain picture that says where it was taken (an invented place at sea)."""
    picture = Image.new("RGB", (1400, 900), colour)
    exif = Image.Exif()
    exif[0x010F] = "Nobody"
    exif.get_ifd(0x8825).update({1: "S", 2: (31.0, 15.0, 0.0), 3: "E", 4: (88.0, 30.0, 0.0)})
    picture.save(path, exif=exif)


def copy_of_demo(folder: Path) -> Path:
    """Copy the demo with the settings of its site, but with new times on its files."""
    folder.mkdir()
    shutil.copyfile(ROOT / "mkdocs.yml", folder / "mkdocs.yml")
    shutil.copytree(ROOT / "content", folder / "content", copy_function=shutil.copyfile)
    return folder


def change_settings(folder: Path, **changes: Any) -> None:
    """Set keys of a journal's ``mkdocs.yml``; ``...`` removes one."""
    path = folder / "mkdocs.yml"
    settings = yaml.safe_load(path.read_text(encoding="utf-8")) | changes
    kept = {key: value for key, value in settings.items() if value is not ...}
    path.write_text(yaml.safe_dump(kept, sort_keys=False, allow_unicode=True), encoding="utf-8")


def write(folder: Path, path: str, text: str) -> Path:
    """Write a file of a journal, folders included."""
    target = folder / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(text, encoding="utf-8")
    return target
