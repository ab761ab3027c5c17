"""A journal with every kind of mistake that a keeper can make, and the kinds there are."""

from __future__ import annotations

import ast
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path

from PIL import Image

from tests.site.journals import FIRST, new_journal, save_photo, write
from tests.site.program import ROOT

ELSEWHERE = {"file-missing", "file-unreadable", "photo-failed", "probe-needs-reader", "template"}
"""Kinds that come from a disk or a template and not from what a keeper wrote in an entry."""

PROFILE = f"""
name: Broken
name: Twice
start: {FIRST}
time_zone: Atlantis/Capital
currency: shells
units: {{volume: cups}}
colour: blue
room: {{coldest: 30, warmest: 12}}
instruments: [{{name: pen, kind: pH meter, scale: brine}}, {{name: meter, kind: pH meter}}]
vessels: [{{name: display, length: 90}}, {{name: sump, volume: -5 L}}]
fill: {{rock: {{name: bare}}, sand: {{grain: 1 mm}}}}
targets: {{alkalinity: 9 to 7}}
supplements:
  - {{name: both, salts: {{NaHCO3: 80 g}}, potency: {{by: 10 ml, water: 100 L, raises: {{}}}}}}
  - {{name: dust, salts: {{Stardust: 80 g}}, made_up_to: 1 L}}
animals: [{{name: clownfish, group: bird}}]
upkeep: [{{every: 4 days}}]
equipment:
  - name: return pump
    curve: [{{flow: 0 L/h, head: 1 m}}, {{flow: 900 L/h, head: 2 m}}]
    plumbing: {{static_head: 1 m, pipes: [{{length: 2 m, bore: 25 mm}}], fittings: {{knot: 1}}}}
  - name: lamp
    light: {{on: "10:00", off: "12:00", ramp: 3 h}}
  - name: other lamp
    light: {{on: "10:00", off: "20:00", spectrum: {{blue: 90, white: 90}}}}
  - name: second pump
    plumbing:
      static_head: 1 m
      pipes: [{{length: 2 m, bore: 25 mm}}, {{length: 1 m, bore: 16 mm}}]
      fittings: {{elbow_90: 2}}
"""
IN_PROFILE = (
    "bad-band", "currency", "duplicate-key", "fittings-of-which-pipe", "instrument",
    "light-day", "missing-key", "pump-curve", "rock", "room", "sand", "spectrum",
    "supplement", "time-zone", "unknown-fitting", "unknown-salt", "unknown-word",
    "vessel-measures",
)  # fmt: skip
"""The kinds of mistake that the profile above makes."""

ENTRIES = {
    "ambiguous-comma": ("2026-03-15.yml", "readings: {alkalinity: 8,2, nitrate: 5}"),
    "bad-date": ("2026-02-30.yml", "notes: There is no such day."),
    "bad-error": ("2026-03-16.yml", "readings: {alkalinity: 8.2 ± -1}"),
    "bad-key": ("2026-03-17.yml", "? [a, b]\n: 1\nnotes: Odd key."),
    "bad-money": ("2026-03-18.yml", "costs: [{what: salt, amount: plenty}]"),
    "bad-time": ("2026-03-19.yml", 'time: "25:70"\nnotes: Late.'),
    "bad-value": ("2026-03-20.yml", "feed: [{what: mysis}]\nlivestock: 7"),
    "date-mismatch": ("2026-03-21.yml", "date: 2026-03-22\nnotes: Which one?"),
    "date-range": ("2036-03-22.yml", "notes: Far ahead."),
    "calibration": ("2026-04-20.yml", "calibrations: {instrument: pen}"),
    "calibration-points": (
        "2026-04-22.yml",
        "calibrations:\n  instrument: meter\n"
        "  ph: [{standard: 7, shown: 7}, {standard: 10, shown: 7}]",
    ),
    "unknown-instrument": (
        "2026-04-23.yml",
        "calibrations: {instrument: lost pen, ph: {standard: 7, shown: 7}}",
    ),
    "checkpoint": ("2026-04-21.yml", "calibrations: {instrument: pen, ph: {standard: 7}}"),
    "dosing-plan": ("2026-03-23.yml", "dosing_plan: [{what: alk mix}]"),
    "double-entry": ("2026-03-24.yml", "notes: Second."),
    "empty": ("2026-03-25.yml", "# nothing yet\n"),
    "not-an-entry": ("2026-03-27.yml.txt", "notes: Saved by a simple editor."),
    "event-kind": ("2026-03-26.yml", "livestock: [{count: 2}]"),
    "file-too-large": ("2026-03-27.yml", f"notes: {'long ' * 300_000}"),
    "impossible-value": ("2026-03-28.yml", "readings: {alkalinity: -3}"),
    "no-date": ("a-good-day.yml", "notes: But which?"),
    "not-a-number": ("2026-03-29.yml", "readings: {alkalinity: lots}"),
    "not-finite": ("2026-03-30.yml", "readings: {alkalinity: 1e999 dKH}"),
    "not-text": ("2026-03-31.yml", "title: [a, b]"),
    "text-too-long": ("2026-04-01.yml", f"title: {'word ' * 200}"),
    "too-many-values": ("2026-04-02.yml", "notes: x\ntags: " + "[" * 60 + "]" * 60),
    "two-spellings": (
        "2026-04-03.yml",
        "livestock: [{added: turbo snail}, {added: turbo snial}]",
    ),
    "unknown-key": ("2026-04-04.yml", "readings: {alkalinty: 8.2}"),
    "unknown-supplement": ("2026-04-05.yml", "doses: [{what: mystery drops, amount: 5 ml}]"),
    "unknown-unit": ("2026-04-06.yml", "readings: {alkalinity: 8.2 foot}"),
    "wrong-currency": ("2026-04-07.yml", "costs: [{what: salt, amount: 12 USD}]"),
    "wrong-unit": ("2026-04-08.yml", "water_change: 20 cm"),
    "yaml-syntax": ("2026-04-09.yml", "notes: [unclosed\ntitle: x"),
    "yaml-tag": ("2026-04-10.yml", "notes: !!python/name:os.system x"),
    "note-link": ("2026-04-19.yml", "notes: See [that day](2020-01-01)."),
    "photo-case": ("2026-04-11.yml", "photos: [GOOD.jpg]"),
    "photo-missing": ("2026-04-12.yml", "photos: [nowhere.jpg]"),
    "photo-outside": ("2026-04-13.yml", "photos: [../../mkdocs.yml]"),
    "photo-not-image": ("2026-04-14.yml", "photos: [words.jpg]"),
    "photo-format": ("2026-04-15.yml", "photos: [drawing.svg]"),
    "photo-truncated": ("2026-04-16.yml", "photos: [half.jpg]"),
    "photo-too-large": ("2026-04-17.yml", "photos: [vast.png]"),
    "photo-date": ("2026-04-18.yml", "photos: [future.jpg]"),
}
"""The other kinds of mistake, each with the entry that makes it and its text."""


_BERLIN = "time: {column: time, zone: Europe/Berlin}\n"
_TOLD = _BERLIN + "columns: {temperature: T1}\n"

PROBES = {
    "probe-cells": ("cells.csv", _TOLD, "time,T1\n2026-04-01,25\n2026-04-02,25,3\n"),
    "probe-clock-skipped": ("spring.csv", _TOLD, "time,T1\n2026-03-29 02:30,25\n"),
    "probe-clock-twice": ("autumn.csv", _TOLD, "time,T1\n2025-10-26 02:30,25\n"),
    "probe-damaged": ("damaged.csv", _TOLD, 'time,T1\n2026-04-01,"25\n'),
    "probe-doubles": ("doubles.csv", _TOLD, "time,T1\n" + "2026-04-01,25\n" * 2),
    "probe-empty": ("empty.csv", _TOLD, "time,T1\n"),
    "probe-kind": ("kind.yml", "file: kind.xlsx\n" + _TOLD, ""),
    "probe-limits": (
        "limits.yml",
        _BERLIN + "columns: {temperature: {column: T1, limits: {fail: [30, 20]}}}\n",
        "",
    ),
    "probe-missing": ("missing.yml", _TOLD, ""),
    "probe-no-column": ("column.csv", _TOLD, "time,T2\n2026-04-01,25\n"),
    "probe-no-values": ("values.csv", _TOLD, "time,T1\n2026-04-01,\n"),
    "probe-not-text": ("binary.csv", _TOLD, "time,T1\n\0\0"),
    "probe-order": ("order.csv", _TOLD, "time,T1\n2026-04-01,25\n2026-04-03,25\n2026-04-02,25\n"),
    "probe-outside": ("outside.yml", "file: ../../mkdocs.yml\n" + _TOLD, ""),
    "probe-time": ("time.csv", _TOLD, "time,T1\n1.4.2026,25\n"),
    "probe-time-range": ("range.csv", _TOLD, "time,T1\n2001-01-01,25\n2026-04-01,25\n"),
    "probe-too-large": ("large.csv", _TOLD, "time,T1\n"),
    "probe-undescribed": ("alone.csv", "", "time,T1\n2026-04-01,25\n"),
    "probe-value": ("value.csv", _TOLD, "time,T1\n2026-04-01,ERR\n2026-04-02,inf\n"),
}
"""Mistakes of probes: the file that is named, the description beside it, and its text."""


NASTY = 'notes: "<script>alert(1)</script>[x](javascript:a)"'


def expected() -> dict[str, str]:
    """Give the file in which each kind of mistake is made."""
    return (
        dict.fromkeys(IN_PROFILE, "tank.yml")
        | {kind: f"log/{name}" for kind, (name, _) in ENTRIES.items()}
        | {kind: f"probes/{name}" for kind, (name, _, _) in PROBES.items()}
        | {"not-utf8": "log/2026-05-02.yml", "outside": "log/2026-05-04.yml"}
    )


def broken_journal(folder: Path) -> Path:
    """Give a journal in which every kind of mistake is made, each entry beside good ones."""
    new_journal(folder)
    write(folder, "content/tank.yml", PROFILE)
    for name, text in ENTRIES.values():
        write(folder, f"content/log/{name}", text)
    write(folder, "content/log/2026-03-24.yaml", "notes: First.")
    write(folder, "content/log/2026-05-01-fine.yml", "readings: {alkalinity: 8.4}\nnotes: Fine.")
    (folder / "content/log/2026-05-02.yml").write_bytes(b"notes: caf\xe9")
    (folder / "content/log/2026-05-03.yml").mkdir()
    (folder / "content/log/2026-05-04.yml").symlink_to(ROOT / "mkdocs.yml")
    write(folder, "content/log/2026-05-05.yml", NASTY)
    _broken_photos(folder / "content/photos")
    _broken_probes(folder)
    return folder


def _broken_probes(folder: Path) -> None:
    for name, description, text in PROBES.values():
        stem = name.partition(".")[0]
        if description:
            write(folder, f"content/probes/{stem}.yml", description)
        if text:
            write(folder, f"content/probes/{stem}.csv", text)
    with (folder / "content/probes/large.csv").open("r+b") as file:
        file.truncate(1_000_000_001)  # of a sparse file nothing lies on the disk


def _broken_photos(folder: Path) -> None:
    save_photo(folder / "good.jpg", "teal")
    whole = (folder / "good.jpg").read_bytes()
    (folder / "half.jpg").write_bytes(whole[: len(whole) // 2])
    (folder / "words.jpg").write_text("I am no picture.", encoding="utf-8")
    (folder / "drawing.svg").write_text("<svg/>", encoding="utf-8")
    (folder / "vast.png").write_bytes(_png_that_claims(60_000, 60_000))
    picture, exif = Image.new("RGB", (64, 64)), Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "2031:01:01 10:00:00"
    picture.save(folder / "future.jpg", exif=exif)


def _png_that_claims(width: int, height: int) -> bytes:
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(b"")), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in chunks
    )


_PLACE_OF_CODE = {"mistake": 0, "QuantityError": 0, "Fault": 0, "problem": 1, "Problem": 3}


def kinds_in_the_code() -> set[str]:
    """Give the code of every problem that the package can report."""
    found: set[str] = set()
    for path in sorted((ROOT / "journal_tools").rglob("*.py")):
        found |= set(_codes(ast.parse(path.read_text(encoding="utf-8"))))
    return found


def _codes(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "attr", getattr(node.func, "id", ""))
        place = _PLACE_OF_CODE.get(name)
        if place is not None and len(node.args) > place:
            argument = node.args[place]
            if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                yield argument.value
