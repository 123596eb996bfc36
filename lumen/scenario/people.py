"""People in the bed: which side, where their eyes are, how they hold a page."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lumen.scenario.base import Amount, Id, Length, Name, Part, assumed
from lumen.scenario.references import Ref

__all__ = ["Page", "Person"]


class Page(Part):
    """A page held to read: distance from the eye, how far below level one looks, its size.

    ``luminance_cd_m2`` is that of the white of something that glows by itself, ``night_mode`` says
    whether its white is turned warm; both are of no account for paper. What is not written is
    taken from the table ``reading`` by what the person reads from.
    """

    distance_m: Amount = assumed(0.40, "page 40 cm from the eye")
    gaze_down_deg: Annotated[float, Field(ge=0.0, le=90.0)] = assumed(
        40.0, "looking 40 degrees down at the page"
    )
    width_m: Annotated[float, Field(gt=0.02, le=1.0)] = 0.40
    height_m: Annotated[float, Field(gt=0.02, le=1.0)] = 0.30
    luminance_cd_m2: Amount | None = None
    night_mode: bool = False


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
    name: Name | None = None
    side: Literal["left", "right", "middle"]
    bed: Annotated[
        Id | None,
        Ref(
            ("furniture",),
            "a mattress",
            kinds=("mattress",),
            gone="refused",
            refusal="is the bed of {who}: give that person another one first",
        ),
    ] = None
    age: Annotated[float, Field(ge=0.0, le=120.0)] | None = None
    age_factor: Annotated[float, Field(ge=0.5, le=5.0)] | None = None
    reads: bool = True
    reads_from: Literal["paper", "e-paper", "tablet", "phone"] = assumed(
        "paper", "reads from paper"
    )
    eye_above_mattress_m: Amount = assumed(0.68, "sitting eye 68 cm above the mattress")
    eye_from_head_end_m: Length = assumed(0.28, "sitting eye 28 cm from the head end")
    lying_eye_above_mattress_m: Amount = assumed(0.18, "lying eye 18 cm up, on a pillow")
    lying_eye_from_head_end_m: Length = assumed(0.30, "lying eye 30 cm from the head end")
    standing_eye_m: Amount = assumed(1.58, "standing eye at 1.58 m")
    from_centre_m: Length | None = None
    page: Page = assumed(Page(), "a page 40 x 30 cm held 40 cm away")
    body_shadow: bool = assumed(True, "a reader's own head and shoulders shade the page")
