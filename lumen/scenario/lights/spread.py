"""How a light spreads its light: bare, through a shade, as a spot, or from a file."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from lumen.scenario.base import LENGTH, Name, Part, Positive, Rows, Shown, assumed
from lumen.tables import usual_shape

__all__ = [
    "AllRound",
    "Beam",
    "Cosine",
    "Distribution",
    "DistributionFile",
    "Opal",
    "Panel",
    "Shade",
]

Angle = Annotated[float, Field(gt=0.0, lt=180.0)]


_BEAM_ANGLE = Shown(
    "Beam angle",
    "The whole angle within which it gives half or more of its middle; on the box of a spot.",
    "°",
)


class AllRound(Part):
    """Even in all directions: a bare or fully diffusing lamp."""

    in_words: ClassVar[str] = "all round: bare or fully diffusing"

    form: Literal["all round"] = "all round"


class Opal(Part):
    """A small glowing disc or dome facing one way: intensity falls with the cosine."""

    in_words: ClassVar[str] = "opal: one way, very soft"

    form: Literal["opal"] = "opal"


class Cosine(Part):
    """A soft beam: a power of the cosine that is half its peak at half the beam angle."""

    in_words: ClassVar[str] = "soft beam"
    fresh: ClassVar[dict[str, object]] = {"beam_deg": 60}

    form: Literal["cosine"] = "cosine"
    beam_deg: Annotated[Angle, _BEAM_ANGLE]


class Beam(Part):
    """A spot given by beam angle (half of peak) and field angle (a tenth of peak)."""

    in_words: ClassVar[str] = "spot"
    fresh: ClassVar[dict[str, object]] = {"beam_deg": 30}

    form: Literal["beam"] = "beam"
    beam_deg: Annotated[Angle, _BEAM_ANGLE]
    field_deg: Annotated[
        Angle | None,
        Shown(
            "Field angle",
            "The whole angle within which a spot gives a tenth or more of its middle; left open, "
            "it follows from the beam angle.",
            "°",
        ),
    ] = None


class Shade(Part):
    """A shade from tape-measure numbers; the lamp stands ``lamp_height_m`` above its lower edge."""

    in_words: ClassVar[str] = "shade, from its measurements"
    fresh: ClassVar[dict[str, object]] = {"bottom_diameter_m": 0.15, "height_m": 0.18}

    form: Literal["shade"] = "shade"
    shape: Annotated[
        Literal["drum", "cone", "globe", "cylinder", "head"],
        Shown("Shape of the shade", "A drum is as wide above as below, a cone is narrower above."),
    ] = "drum"
    bottom_diameter_m: Annotated[
        Positive, Shown("Width below", "Across the shade's lower edge.", LENGTH)
    ]
    top_diameter_m: Annotated[
        Positive | None,
        Shown(
            "Width above", "Across the shade's upper edge; left open, as its shape has it.", LENGTH
        ),
    ] = None
    height_m: Annotated[
        Positive, Shown("Height of the shade", "From its lower to its upper edge.", LENGTH)
    ]
    lamp_height_m: Annotated[
        Annotated[float, Field(ge=0.0)] | None,
        Shown(
            "Bulb above the lower edge",
            "From the shade's lower edge to the middle of the bulb; left open, half-way up.",
            LENGTH,
        ),
    ] = None
    material: Annotated[
        str,
        Rows("materials", "material", "material"),
        Shown("Made of", "What the shade is made of tells how much light passes and comes back."),
    ] = assumed("fabric, light", "light fabric shade")
    open_top: Annotated[
        bool, Shown("Open above", "Light goes up and out where the shade has no lid.")
    ] = True
    open_bottom: Annotated[
        bool, Shown("Open below", "Light goes down and out where the shade has no floor.")
    ] = True

    @property
    def upper_m(self) -> float:
        """The upper diameter [m], the usual one where none is written (table ``usual_shapes``)."""
        if self.top_diameter_m is not None:
            return self.top_diameter_m
        return usual_shape(f"{self.shape} top over bottom") * self.bottom_diameter_m

    @property
    def lamp_above_m(self) -> float:
        """The lamp's middle above the lower edge [m], half-way up where none is written."""
        if self.lamp_height_m is not None:
            return self.lamp_height_m
        return usual_shape("lamp over shade height") * self.height_m


class Panel(Part):
    """A flat rectangle that glows evenly on one side, such as a ceiling panel.

    ``width_m`` runs across the light's aim, ``length_m`` the way it is turned (into the room, for a
    light that looks straight down and is not turned).
    """

    in_words: ClassVar[str] = "panel: a flat rectangle, even"
    fresh: ClassVar[dict[str, object]] = {"width_m": 0.6, "length_m": 0.6}

    form: Literal["panel"] = "panel"
    width_m: Annotated[
        float,
        Field(ge=0.02, le=3.0),
        Shown("Panel's width", "The side of what glows that runs across its aim.", LENGTH),
    ]
    length_m: Annotated[
        float,
        Field(ge=0.02, le=3.0),
        Shown(
            "Panel's length",
            "The side that runs the way it is turned: into the room, when it is not turned.",
            LENGTH,
        ),
    ]


class DistributionFile(Part):
    """A photometric file of ANSI/IES LM-63, kept whole inside the document."""

    NO_LIGHT = frozenset({"file_name"})
    in_words: ClassVar[str] = "from a distribution file"

    form: Literal["file"] = "file"
    lm63: Annotated[str, Field(min_length=20, max_length=400_000)]
    file_name: Annotated[
        Name | None, Shown("Distribution file", "The name of the file that was dropped here.")
    ] = None


Distribution = Annotated[
    AllRound | Opal | Cosine | Beam | Shade | Panel | DistributionFile,
    Field(discriminator="form"),
]
