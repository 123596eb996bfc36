"""What may change: of each light its place, lamp, kind, or nothing; and which go in pairs."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from lumen.errors import LumenError
from lumen.find.lamps import Sold, sold_lamps
from lumen.scenario.document import Scenario, plain
from lumen.scenario.lights import Light
from lumen.scenario.mirror import mirrored, swap_sides

__all__ = ["PARTS", "Area", "May", "groups_of", "may_of", "owned_lamps"]

PARTS = ("place", "lamp", "kind")
"""A light's place, its lamp (lumens and white), its kind (shade, beam, aim). Levels may always
change; a strip has a lamp only: its lumens a metre."""

_TWIN_M = 0.10  # what hangs this near its mirror image is one of a pair; ours


@dataclass(frozen=True)
class Area:
    """A part of a wall without new holes: from its left end as one faces it, from the floor [m]."""

    wall: int
    left_m: float
    right_m: float
    low_m: float
    high_m: float

    def holds(self, along_m: float, up_m: float) -> bool:
        """Whether a place on the wall lies in it."""
        return self.left_m <= along_m <= self.right_m and self.low_m <= up_m <= self.high_m


@dataclass(frozen=True)
class May:
    """What may change, where not to drill, and what is there already.

    ``parts`` maps each light and strip to those of `PARTS` that may change. ``no_drill`` holds
    numbers of walls that get no new hole, ``areas`` parts of walls likewise. ``pairs`` says whether
    twins about the bed's centre line stay twins. ``lamps`` are bulbs that lie in a drawer and need
    not be bought, ``cords_m`` lengths of cords that do.
    """

    parts: Mapping[str, frozenset[str]]
    no_drill: frozenset[int] = field(default_factory=frozenset)
    pairs: bool = True
    areas: tuple[Area, ...] = ()
    lamps: tuple[Sold, ...] = ()
    cords_m: tuple[float, ...] = ()


def may_of(
    scenario: Scenario,
    *,
    keep: Collection[str] = (),
    allow: Mapping[str, Collection[str]] | None = None,
    no_drill: Collection[int] = (),
    pairs: bool = True,
    areas: Collection[Sequence[float]] = (),
    lamps: Collection[str] = (),
    cords_m: Collection[float] = (),
) -> May:
    """Return what may change of each light and strip: everything, unless said otherwise.

    ``areas`` are (wall, left, right, low, high) [m], ``lamps`` as on their boxes, "470" or
    "470@2200" for another white than 2700 K.

    Raises
    ------
    LumenError
        When a name is no light or strip of the plan, a part is unknown, a wall is not there, an
        area is none, or a lamp or cord is no number that such a thing has.

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
    for length in cords_m:
        if not 0.1 <= length <= 50.0:
            raise LumenError("cords_m", "must be 0.1 to 50 m", length)
    drilled = tuple(_area(one, walls) for one in areas)
    owned = owned_lamps(lamps)
    return May(found, frozenset(no_drill), pairs, drilled, owned, tuple(sorted(cords_m)))


def _area(given: Sequence[float], walls: int) -> Area:
    if len(given) != 5:
        rule = "must be wall, left, right, low, high: five numbers, metres but for the wall"
        raise LumenError("area", rule, list(given))
    wall, left, right, low, high = given
    if int(wall) != wall or not 0 <= wall < walls:
        raise LumenError("area", f"must be on a wall numbered 0 to {walls - 1}", wall)
    if not (left < right and low < high):
        raise LumenError("area", "must have left under right and low under high", list(given))
    return Area(int(wall), left, right, low, high)


def owned_lamps(given: Collection[str]) -> tuple[Sold, ...]:
    """Return bulbs that somebody has, from what is printed on their boxes.

    Raises
    ------
    LumenError
        When one is no number of lumens, or its white is none.

    Examples
    --------
    >>> [(lamp.flux_lm, lamp.whites_k) for lamp in owned_lamps(["470", "250@2200"])]
    [(470.0, (2700.0,)), (250.0, (2200.0,))]
    """
    found = []
    for text in given:
        flux, _, white = str(text).partition("@")
        try:
            lumens, cct = float(flux), float(white or 2700.0)
        except ValueError as error:
            rule = "must be lumens as on its box, or lumens@kelvin, such as 470 or 250@2200"
            raise LumenError("lamps", rule, text) from error
        if not (1.0 <= lumens <= 20_000.0 and 1000.0 <= cct <= 20_000.0):
            raise LumenError("lamps", "must be 1 to 20000 lm, white of 1000 to 20000 K", text)
        near = min(sold_lamps("bulb"), key=lambda lamp: abs(lamp.flux_lm - lumens))
        watts = round(near.power_w * lumens / near.flux_lm, 1)
        found.append(replace(near, name="yours", flux_lm=lumens, power_w=watts, whites_k=(cct,)))
    return tuple(found)


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
