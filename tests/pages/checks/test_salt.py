"""New salt water and the top-off."""

from __future__ import annotations

from pathlib import Path

from tests.pages.built import Built
from tests.pages.checks.finding import check, ids, of


def test_salt_of_a_batch_and_how_alike_batches_are(full: Built) -> None:
    """26 L x 38 g/L is 0.99 kg; 7.6, 8.4 and 8.1 dKH scatter by 0.40."""
    found = check(full.site, "salt")
    assert found.sentence == (
        "A usual water change takes 0.99 kg of salt; over 3 tested batches its alkalinity varied "
        "by ± 0.4 dKH."
    )
    assert found.gauge.count("<circle") == 3 and "8.0 dKH, as the profile says" in found.gauge
    assert "7.6 dKH" in found.gauge and "8.4 dKH" in found.gauge and found.missing == []


def test_what_is_not_told_of_salt(tmp_path: Path) -> None:
    found = check(of(tmp_path, "", {"log/2026-03-01.yml": "water_change: 20 L\n"}), "salt")
    assert "of salt." in found.sentence and len(found.missing) == 2 and found.gauge == ""


def test_top_off_in_both_ways_in_which_it_fails(full: Built) -> None:
    """20 L in 8 days is 2.5 L a day; 35 x 2.5 / 260 = 0.34; 35 x 260 / 272 = 33.5."""
    found = check(full.site, "top-off")
    assert found.sentence.startswith("About 2.5 L evaporate a day")
    assert "a full reservoir lasts 5 days" in found.sentence
    assert "if nothing runs in, salinity rises by 0.3 psu a day" in found.sentence
    assert found.sentence.endswith("and if all of it runs in at once it falls to 33.5 psu.")
    assert found.gauge and found.missing == []


def test_top_off_in_gallons_and_specific_gravity(us_planned: Built) -> None:
    sentence = check(us_planned.site, "top-off").sentence
    assert "gal evaporate a day" in sentence and "SG a day" in sentence
    assert " psu" not in sentence


def test_a_reservoir_is_asked_for(tmp_path: Path) -> None:
    tank = "vessels: {name: d, length: 90, width: 40, water_height: 40}\nroom: {coldest: 17}\n"
    found = check(of(tmp_path / "a", tank), "top-off")
    assert "kind: top-off" in found.missing[0]
    gear = "equipment: [{name: filler, kind: top-off}]\n"
    assert check(of(tmp_path / "b", tank + gear), "top-off").missing == [
        "reservoir: 12 L|of filler"
    ]


def test_nothing_known_nothing_said(empty: Built) -> None:
    assert not {"salt", "top-off"} & ids(empty.site)
