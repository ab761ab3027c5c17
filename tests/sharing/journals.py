"""Three small invented journals: one without photos, one in US units with German notes, one that
hides all it can."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

from PIL import Image

from journal_tools.starter import Answers, start_journal
from tests.site.program import ROOT

START = dt.date(2026, 3, 14)

NO_PHOTOS = {
    "2026-03-21.yml": "readings: {alkalinity: 8.0, temperature: 25.1}\nnotes: A **bold** word.\n",
    "2026-03-28.yml": "readings: {alkalinity: 8.4, temperature: 25.3}\nwater_change: 20 L\n",
    "2026-04-02-quiet.yml": "title: A quiet fortnight\nreadings: {alkalinity: 8.1}\n",
}

GERMAN = {
    "2026-03-20.yml": """
title: Das Becken läuft
readings: {temperature: 77.5 F, salinity: 1.0264 SG, alkalinity: "8,1", nitrate: < 0.25}
water_change: 5 gal
photos: [{file: vorne.jpg, view: front, caption: "Der erste Tag, schön trüb"}]
notes: |
  Größe, Übermut & Äpfel: 5 < 6 > 4. [quote]kein Zitat[/quote]
  <b>nicht fett</b>

  - Riffsäule
  - Pumpe [/list]

  ```
  [/code] ``` x
  ```
  Mehr im [ersten Eintrag](2026-03-14-the-first-day) und [hier](javascript:alert(1)).
""",
    "2026-03-27.yml": """
readings: {temperature: 78 F, alkalinity: "8,4"}
notes: Strömung geprüft.
""",
}


def no_photos(folder: Path) -> Path:
    return _journal(folder, Answers("Plain water", "Somebody", START, "UTC"), NO_PHOTOS)


def german(folder: Path) -> Path:
    answers = Answers("Größenwahn am Riff", "Jemand", START, "America/Chicago", "us", "USD")
    _journal(folder, answers, GERMAN)
    picture = Image.radial_gradient("L").resize((1400, 900)).convert("RGB")
    picture.save(folder / "content/photos/vorne.jpg")
    return folder


def demo(folder: Path) -> Path:
    folder.mkdir()
    shutil.copyfile(ROOT / "mkdocs.yml", folder / "mkdocs.yml")
    shutil.copytree(ROOT / "content", folder / "content", copy_function=shutil.copyfile)
    return folder


def _journal(folder: Path, answers: Answers, entries: dict[str, str]) -> Path:
    start_journal(folder, answers)
    for name, text in entries.items():
        (folder / "content/log" / name).write_text(text, encoding="utf-8")
    return folder
