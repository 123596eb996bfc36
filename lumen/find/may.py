"""What may change: of each light its place, lamp, kind, or nothing; and which go in pairs."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

import numpy as np

from lumen.errors import LumenError
from lumen.scenario.document import Scenario, plain
from lumen.scenario.lights import Light
from lumen.scenario.mirror import mirrored, swap_sides

__all__ = ["PARTS", "May", "groups_of", "may_of"]

PARTS = ("place", "lamp", "kind")
"""A light's place, its lamp (lumens and white), its kind (shade, beam, aim). Levels may always
change; a strip has a lamp only: its lumens a metre."""

_TWIN_M = 0.10  # what hangs this near its mirror image is one of a pair; ours


@dataclass(frozen=True)
class May:
    """What may change, and where not to drill.

    ``parts`` maps each light and strip to those of `PARTS` that may change. ``no_drill`` holds
    numbers of walls that get no new hole. ``pairs`` says whether twins about the bed's centre line
    stay twins.
    """

    parts: Mapping[str, frozenset[str]]
    no_drill: frozenset[int] = field(default_factory=frozenset)
    pairs: bool = True


def may_of(
    scenario: Scenario,
    *,
    keep: Collection[str] = (),
    allow: Mapping[str, Collection[str]] | None = None,
    no_drill: Collection[int] = (),
    pairs: bool = True,
) -> May:
    """Return what may change of each light and strip: everything, unless said otherwise.

    Raises
    ------
    LumenError
        When a name is no light or strip of the plan, a part is unknown, or a wall is not there.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> may = may_of(plan, keep=["glow strip"], allow={"left light": ["lamp"]})
    >>> sorted(may.parts["left light"]), sorted(may.parts["right light"])
    (['lamp'], ['kind', 'lamp', 'place'])
    """
    known = [item.id for item in scenario.sources]
    asked = dict(allow or {})
    for field_name, names in (("keep", keep), ("allow", asked)):
        for name in names:
            if name not in known:
                rule = f"must be a light or strip of the plan ({', '.join(known) or 'none yet'})"
                raise LumenError(field_name, rule, name)
    for name, parts in asked.items():
        for part in parts:
            if part not in PARTS:
                raise LumenError(f"allow {name}", f"must be of {', '.join(PARTS)}", part)
    walls = len(scenario.room.outline_m)
    for wall in no_drill:
        if not 0 <= wall < walls:
            raise LumenError("no_drill", f"must be a wall's number, 0 to {walls - 1}", wall)
    found = {}
    for item in scenario.sources:
        possible = set(PARTS) if isinstance(item, Light) else {"lamp"}
        wanted = set(asked.get(item.id, PARTS)) if item.id not in keep else set()
        found[item.id] = frozenset(possible & wanted)
    return May(found, frozenset(no_drill), pairs)


def groups_of(scenario: Scenario, may: May) -> tuple[tuple[str, ...], ...]:
    """Return the lights and strips in groups that change together: twins, else each by itself.

    Twins share their name but for the side, their kind of mount and what may change, and hang as
    seen in a mirror on the bed's centre line, to 10 cm.
    """
    left = {light.id: light for light in scenario.lights}
    found: list[tuple[str, ...]] = []
    while left:
        name, light = next(iter(left.items()))
        del left[name]
        twin = left.get(swap_sides(name))
        if may.pairs and twin is not None and _are_twins(scenario, light, twin, may):
            del left[twin.id]
            found.append((name, twin.id))
        else:
            found.append((name,))
    return (*found, *((strip.id,) for strip in scenario.strips))


def _are_twins(scenario: Scenario, one: Light, other: Light, may: May) -> bool:
    if one.mount != other.mount or may.parts[one.id] != may.parts[other.id]:
        return False
    if one.distribution.form != other.distribution.form:
        return False
    try:
        image = mirrored(scenario, "lights", plain(one))["mount_m"]
    except LumenError:
        return False
    return bool(np.abs(np.array(image) - other.mount_m).max() <= _TWIN_M)
