"""How many animals live here, and how much fish that is for the water."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.names import name_key
from journal_tools.profile import Animal
from journal_tools.science.life import stocking
from journal_tools.tables import Tables

_LONGEST_CM, _HEAVIEST_G = 200.0, 1e5


@dataclass(frozen=True, slots=True)
class Living:
    """One kind of animal in the tank today.

    Attributes:
        name: As the profile or the entries call it.
        group: fish, coral, …
        count: Added less lost and removed; never below 0.
        length_cm: Newest length, or None.
        entry: Entry of that length (or of the newest event).
        line: Line in that entry.
        animal: The profile's description, if there is one.
    """

    name: str
    group: str
    count: int
    length_cm: float | None
    entry: str
    line: int
    animal: Animal | None


def population(tables: Tables) -> list[Living]:
    """Give the animals that live in the tank today, in order of arrival."""
    described = {name_key(animal.name): animal for animal in tables.profile.animals}
    living = []
    for _, rows in tables.livestock.groupby(tables.livestock["name"].map(name_key), sort=False):
        signs = rows["event"].map({"added": 1, "lost": -1, "removed": -1, "measured": 0})
        count = 0
        for change in (signs * rows["count"]).tolist():
            count = max(0, count + change)
        last = rows.iloc[-1]
        measured = rows[rows["length_cm"].notna()]
        if not measured.empty:
            last = measured.iloc[-1]
        if count:
            living.append(Living(
                str(rows["name"].iloc[0]), str(rows["group"].iloc[0]), count,
                None if measured.empty else float(last["length_cm"]),
                str(last["entry"]), int(last["line"]), described.get(name_key(last["name"])),
            ))  # fmt: skip
    return living


def _shape(animal: Animal | None) -> stocking.BodyShape:
    if animal is not None and animal.mass_a is not None and animal.mass_b is not None:
        return stocking.BodyShape(animal.mass_a, animal.mass_b)
    return stocking.BODY_SHAPES["generic"]


def _mass_g(length_cm: float | None, animal: Animal | None) -> float | None:
    """Give the mass of a fish, or None where no length is known or the relation does not reach."""
    if length_cm is None or not 0.5 <= length_cm <= _LONGEST_CM:
        return None
    mass = float(stocking.body_mass_g(length_cm, _shape(animal)))
    return mass if mass <= _HEAVIEST_G else None


def fish_masses_g(tables: Tables) -> tuple[list[float], tuple[Input, ...], list[str]]:
    """Give the mass in g of every fish, what it rests on, and the fish whose length is unknown."""
    masses: list[float] = []
    inputs, unknown = [], []
    for kind in population(tables):
        if kind.group != "fish":
            continue
        length = kind.length_cm
        if length is None and kind.animal and kind.animal.adult_length:
            length = kind.animal.adult_length.value
        mass = _mass_g(length, kind.animal)
        if mass is None:
            unknown.append(kind.name)
            continue
        masses += [mass] * kind.count
        text = f"{kind.count} of {length:.1f} cm, {mass:.1f} g each"
        inputs.append(Input(kind.name, text, kind.entry, kind.line))
    return masses, tuple(inputs), unknown


def _biomass(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    masses, inputs, unknown = fish_masses_g(tables)
    if net is None or not masses:
        return
    value = stocking.biomass_g_per_100_l(masses, net.value)
    note = f"Without {', '.join(unknown)}: no usable length is known." if unknown else ""
    volume = Input("net volume", f"{net.value:.0f} L")
    yield Result("fish_biomass", value, "g/100 L", 0, "", value / 2, value * 2, end=tables.now,
                 inputs=(*inputs, volume), note=note)  # fmt: skip


FISH_BIOMASS = Metric(
    "fish_biomass", "Fish biomass in 100 litres", "g/100 L",
    "Mass of each fish from its newest length (or, if never measured, its adult length) by "
    "W = a L^b, added up, per 100 L of net volume. It is a load, not a limit.",
    "Length and mass relation: Froese 2006, J. Appl. Ichthyol. 22:241 (form); generic a = 0.02, "
    "b = 3 from memory, good to a factor of two.",
    "none", "half to double", _biomass,
)  # fmt: skip


def _adult_length(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    fish = [kind for kind in population(tables) if kind.group == "fish"]
    known = [
        kind
        for kind in fish
        if kind.animal
        and kind.animal.adult_length
        and kind.animal.adult_length.value <= _LONGEST_CM
    ]
    if net is None or not known:
        return
    lengths, inputs = [], []
    for kind in known:
        assert kind.animal is not None and kind.animal.adult_length is not None
        adult = kind.animal.adult_length
        lengths += [adult.value] * kind.count
        inputs.append(
            Input(kind.name, f"{kind.count} of {adult.said} when grown", kind.entry, kind.line)
        )
    value = stocking.adult_length_cm_per_100_l(lengths, net.value)
    error = value * relative_volume_error(net)
    missing = [kind.name for kind in fish if kind not in known]
    note = f"Without {', '.join(missing)}: no adult length is known." if missing else ""
    inputs.append(Input("net volume", f"{net.value:.0f} L"))
    yield Result("adult_length", value, "cm/100 L", 0, "", value - error, value + error,
                 end=tables.now, inputs=tuple(inputs), note=note)  # fmt: skip


ADULT_LENGTH = Metric(
    "adult_length", "Adult fish length in 100 litres", "cm/100 L",
    "Adult length of every fish, added up, per 100 L of net volume. Ten fish of 3 cm count as one "
    "of 30 cm here, though that one is a far greater load: read it beside the biomass.",
    "Definition. Any limit on it is common practice, no source.",
    "none", "one standard deviation of the volume", _adult_length,
)  # fmt: skip
