"""The register: states, dates, prices, history and next service of every piece."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.checks import checks_of
from journal_tools.pages.register import Piece, by_state, check_links, pieces
from tests import journals
from tests.pages.built import Built, text_of


def of(tmp_path: Path, facts: str, log: dict[str, str] | None = None) -> Piece:
    tank = journals.TANK + f"equipment: [{{name: box, {facts}}}]\n"
    (piece,) = pieces(journals.site(tmp_path, {"tank.yml": tank} | (log or {})))
    return piece


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
    assert of(tmp_path, facts, log).state == state


def test_its_days_in_words(tmp_path: Path) -> None:
    here = of(tmp_path / "a", "installed: 2026-03-01")
    assert here.served == "since 1 Mar 2026, 4 weeks"
    gone = of(tmp_path / "b", "installed: 2026-01-02, removed: 2026-02-01")
    assert gone.served == "2 Jan 2026 to 1 Feb 2026, 4 weeks"
    assert of(tmp_path / "c", "planned: true, price: 5").served == ""


def test_the_price_is_what_was_paid(tmp_path: Path) -> None:
    assert of(tmp_path / "a", "price: 50").price == 50
    log = {"log/2026-02-01.yml": "equipment: {installed: box, price: 45}\n"}
    assert of(tmp_path / "b", "price: 50", log).price == 45
    assert of(tmp_path / "c", "price: 50, planned: true").price == 50
    assert of(tmp_path / "d", "kind: other").price is None


def test_a_hidden_price_is_not_given(tmp_path: Path) -> None:
    tank = journals.TANK + "equipment: [{name: box, price: 5}]\nprivacy: {show_costs: false}\n"
    (piece,) = pieces(journals.site(tmp_path, {"tank.yml": tank}))
    assert piece.price is None


def test_replacement_is_told_at_both_ends(full: Built) -> None:
    found = {piece.name: piece for piece in pieces(full.site)}
    assert found["old pump"].replaced_by == "return pump"
    page = text_of(next(e for e in full.html["equipment"].by_class("jt-piece")
                        if text_of(next(e.iter("h3"))) == "return pump"))  # fmt: skip
    assert "Replacesold pump" in page and "€120.00, second-hand" in page
    assert "Servicewas due 4 weeks ago" in page and "By its box3000 L/h" in page


def test_pieces_stand_under_their_state(full: Built) -> None:
    groups = by_state(pieces(full.site))
    assert [words for words, _ in groups] == ["In service", "No longer in use"]
    assert [p.name for p in groups[1][1]] == ["old pump"]


def test_a_piece_leads_to_its_check(full: Built) -> None:
    checks = [check for _, group in checks_of(full.site) for check in group]
    links = check_links(pieces(full.site), checks)
    assert links["return pump"] == "return-returnpump" and links["heater two"] == "heater"
    assert links["reactor"] == "media-reactor" and links["lamp"] == "light-lamp"
    assert "old pump" not in links
    assert set(links.values()) <= {check.id for check in checks}


def test_every_piece_tells_its_history(three: Built) -> None:
    page = three.html["equipment"]
    shown = {text_of(next(e.iter("h3"))): e for e in page.by_class("jt-piece")}
    assert list(shown) == ["pump", "odd box", "lamp"]
    assert "changed 10 Feb 2026: speed 5" in text_of(shown["pump"])
    assert "return pump" in text_of(shown["pump"]) and "20 W" in text_of(shown["pump"])
    assert 'A "bright" one' in text_of(shown["lamp"]) and "planned" in text_of(shown["lamp"])
    links = [e.get("href") for e in shown["odd box"].iter("a")]
    assert links == ["site:diary/2026-02#2026-02-10"]


def test_equipment_carries_the_caution_of_the_mains(three: Built) -> None:
    cautions = [text_of(e) for e in three.html["equipment"].by_class("jt-caution")]
    assert cautions == [f"Caution. {CAUTIONS['mains']}"]


def test_a_photo_is_shown_where_an_entry_publishes_it(tmp_path: Path) -> None:
    tank = journals.TANK + "equipment: [{name: box, photo: A.JPG}, {name: bag, photo: b.jpg}]\n"
    journals.photo(tmp_path / "journal" / "photos" / "a.jpg", (64, 48))
    log = {"log/2026-02-01.yml": "photos: [{file: a.jpg}]\n"}
    found = pieces(journals.site(tmp_path, {"tank.yml": tank} | log))
    assert found[0].photo is not None and found[1].photo is None
