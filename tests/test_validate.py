from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.entries import Entry
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Profile
from journal_tools.quantities import BareUnits
from journal_tools.read import Document, Location, read_document
from journal_tools.validate import allowed_keys, validate
from tests.conftest import ReadEntry, ReadProfile

KNOWN_EVENT_KEYS = "added, lost, removed, measured, count, length, why, price, note"


@pytest.mark.parametrize(
    ("text", "place", "key", "hint"),
    [
        ("titel: x", "1:1", "titel", "Did you mean 'title'?"),
        ("Title: x", "1:1", "Title", "Did you mean 'title'?"),
        ("water-change: 3 L", "1:1", "water-change", "Did you mean 'water_change'?"),
        ("Water change: 3 L", "1:1", "Water change", "Did you mean 'water_change'?"),
        ("title: x\nalkalinity: 8", "2:1", "alkalinity", "Put 'alkalinity' under 'readings:'."),
        ("alk: 8", "1:1", "alk", "Put 'alkalinity' under 'readings:'."),
        ("KH: 8", "1:1", "KH", "Put 'alkalinity' under 'readings:'."),
        ("fe: 8", "1:1", "fe", "Put 'iron' under 'readings:'."),
        ("readings: {alk: 8}", "1:12", "alk", "Did you mean 'alkalinity'?"),
        ("readings: {KH: 8}", "1:12", "KH", "Did you mean 'alkalinity'?"),
        ("readings: {no3: 8}", "1:12", "no3", "Did you mean 'nitrate'?"),
        ("readings: {PO4: 8}", "1:12", "PO4", "Did you mean 'phosphate'?"),
        ("readings: {sg: 8}", "1:12", "sg", "Did you mean 'salinity'?"),
        ("readings: {temp: 8}", "1:12", "temp", "Did you mean 'temperature'?"),
        ("readings: {alkalinty: 8}", "1:12", "alkalinty", "Did you mean 'alkalinity'?"),
        ("readings: {iron: 1, sparkle: 8}", "1:21", "sparkle",
         f"Known here: {', '.join(PARAMETERS)}."),
        ("readings: {alkalinity: {value: 8, kitt: x}}", "1:35", "kitt", "Did you mean 'kit'?"),
        ("readings:\n  alkalinity:\n    - 8\n    - {value: 8, erorr: 1}", "4:18", "erorr",
         "Did you mean 'error'?"),
        ("water_change: {volume: 3, fresh: {mag: 3}}", "1:35", "mag", "Did you mean 'magnesium'?"),
        ("water_change:\n  - volume: 3\n    fresh: {sal: 3}", "3:13", "sal",
         "Did you mean 'salinity'?"),
        ("doses: [{what: a, amount: 3, tme: x}]", "1:30", "tme", "Did you mean 'time'?"),
        ("livestock: {added: x, wy: 3}", "1:23", "wy", "Did you mean 'why'?"),
        ("livestock: {added: x, zzz: 3}", "1:23", "zzz", f"Known here: {KNOWN_EVENT_KEYS}."),
        ("readings: {calcium: 80, 2: x}", "1:25", "2",
         'Inside { } a comma separates keys: write 8.2, or "8,2" in quotes.'),
        (f"{'k' * 99}: 1", "1:1", "k" * 39 + "…",
         f"Known here: {', '.join(Entry.model_fields)}."),
    ],
)  # fmt: skip
def test_an_unknown_key_names_the_nearest_known_one(
    read_entry: ReadEntry, text: str, place: str, key: str, hint: str
) -> None:
    _, problems = read_entry(text)
    assert problems == [f"day.yml:{place}: The key '{key}' is not known here. {hint}"]


@pytest.mark.parametrize(
    ("text", "place", "key", "hint"),
    [
        ("keper: x", "1:1", "keper", "Did you mean 'keeper'?"),
        ("vessels: [{name: d, shape: stated, volume: 9, with: 3}]", "1:47", "with",
         "Did you mean 'width'?"),
        ("targets: {alk: 7 to 9}", "1:11", "alk", "Did you mean 'alkalinity'?"),
        ("later_targets: [{start: 2026-02-01, bands: {kh: 7 to 9}}]", "1:45", "kh",
         "Did you mean 'alkalinity'?"),
        ("tests: {ca: {resolution: 5}}", "1:9", "ca", "Did you mean 'calcium'?"),
        ("tests: {calcium: {resoluton: 5}}", "1:19", "resoluton", "Did you mean 'resolution'?"),
        ("salt_mix: {name: s, fresh: {mg: 1300}}", "1:29", "mg", "Did you mean 'magnesium'?"),
        ("supplements: [{name: s, potency: {by: 1 ml, water: 9 L, raises: {alk: 1}}}]", "1:66",
         "alk", "Did you mean 'alkalinity'?"),
        ("equipment: [{name: p, plumbing: {static_head: 1, pipes: {length: 1, bore: 25, bor: 2}}}]",
         "1:79", "bor", "Did you mean 'bore'?"),
        ("fill: {rocks: 3}", "1:8", "rocks", "Did you mean 'rock'?"),
        ("units: {systm: us}", "1:9", "systm", "Did you mean 'system'?"),
        ("privacy: {show_cost: false}", "1:11", "show_cost", "Did you mean 'show_costs'?"),
    ],
)  # fmt: skip
def test_unknown_keys_of_the_profile(
    read_profile: ReadProfile, text: str, place: str, key: str, hint: str
) -> None:
    _, problems = read_profile(text)
    assert problems == [f"tank.yml:{place}: The key '{key}' is not known here. {hint}"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("draft: maybe", "1:8: 'maybe' is neither true nor false. Write true or false."),
        ("livestock: {added: x, count: two}", "1:30: 'two' is not a whole number. Write a number "
         "such as 2."),
        ("livestock: {added: x, count: 1.5}", "1:30: '1.5' is not a whole number. Write a number "
         "such as 2."),
        ("livestock: {added: x, count: true}", "1:30: 'true' is not a number. Write a number, "
         "without its unit."),
        ("livestock: {added: x, count: 0}", "1:30: '0' is too small here. Write 1 or more."),
        ("livestock: {added: x, count: 99999}", "1:30: '99999' is too large here. Write 10000 or "
         "less."),
        (f"livestock: {{added: x, count: {'9' * 5000}}}", f"1:30: '{'9' * 39}…' is not a whole "
         "number. Write a number such as 2."),
        ("readings: {calcium: {value: 420, error: 5 mg}}", "1:41: '5 mg' is not a number. Write a "
         "number, without its unit."),
        ("readings: {calcium: {value: 420, error: .inf}}", "1:41: 'inf' is not a finite number. "
         "Write a usual number."),
        ("readings: {calcium: {value: 420, error: -1}}", "1:41: '-1' is too small here. Write 0 or "
         "more."),
        ("readings: {calcium: {value: 420, error: 1,310}}", "1:41: Inside [ ] or { } a comma "
         "separates: '1,310' is 2 values. Write 1310 or 1.310, or a space after each comma that "
         "separates."),
        ("readings: {calcium: {value: 420, error: '1,310'}}", "1:41: '1,310' can be read in two "
         "ways: 1310 or 1.310. Write 1310 without the comma, or a decimal point."),
        ("readings: {calcium: {value: 420, when: late}}", "1:40: 'late' is not one of the words "
         "known here. Use 'before dose', 'after dose', 'before change' or 'after change'."),
        ("readings: 8.2", "1:11: Keys and values are wanted here. Write 'key: value' lines."),
        ("doses: 30 ml", "1:8: Keys and values are wanted here. Write 'key: value' lines."),
        ("doses: {amount: 30 ml}", "1:8: The key 'what' is missing here. Add 'what: …'."),
        ("doses:\n  - {what: a, amount: 3}\n  - {amount: 30 ml}", "3:5: The key 'what' is missing "
         "here. Add 'what: …'."),
        ("equipment: {changed: light, to: [1, 2]}", "1:33: Text is wanted here. Write a few words, "
         "in quotes if need be."),
        # One slip, one message: what follows from the drop is not told as well.
        ("dosing_plan: {what: a, per_day: 3 xx}", "1:33: The unit 'xx' is not known for volume. "
         "Write millilitres or grams: '30 ml', '5 g'."),
        ("livestock: {added: [x], count: 2}", "1:20: Text is wanted here. Write a few words, in "
         "quotes if need be."),
        ("readings: {calcium: {value: much}}", "1:29: 'much' is not a number. Write a number, such "
         "as '12 mg/L'."),
    ],
)  # fmt: skip
def test_what_is_said_of_a_bad_value(read_entry: ReadEntry, text: str, message: str) -> None:
    _, problems = read_entry(text)
    assert problems == [f"day.yml:{message}"]


def test_the_length_of_lists(read_profile: ReadProfile) -> None:
    _, problems = read_profile("equipment: [{name: p, plumbing: {static_head: 1, pipes: []}}]")
    assert problems == ["tank.yml:1:57: The list is too short. Write at least 1."]


def test_each_bad_value_is_dropped_and_the_rest_kept(read_entry: ReadEntry) -> None:
    record, problems = read_entry(
        "title: x\nreadings:\n  alkalinity: [8.2, much, 8.4]\n  calcium: 9000\n  magnesium: 1300\n"
        "doses:\n  - {what: a, amount: 3}\n  - {what: b}\n  - {what: c, amount: 5, time: late}\n"
        "tags: [a, [b], c]\ndraft: maybe\n"
    )
    assert record is not None
    assert [r.value.value for r in record.readings.alkalinity] == [8.2, 8.4]
    assert record.readings.calcium == []
    assert record.readings.magnesium[0].value.value == 1300
    assert [(dose.what, dose.time) for dose in record.doses] == [("a", None), ("c", None)]
    assert record.tags == ["a", "c"]
    assert record.draft is False
    assert [problem.split(": ")[0] for problem in problems] == [
        "day.yml:3:21", "day.yml:4:12", "day.yml:8:5", "day.yml:9:32", "day.yml:10:11",
        "day.yml:11:8",
    ]  # fmt: skip


def test_independent_slips_of_one_thing_are_all_told(read_profile: ReadProfile) -> None:
    _, problems = read_profile("vessels: [{name: d, length: x, width: y}, {name: s, length: 3}]")
    assert problems == [
        "tank.yml:1:29: 'x' is not a number. Write a number, such as '12 cm'.",
        "tank.yml:1:39: 'y' is not a number. Write a number, such as '12 cm'.",
        "tank.yml:1:43: A vessel of shape 'rectangle' also needs width, water_height. Measure "
        "inside the glass, up to the water line.",
    ]


def test_nothing_is_left_only_if_the_top_lacks_what_it_needs() -> None:
    document, _ = read_document("tank.yml", b"keeper: x\nstart: never")
    assert document is not None
    profile, _, problems = validate(Profile, document, {})
    assert profile is None
    assert [str(problem) for problem in problems] == [
        "tank.yml:1:1: The key 'name' is missing here. Add 'name: …'.",
        "tank.yml:2:8: 'never' is not a date. Write year-month-day, such as 2026-03-14.",
    ]


@pytest.mark.parametrize(
    ("location", "keys"),
    [
        (("water_change",), ("volume", "fresh", "salinity", "time")),
        (("water_change", 0), ("volume", "fresh", "salinity", "time")),
        (("water_change", 0, "fresh"), tuple(PARAMETERS)),
        (
            ("readings", "iron", 1),
            ("value", "error", "kit", "when", "time", "sample_temperature"),
        ),
        (("title",), ()),
        (("no", "such", "place"), ()),
    ],
)
def test_keys_known_at_a_place(location: Location, keys: tuple[str, ...]) -> None:
    assert allowed_keys(Entry, location) == keys


GOOD: dict[str, Any] = {
    "title": "x",
    "time": "18:40",
    "readings": {"alkalinity": [8.2, {"value": "8.4 dKH", "kit": "drop test"}], "calcium": 420},
    "doses": [{"what": "alk mix", "amount": "30 ml"}, {"what": "ca mix", "amount": "5 g"}],
    "water_change": {"volume": "20 L", "fresh": {"salinity": "35 psu"}},
    "livestock": [{"added": "clownfish", "count": 2}, {"lost": "snail", "why": "unknown"}],
    "upkeep": ["glass", {"task": "skimmer cup"}],
    "tags": ["a", "b"],
    "notes": "Words.",
}


def places(value: Any, at: Location = ()) -> list[Location]:
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    found = []
    for key, item in inner:
        found.append((*at, key))
        if isinstance(item, dict | list):
            found += places(item, (*at, key))
    return found


def spoiled(spots: set[Location]) -> dict[str, Any]:
    data = copy.deepcopy(GOOD)
    for spot in sorted(spots, key=len, reverse=True):
        holder: Any = data
        for key in spot[:-1]:
            holder = holder[key]
        holder[spot[-1]] = [{"oddity": None}]
    return data


def explains(problem: Location, at: Location) -> bool:
    """Whether a problem lies in what is gone, or in the nearest thing around it."""
    return problem[: len(at)] == at or at[: len(problem) - 1] == problem[:-1]


@given(st.sets(st.sampled_from(places(GOOD)), max_size=4))
def test_whatever_is_dropped_has_a_problem_and_the_rest_is_kept(spots: set[Location]) -> None:
    data = spoiled(spots)
    # Each place has a line of its own, so that problems can be told apart.
    lines: dict[Location, tuple[int, int]] = {(): (1, 1)}
    lines |= {at: (n, 1) for n, at in enumerate(places(data), start=2)}
    at_line = {line: at for at, (line, _) in lines.items()}
    document = Document("day.yml", data, lines, dict(lines))
    record, used, problems = validate(Entry, document, {"units": BareUnits()})
    assert record is not None
    kept = {at_line[line] for line, _ in used.values.values()}
    told = {at_line[problem.line] for problem in problems}
    for at in lines.keys() - kept:
        assert any(explains(problem, at) for problem in told)
    for problem in told:
        assert any(explains(spot, problem) for spot in spots)
    assert bool(told) == bool(spots)
