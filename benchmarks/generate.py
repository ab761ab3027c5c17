"""An invented journal of any length, the same files for the same seed.

It holds what a keeper writes in an ordinary week: readings of nine parameters at their usual
intervals, doses, water changes, upkeep, food, notes and now and then a photo. Numbers are random
walks inside the usual bands and mean nothing.
"""

from __future__ import annotations

import datetime as dt
import random
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from PIL import Image, ImageDraw

from journal_tools.starter import Answers, starter_files

FIRST_DAY = dt.date(2020, 1, 1)
PHOTO_SIZE = (1200, 900)
ENTRIES_PER_PHOTO = 25

_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
# Days to the entry after: one a day on average, some days with two.
_GAPS = (0, 1, 1, 1, 2)
_WALKS = {
    # parameter: start, step, lowest, highest, decimals, entries between two tests
    "temperature": (25.4, 0.15, 24.2, 26.8, 1, 1),
    "alkalinity": (8.1, 0.12, 7.1, 9.3, 1, 3),
    "salinity": (35.0, 0.1, 34.2, 35.8, 1, 4),
    "ph": (8.1, 0.03, 7.9, 8.35, 2, 5),
    "calcium": (425, 4, 400, 450, 0, 7),
    "nitrate": (6.0, 0.6, 1.0, 18.0, 1, 7),
    "phosphate": (0.05, 0.008, 0.01, 0.12, 2, 7),
    "magnesium": (1310, 10, 1250, 1390, 0, 14),
    "ammonia": (0.03, 0.006, 0.01, 0.08, 2, 30),
}
_TITLES = ("A quiet day", "New growth on the rim", "The pump hums", "Salt on the floor", "Visitors")
_SENTENCES = (
    "Polyps were out before the lights came on.",
    "The glass had a brown film again, thinner than last week.",
    "The skimmer cup was *half full* and dark.",
    "A snail had climbed out to the rim and was put back.",
    "Nothing to report, which is the best report.",
    "The new frag has not moved, and neither has its neighbour.",
    "I moved the left pump by a finger's width to the back.",
    "Flakes were refused, mysis were not.",
)
_TASKS = ("glass", "skimmer cup", "filter floss", "pump service")
_VIEWS = ("front", "left", "top")

_PROFILE: dict[str, Any] = {
    "name": "A generated tank",
    "keeper": "Nobody",
    "start": FIRST_DAY,
    "time_zone": "Etc/UTC",
    "currency": "EUR",
    "vessels": [
        {
            "name": "display", "length": 120, "width": 55, "water_height": 50, "height": 55,
            "glass_thickness": "12 mm", "rim": "rimless",
        },
    ],
    "fill": {"rock": [{"name": "dry rock", "mass": "25 kg"}]},
    "equipment": [
        {"name": "return pump", "kind": "return pump", "installed": FIRST_DAY, "price": 120,
         "power": "30 W", "rated_flow": "3000 L/h"},
        {"name": "lamp", "kind": "light", "installed": FIRST_DAY, "price": 300, "power": "120 W",
         "hours_per_day": 9},
    ],
    "supplements": [
        {"name": "alk mix", "salts": {"NaHCO3": "80 g"}, "made_up_to": "1 L", "bottle": "2 L"},
        {"name": "calcium mix", "salts": {"CaCl2·2H2O": "140 g"}, "made_up_to": "1 L"},
    ],
    "targets": {
        "temperature": "24 to 27 °C", "salinity": [34, 36], "alkalinity": "7 to 9.5 dKH",
        "calcium": "400 to 450", "nitrate": "2 to 12",
    },
    "animals": [{"name": "clownfish", "group": "fish", "adult_length": "8 cm"}],
    "upkeep": [{"task": task, "every": "7 days"} for task in _TASKS],
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Generated:
    """What was written.

    Attributes:
        folder: Folder with ``mkdocs.yml`` and ``content/``.
        entries: Number of entries.
        photos: Number of photos.
        last_day: Day of the last entry, from which the site reckons ages.
    """

    folder: Path
    entries: int
    photos: int
    last_day: dt.date


def generate(folder: Path, entries: int, seed: int = 1) -> Generated:
    """Write a journal with its ``mkdocs.yml`` into an empty or new folder.

    Args:
        folder: Where to; files of the same names are replaced.
        entries: Number of entries, 1 or more.
        seed: Another seed gives other numbers and words.

    Raises:
        ValueError: The number of entries is not positive.
    """
    if entries < 1:
        raise ValueError(f"entries must be 1 or more, not {entries}")
    chance = random.Random(seed)
    content = folder / "content"
    values = {name: float(walk[0]) for name, walk in _WALKS.items()}
    day, photos, names = FIRST_DAY, 0, set[str]()
    _write(content / "tank.yml", _PROFILE)
    for number in range(entries):
        day += dt.timedelta(days=chance.choice(_GAPS) if number else 0)
        name = f"{day}-again" if str(day) in names else str(day)
        name = f"{name}-{number}" if name in names else name
        names.add(name)
        entry = _entry(chance, number, values)
        if number % ENTRIES_PER_PHOTO == 0:
            entry["photos"] = [_photo(chance, content / "photos", name, photos)]
            photos += 1
        _write(content / "log" / str(day.year) / f"{name}.yml", entry)
    _write(folder / "mkdocs.yml", _settings(day))
    return Generated(folder, entries, photos, day)


def _settings(today: dt.date) -> dict[str, Any]:
    """Give the settings of a new journal, but with a fixed day, so that every build is the same."""
    answers = Answers(_PROFILE["name"], _PROFILE["keeper"], FIRST_DAY, "Etc/UTC")
    settings: dict[str, Any] = yaml.safe_load(starter_files(answers)["mkdocs.yml"])
    settings["plugins"] = ["search", {"journal_tools": {"today": today}}]
    return settings


def _entry(chance: random.Random, number: int, values: dict[str, float]) -> dict[str, Any]:
    minute = chance.randrange(8 * 60, 22 * 60)
    entry: dict[str, Any] = {"time": f"{minute // 60:02}:{minute % 60:02}"}
    if number % 5 == 0:
        entry["title"] = chance.choice(_TITLES)
    if number == 0:
        entry["livestock"] = [{"added": "clownfish", "count": 2, "length": "4 cm"}]
    entry["readings"] = _readings(chance, number, values)
    entry["doses"] = [{"what": "alk mix", "amount": f"{chance.randrange(20, 35)} ml"}]
    if number % 2 == 0:
        entry["doses"].append({"what": "calcium mix", "amount": f"{chance.randrange(10, 20)} ml"})
    if number % 10 == 9:
        entry["water_change"] = {"volume": f"{chance.randrange(15, 30)} L", "salinity": 35}
        entry["costs"] = [{"what": "salt", "amount": round(chance.uniform(4, 9), 2)}]
    if number % 2:
        entry["upkeep"] = chance.sample(_TASKS, chance.randrange(1, 3))
    entry["feed"] = [{"what": "frozen mysis", "amount": f"{chance.randrange(1, 5) / 2:g} g"}]
    entry["notes"] = "\n\n".join(
        " ".join(chance.sample(_SENTENCES, 3)) for _ in range(chance.randrange(1, 4))
    )
    return entry


def _readings(
    chance: random.Random, number: int, values: dict[str, float]
) -> dict[str, float | int]:
    readings: dict[str, float | int] = {}
    for name, (_, step, lowest, highest, decimals, interval) in _WALKS.items():
        if number % interval == 0:
            values[name] = min(max(values[name] + chance.gauss(0, step), lowest), highest)
            readings[name] = round(values[name], decimals) if decimals else round(values[name])
    return readings


def _photo(chance: random.Random, folder: Path, name: str, number: int) -> dict[str, str]:
    """Draw a picture with as much fine detail as a photo has to a compressor: blobs and noise."""
    folder.mkdir(parents=True, exist_ok=True)
    width, height = PHOTO_SIZE
    image = Image.new("RGB", PHOTO_SIZE, (20, 50 + chance.randrange(30), 110))
    draw = ImageDraw.Draw(image)
    for _ in range(120):
        x, y, radius = chance.randrange(width), chance.randrange(height), chance.randrange(10, 90)
        colour = (chance.randrange(256), chance.randrange(256), chance.randrange(256))
        draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=colour)
    grain = Image.frombytes("L", (width // 4, height // 4), chance.randbytes(width * height // 16))
    grey = grain.resize(PHOTO_SIZE).convert("RGB")
    Image.blend(image, grey, 0.12).save(folder / f"{name}.jpg", quality=88)
    return {"file": f"{name}.jpg", "view": _VIEWS[number % len(_VIEWS)]}


def _write(path: Path, data: dict[str, Any]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    text = yaml.dump(data, Dumper=_DUMPER, allow_unicode=True, sort_keys=False)
    path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    generate(Path(sys.argv[1]), int(sys.argv[2]))
