"""What each picture of the demo journal shows: the scene of its day, after the simulation."""

from __future__ import annotations

import datetime as dt
import math
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, cast
from zoneinfo import ZoneInfo

import numpy as np

from tests.demo.colonies import COLONIES
from tests.demo.draw import draw, save_jpeg
from tests.demo.scene import ALL_GEAR, Coral, Fish, FishKind, Light, Scene, Stage, View
from tests.demo.story import Told, told

ZONE = ZoneInfo("Europe/Amsterdam")
POWER_CUT, HEAT = dt.date(2026, 2, 13), dt.date(2026, 7, 5)
_STAGES: tuple[tuple[str, Stage], ...] = (
    ("2025-08-23", "empty"), ("2025-09-13", "plumbing"), ("2025-09-20", "dry rock"),
    ("2025-09-27", "cloudy"), ("2025-10-05", "filled"), ("2025-10-20", "running"),
)  # fmt: skip
_ALGAE = (
    ("2025-10-12", 0.0), ("2025-10-25", 0.6), ("2025-11-16", 0.95), ("2025-11-22", 0.6),
    ("2025-12-13", 0.3), ("2026-01-04", 0.25), ("2026-03-08", 0.45), ("2026-04-05", 0.12),
    ("2026-06-06", 0.08), ("2026-06-20", 0.45), ("2026-06-27", 0.12), ("2026-07-24", 0.08),
    ("2026-08-03", 0.6), ("2026-08-08", 0.15), ("2026-11-30", 0.05),
)  # fmt: skip
_SUBJECTS = {
    "zoanthids": "green zoanthids", "mushroom": "mushroom coral", "leather": "toadstool leather",
    "anchor": "anchor polyp", "pink": "pink branching frag", "burnt": "pink branching frag",
    "plate": "orange plate", "mauve": "mauve frag", "brown": "brown plate",
    "green": "green branching frag",
}  # fmt: skip
_TURNED: dict[str, Literal[6, 8]] = {
    "2025-12/macro-mushroom-1213.jpg": 6, "2026-05/bench-0516.jpg": 8,
    "2026-08/front-0803.jpg": 6,
}  # fmt: skip
_AT_SEA = {
    "2025-11/top-1122.jpg": (12.0, -141.5), "2026-04/front-0418.jpg": (-31.25, 88.5),
    "2026-10/top-1017.jpg": (24.5, -44.0),
}  # fmt: skip
"""Invented positions in mid ocean, so that a site can be seen to drop them."""


@dataclass(frozen=True)
class Swimmer:
    """An animal of the journal: how it is drawn and between which days it is there."""

    kind: FishKind
    x: float
    y: float
    first: str
    last: str
    young: float
    grown: float


_SWIMMERS = (
    Swimmer("clown pair", 0.62, 0.34, "2025-11-22", "2026-12-31", 0.35, 0.85),
    Swimmer("cleaner shrimp", 0.42, 0.86, "2025-12-06", "2026-12-31", 0.5, 0.8),
    Swimmer("goby", 0.76, 0.52, "2025-12-06", "2026-12-31", 0.4, 0.7),
    Swimmer("blenny", 0.30, 0.93, "2026-01-10", "2026-06-10", 0.5, 0.75),
    Swimmer("wrasse", 0.36, 0.24, "2026-03-28", "2026-12-31", 0.5, 0.9),
    Swimmer("turbo snail", 0.06, 0.80, "2025-11-16", "2026-12-31", 0.6, 0.8),
    Swimmer("turbo snail", 0.90, 0.94, "2025-11-16", "2026-12-31", 0.6, 0.8),
    Swimmer("turbo snail", 0.20, 0.95, "2025-11-16", "2026-12-31", 0.5, 0.7),
    Swimmer("hermit crab", 0.52, 0.96, "2025-11-16", "2026-12-31", 0.5, 0.7),
)


@dataclass(frozen=True)
class Picture:
    """One photo of an entry."""

    file: str
    view: View
    taken: dt.datetime

    @property
    def day(self) -> dt.date:
        """The day of its entry."""
        return self.taken.date()


def pictures() -> list[Picture]:
    """Give every picture that the entries name."""
    return [picture for entry in told() for picture in _of_entry(entry)]


def _of_entry(entry: Told) -> Iterator[Picture]:
    photos = entry.data.get("photos", [])
    for number, photo in enumerate(photos if isinstance(photos, list) else [photos]):
        minutes = 3 + 4 * number + zlib.crc32(photo["file"].encode()) % 4
        taken = (entry.when - dt.timedelta(minutes=minutes)).replace(tzinfo=ZONE)
        yield Picture(photo["file"], cast(View, photo["view"]), taken)


def scene(picture: Picture) -> Scene:
    """Give what the picture shows."""
    day, seed = picture.day, zlib.crc32(picture.file.encode()) % 10_000
    stage = next(stage for first, stage in reversed(_STAGES) if str(day) >= first)
    return Scene(
        stage=stage,
        light=_light(picture),
        algae=_algae(day),
        algae_kind="brown" if day < dt.date(2025, 12, 18) else "green",
        coralline=_coralline(day),
        corals=_corals(picture),
        fish=tuple(_fish(day, seed)),
        gear=ALL_GEAR if day >= dt.date(2025, 9, 27) else ("return nozzle",),
        power_cut=day == POWER_CUT,
        heat_wave=day == HEAT,
        seed=seed,
    )


def _light(picture: Picture) -> Light:
    lit = picture.view == "front" and picture.day >= dt.date(2025, 10, 20)
    if not lit or picture.taken.hour < 19 or picture.day == POWER_CUT:
        return "day"
    return "night/blue" if picture.taken.hour >= 21 else "dusk"


def _algae(day: dt.date) -> float:
    days = [dt.date.fromisoformat(when).toordinal() for when, _ in _ALGAE]
    return float(np.interp(day.toordinal(), days, [amount for _, amount in _ALGAE]))


def _coralline(day: dt.date) -> float:
    age = (day - dt.date(2025, 12, 10)).days
    return 0.0 if age < 0 else 0.95 * (1 - math.exp(-age / 130))


def _corals(picture: Picture) -> tuple[Coral, ...]:
    words = Path(picture.file).stem.split("-")
    subject = _SUBJECTS.get(words[1]) if picture.view == "macro" else None
    there = [c for c in COLONIES if c.added <= picture.day]
    there.sort(key=lambda colony: colony.name != subject)
    return tuple(colony.drawn(picture.day) for colony in there)


def _fish(day: dt.date, seed: int) -> Iterator[Fish]:
    rng = np.random.RandomState(seed)
    for swimmer in _SWIMMERS:
        drift_x, drift_y = rng.uniform(-1, 1, 2)
        facing: Literal[-1, 1] = 1 if rng.uniform() < 0.5 else -1
        if not swimmer.first <= str(day) <= swimmer.last:
            continue
        age = (day - dt.date.fromisoformat(swimmer.first)).days
        size = swimmer.young + (swimmer.grown - swimmer.young) * (1 - math.exp(-age / 150))
        roams = swimmer.kind in ("clown pair", "wrasse")
        x = swimmer.x + drift_x * (0.16 if roams else 0.03)
        y = swimmer.y + drift_y * (0.07 if roams else 0.0)
        yield Fish(swimmer.kind, x, y, size, facing)


def draw_all(folder: Path, *, only_missing: bool = False) -> None:
    """Draw every picture below ``folder``, in place of those of an earlier story."""
    wanted = {folder / picture.file: picture for picture in pictures()}
    for old in folder.glob("*/*.jpg"):
        if old not in wanted:
            old.unlink()
    for path, picture in wanted.items():
        if only_missing and path.exists():
            continue
        path.parent.mkdir(parents=True, exist_ok=True)
        save_jpeg(
            draw(scene(picture), picture.view),
            path,
            picture.taken,
            orientation=_TURNED.get(picture.file, 1),
            position=_AT_SEA.get(picture.file),
        )
