"""The bulb as its box describes it, and how it dims."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lumen.scenario.base import LENGTH, SHARE, Amount, Fraction, Part, Positive, Shown, assumed

__all__ = [
    "DIMMING",
    "QUALITY",
    "R9",
    "Cct",
    "Dimmer",
    "Dims",
    "Lamp",
    "LowestLevel",
    "PstLM",
    "Ra",
    "Svm",
]

DIMMING = "Dimming"

QUALITY = ("ra", "r9", "pst_lm", "svm")
"""Fields that say how good light is; none changes how much there is."""

_QUALITY = "Colour and flicker"

Ra = Annotated[
    Annotated[float, Field(ge=0.0, le=100.0)] | None,
    Shown(
        "Colour rendering Ra (CRI)",
        "How true colours look, 100 as by day; on the box as Ra or CRI.",
        group=_QUALITY,
    ),
]
R9 = Annotated[
    Annotated[float, Field(ge=-250.0, le=100.0)] | None,
    Shown(
        "R9, deep red",
        "How true deep red looks, which skin and wood live on; few boxes print it.",
        group=_QUALITY,
    ),
]
PstLM = Annotated[
    Annotated[float, Field(ge=0.0, le=100.0)] | None,
    Shown(
        "Flicker PstLM",
        "Flicker that one sees as such; at 1 half of all people see it. On the data sheet.",
        group=_QUALITY,
    ),
]
Svm = Annotated[
    Annotated[float, Field(ge=0.0, le=100.0)] | None,
    Shown(
        "Stroboscopic effect SVM",
        "Whether a hand that moves breaks into pictures; at 1 just so. On the data sheet.",
        group=_QUALITY,
    ),
]
Cct = Annotated[
    Annotated[float, Field(ge=1000.0, le=20000.0)],
    Shown(
        "Warmth of white",
        "2200 like a candle, 2700 warm, 4000 like a cloudy noon; printed on the box.",
        "K",
        first=True,
    ),
]
LowestLevel = Annotated[
    Fraction | None,
    Shown(
        "Dims down to",
        "The least share of its full light that it still gives without going out.",
        SHARE,
        group=DIMMING,
    ),
]
Dims = Annotated[
    bool,
    Shown("Can be dimmed", "Whether its box says dimmable.", group=DIMMING),
]
Dimmer = Annotated[
    bool | None,
    Shown(
        "Has a dimmer of its own",
        "On it, in its cord, on the wall or in its remote.",
        group=DIMMING,
    ),
]


class Lamp(Part):
    """The bulb or LED module: flux, watts and white as printed on its box.

    ``lowest_level`` is the lowest share of its light that it dims to. ``ra`` and ``r9`` are colour
    rendering indices (CIE 13.3), ``pst_lm`` and ``svm`` the figures of flicker and of stroboscopic
    effect at full light (IEC TR 61547-1, IEC TR 63158).
    """

    NO_LIGHT = frozenset({"power_w", "standby_w", "power_factor", "cap", *QUALITY})
    AFTER_MAPS = frozenset({"cct_k", "kind", "lowest_level"})

    flux_lm: Annotated[
        Amount,
        Shown(
            "Bulb's light",
            "Lumens as on its box; a range such as 400-500 where you are not sure.",
            "lm",
            first=True,
            short="Light, lm",
        ),
    ]
    power_w: Annotated[
        Amount,
        Shown(
            "Bulb's watts",
            "What it draws, as on its box; not the old bulb that it stands in for.",
            "W",
            first=True,
            short="Watts",
        ),
    ]
    cct_k: Cct = assumed(2700.0, "warm white, 2700 K")
    kind: Annotated[
        Literal["led", "halogen", "incandescent", "fluorescent"],
        Shown("Kind of bulb", "Tells how hot it gets and how it dims.", words={"led": "LED"}),
    ] = "led"
    cap: Annotated[
        Literal[
            "E27",
            "E14",
            "E26",
            "E12",
            "E17",
            "B22d",
            "B15d",
            "GU10",
            "GU5.3",
            "GU4",
            "G4",
            "G9",
            "GX53",
            "G23",
            "G24",
            "R7s",
            "S14d",
            "S14s",
            "G5",
            "G13",
            "built in",
        ]
        | None,
        Shown("Cap", "What it screws or plugs into: E27 is the large screw, E14 the small one."),
    ] = None
    diameter_m: Annotated[Positive, Shown("Bulb's width", "Across its widest part.", LENGTH)] = (
        assumed(0.060, "bulb about 60 mm across")
    )
    standby_w: Annotated[
        float,
        Field(ge=0.0),
        Shown("Draws while off", "What a bulb with a radio in it draws all day.", "W"),
    ] = 0.0
    power_factor: Annotated[
        Annotated[float, Field(gt=0.0, le=1.0)] | None,
        Shown("Power factor", "Watts over volt-amperes; on the box as PF, or cos phi."),
    ] = None
    lowest_level: Annotated[
        Fraction | None,
        Shown(
            "Bulb dims down to",
            "The least share of its light that the bulb itself still gives; on some boxes.",
            SHARE,
            group=DIMMING,
        ),
    ] = None
    ra: Ra = None
    r9: R9 = None
    pst_lm: PstLM = None
    svm: Svm = None
