"""Write the demo journal: profile, pages and entries with the simulated numbers filled in."""

from __future__ import annotations

import datetime as dt
import re
from functools import cache
from pathlib import Path

from tests.demo.colonies import COLONIES
from tests.demo.kits import KITS, result
from tests.demo.probe import probe_texts
from tests.demo.room import room_carbon_dioxide_ppm
from tests.demo.simulate import feed_g_day, story_run
from tests.demo.story import MARK, Told, told

PAGES = Path(__file__).parent / "pages"


@cache
def texts() -> dict[str, str]:
    """Give the text of every YAML file and page by its path inside the journal."""
    pages = {path.name: path.read_text(encoding="utf-8") for path in sorted(PAGES.iterdir())}
    return pages | {entry.path: filled_in(entry) for entry in told()} | probe_texts()


def filled_in(entry: Told) -> str:
    """Give the entry with a number in place of every mark."""
    return MARK.sub(lambda mark: _number(entry, mark), entry.text)


def _number(entry: Told, mark: re.Match[str]) -> str:
    if mark["day"]:
        entry = next(
            e for e in told() if str(e.day) == mark["day"] and f"@{mark['short']}" in e.text
        )
    short = mark["short"]
    if short in KITS:
        return _test(entry, short, mark["clock"], mark["nth"] or "")
    if short == "topoff":
        return f"{_topped_off_l(entry):g}"
    if short == "feed":
        return f"{round(feed_g_day(entry.day) / 0.5) * 0.5:g}"
    if short == "roomco2":
        return f"{round(room_carbon_dioxide_ppm(entry.day), -1):.0f}"
    if short == "cm":
        colony = next(c for c in COLONIES if c.name == mark["name"])
        return f"{round(colony.width_cm(entry.day) * 2) / 2:g}"
    raise ValueError(f"{entry.name}: the mark '{mark[0]}' has no meaning")


def _test(entry: Told, short: str, clock: str | None, nth: str) -> str:
    moment = entry.when
    if clock:
        moment = dt.datetime.combine(entry.day, dt.time.fromisoformat(clock))
    true_value = story_run().seen[moment][KITS[short].parameter]
    return result(short, true_value, f"{entry.name} {clock or ''} {nth}")


def _topped_off_l(entry: Told) -> float:
    """Give the water that evaporated since the last entry with this mark, to half a litre."""
    marked = [e for e in told() if "@topoff" in e.text]
    before = marked[: marked.index(entry)]
    daily = story_run().daily["evaporated_l"]
    since = daily[daily.index >= before[-1].day] if before else daily
    return round(float(since[since.index < entry.day].sum()) * 2) / 2


def write_texts(folder: Path) -> None:
    """Write profile, pages and entries below ``folder``, in place of those of an earlier story."""
    for old in (*folder.glob("log/*/*.yml"), *folder.glob("*.md"), *folder.glob("probes/*")):
        if old.relative_to(folder).as_posix() not in texts():
            old.unlink()
    for name, text in texts().items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
