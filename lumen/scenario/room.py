"""The room as measured: outline, ceiling, finishes, openings and the furniture in it."""

from __future__ import annotations

import re
from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from lumen.scenario.base import (
    Amount,
    Id,
    Length,
    Name,
    Part,
    Percent,
    Point2,
    Point3,
    Positive,
    assumed,
)
from lumen.scenario.colours import hexadecimal
from lumen.scenario.references import Ref

__all__ = ["WALL", "Colour", "Finish", "Finishes", "Furniture", "Opening", "Room", "Slope"]

_COLOUR_RULE = "must be a colour: a name such as beige or slate blue, or #rrggbb"


def _colour(text: object) -> object:
    found = hexadecimal(text)
    if not isinstance(found, str) or not re.fullmatch(r"#[0-9a-fA-F]{6}", found):
        raise ValueError(_COLOUR_RULE)
    return found


Colour = Annotated[
    str, BeforeValidator(_colour), WithJsonSchema({"type": "string", "title": "a name or #rrggbb"})
]
"""A colour as ``#rrggbb``; a plan may also give it by its name."""


WALL = Ref(("walls",), "a wall")
"""A wall by its number, counted from 0."""


class Finish(Part):
    """A surface's light reflectance value (0 black to 100 white, as on paint cards) and colour."""

    AFTER_MAPS = frozenset({"colour"})

    lrv: Percent = assumed(50.0, "a mid finish until a card is read")
    colour: Colour | None = None


class Finishes(Part):
    """Finishes of floor, ceiling and walls; ``wall_by_wall`` overrides by wall number."""

    floor: Finish = assumed(Finish(lrv=25.0), "wood floor, LRV 25")
    ceiling: Finish = assumed(Finish(lrv=80.0), "white ceiling, LRV 80")
    walls: Finish = assumed(Finish(lrv=60.0), "pale walls, LRV 60")
    wall_by_wall: Annotated[dict[str, Finish], WALL] = Field(default_factory=dict)


class Slope(Part):
    """A sloped ceiling that rises from a knee wall: height grows with distance from that wall."""

    own_names: ClassVar[bool] = True

    id: Id
    wall: Annotated[int, WALL] = Field(ge=0)
    knee_height_m: Positive
    pitch_deg: Annotated[float, Field(gt=0.0, lt=90.0)]


class Opening(Part):
    """A door, window or mirror: a rectangle on a wall, measured along it from its first corner."""

    own_names: ClassVar[bool] = True

    id: Id
    kind: Literal["door", "window", "mirror", "recess"]
    wall: Annotated[int, WALL] = Field(ge=0)
    from_m: Length
    to_m: Length
    sill_m: Length = 0.0
    head_m: Length = 2.0
    finish: Finish | None = None


class Room(Part):
    """Outline on the floor, counter-clockwise seen from above, first corner at the origin.

    Wall *i* runs from corner *i* to corner *i* + 1. The bed wall is the one you face: y grows
    toward it.
    """

    outline_m: Annotated[tuple[Point2, ...], Field(min_length=3, max_length=60)]
    height_m: Annotated[float, Field(gt=0.5, le=12.0)]
    bed_wall: Annotated[int | None, WALL] = None
    slopes: Annotated[tuple[Slope, ...], Field(max_length=12)] = ()
    finishes: Finishes = assumed(Finishes(), "usual finishes: floor 25, walls 60, ceiling 80")
    openings: Annotated[tuple[Opening, ...], Field(max_length=24)] = ()


FurnitureKind = Literal[
    "bed frame",
    "mattress",
    "headboard",
    "nightstand",
    "wardrobe",
    "chest",
    "desk",
    "shelf",
    "chair",
    "cot",
    "curtain",
    "batten",
    "other",
]


class Compartment(Part):
    """A hidden space inside a piece of furniture, where a power strip or driver may lie."""

    inner_size_m: tuple[Positive, Positive, Positive]
    vent_area_m2: Annotated[float, Field(ge=0.0)] = assumed(0.0, "no vent opening")
    wall_thickness_m: Positive = assumed(0.018, "18 mm board")


class Furniture(Part):
    """A box: width along the wall, depth, height; ``at_m`` is the middle of its underside.

    ``turn_deg`` turns it counter-clockwise seen from above. ``lean_deg`` leans the top back
    (toward the bed wall, for a box that is not turned); it pivots on its lower back edge.
    ``mirror_front`` says that its front, the side away from the bed wall when it is not turned, is
    a mirror, as wardrobe doors may be.
    """

    NO_LIGHT = frozenset({"name", "compartment", "material", "price"})

    id: Id
    kind: FurnitureKind
    name: Name | None = None
    at_m: Point3
    size_m: tuple[Positive, Positive, Positive]
    turn_deg: Annotated[float, Field(ge=-360.0, le=360.0)] = 0.0
    lean_deg: Annotated[float, Field(ge=-45.0, le=45.0)] = 0.0
    finish: Finish = assumed(Finish(lrv=40.0), "mid-tone furniture, LRV 40")
    mirror_front: bool = False
    compartment: Compartment | None = None
    material: str | None = None
    price: Amount | None = None
