from __future__ import annotations

from collections.abc import Callable

import pytest

from journal_tools.journal import Journal
from tests.conftest import SHORTEST_PROFILE, Files

Load = Callable[[Files], Journal]
MIX = SHORTEST_PROFILE + "supplements: [{name: alk mix, salts: {NaHCO3: 80 g}, made_up_to: 1 L}]\n"


def said(journal: Journal) -> list[str]:
    return [str(problem) for problem in journal.problems]


def log(*texts: str) -> dict[str, str]:
    """Give an entry a day from 1 March on."""
    return {f"log/2026-03-{day:02}.yml": text for day, text in enumerate(texts, 1)}


COPY = "Copy the photo into the photos folder and write its name below that folder."


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("photos: front.jpg", None),
        ("photos: [day 30/Top.JPG]", None),
        ("photos: ['day 30\\Top.JPG']", None),
        ("photos: Front.jpg", '1:9: The photo "Front.jpg" is stored as "front.jpg": capital and '
         "small letters differ. Write front.jpg."),
        ("photos:\n  - front.jpg\n  - {file: Day 30/Top.JPG}", '3:12: The photo "Day 30/Top.JPG" '
         'is stored as "day 30/Top.JPG": capital and small letters differ. Write day 30/Top.JPG.'),
        ("photos: frnt.jpg", '1:9: The photo "frnt.jpg" is not in the photos folder. Did you mean '
         "front.jpg?"),
        ("photos: other.webp", '1:9: The photo "other.webp" is not in the photos folder. Copy it '
         "there, or mend its name."),
        ("photos: day 30", '1:9: The photo "day 30" is a folder, not a photo. Write the name of a '
         "photo in the photos folder."),
        ("photos: ../tank.yml", '1:9: The photo "../tank.yml" points outside the photos folder. '
         f"{COPY}"),
        ("photos: /etc/passwd", '1:9: The photo "/etc/passwd" points outside the photos folder. '
         f"{COPY}"),
    ],
)  # fmt: skip
def test_photos_are_looked_up_by_their_exact_names(
    load: Load, text: str, message: str | None
) -> None:
    photos = {"photos/front.jpg": b"picture", "photos/day 30/Top.JPG": b"picture"}
    expected = [f"log/2026-03-01.yml:{message}"] if message else []
    assert said(load(photos | log(text))) == expected


@pytest.mark.parametrize(
    ("kind", "section", "entry"),
    [
        ("animal", "animals: [{name: turbo snail}]", "livestock: {added: %s}"),
        ("equipment", "equipment: [{name: turbo snail}]", "equipment: {installed: %s}"),
        ("task", "upkeep: [{task: turbo snail, every: 4 days}]", "upkeep: [%s]"),
        ("supplement", "supplements: [{name: turbo snail}]", "doses: {what: %s, amount: 3 ml}"),
        (
            "supplement",
            "supplements: [{name: turbo snail}]",
            "dosing_plan: {what: %s, per_day: 3 ml}",
        ),
    ],
)
@pytest.mark.parametrize("slip", ["turbo snails", "Turbo Snail", "turbo-snail", "trubo snail"])
def test_the_declared_spelling_wins_however_rare(
    load: Load, kind: str, section: str, entry: str, slip: str
) -> None:
    texts = [entry % slip, "title: x\n" + entry % slip, entry % slip]
    journal = load({"tank.yml": SHORTEST_PROFILE + section} | log(*texts))
    column = len(entry.partition("%s")[0]) + 1
    assert said(journal) == [
        f"log/2026-03-01.yml:1:{column}: '{slip}' and 'turbo snail' look like two spellings of one "
        f"{kind}. Write 'turbo snail' if you mean the same."
    ]


def test_the_usual_spelling_wins_where_none_is_declared(load: Load) -> None:
    journal = load(log("upkeep: [skimer cup]", "upkeep: [skimmer cup]", "upkeep: [skimmer cup]"))
    assert said(journal) == [
        "log/2026-03-01.yml:1:10: 'skimer cup' and 'skimmer cup' look like two spellings of one "
        "task. Write 'skimmer cup' if you mean the same."
    ]


@pytest.mark.parametrize(
    ("section", "texts"),
    [
        (
            "equipment: [{name: heater 1}, {name: heater 2}]",
            ["equipment: {serviced: heater 1}", "equipment: {serviced: heater 2}"],
        ),
        ("", ["equipment: {serviced: heater 1}", "equipment: {serviced: heater 2}"]),
        (
            "animals: [{name: clownfish}, {name: clown fish b}]",
            ["livestock: {lost: clownfish}", "livestock: {lost: clown fish b}"],
        ),
        ("", ["upkeep: [filter sock]", "equipment: {failed: filter socks}"]),
        ("", ["livestock: {added: red coral}", "livestock: {added: green coral}"]),
    ],
)
def test_what_only_looks_alike_is_left_alone(load: Load, section: str, texts: list[str]) -> None:
    assert said(load({"tank.yml": SHORTEST_PROFILE + section} | log(*texts))) == []


def test_one_name_declared_twice(load: Load) -> None:
    profile = SHORTEST_PROFILE + "animals:\n  - {name: clownfish}\n  - {name: Clownfish}\n"
    assert said(load({"tank.yml": profile})) == [
        "tank.yml:4:12: 'clownfish' and 'Clownfish' look like two spellings of one animal. Write "
        "'Clownfish' if you mean the same."
    ]


def test_a_supplement_that_the_profile_does_not_know_is_told_once(load: Load) -> None:
    texts = [
        "doses: [{what: alk mix, amount: 3 ml}, {what: vodka, amount: 1 ml}]",
        "dosing_plan: {what: Vodka, per_day: 1 ml}\ndoses: {what: iodine, amount: 1 ml}",
    ]
    known = [text for text in said(load({"tank.yml": MIX} | log(*texts))) if "spell" not in text]
    hint = "Add it under 'supplements:' so that its strength can be reckoned with."
    assert known == [
        f"log/2026-03-01.yml:1:47: The supplement 'vodka' is not described in tank.yml. {hint}",
        f"log/2026-03-02.yml:2:15: The supplement 'iodine' is not described in tank.yml. {hint}",
    ]


def test_names_in_drafts_count(load: Load) -> None:
    journal = load({"tank.yml": MIX} | log("draft: true\ndoses: {what: alc mix, amount: 3 ml}"))
    assert said(journal) == [
        "log/2026-03-01.yml:2:15: 'alc mix' and 'alk mix' look like two spellings of one "
        "supplement. Write 'alk mix' if you mean the same."
    ]


def test_pictures_and_dead_links_in_notes_have_their_line(load: Load) -> None:
    text = "title: x\nnotes: |\n  Words.\n\n  ![a](b.png)\n"
    journal = load(log(text))
    assert [(problem.file, problem.line, problem.what) for problem in journal.problems] == [
        ("log/2026-03-01.yml", 5, "A picture in the notes is not shown.")
    ]
