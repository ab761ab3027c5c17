"""Invented tanks of known uptake, told as their keeper would have written them.

The water is reckoned forward in half hours with the true volume and the true strengths; the journal
knows only what stands on bottles and what a tape measure gives. All figures are invented.
"""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import dataclass, field

from journal_tools.metrics import METRICS, Metrics
from tests.journals import HUNDRED_LITRES, tables

FIRST = dt.date(2026, 2, 1)
STEP_DAYS = 1 / 48
NAMES = ("gross_volume", "displacement", "net_volume")

PROFILE = (
    HUNDRED_LITRES
    + """\
supplements:
  - {name: mix, potency: {by: 10 ml, water: 100 L, raises: {alkalinity: 0.5}}, error: 2 %}
  - {name: limewater, potency: {by: 1 L, water: 100 L, raises: {alkalinity: 1}}, error: 5 %}
  - {name: reactor, effluent: {alkalinity: 28}, error: 5 %}
  - {name: untold}
salt_mix: {name: bucket, fresh: {alkalinity: 7}}
tests: {alkalinity: {kit: first, resolution: 0.1, repeatability: 0.15}}
"""
)


@dataclass(frozen=True)
class Story:
    """What happens in a tank.

    Attributes:
        uptake: True uptake in dKH a day.
        days: Length.
        plans: First day and ml a day of each dosing plan of the mix.
        single_ml: Mix given by hand every other day at 20:00.
        lime_l: Limewater that made up for evaporation, told every third day.
        reactor_l: Litres a day that go round through the reactor.
        kit_from: Day from which another kit is used, which reads 0.4 dKH more.
        untold_on: Day on which something of unknown strength lifts alkalinity by 1 dKH.
        silent: First and last day without any test.
        wild_on: Day of a test that is 2 dKH off.
        limits_over: Level from which the kit only says "above".
    """

    uptake: float = 0.8
    days: int = 40
    plans: tuple[tuple[int, float], ...] = ((0, 15.0),)
    single_ml: float = 0.0
    lime_l: float = 0.0
    reactor_l: float = 0.0
    kit_from: int | None = None
    untold_on: int | None = None
    silent: tuple[int, int] | None = None
    wild_on: int | None = None
    limits_over: float | None = None


@dataclass
class Tank:
    """The water, and what is written about it: for each day the items under each key."""

    story: Story
    chance: random.Random
    level: float = 8.0
    written: dict[dt.date, dict[str, list[str]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        chance = self.chance
        self.volume = chance.gauss(100, 2)
        self.by_ml = chance.gauss(0.05, 0.02 * 0.05) * 100 / self.volume
        self.by_litre = chance.gauss(1.0, 0.05) * 100 / self.volume
        self.outflow = chance.gauss(28.0, 0.05 * 28)

    def note(self, half: int, key: str, text: str) -> None:
        """Write an item under a key, at a half hour."""
        date = FIRST + dt.timedelta(days=half // 48)
        self.written.setdefault(date, {}).setdefault(key, []).append(text)

    def run_on(self, day: float) -> None:
        """Let half an hour pass."""
        story = self.story
        planned = [ml for first, ml in story.plans if first <= day]
        gain = (planned[-1] if planned else 0.0) * self.by_ml + story.lime_l * self.by_litre
        gain += story.reactor_l / self.volume * (self.outflow - self.level)
        self.level += (gain - story.uptake) * STEP_DAYS

    def events(self, half: int) -> None:
        """Change water, dose by hand and write what is due at a half hour."""
        story, (day, of_day) = self.story, divmod(half, 48)
        if of_day == 36 and day % 7 == 3:
            self.level += 10 / self.volume * (7 - self.level)
            self.note(half, "water_change", "{volume: 10 L, time: '18:00'}")
        if of_day == 40 and day % 2 == 0 and story.single_ml:
            self.level += story.single_ml * self.by_ml
            self.note(
                half, "doses", f"{{what: mix, amount: {story.single_ml:g} ml, time: '20:00'}}"
            )
        if of_day == 24 and story.untold_on == day:
            self.level += 1.0
            self.note(half, "doses", "{what: untold, amount: 5 ml}")
        if of_day == 24 and day % 3 == 2 and story.lime_l:
            self.note(half, "top_off", f"{{volume: {3 * story.lime_l:g} L, what: limewater}}")

    def tested(self, half: int) -> None:
        """Test the water and write the result with its time."""
        story, (day, of_day) = self.story, divmod(half, 48)
        if story.silent and story.silent[0] <= day <= story.silent[1]:
            return
        other = story.kit_from is not None and day >= story.kit_from
        off = 0.4 * other + 2.0 * (day == story.wild_on)
        shown = round(10 * (self.level + off + self.chance.gauss(0, 0.15))) / 10
        over = story.limits_over is not None and shown > story.limits_over
        value = f"above {story.limits_over}" if over else f"{shown:.1f}"
        kit = ", kit: second" if other else ""
        clock = f"{of_day // 2:02}:{of_day % 2 * 30:02}"
        self.note(half, "readings", f"{{value: {value}, time: '{clock}'{kit}}}")


def told(story: Story, seed: int) -> dict[str, str]:
    """Give the journal of a story, as files."""
    chance = random.Random(seed)
    tank, tests, day = Tank(story, chance), set[int](), 0
    while day < story.days:
        tests.add(day * 48 + chance.randint(17, 46))
        day += chance.randint(2, 4)
    for first, amount in story.plans:
        tank.note(48 * first, "dosing_plan", f"{{what: mix, per_day: {amount:g} ml}}")
    if story.reactor_l:
        tank.note(0, "dosing_plan", f"{{what: reactor, per_day: {story.reactor_l:g} L}}")
    for half in range(story.days * 48):
        tank.events(half)
        if half in tests:
            tank.tested(half)
        tank.run_on(half * STEP_DAYS)
    return {f"log/{date}.yml": _file(keys) for date, keys in tank.written.items()}


def _file(keys: dict[str, list[str]]) -> str:
    lists = {key: f"[{', '.join(items)}]" for key, items in keys.items()}
    if "readings" in lists:
        lists["readings"] = f"{{alkalinity: {lists['readings']}}}"
    return "".join(f"{key}: {items}\n" for key, items in lists.items())


def uptakes(story: Story, seed: int, profile: str = PROFILE) -> Metrics:
    """Give the figures of consumption of a story; all others would only take time."""
    today = FIRST + dt.timedelta(days=story.days)
    found = tables({"tank.yml": profile} | told(story, seed), today)
    done = Metrics()
    for metric in METRICS:
        if metric.name in NAMES or "consum" in metric.name or metric.name.startswith("dose"):
            done.add(metric, metric.compute(found, done))
    return done
