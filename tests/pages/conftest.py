"""Sites built once for all tests of pages: an empty journal, a small one, and the demo."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from journal_tools.cache import Cache
from journal_tools.journal import load_journal
from journal_tools.pages import build_tree
from journal_tools.pages.site import Site, gather_site
from tests import journals
from tests.pages import systems
from tests.pages.built import Built, Html

CONTENT = Path(__file__).parents[2] / "content"
DEMO_TODAY = dt.date(2026, 11, 23)
THREE = {
    "tank.yml": journals.TANK
    + """\
keeper: Ilse & Son
about: |
  # A <b>tank</b>

  ## Since 2026
privacy: {show_costs: false}
vessels: {name: display, length: 90, width: 40, water_height: 45}
supplements: [{name: mix, salts: {NaHCO3: 80 g}, made_up_to: 1 L}, {name: secret}]
equipment:
  - {name: pump, kind: return pump, price: 77.70, rated_flow: 2000, power: 20 W}
  - {name: lamp, planned: true, note: 'A "bright" one'}
animals: [{name: clownfish, group: fish, adult_length: 8 cm}]
""",
    "log/2026-01-31.yml": """\
time: "23:59"
title: First <script>alert(1)</script> water
milestone: Water
tags: [a&b, "<i>"]
readings: {alkalinity: 8, nitrate: < 5, ph: 8.1}
notes: |
  # Big words

  ### and small ones

  See [the last day](2026-03-30-photos). On site: nothing.
questions: [Why is it "green"?]
""",
    "log/2026-02-10.yml": """\
readings: {alkalinity: 12, ph: {value: 8.2, kit: 'on site: pen'}}
doses: [{what: mix, amount: 30 ml, note: by hand}]
dosing_plan: {what: secret, per_day: 1 ml}
water_change: 20 L
top_off: {volume: 4 L, what: mix}
livestock: [{added: clownfish, count: 2, length: 4 cm, price: 77.70}, {lost: snail, why: "<gone>"}]
equipment: [{changed: pump, to: {speed: 5}}, {installed: odd box, price: 77.70}]
upkeep: [glass]
feed: [{what: mysis, amount: 2 g}]
costs: [{what: salt, amount: 77.70}]
""",
    "log/2026-03-30-photos.yml": """\
photos:
  - {file: a.jpg, view: front, caption: 'On site: the <sump> & "more"'}
  - {file: b.jpg, view: front}
  - {file: c.jpg, view: front}
""",
}


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """Give one folder for all workers of a test run."""
    base = tmp_path_factory.getbasetemp()
    folder = (base if worker_id == "master" else base.parent) / "built-pages"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(scope="session")
def build(shared: Path) -> Callable[..., Built]:
    def built(journal: Path, today: dt.date) -> Built:
        site = gather_site(load_journal(journal, today), Cache(shared / "cache"))
        return Built(site, build_tree(site))

    return built


@pytest.fixture(scope="session")
def empty(build: Callable[..., Built], tmp_path_factory: pytest.TempPathFactory) -> Built:
    return build(journals.write(tmp_path_factory.mktemp("empty"), {}), journals.TODAY)


@pytest.fixture(scope="session")
def three(build: Callable[..., Built], tmp_path_factory: pytest.TempPathFactory) -> Built:
    folder = tmp_path_factory.mktemp("three")
    for name, colour in (("a", "teal"), ("b", "coral"), ("c", "olive")):
        journals.photo(folder / "photos" / f"{name}.jpg", colour=colour)
    return build(journals.write(folder, THREE), journals.TODAY)


@pytest.fixture(scope="session")
def demo(build: Callable[..., Built], shared: Path) -> Built:
    """Give the demo site; the worker that comes first draws, the other waits and takes it over."""
    lock, done = shared / "drawing", shared / "drawn"
    try:
        lock.mkdir()
    except FileExistsError:
        patience = time.monotonic() + 120
        while not done.exists() and time.monotonic() < patience:
            time.sleep(0.2)
    try:
        return build(CONTENT, DEMO_TODAY)
    finally:
        done.touch()


@pytest.fixture(scope="session", params=["empty", "three", "demo"])
def built(request: pytest.FixtureRequest) -> Built:
    """Give each of the three sites in turn."""
    found: Built = request.getfixturevalue(request.param)
    return found


@pytest.fixture(scope="session")
def html(three: Built) -> dict[str, Html]:
    """Give the pages of the small journal by path."""
    return three.html


@pytest.fixture(scope="session")
def site(three: Built) -> Site:
    return three.site


SYSTEMS = {
    "full": {"tank.yml": systems.FULL, **systems.LOG},
    "us planned": {"tank.yml": systems.US_PLANNED},
    "hostile": {"tank.yml": systems.HOSTILE, **systems.HOSTILE_LOG},
    "nothing told": {},
}


@pytest.fixture(scope="session")
def system(
    build: Callable[..., Built], tmp_path_factory: pytest.TempPathFactory
) -> Callable[[str], Built]:
    """Give one of the systems of a build by its name, built once."""
    found: dict[str, Built] = {}

    def of(name: str) -> Built:
        if name not in found:
            folder = journals.write(tmp_path_factory.mktemp("system"), SYSTEMS[name])
            found[name] = build(folder, journals.TODAY)
        return found[name]

    return of


@pytest.fixture(scope="session")
def full(system: Callable[[str], Built]) -> Built:
    """Give the system of which everything is told."""
    return system("full")


@pytest.fixture(scope="session")
def us_planned(system: Callable[[str], Built]) -> Built:
    """Give the system in US units of which everything is only planned."""
    return system("us planned")


@pytest.fixture(scope="session", params=SYSTEMS)
def any_system(request: pytest.FixtureRequest, system: Callable[[str], Built]) -> Built:
    """Give each of the systems in turn."""
    return system(str(request.param))
