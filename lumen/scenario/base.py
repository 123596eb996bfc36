"""Types shared by every part of the document: frozen models, lengths, amounts with a range."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Annotated, Any, ClassVar

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    StringConstraints,
)
from pydantic_core import CoreSchema

__all__ = [
    "CLOCK",
    "LENGTH",
    "MASS",
    "PLACE",
    "SHARE",
    "SIZE",
    "Amount",
    "Fraction",
    "Id",
    "ItsName",
    "Length",
    "Name",
    "Part",
    "Percent",
    "Point2",
    "Point3",
    "Positive",
    "Price",
    "Rows",
    "Shown",
    "assumed",
    "band",
    "middle",
    "shown_of",
]

Id = Annotated[str, StringConstraints(pattern=r"^[^:/\s]([^:/\n]*[^:/\s])?$", max_length=60)]
"""A name chosen by the person; may hold blanks, but not ``:`` or ``/`` (they join names)."""

Name = Annotated[str, StringConstraints(max_length=120)]
"""What a thing is called on screen and paper."""

Length = Annotated[float, Field(ge=-30.0, le=30.0, allow_inf_nan=False)]
Positive = Annotated[float, Field(gt=0.0, allow_inf_nan=False)]
Fraction = Annotated[float, Field(ge=0.0, le=1.0, allow_inf_nan=False)]
Point2 = tuple[Length, Length]
Point3 = tuple[Length, Length, Length]


def _amount_up_to(most: float) -> Callable[[object], object]:
    limit = "" if math.isinf(most) else f" and at most {most:g}"
    rule = f"must be a number of 0 or more{limit}, or a range [low, high] of two such numbers"

    def check(value: object) -> object:
        parts: list[Any] = list(value) if isinstance(value, list | tuple) else [value]
        if len(parts) != (2 if isinstance(value, list | tuple) else 1):
            raise ValueError(rule)
        for part in parts:
            if isinstance(part, bool) or not isinstance(part, int | float):
                raise ValueError(rule)
            if not 0 <= part <= min(most, 1e300):  # a whole number may be past any float
                raise ValueError(rule)
        if len(parts) == 2 and parts[0] > parts[1]:
            raise ValueError(f"{rule}, low first")
        return value

    return check


Amount = Annotated[float | tuple[float, float], BeforeValidator(_amount_up_to(math.inf))]
"""A number, or ``[low, high]`` when the person only knows a range."""

Percent = Annotated[float | tuple[float, float], BeforeValidator(_amount_up_to(100.0))]
"""A share in percent, or a range of it."""


LENGTH, MASS, CLOCK, SHARE = "length", "kg", "o'clock", "%"
"""Units that are read in a way of their own: any unit of length, any of mass, a time of day, and a
share of 0 to 1 that people read and type in percent."""

PLACE = ("From left wall", "From front", "Above floor")
SIZE = ("Wide", "Deep", "High")


@dataclass(frozen=True)
class Shown:
    """How a form shows a field; a field without it is in no form.

    Parameters
    ----------
    label, help
        What it is called, and one sentence that says what it is or where to read it.
    unit
        The unit it is shown and typed in, :data:`LENGTH`, :data:`MASS`, :data:`CLOCK` or
        :data:`SHARE`.
    group
        The heading it is folded under, where that is not the one of the part it belongs to. The
        label of a part is the heading of its fields.
    first
        Whether it is one of those that decide, which stand before all that is folded.
    short
        Its label on the short card of what is in the hand; not on it where that is empty. For a
        point one for each axis.
    axes
        Labels of a point's coordinates.
    words
        What the members of a closed list are called, where that is not how the file spells them.
    """

    label: str
    help: str
    unit: str = ""
    group: str = ""
    first: bool = False
    short: str | tuple[str, ...] = ""
    axes: tuple[str, ...] = PLACE
    words: dict[str, str] = field(default_factory=dict)

    def __get_pydantic_json_schema__(
        self, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """The same words in the document's JSON Schema, for editors that show them."""
        return {**handler(core), "title": self.label, "description": self.help}


@dataclass(frozen=True)
class Rows:
    """A field that names a row of a table: its file, the column that is written, and its words."""

    table: str
    key: str
    words: str


class Part(BaseModel):
    """A frozen piece of the document that refuses fields it does not know.

    ``NO_LIGHT`` names the fields that have no effect on light at all, ``AFTER_MAPS`` those that
    change no map of light but what is made of maps: levels, bands, colours. What is kept of light
    is kept by the content of all other fields (:func:`lumen.study.cache.light_content`).
    ``in_words`` is what a form calls this kind of part where another could stand in its place, and
    ``fresh`` what a new one holds beside its defaults.
    """

    NO_LIGHT: ClassVar[frozenset[str]] = frozenset()
    AFTER_MAPS: ClassVar[frozenset[str]] = frozenset()
    in_words: ClassVar[str] = ""
    fresh: ClassVar[dict[str, Any]] = {}

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=False)


def middle(amount: Amount) -> float:
    """Return the value to reckon with: the number itself or the middle of its range.

    Examples
    --------
    >>> middle((400.0, 500.0))
    450.0
    """
    return (amount[0] + amount[1]) / 2 if isinstance(amount, tuple) else float(amount)


def band(amount: Amount, share: float) -> tuple[float, float]:
    """Return low and high: the range as typed, or the number give or take ``share``.

    Examples
    --------
    >>> band(100.0, 0.1)
    (90.0, 110.0)
    """
    if isinstance(amount, tuple):
        return amount
    return amount * (1 - share), amount * (1 + share)


def assumed(default: Any, why: str, **rules: Any) -> Any:
    """Return a field with a default that is shown to the person as an assumption.

    The study lists every field made this way that the person left out, with ``why``.
    """
    return Field(default=default, json_schema_extra={"assumed": why}, **rules)


def shown_of(model: type[Part], name: str) -> Shown | None:
    """Return how a form shows a field of a model, if at all.

    Examples
    --------
    >>> from lumen.scenario.lights import Lamp
    >>> shown_of(Lamp, "flux_lm").unit
    'lm'
    """
    metadata = model.model_fields[name].metadata
    return next((one for one in metadata if isinstance(one, Shown)), None)


_BUYING = "Buying"

ItsName = Annotated[
    Name | None, Shown("Name", "What it is called on the page and on the sheet.", first=True)
]
Price = Annotated[
    Amount | None,
    Shown("Price", "What one costs in your own money; the sheet adds it up.", group=_BUYING),
]
