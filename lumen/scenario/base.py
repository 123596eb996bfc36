"""Types shared by every part of the document: frozen models, lengths, amounts with a range."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Any, ClassVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints

__all__ = [
    "Amount",
    "Fraction",
    "Id",
    "Length",
    "Name",
    "Part",
    "Percent",
    "Point2",
    "Point3",
    "Positive",
    "assumed",
    "band",
    "middle",
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


class Part(BaseModel):
    """A frozen piece of the document that refuses fields it does not know.

    ``NO_LIGHT`` names the fields that have no effect on light at all, ``AFTER_MAPS`` those that
    change no map of light but what is made of maps: levels, bands, colours. What is kept of light
    is kept by the content of all other fields (:func:`lumen.study.cache.light_content`).
    """

    NO_LIGHT: ClassVar[frozenset[str]] = frozenset()
    AFTER_MAPS: ClassVar[frozenset[str]] = frozenset()

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
