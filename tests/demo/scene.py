"""What is to be seen in an invented tank on one day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Stage = Literal["empty", "plumbing", "dry rock", "filled", "cloudy", "running"]
Light = Literal["day", "dusk", "night/blue"]
View = Literal["front", "sump", "macro", "top", "bench", "pump"]
CoralKind = Literal[
    "mushroom", "zoanthid mat", "leather", "branching stony", "anchor polyp", "plating"
]
FishKind = Literal[
    "clown pair",
    "clown",
    "goby",
    "blenny",
    "tang",
    "wrasse",
    "cleaner shrimp",
    "turbo snail",
    "hermit crab",
]
Gear = Literal["return nozzle", "in-tank pump", "heater", "thermometer", "light fixture"]
ALL_GEAR: tuple[Gear, ...] = (
    "return nozzle",
    "in-tank pump",
    "heater",
    "thermometer",
    "light fixture",
)


@dataclass(frozen=True)
class Coral:
    """A coral and the spot it grows on; its shape depends on kind and spot, never on the scene.

    Attributes:
        kind: one of the generic kinds.
        x: place along the tank, 0 (left glass) to 1 (right glass).
        size: 0 (a frag) to 1 (full grown here).
        colour: a name from the paint box, or #rrggbb.
        health: 1 thriving, 0 bleached and drawn in.
        perch: 0 on top of the rock at x, 1 at its foot.
    """

    kind: CoralKind
    x: float
    size: float
    colour: str = "rose"
    health: float = 1.0
    perch: float = 0.0


@dataclass(frozen=True)
class Fish:
    """An animal that moves: fish, shrimp, snail or crab.

    Attributes:
        kind: one of the generic kinds.
        x: 0 (left glass) to 1 (right glass).
        y: 0 (surface) to 1 (sand).
        size: 0 (young) to 1 (full grown).
        facing: 1 looks right, -1 looks left.
    """

    kind: FishKind
    x: float
    y: float
    size: float = 0.5
    facing: Literal[-1, 1] = 1


@dataclass(frozen=True)
class Scene:
    """Everything that a picture shows.

    Attributes:
        stage: how far the tank is; there is sand and rock from "dry rock" on.
        light: the time of day.
        water_level: 0 (dry) to 1 (full); only a stage with water shows it.
        algae: 0 (clean) to 1, on rock, sand and glass.
        algae_kind: brown dust of the first weeks, or green film.
        coralline: 0 to 1, pink crust that slowly covers the rock.
        corals: the corals, in any order; the first is the subject of "macro".
        fish: the animals.
        gear: equipment to be seen in and above the tank.
        power_cut: candles and a torch, no lights.
        heat_wave: a fan at the rim and a bottle of ice in the water.
        seed: the hand of this one picture (paper, washes, wobble).
    """

    stage: Stage = "running"
    light: Light = "day"
    water_level: float = 1.0
    algae: float = 0.0
    algae_kind: Literal["brown", "green"] = "brown"
    coralline: float = 0.0
    corals: tuple[Coral, ...] = ()
    fish: tuple[Fish, ...] = ()
    gear: tuple[Gear, ...] = ALL_GEAR
    power_cut: bool = False
    heat_wave: bool = False
    seed: int = 1

    @property
    def water(self) -> float:
        """The height of water that can be seen, 0 to 1."""
        return 0.0 if self.stage in ("empty", "plumbing", "dry rock") else self.water_level

    @property
    def has_rock(self) -> bool:
        """Whether rock and sand are in."""
        return self.stage not in ("empty", "plumbing")
