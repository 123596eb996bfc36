"""Where things are: fields that hold a place or a pose say so on the model.

Moving, copying beside, mirroring and carrying along ask :func:`placed_fields`, so that a model that
learns a place needs nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from lumen.scenario.base import Part
from lumen.scenario.references import parts_of, ref_of

__all__ = ["PATH", "POINT", "POSE", "TURN", "WAY", "Placed", "placed_fields", "spot_field"]

Role = Literal["point", "path", "way", "turn", "pose"]


@dataclass(frozen=True)
class Placed:
    """What a field tells of where a thing is.

    ``point`` is a place in the room, ``path`` several, ``way`` a direction, ``turn`` an angle about
    the upright axis, ``pose`` anything else that a twin across the bed has as well.
    """

    role: Role


POINT, PATH, WAY = Placed("point"), Placed("path"), Placed("way")
TURN, POSE = Placed("turn"), Placed("pose")


@cache
def placed_fields(model: type[Part]) -> Mapping[str, Role]:
    """Return the fields of a model that tell where a thing is, walls among them.

    Examples
    --------
    >>> from lumen.scenario.lights import Strip
    >>> dict(placed_fields(Strip))
    {'path_m': 'path', 'facing': 'way'}
    """
    roles: dict[str, Role] = {}
    for name, info in model.model_fields.items():
        ref = ref_of(model, name)
        placed = next((one for one in info.metadata if isinstance(one, Placed)), None)
        if placed is not None:
            roles[name] = placed.role
        elif (ref is not None and ref.to == ("walls",)) or any(
            placed_fields(inner) for inner in parts_of(model, name)
        ):
            roles[name] = "pose"
    return roles


def spot_field(model: type[Part]) -> str | None:
    """Return the field with the place of a thing, a point or a path; None where it has none.

    Examples
    --------
    >>> from lumen.scenario.lights import Light
    >>> from lumen.scenario.supply import Circuit
    >>> spot_field(Light), spot_field(Circuit)
    ('mount_m', None)
    """
    roles = placed_fields(model).items()
    return next((name for name, role in roles if role in ("point", "path")), None)
