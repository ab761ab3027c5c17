"""Who lives in the tank, and how much fish that is for its water."""

from __future__ import annotations

import pytest

from journal_tools.metrics.stocking import Living, fish_masses_g, population
from tests.journals import HUNDRED_LITRES, metrics, tables

ANIMALS = """\
animals:
  - {name: clownfish, group: fish, adult_length: 8 cm, mass_a: 0.0186, mass_b: 2.99}
  - {name: sailfin, group: fish, mass_a: 0.027, mass_b: 2.95}
  - {name: goby, group: fish}
  - {name: snail, group: invertebrate}
"""
SPELLINGS = ("two-spellings",)


def alive(*events: str) -> dict[str, int]:
    return {kind.name: kind.count for kind in living(*events)}


def files(*events: str) -> dict[str, str]:
    log = {f"log/2026-02-{n:02}.yml": f"livestock: [{e}]\n" for n, e in enumerate(events, 1)}
    return {"tank.yml": HUNDRED_LITRES + ANIMALS} | log


def living(*events: str) -> list[Living]:
    return population(tables(files(*events), but=SPELLINGS))


@pytest.mark.parametrize(
    ("events", "left"),
    [
        (["{added: snail, count: 5}", "{lost: snail, count: 2}", "{removed: snail}"], 2),
        (["{added: snail}", "{measured: snail, length: 2 cm}"], 1),
        # more lost than ever came: none are left, and a new one is one
        (["{added: snail}", "{lost: snail, count: 3}", "{added: snail}"], 1),
        # one kind, however it is written
        (["{added: Snail}", "{added: snail}", "{lost: SNAIL}"], 1),
        # what happened on one day counts in the order of the entry
        (["{added: snail, count: 2}, {lost: snail}"], 1),
    ],
)
def test_who_came_and_went(events: list[str], left: int) -> None:
    assert alive(*events) == {"snail": left}


def test_who_is_gone_is_not_listed() -> None:
    assert alive("{added: snail}", "{lost: snail}", "{lost: goby}") == {}


def test_an_undescribed_animal_goes_by_its_own_name() -> None:
    (kind,) = living("{added: Night Crawler, count: 3}")
    assert (kind.name, kind.group, kind.count, kind.animal) == ("Night Crawler", "other", 3, None)


def test_the_newest_length_counts_and_leads_to_its_entry() -> None:
    (kind,) = living(
        "{added: goby, length: 2 cm}", "{measured: goby, length: 31 mm}", "{measured: goby}"
    )
    assert kind.length_cm == pytest.approx(3.1)
    assert (kind.entry, kind.line) == ("2026-02-02", 1)


def biomass(*events: str) -> float | None:
    result = metrics(files(*events), but=SPELLINGS).one("fish_biomass")
    return result.value if result else None


@pytest.mark.parametrize(
    ("event", "grams"),
    [
        # W = a L^b (form: Froese 2006, J. Appl. Ichthyol. 22:241), by pocket calculator; the
        # coefficients are round figures from memory: generic 0.02 * 8^3 = 10.24
        ("{added: goby, length: 8 cm}", 10.24),
        # 0.0186 * 8^2.99 = 9.33
        ("{added: clownfish, length: 8 cm}", 9.3272),
        # 0.027 * 15^2.95 = 79.6
        ("{added: sailfin, length: 15 cm}", 79.585),
        ("{added: goby, count: 3, length: 8 cm}", 30.72),
        # never measured: the adult length of the profile
        ("{added: clownfish}", 9.3272),
        ("{added: goby, length: 8 cm}, {added: snail, count: 9, length: 3 cm}", 10.24),
    ],
)
def test_biomass_in_a_hundred_litres(event: str, grams: float) -> None:
    assert biomass(event) == pytest.approx(grams, rel=1e-4)


def test_biomass_is_by_volume_and_within_a_factor_of_two() -> None:
    half = HUNDRED_LITRES.replace("100 ± 2 L", "200 L") + ANIMALS
    log = {"log/2026-02-01.yml": "livestock: {added: goby, length: 8 cm}\n"}
    result = metrics({"tank.yml": half} | log).one("fish_biomass")
    assert result is not None
    assert (result.value, result.low, result.high) == pytest.approx((5.12, 2.56, 10.24))
    assert [i.value for i in result.inputs] == ["1 of 8.0 cm, 10.2 g each", "200 L"]


@pytest.mark.parametrize(
    "unusable", ["{added: goby}", "{added: goby, length: 3 mm}", "{added: goby, length: 3 m}"]
)
def test_a_fish_without_a_usable_length_is_left_out_and_named(unusable: str) -> None:
    found = metrics(files(unusable, "{added: sailfin, length: 15 cm}"))
    result = found.one("fish_biomass")
    assert result is not None and result.value == pytest.approx(79.585, rel=1e-4)
    assert result.note == "Without goby: no usable length is known."
    assert metrics(files(unusable)).one("fish_biomass") is None


def test_a_fish_too_heavy_for_the_relation_is_left_out() -> None:
    # 0.02 * 190^3 g = 137 kg: nobody keeps that, the length must be wrong
    assert biomass("{added: goby, length: 190 cm}") is None


def test_adult_length_in_a_hundred_litres() -> None:
    result = metrics(files("{added: clownfish, count: 2}", "{added: goby}")).one("adult_length")
    assert result is not None and result.high is not None
    # definition: two of 8 cm in 100 L; 2 % by the volume
    assert (result.value, result.high) == pytest.approx((16, 16 * 1.02))
    assert result.note == "Without goby: no adult length is known."


def test_without_fish_or_volume_there_is_no_load() -> None:
    assert metrics(files("{added: snail}")).one("adult_length") is None
    assert biomass("{added: snail, length: 2 cm}") is None
    no_volume = files("{added: clownfish}") | {"tank.yml": "name: T\nstart: 2026-01-01\n" + ANIMALS}
    found = metrics(no_volume)
    assert found.one("fish_biomass") is None and found.one("adult_length") is None


def test_the_mass_of_every_fish_by_hand() -> None:
    """0.02 x 8^3 = 10.24 g twice; 0.0186 x 8^2.99 = 9.327 g grown; lost fish are left out."""
    came = "{added: goby, count: 2, length: 8 cm}, {added: sailfin, length: 15 cm}, "
    came += "{added: clownfish}, {added: snail, length: 3 cm}"
    found = tables(files(came, "{lost: sailfin, count: 5}"), but=SPELLINGS)
    masses, inputs, unknown = fish_masses_g(found)
    assert masses == pytest.approx([10.24, 10.24, 9.3272], rel=1e-4)
    assert [(i.label, i.entry, i.line) for i in inputs] == [
        ("goby", "2026-02-01", 1), ("clownfish", "2026-02-01", 1),
    ]  # fmt: skip
    assert unknown == []
    assert fish_masses_g(tables(files("{added: goby}")))[2] == ["goby"]


def test_an_inch_of_fish() -> None:
    us = HUNDRED_LITRES.replace("100 ± 2 L", "100 L") + "units: {system: us}\n" + ANIMALS
    log = {"log/2026-02-01.yml": "livestock: {added: goby, length: 3.15}\n"}
    masses, _, _ = fish_masses_g(tables({"tank.yml": us} | log))
    # 3.15 in = 8.001 cm
    assert masses == pytest.approx([0.02 * 8.001**3], rel=1e-4)
