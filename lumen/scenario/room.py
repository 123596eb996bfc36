"""The room as measured: outline, ceiling, finishes, openings and the furniture in it."""

from __future__ import annotations

import re
from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from lumen.scenario.base import (
    LENGTH,
    SIZE,
    Id,
    ItsName,
    Length,
    Part,
    Percent,
    Point2,
    Point3,
    Positive,
    Price,
    Shown,
    assumed,
)
from lumen.scenario.colours import hexadecimal
from lumen.scenario.places import POINT, POSE, TURN
from lumen.scenario.references import Ref

__all__ = ["WALL", "Colour", "Finish", "Finishes", "Furniture", "Opening", "Room", "Slope"]

_COLOUR_RULE = "must be a colour: a name such as beige or slate blue, or #rrggbb"


def _colour(text: object) -> object:
    colour = hexadecimal(text)
    if not isinstance(colour, str) or not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
        raise ValueError(_COLOUR_RULE)
    return colour


Colour = Annotated[
    str, BeforeValidator(_colour), WithJsonSchema({"type": "string", "title": "a name or #rrggbb"})
]
"""A colour as ``#rrggbb``; a plan may also give it by its name."""


_STANDS = "How it stands"

WALL = Ref(("walls",), "a wall")
"""A wall by its number, counted from 0."""


class Finish(Part):
    """A surface's light reflectance value (0 black to 100 white, as on paint cards) and colour."""

    AFTER_MAPS = frozenset({"colour"})

    lrv: Annotated[
        Percent,
        Shown(
            "Light reflectance (LRV)",
            "0 black to 100 white, as paint makers print it on their cards.",
        ),
    ] = assumed(50.0, "a mid finish until a card is read")
    colour: Annotated[
        Colour | None, Shown("Colour", "Picked, or typed as a name such as beige, or as #rrggbb.")
    ] = None


class Finishes(Part):
    """Finishes of floor, ceiling and walls; ``wall_by_wall`` overrides by wall number."""

    floor: Annotated[Finish, Shown("Floor", "What one walks on.")] = assumed(
        Finish(lrv=25.0), "wood floor, LRV 25"
    )
    ceiling: Annotated[Finish, Shown("Ceiling", "The ceiling, slopes as well.")] = assumed(
        Finish(lrv=80.0), "white ceiling, LRV 80"
    )
    walls: Annotated[Finish, Shown("Walls", "All walls that have no finish of their own.")] = (
        assumed(Finish(lrv=60.0), "pale walls, LRV 60")
    )
    wall_by_wall: Annotated[dict[str, Finish], WALL] = Field(default_factory=dict)


class Slope(Part):
    """A sloped ceiling that rises from a knee wall: height grows with distance from that wall."""

    own_names: ClassVar[bool] = True

    id: Id
    wall: Annotated[
        int, WALL, Shown("Rises from wall", "The wall at which the ceiling is lowest.", first=True)
    ] = Field(ge=0)
    knee_height_m: Annotated[
        Positive,
        Shown(
            "Height at that wall", "From the floor to where the slope begins.", LENGTH, first=True
        ),
    ]
    pitch_deg: Annotated[
        float,
        Field(gt=0.0, lt=90.0),
        Shown("Pitch", "0 would be level, 90 upright.", "°", first=True),
    ]


class Opening(Part):
    """A door, window or mirror: a rectangle on a wall, measured along it from its first corner."""

    own_names: ClassVar[bool] = True

    id: Id
    kind: Annotated[
        Literal["door", "window", "mirror", "recess"],
        Shown("What it is", "A recess is a niche in the wall.", first=True),
    ]
    wall: Annotated[int, WALL, Shown("In which wall", "Walls go round the room.", first=True)] = (
        Field(ge=0)
    )
    from_m: Annotated[
        Length,
        Shown(
            "Begins at",
            "Along the wall from its first corner, seen from inside from right to left.",
            LENGTH,
            first=True,
        ),
    ]
    to_m: Annotated[
        Length, Shown("Ends at", "Along the wall from the same corner.", LENGTH, first=True)
    ]
    sill_m: Annotated[
        Length, Shown("Lower edge", "Above the floor; 0 for a door.", LENGTH, first=True)
    ] = 0.0
    head_m: Annotated[Length, Shown("Upper edge", "Above the floor.", LENGTH, first=True)] = 2.0
    finish: Annotated[
        Finish | None,
        Shown("Finish", "Of the door leaf, or of the blind or curtain that is drawn at night."),
    ] = None


class Room(Part):
    """Outline on the floor, counter-clockwise seen from above, first corner at the origin.

    Wall *i* runs from corner *i* to corner *i* + 1. The bed wall is the one you face: y grows
    toward it.
    """

    outline_m: Annotated[
        tuple[Point2, ...],
        Field(min_length=3, max_length=60),
        Shown(
            "Corners of the room",
            "Counter-clockwise seen from above, the first one at the origin.",
            LENGTH,
        ),
    ]
    height_m: Annotated[
        float,
        Field(gt=0.5, le=12.0),
        Shown("Height of the room", "From floor to ceiling, at its highest.", LENGTH, first=True),
    ]
    bed_wall: Annotated[
        int | None,
        WALL,
        Shown(
            "Bed wall",
            "The wall at the bed's head end; left open, it follows from the outline.",
            first=True,
        ),
    ] = None
    slopes: Annotated[tuple[Slope, ...], Field(max_length=12)] = ()
    finishes: Annotated[
        Finishes,
        Shown(
            "Finishes",
            "How light the surfaces are: much of the light on a page has bounced off them.",
        ),
    ] = assumed(Finishes(), "usual finishes: floor 25, walls 60, ceiling 80")
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

    inner_size_m: Annotated[
        tuple[Positive, Positive, Positive],
        Shown("Size inside", "Width, depth and height of the space itself.", LENGTH, axes=SIZE),
    ]
    vent_area_m2: Annotated[
        float, Field(ge=0.0), Shown("Openings for air", "All holes and gaps together.", "m²")
    ] = assumed(0.0, "no vent opening")
    wall_thickness_m: Annotated[
        Positive, Shown("Thickness of its boards", "Thick boards keep the warmth in.", LENGTH)
    ] = assumed(0.018, "18 mm board")


class Furniture(Part):
    """A box: width along the wall, depth, height; ``at_m`` is the middle of its underside.

    ``turn_deg`` turns it counter-clockwise seen from above. ``lean_deg`` leans the top back
    (toward the bed wall, for a box that is not turned); it pivots on its lower back edge.
    ``mirror_front`` says that its front, the side away from the bed wall when it is not turned, is
    a mirror, as wardrobe doors may be.
    """

    NO_LIGHT = frozenset({"name", "compartment", "material", "price"})

    id: Id
    kind: Annotated[
        FurnitureKind,
        Shown(
            "What it is",
            "A mattress is what people lie on; a headboard may lean and carry lights.",
            first=True,
        ),
    ]
    name: ItsName = None
    at_m: Annotated[
        Point3, POINT, Shown("Place", "The middle of its underside.", LENGTH, first=True)
    ]
    size_m: Annotated[
        tuple[Positive, Positive, Positive],
        POSE,
        Shown(
            "Size",
            "Its outer measures: width along the wall, depth, height.",
            LENGTH,
            first=True,
            short=SIZE,
            axes=SIZE,
        ),
    ]
    turn_deg: Annotated[
        float,
        Field(ge=-360.0, le=360.0),
        TURN,
        Shown(
            "Turned by",
            "Counter-clockwise seen from above; 0 has its back to the bed wall.",
            "°",
            group=_STANDS,
        ),
    ] = 0.0
    lean_deg: Annotated[
        float,
        Field(ge=-45.0, le=45.0),
        POSE,
        Shown(
            "Leans back by",
            "Its top goes toward the wall, about its lower back edge.",
            "°",
            group=_STANDS,
        ),
    ] = 0.0
    finish: Annotated[Finish, Shown("Finish", "How light it is.")] = assumed(
        Finish(lrv=40.0), "mid-tone furniture, LRV 40"
    )
    mirror_front: Annotated[
        bool, Shown("Its front is a mirror", "As the doors of a wardrobe may be.", group="Finish")
    ] = False
    compartment: Annotated[
        Compartment | None, Shown("Hidden space", "Where a power strip or a driver may lie.")
    ] = None
    material: Annotated[
        str | None,
        Shown("Made of", "What is written on the list of boards to cut.", group="Buying"),
    ] = None
    price: Price = None
