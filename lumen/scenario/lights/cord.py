"""What a thing hangs on: its cord and plug, what feeds it, and what its label says of both."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lumen.scenario.base import LENGTH, Part, Positive, Shown
from lumen.scenario.references import Ref

__all__ = [
    "CORD",
    "FEEDERS",
    "LABEL",
    "LIGHT_FEEDS",
    "PLUGGED",
    "Cord",
    "PlugFuse",
    "PlugKind",
    "PowerFactor",
    "ProtectionClass",
]

CORD = "Cord and plug"
LABEL = "On its label"

ProtectionClass = Annotated[
    Literal["I", "II", "III"] | None,
    Shown(
        "Protection class",
        "By the mark on its label: an earth sign, a square in a square, or a III in a diamond.",
        group=LABEL,
        words={"I": "I: earthed", "II": "II: double insulated", "III": "III: extra-low voltage"},
    ),
]
PowerFactor = Annotated[
    Annotated[float, Field(gt=0.0, le=1.0)] | None,
    Shown(
        "Power factor",
        "Watts over volt-amperes; on the label as PF, or cos phi.",
        group=LABEL,
    ),
]
PlugFuse = Annotated[
    Positive | None,
    Shown(
        "Fuse in the plug", "Printed on the fuse itself, in plugs that have one.", "A", group=CORD
    ),
]
PlugKind = Annotated[
    Literal["earthed", "two-pin polarised", "two-pin"] | None,
    Shown("Plug", "Polarised: one blade is wider, so that it only goes in one way.", group=CORD),
]


class Cord(Part):
    """A flexible cord: cores, conductor size and length."""

    cores: Annotated[
        Literal[2, 3] | None, Shown("Wires in it", "Three where one of them is earth.")
    ] = None
    awg: Annotated[
        Annotated[int, Field(ge=8, le=24)] | None,
        Shown(
            "Size of its wires", "Printed on it as AWG; a larger number is a thinner wire.", "AWG"
        ),
    ] = None
    area_mm2: Annotated[
        Positive | None, Shown("Size of its wires", "Printed on it, such as 2 x 0.75.", "mm²")
    ] = None
    length_m: Annotated[
        Positive | None, Shown("Length", "From the plug to what it feeds.", LENGTH)
    ] = None
    rating_a: Annotated[
        Positive | None, Shown("Rating on the cord", "Amperes printed on it, if any.", "A")
    ] = None
    marked: Annotated[
        bool | None,
        Shown("Has a mark of approval", "A mark of a test house printed along the cord."),
    ] = None
    coiled: Annotated[
        bool, Shown("Lies coiled", "A coil keeps its warmth, so it carries less.")
    ] = False
    route: Annotated[
        tuple[
            Literal[
                "open",
                "under rug",
                "under furniture",
                "through wall",
                "through door",
                "stapled",
                "concealed",
                "in groove",
            ],
            ...,
        ],
        Shown("Where it runs", "Tick all that are true somewhere along it."),
    ] = ()


FEEDERS = ("outlet", "power strip", "extension", "adapter", "receiver", "driver")
"""What something can be plugged into or is fed by."""

LIGHT_FEEDS = Ref(
    ("supply",),
    "a supply node",
    kinds=("circuit", *FEEDERS),
    wrong="must not be an appliance",
    gone="passes on",
    heirs=FEEDERS,
)
PLUGGED = Shown(
    "Plugged into",
    "The outlet, power strip, receiver or driver that feeds it.",
    first=True,
    short="Plugged into",
)
