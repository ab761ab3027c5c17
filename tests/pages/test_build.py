"""The build page: volume, flow, the register of equipment and its cost."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.build import build_page, pieces
from tests import journals
from tests.pages.built import Built, Html, text_of


def states(tmp_path: Path, facts: str, log: dict[str, str] | None = None) -> dict[str, str]:
    tank = journals.TANK + f"equipment: [{{name: box, {facts}}}]\n"
    return {p.name: p.state for p in pieces(journals.site(tmp_path, {"tank.yml": tank} | (log or
            {})))}  # fmt: skip


@pytest.mark.parametrize(
    ("facts", "events", "state"),
    [
        ("kind: other", [], "in service"),
        ("planned: true", [], "planned"),
        ("installed: 2026-06-01", [], "planned"),
        ("installed: 2026-01-02", [], "in service"),
        ("installed: 2026-01-02, removed: 2026-02-01", [], "removed"),
        ("installed: 2026-01-02, removed: 2026-06-01", [], "in service"),
        ("kind: other", ["failed"], "failed"),
        ("kind: other", ["removed", "installed"], "in service"),
        ("kind: other", ["failed", "serviced"], "failed"),
        ("kind: other", ["installed", "changed", "removed"], "removed"),
    ],
)
def test_the_state_of_a_piece(facts: str, events: list[str], state: str, tmp_path: Path) -> None:
    log = {f"log/2026-02-{n:02}.yml": f"equipment: {{{event}: box}}\n" for n, event in
           enumerate(events, 3)}  # fmt: skip
    assert states(tmp_path, facts, log) == {"box": state}


def test_every_piece_tells_its_history(three: Built) -> None:
    page = three.html["build"]
    shown = {text_of(next(e.iter("h3"))): e for e in page.by_class("jt-piece")}
    assert list(shown) == ["pump", "lamp", "odd box"]
    assert "changed 2026-02-10: speed 5" in text_of(shown["pump"])
    assert "return pump" in text_of(shown["pump"]) and "20 W" in text_of(shown["pump"])
    assert 'planned A "bright" one' in text_of(shown["lamp"])
    links = [e.get("href") for e in shown["odd box"].iter("a")]
    assert links == ["site:diary/2026-02#2026-02-10"]


def test_equipment_carries_the_caution_of_the_mains(three: Built) -> None:
    cautions = [text_of(e) for e in three.html["build"].by_class("jt-caution")]
    assert f"Caution. {CAUTIONS['mains']}" in cautions


def test_volume_shows_its_parts(demo: Built) -> None:
    table = next(e for e in demo.html["build"].all("table") if "display" in text_of(e))
    rows = {
        text_of(next(tr.iter("th"))): [text_of(td) for td in tr.iter("td")]
        for tr in table.iter("tr")
    }
    # 105 * 50 * 47 cm3 and 65 * 38 * 24 cm3; 1.5 % for a tape measure
    assert rows["display"] == ["247 L", "± 4"]
    assert rows["sump"] == ["59 L", "± 1"]


def test_without_vessels_the_page_says_what_to_measure(empty: Built) -> None:
    page = empty.html["build"]
    assert "Give the inside measures" in page.text
    assert page.by_class("jt-piece") == [] and page.by_class("jt-caution") == []


def test_costs_come_by_size(demo: Built) -> None:
    facts = [text_of(e) for e in demo.html["build"].by_class("jt-fact")]
    found = demo.site.metrics.of("cost_by_category")
    dearest = max(found, key=lambda result: result.value)
    after = facts[[f.startswith("So far") for f in facts].index(True) + 1]
    assert after.lower().startswith(dearest.subject.lower())
    whole = demo.site.metrics.one("cost_total")
    assert whole is not None
    assert sum(result.value for result in found) == pytest.approx(whole.value)


def test_a_title_keeps_its_capitals(tmp_path: Path) -> None:
    log = {"log/2026-03-01.yml": "costs: [{what: lamp, amount: 5, category: LED parts}]\n"}
    assert "LED parts" in Html.of(build_page(journals.site(tmp_path, log))).text
