"""The form for a phone: what the page knows of a journal, and that it asks nobody else."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from journal_tools.pages.phone_form import form_facts, known_names, reading_fields, write_pages
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Asset, Page
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Profile
from tests import journals
from tests.pages.built import Html

US = """\
name: Test reef
start: 2026-01-01
units: {system: us, salinity: SG, alkalinity: meq/L}
currency: USD
tests: {phosphate: {every: 1 week}}
targets: {magnesium: 1250 to 1400}
supplements: [{name: alk mix, no_effect: true}]
animals: [{name: clownfish, group: fish}]
foods: [{name: mysis}]
upkeep: [{task: '"glass" & more', every: 4 days}]
"""
LOG = {
    "log/2026-02-01.yml": "readings: {salinity: 1.0260, nitrate: <2, temperature: 77}\n"
    "doses: [{what: Alk-Mix, amount: 3}, {what: limewater, amount: 5}]\n"
    "costs: [{what: x, amount: 3, category: salt}]\nfeed: [flakes, Mysis]\n",
}


def made(folder: Path, profile: str = US) -> tuple[Site, list[Page], list[Asset]]:
    site = journals.site(folder, {"tank.yml": profile} | LOG)
    return site, *write_pages(site, None)


@pytest.fixture(scope="module")
def us(tmp_path_factory: pytest.TempPathFactory) -> tuple[Site, list[Page], list[Asset]]:
    return made(tmp_path_factory.mktemp("us"))


def test_what_is_tested_comes_first(us: tuple[Site, list[Page], list[Asset]]) -> None:
    fields = reading_fields(us[0])
    assert [field.parameter.name for field in fields] == list(PARAMETERS)
    main = {f.parameter.name: (f.parameter.unit, f.last) for f in fields if f.main}
    assert main == {
        "temperature": ("°F", "77.0"), "salinity": ("SG", "1.0260"), "magnesium": ("mg/L", ""),
        "nitrate": ("mg/L", "< 2.0"), "phosphate": ("mg/L", ""),
    }  # fmt: skip


def test_a_journal_without_tests_is_asked_for_the_usual_ones(tmp_path: Path) -> None:
    fields = reading_fields(journals.site(tmp_path, {}))
    assert [f.parameter.name for f in fields if f.main] == [
        "temperature", "salinity", "alkalinity", "calcium", "magnesium", "ph", "nitrate",
        "phosphate",
    ]  # fmt: skip


def test_names_are_offered_once(us: tuple[Site, list[Page], list[Asset]]) -> None:
    names = known_names(us[0].journal)
    assert names["supplement"] == ["alk mix", "limewater"]
    assert names["food"] == ["mysis", "flakes"]
    assert names["category"] == ["salt"]


def test_costs_that_are_hidden_are_not_offered(tmp_path: Path) -> None:
    site, pages, _ = made(tmp_path, US + "privacy: {show_costs: false}\n")
    assert known_names(site.journal)["category"] == []
    assert '<option value="salt">' not in pages[0].html


def test_limits_are_in_every_unit() -> None:
    facts = form_facts(Profile.model_validate({"name": "x", "start": "2026-01-01"}))
    alkalinity = facts["tests"]["alkalinity"]
    assert (alkalinity["unit"], alkalinity["range"]) == ("dKH", "0.5 to 25 dKH")
    assert alkalinity["limits"]["dkh"] == (0.5, 25)
    # 25 dKH by 2.8039 dKH in a meq/L
    assert alkalinity["limits"]["meq/l"][1] == pytest.approx(8.916, abs=0.001)
    low, high = facts["tests"]["temperature"]["limits"]["f"]
    assert (low, high) == (32, 113)
    assert facts["kinds"]["dose"]["limits"]["ml"] == (0, 1e6)
    assert facts["kinds"]["dose"]["limits"]["g"] == (0, 1e6)
    assert facts["kinds"]["salinity"]["limit"] is False
    assert facts["tests"]["salinity"]["limit"] is True


def test_the_keeper_s_own_units(us: tuple[Site, list[Page], list[Asset]]) -> None:
    facts = form_facts(us[0].journal.profile)
    assert facts["currency"] == "USD"
    assert {name: facts["kinds"][name]["unit"] for name in ("volume", "length", "mass")} == {
        "volume": "gal", "length": "in", "mass": "g"}  # fmt: skip
    assert facts["tests"]["alkalinity"]["unit"] == "meq/L"
    assert facts["tests"]["salinity"]["range"] == "1.0038 to 1.03169 SG"


def test_the_page_holds_its_facts_as_data(us: tuple[Site, list[Page], list[Asset]]) -> None:
    page = us[1][0]
    html = Html.of(page)
    assert html.errors == []
    (data,) = [e for e in html.all("script") if e.get("type") == "application/json"]
    assert json.loads(data.text or "") == json.loads(json.dumps(form_facts(us[0].journal.profile)))
    assert '"glass" & more' in [e.get("data-task") for e in html.all("input")]


def test_nothing_in_it_breaks_a_strict_policy(us: tuple[Site, list[Page], list[Asset]]) -> None:
    for page in us[1]:
        html = Html.of(page)
        for element in html.all():
            assert not [name for name in element if name == "style" or name[:2] == "on"]
        assert not list(html.all("style"))
        scripts = [e for e in html.all("script") if e.get("type") != "application/json"]
        assert all(script.get("src") and not script.text for script in scripts)


def test_no_other_host_is_named(us: tuple[Site, list[Page], list[Asset]]) -> None:
    texts = [page.html for page in us[1]] + [a.read().decode() for a in us[2]]
    assert [t for text in texts for t in re.findall(r"(?:https?:)?//[\w.]+\.\w+/", text)] == []
    script = us[2][0].read().decode()
    assert not re.search(r"\bfetch\(|XMLHttpRequest|sendBeacon|WebSocket|eval\(", script)


def test_search_engines_are_asked_to_stay_away(us: tuple[Site, list[Page], list[Asset]]) -> None:
    assert {page.path: page.head for page in us[1]} == {
        "write": '<meta name="robots" content="noindex">',
        "keys": '<meta name="robots" content="noindex">',
    }


def test_a_change_of_the_form_gives_the_worker_another_version(tmp_path: Path) -> None:
    def version(profile: str, name: str) -> str:
        worker = made(tmp_path / name, profile)[2][-1].read().decode()
        (found,) = re.findall(r'VERSION = "([0-9a-f]{16})"', worker)
        return str(found)

    first = version(US, "a")
    assert version(US, "b") == first
    assert version(US.replace("clownfish", "goby"), "c") != first


def test_the_form_can_be_left_out(tmp_path: Path) -> None:
    assert made(tmp_path, US + "privacy: {write_page: false}\n")[1:] == ([], [])


def test_a_slip_in_the_switch_leaves_it_out(tmp_path: Path) -> None:
    site = journals.site(tmp_path, {"tank.yml": US + "privacy: {write_page: nope}\n"})
    assert write_pages(site, None) == ([], [])
