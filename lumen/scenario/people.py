"""People in the bed: which side, where their eyes are, how they hold a page."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lumen.scenario.base import LENGTH, Amount, Id, ItsName, Length, Part, Shown, assumed
from lumen.scenario.references import Ref

__all__ = ["Page", "Person"]


_EYES = "Where the eyes are"


class Page(Part):
    """A page held to read: distance from the eye, how far below level one looks, its size.

    ``luminance_cd_m2`` is that of the white of something that glows by itself, ``night_mode`` says
    whether its white is turned warm; both are of no account for paper. What is not written is
    taken from the table ``reading`` by what the person reads from.
    """

    distance_m: Annotated[
        Amount,
        Shown(
            "Page from the eye",
            "As one holds it to read.",
            LENGTH,
            first=True,
            short="Page from eye",
        ),
    ] = assumed(0.40, "page 40 cm from the eye")
    gaze_down_deg: Annotated[
        float,
        Field(ge=0.0, le=90.0),
        Shown("Looks down by", "Below level, at the middle of the page.", "°"),
    ] = assumed(40.0, "looking 40 degrees down at the page")
    width_m: Annotated[
        float,
        Field(gt=0.02, le=1.0),
        Shown("Page's width", "Of both pages of an open book, or of the screen.", LENGTH),
    ] = 0.40
    height_m: Annotated[
        float,
        Field(gt=0.02, le=1.0),
        Shown("Page's height", "Of a page, or of the screen.", LENGTH),
    ] = 0.30
    luminance_cd_m2: Annotated[
        Amount | None,
        Shown(
            "White of the screen",
            "Candela a square metre of something that glows by itself; nothing for paper.",
            "cd/m²",
        ),
    ] = None
    night_mode: Annotated[
        bool, Shown("Its white is turned warm", "A night mode of the screen.")
    ] = False


class Person(Part):
    """Somebody who sleeps on one side of a bed (left and right as you face the bed wall).

    ``bed`` names the mattress, where it is not the plan's first one (a bunk, a cot).
    ``body_shadow`` says whether one's own head and shoulders shade one's page. ``age_factor`` is
    how much more light than usual this person wants on a page; without it the age tells, by the
    table ``age_factors``. ``reads_from`` paper, or something that glows by itself: e-paper with
    its light on, a tablet, a phone.
    """

    NO_LIGHT = frozenset({"name", "age_factor"})

    id: Id
    name: ItsName = None
    side: Annotated[
        Literal["left", "right", "middle"],
        Shown("Side of the bed", "Left and right as you face the bed wall.", first=True),
    ]
    bed: Annotated[
        Id | None,
        Ref(
            ("furniture",),
            "a mattress",
            kinds=("mattress",),
            gone="refused",
            refusal="is the bed of {who}: give that person another one first",
        ),
        Shown("Lies on", "Which mattress, where there are more than one.", first=True),
    ] = None
    age: Annotated[
        Annotated[float, Field(ge=0.0, le=120.0)] | None,
        Shown(
            "Age",
            "Older eyes want more light on a page; a table of ages tells how much.",
            "years",
            first=True,
        ),
    ] = None
    age_factor: Annotated[
        Annotated[float, Field(ge=0.5, le=5.0)] | None,
        Shown(
            "Wants so many times the usual light",
            "In place of what the age tells.",
            group="Reading",
        ),
    ] = None
    reads: Annotated[
        bool, Shown("Reads in bed", "Whether this person has a page at all.", first=True)
    ] = True
    reads_from: Annotated[
        Literal["paper", "e-paper", "tablet", "phone"],
        Shown("Reads from", "Paper has to be lit; the others glow by themselves.", first=True),
    ] = assumed("paper", "reads from paper")
    eye_above_mattress_m: Annotated[
        Amount,
        Shown(
            "Eye above mattress, sitting",
            "From the top of the mattress, as pressed down.",
            LENGTH,
            first=True,
            short="Eye, sitting",
        ),
    ] = assumed(0.68, "sitting eye 68 cm above the mattress")
    eye_from_head_end_m: Annotated[
        Length,
        Shown(
            "Eye from head end, sitting",
            "From the mattress's edge at the head, toward the foot.",
            LENGTH,
            group=_EYES,
        ),
    ] = assumed(0.28, "sitting eye 28 cm from the head end")
    lying_eye_above_mattress_m: Annotated[
        Amount,
        Shown("Eye above mattress, lying", "With the head on the pillow.", LENGTH, group=_EYES),
    ] = assumed(0.18, "lying eye 18 cm up, on a pillow")
    lying_eye_from_head_end_m: Annotated[
        Length,
        Shown("Eye from head end, lying", "With the head on the pillow.", LENGTH, group=_EYES),
    ] = assumed(0.30, "lying eye 30 cm from the head end")
    standing_eye_m: Annotated[
        Amount,
        Shown(
            "Eye above floor, standing",
            "For the way to the door, and the mirror.",
            LENGTH,
            group=_EYES,
        ),
    ] = assumed(1.58, "standing eye at 1.58 m")
    from_centre_m: Annotated[
        Length | None,
        Shown(
            "From the bed's centre line",
            "Positive to the right; left open, the middle of the own half.",
            LENGTH,
            group=_EYES,
        ),
    ] = None
    page: Annotated[Page, Shown("Page", "What is held to read, and how.")] = assumed(
        Page(), "a page 40 x 30 cm held 40 cm away"
    )
    body_shadow: Annotated[
        bool,
        Shown(
            "Own head and shoulders shade the page",
            "As they do when the light comes from behind.",
            group="Reading",
        ),
    ] = assumed(True, "a reader's own head and shoulders shade the page")
