"""The build page, the register and the report: every check in its place, for any system."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest

from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.checks import checks_of
from tests import journals
from tests.pages.built import Built, Html, text_of

PAGES = ("build", "report", "equipment", "upkeep", "costs")
US_ONLY = re.compile(r"\d (?:L|cm|kg|kPa|MPa|m²|°C)\b")


def pages(built: Built) -> Iterator[tuple[str, Html]]:
    yield from ((path, built.html[path]) for path in PAGES if path in built.html)


def test_pages_parse_and_no_name_becomes_markup(any_system: Built) -> None:
    for path, page in pages(any_system):
        assert page.errors == [], path
        for bad in ("script", "img", "u", "s"):
            found = [e for e in page.all(bad) if not e.get("src", "").startswith("site:")]
            assert found == [], (path, bad)


def test_links_and_anchors_lead_somewhere(any_system: Built) -> None:
    ids = {path: {e.get("id") for e in page.all()} for path, page in any_system.html.items()}
    assets = {asset.path for asset in any_system.tree.assets}
    for path, page in pages(any_system):
        for link in (e.get("href", "") for e in page.all("a")):
            target, _, anchor = link.removeprefix("site:").partition("#")
            where = path if link.startswith("#") else target
            assert where in ids or where in assets, (path, link)
            assert not anchor or anchor in ids[where], (path, link)


def test_every_id_is_there_once(any_system: Built) -> None:
    for path, page in pages(any_system):
        found = [e.get("id") for e in page.all() if e.get("id")]
        assert len(found) == len(set(found)), path


def test_every_check_is_on_both_pages(any_system: Built) -> None:
    checks = [check for _, group in checks_of(any_system.site) for check in group]
    assert len({check.id for check in checks}) == len(checks)
    for path in ("build", "report"):
        told = any_system.html[path].text
        for check in checks:
            assert " ".join(check.sentence.split()) in told, (path, check.id)


def test_a_check_is_one_sentence_with_a_number_or_a_hint(any_system: Built) -> None:
    for _, group in checks_of(any_system.site):
        for check in group:
            assert check.sentence.endswith(".") and ". " not in check.sentence, check.id
            assert check.sentence[0].isupper() or not check.sentence[0].isalpha(), check.id
            assert any(c.isdigit() for c in check.sentence) or check.missing, check.id
            assert "safe" not in check.sentence.casefold().replace("safety", "")


def test_what_is_usual_names_its_authority(any_system: Built) -> None:
    for _, group in checks_of(any_system.site):
        for check in group:
            words = check.practice
            sourced = ("no source)", "from memory", "local code", "EN ", "CRC", "definition")
            assert not words or any(word in words for word in sourced), (check.id, words)


def test_hazardous_figures_carry_their_caution_in_full_once(any_system: Built) -> None:
    definitions = any_system.site.metrics.definitions
    checks = [check for _, group in checks_of(any_system.site) for check in group]
    hazards = {h for check in checks for h in check.hazards}
    hazards |= {definitions[r.metric].hazard for check in checks for r in check.results}
    for path in ("build", "report"):
        told = [text_of(e) for e in any_system.html[path].by_class("jt-check__caution")]
        for hazard in hazards - {"none"}:
            assert told.count(f"Caution. {CAUTIONS[hazard]}") == 1, (path, hazard)


def test_each_hazardous_check_says_so_beside_itself(full: Built) -> None:
    for anchor in ("heater", "electricity", "power-cut", "top-off", "stand", "glass"):
        article = full.html["build"].by_id(anchor)
        cautions = [e for e in article.iter() if "jt-check__caution" in e.get("class", "")]
        assert cautions, anchor


def test_planned_pieces_are_marked(us_planned: Built) -> None:
    page = us_planned.html["build"]
    for anchor in ("return-bigpump", "circulation", "skimmer-skimmer", "heater", "light-lamp",
                   "media-reactor", "mechanical", "top-off", "electricity"):  # fmt: skip
        heading = next(page.by_id(anchor).iter("h3"))
        assert "planned" in text_of(heading), anchor


def test_nothing_in_service_is_marked_as_planned(full: Built) -> None:
    assert not [c.id for _, group in checks_of(full.site) for c in group if c.planned]


def test_a_us_journal_reads_in_us_units(us_planned: Built) -> None:
    for _, group in checks_of(us_planned.site):
        for check in group:
            assert US_ONLY.findall(check.sentence) == [], check.sentence
            assert US_ONLY.findall(re.sub(r"\d+ to \d+ °C|\d+ °C", "", check.practice)) == []


def test_a_journal_of_which_nothing_is_told_asks_for_it(empty: Built) -> None:
    page = empty.html["build"]
    assert "The volume is not known yet." in page.text
    hints = [text_of(e) for e in page.by_class("jt-check__missing")]
    assert any("vessels: [{name: display" in hint for hint in hints)
    assert page.by_class("jt-plan") == [] and "No equipment yet" in empty.html["equipment"].text


def test_what_lies_beyond_a_method_is_told(
    tmp_path_factory: pytest.TempPathFactory, build: Callable[..., Built]
) -> None:
    tank = journals.TANK + "vessels: {name: d, length: 90, width: 40, water_height: 40}\n"
    tank += "room: {coldest: 18}\nequipment: [{name: h, kind: heater, set_point: 55}]\n"
    folder = journals.write(tmp_path_factory.mktemp("hot"), {"tank.yml": tank})
    page = build(folder, journals.TODAY).html["build"]
    assert "Not worked out" in page.text and "heat loss" in page.text
