"""What each plane or eye should get, and the setups (which lights at which level)."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from lumen.scenario.base import CLOCK, Fraction, Id, Name, Part, Shown
from lumen.scenario.references import Ref, TargetRef

__all__ = ["AimFor", "Setup"]


class AimFor(Part):
    """A wish for one target in some setups.

    ``of`` names a target: ``mattress``, ``floor``, ``page:<person>``, ``page slouched:<person>``
    and ``page on the side:<person>`` (of somebody who has slid down, or lies on the side to read),
    ``path:<person>`` (the floor from bed to door), ``bedside:<person>`` (the test plane of DIN
    5035-3), ``mirror:<opening>`` (a face before it), ``eye:<person>`` (the worst lying posture) or
    ``eye:<person>:<posture>``.
    ``for_age`` raises ``at_least`` by the age factor of the person that the target belongs to.
    A page that is to have lux ``at_least`` is to have it evenly too: least over average at least
    ``evenness_at_least``, or our own rule where that is left out (`study.wishes.aims.EVENNESS`);
    0 asks for none, and a wish for the page's ``uniformity`` takes its place.
    """

    own_names: ClassVar[bool] = True

    id: Id
    of: Annotated[str, TargetRef(gone="item goes")]
    measure: Literal["illuminance_lx", "melanopic_edi_lx", "uniformity"] = "illuminance_lx"
    statistic: Literal["average", "minimum", "maximum"] = "average"
    at_least: Annotated[float, Field(ge=0.0)] | None = None
    at_most: Annotated[float, Field(ge=0.0)] | None = None
    for_age: bool = False
    evenness_at_least: Fraction | None = None
    # No setup named would mean every setup, so the last one takes the wish along.
    setups: Annotated[
        tuple[Id, ...], Ref(("setups",), "setups", emptied="item goes", copied=True)
    ] = ()
    source: str | None = None


class Setup(Part):
    """A way the room is used: levels of lights and strips (0 to 1), appliances that run.

    ``reading`` names who reads then, whose page is lit or glows; left out, that follows from the
    wishes and from whose light is on (`lumen.study.scene.reading`).
    """

    own_names: ClassVar[bool] = True

    id: Id
    name: Annotated[
        Name | None, Shown("Name", "What it is called in the row above the picture.", first=True)
    ] = None
    levels: Annotated[
        dict[str, Fraction], Ref(("lights", "strips"), "lights or strips", copied=True)
    ] = Field(default_factory=dict)
    running: Annotated[
        tuple[Id, ...], Ref(("supply",), "appliances", kinds=("appliance",), copied=True)
    ] = ()
    reading: Annotated[tuple[Id, ...] | None, Ref(("people",), "people")] = None
    hours_per_day: Annotated[
        float,
        Field(ge=0.0, le=24.0),
        Shown(
            "Is on for", "For what it costs, and for the body's clock.", "hours a day", first=True
        ),
    ] = 0.0
    from_h: Annotated[
        Annotated[float, Field(ge=0.0, le=24.0)] | None,
        Shown("Begins at", "A time of day such as 21:30.", CLOCK, first=True),
    ] = None
