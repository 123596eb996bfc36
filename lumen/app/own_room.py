"""A room of one's own from six questions: a whole plan that stands, whatever is left open.

Sizes, lights and sockets that nobody was asked for are usual ones (common practice, no source);
what a label or a wall would tell is left open in the plan, so that it is asked for there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lumen.app import catalogue
from lumen.app.inspect import length_text
from lumen.app.start import MEASUREMENTS
from lumen.errors import LumenError
from lumen.scenario.document import REGIONS, Scenario, parse, plain
from lumen.scenario.edits import apply
from lumen.study.wishes.aims import suggested_aims

__all__ = ["QUESTIONS", "Asked", "Question", "own_room"]

Json = dict[str, Any]


@dataclass(frozen=True)
class Asked:
    """One thing to answer: its key, its words, and what can be chosen (nothing: a length).

    ``several`` may be ticked of what can be chosen, or none of it.
    """

    key: str
    label: str
    options: tuple[tuple[str, str], ...] = ()
    several: bool = False
    usual: str = ""


@dataclass(frozen=True)
class Question:
    """A question in words, and what it asks for."""

    words: str
    asked: tuple[Asked, ...]


_SIZES = {one.key: one for one in MEASUREMENTS}
_USUAL_M = {
    "room_width": 3.6,
    "room_depth": 3.4,
    "room_height": 2.5,
    "bed_width": 1.53,
    "bed_length": 2.03,
    "bed_top": 0.6,
}


def _size(key: str) -> Asked:
    return Asked(key, _SIZES[key].label, usual=length_text(_USUAL_M[key], "cm"))


_WHO = (
    ("two", "two people"),
    ("left", "one, on the left"),
    ("right", "one, on the right"),
    ("middle", "one, in the middle"),
)
_LIGHTS = (
    ("none", "none yet"),
    ("plug", "with a cord and plug"),
    ("own plug", "for fixed wiring, run from a plug"),
    ("wired", "wired into the wall"),
)
_HAVE = (
    ("headboard", "a headboard that leans on the wall"),
    ("nightstands", "nightstands"),
    ("power strip", "a power strip"),
    ("led strip", "an LED strip behind the headboard"),
)

QUESTIONS = (
    Question(
        "Where do you live?", (Asked("region", "Volts, plugs, rules", tuple(REGIONS.items())),)
    ),
    Question(
        "How big is the room?", tuple(map(_size, ("room_width", "room_depth", "room_height")))
    ),
    Question("How big is the mattress?", tuple(map(_size, ("bed_width", "bed_length", "bed_top")))),
    Question("Who sleeps there?", (Asked("who", "Left and right as you face the bed", _WHO),)),
    Question("Which lights are on the bed wall?", (Asked("lights", "Wall lights", _LIGHTS),)),
    Question("What else is there?", (Asked("have", "Tick what there is", _HAVE, several=True),)),
)

_MATTRESS_M = 0.25  # thick
_NIGHTSTAND_M = (0.20, 0.45)  # the narrowest worth having, and the usual width
_GAP_M = 0.06  # between mattress and nightstand, as the catalogue leaves it
_TO_WALL_M = 0.02  # between nightstand and side wall
_SIDES = ("left", "right")


def own_room(answers: Mapping[str, Any], identity: str | None = None) -> Scenario:
    """Return the plan that the answers make; what is left open is taken as usual.

    ``answers`` are texts by the keys of :data:`QUESTIONS`, ``have`` a list of them, and ``system``
    the unit of bare numbers (``cm`` or ``ft-in``).

    Raises
    ------
    LumenError
        When an answer cannot be read, or things do not fit beside each other.

    Examples
    --------
    >>> plan = own_room({"room_width": "4.2 m", "who": "left", "lights": "plug"})
    >>> plan.room.outline_m[1], [one.id for one in plan.people], [one.id for one in plan.lights]
    ((4.2, 0.0), ['left'], ['left light'])
    """
    size = {key: _metres(key, answers) for key in _USUAL_M}
    who = _chosen(answers, "who", _WHO, "two")
    lights = _chosen(answers, "lights", _LIGHTS, "none")
    have = _ticked(answers)
    sides = _SIDES if who == "two" else () if who == "middle" else (who,)
    plan = _Plan(_bare(size, who, _region(answers), identity))
    if "headboard" in have or "led strip" in have:
        _headboard(plan)
    if "nightstands" in have:
        _nightstands(plan, size)
    _outlets(plan)
    if "power strip" in have:
        _power_strip(plan)
    for side in (sides or ("left",)) if lights != "none" else ():
        _wall_light(plan, side, lights)
    if "led strip" in have:
        plan.place(catalogue.BOARD_STRIP, board="headboard")
    return _used(plan.now)


class _Plan:
    """The plan as it grows."""

    def __init__(self, now: Scenario) -> None:
        self.now = now

    def place(self, what: str, **more: Any) -> None:
        """Add something of the catalogue where it belongs."""
        for command in catalogue.placed(self.now, {"what": what, **more})["args"]["commands"]:
            self.now = apply(self.now, command)

    def add(self, section: str, item: Json) -> None:
        self.now = apply(self.now, {"name": "add", "args": {"section": section, "item": item}})

    def set(self, name: str, field: str, value: Any) -> None:
        change = {"field": field, "value": value}
        self.now = apply(self.now, {"name": "set", "id": name, "args": change})

    def has(self, name: str) -> bool:
        things = (*self.now.furniture, *self.now.supply)
        return any(item.id == name for item in things)


def _metres(key: str, answers: Mapping[str, Any]) -> float:
    text = str(answers.get(key) or "").strip()
    system = str(answers.get("system", "cm"))
    return _SIZES[key].taken(text, system) if text else _USUAL_M[key]


def _chosen(
    answers: Mapping[str, Any], key: str, options: tuple[tuple[str, str], ...], usual: str
) -> str:
    text = str(answers.get(key) or usual)
    known = [value for value, _ in options]
    if text not in known:
        raise LumenError(key, f"must be one of {', '.join(known)}", text)
    return text


def _ticked(answers: Mapping[str, Any]) -> set[str]:
    have, known = answers.get("have") or [], [value for value, _ in _HAVE]
    if not isinstance(have, list) or any(one not in known for one in have):
        raise LumenError("have", f"must be some of {', '.join(known)}", have)
    return set(have)


def _region(answers: Mapping[str, Any]) -> Json:
    """The region where it was said; else it stays open, and the plan says what was assumed."""
    text = str(answers.get("region") or "")
    return {"region": _chosen(answers, "region", tuple(REGIONS.items()), "")} if text else {}


def _bare(size: Mapping[str, float], who: str, region: Json, identity: str | None) -> Scenario:
    """Four walls, a door, a bed, and those who sleep in it."""
    wide, deep, high = size["room_width"], size["room_depth"], size["room_height"]
    bed_wide, bed_long, top = size["bed_width"], size["bed_length"], size["bed_top"]
    for label, bed, room in (("wide", bed_wide, wide), ("long", bed_long + 0.2, deep)):
        if bed > room:
            words = length_text(room, "cm")
            raise LumenError(f"Mattress, {label}", f"must fit into a room of {words}", None)
    thick = min(_MATTRESS_M, top - 0.02)
    at = [round(wide / 2, 4), round(deep - 0.02 - bed_long / 2, 4)]
    people = _SIDES if who == "two" else (who,)
    door_to = min(0.95, wide - 0.05)
    return parse(
        {
            "format": "lumen-plan/1",
            "title": "My bedroom",
            **({"identity": identity} if identity else {}),
            **region,
            "room": {
                "outline_m": [[0, 0], [wide, 0], [wide, deep], [0, deep]],
                "height_m": high,
                "openings": [
                    {
                        "id": "door",
                        "kind": "door",
                        "wall": 0,
                        "from_m": 0.15,
                        "to_m": door_to,
                        "head_m": round(min(2.03, high - 0.05), 3),
                    }
                ],
            },
            "furniture": [
                {
                    "id": "bed frame",
                    "kind": "bed frame",
                    "at_m": [*at, 0],
                    "size_m": [bed_wide, bed_long, round(top - thick, 4)],
                },
                {
                    "id": "mattress",
                    "kind": "mattress",
                    "at_m": [*at, round(top - thick, 4)],
                    "size_m": [bed_wide, bed_long, round(thick, 4)],
                },
            ],
            "people": [
                {"id": one, "name": f"{one[:1].upper()}{one[1:]}", "side": one} for one in people
            ],
        }
    )


def _headboard(plan: _Plan) -> None:
    """A headboard, and the bed pulled forward to where the board's foot stands."""
    plan.place("headboard")
    board = next(one for one in plan.now.furniture if one.kind == "headboard")
    head = board.at_m[1] - board.size_m[1] / 2 - 0.005
    for name in ("bed frame", "mattress"):
        bed = next(one for one in plan.now.furniture if one.id == name)
        plan.set(name, "at_m", [bed.at_m[0], round(head - bed.size_m[1] / 2, 4), bed.at_m[2]])


def _nightstands(plan: _Plan, size: Mapping[str, float]) -> None:
    """One on either side, with its top level with the mattress, as wide as there is room."""
    beside = (size["room_width"] - size["bed_width"]) / 2
    narrow, usual = _NIGHTSTAND_M
    wide = round(min(usual, beside - _GAP_M - _TO_WALL_M), 3)
    if wide < narrow:
        need, there = (
            f"{100 * size_m:.0f} cm" for size_m in (narrow + _GAP_M + _TO_WALL_M, beside)
        )
        raise LumenError("Nightstands", f"need {need} beside the bed, and there are {there}", None)
    for side, sign in zip(_SIDES, (-1, 1), strict=True):
        plan.place("nightstand")
        name = f"{side} nightstand"
        stand = next(one for one in plan.now.furniture if one.id == name)
        _, deep, high = stand.size_m
        x = size["room_width"] / 2 + sign * (size["bed_width"] / 2 + _GAP_M + wide / 2)
        plan.set(name, "size_m", [wide, deep, high])
        plan.set(name, "compartment.inner_size_m", [round(wide - 0.04, 3), 0.1, 0.14])
        plan.set(
            name, "at_m", [round(x, 4), stand.at_m[1], round(max(0.0, size["bed_top"] - high), 4)]
        )


def _outlets(plan: _Plan) -> None:
    """A circuit, and a twin outlet on each side of the bed."""
    plan.place("outlet")
    right = next(one for one in plan.now.supply if one.kind == "outlet")
    apart = right.at_m[0] if right.at_m else 0.0
    plan.now = apply(plan.now, {"name": "rename", "id": right.id, "args": {"to": "right outlet"}})
    wide = max(x for x, _ in plan.now.room.outline_m)
    again = {**plain(plan.now)["supply"][-1], "id": "left outlet"}
    plan.add("supply", {**again, "at_m": [round(wide - apart, 4), *again["at_m"][1:]]})


def _power_strip(plan: _Plan) -> None:
    """In the open: who hides it in a nightstand says so, and hears what that asks for."""
    plan.place("power strip", into="right outlet")


def _wall_light(plan: _Plan, side: str, lights: str) -> None:
    """A shade on the bed wall beside the bed, fed as the answer says."""
    strip = "power strip" if plan.has("power strip") else f"{side} outlet"
    circuit = next(node.id for node in plan.now.supply if node.kind == "circuit")
    centre = plan.now.furniture[0].at_m[0]
    known = {light.id for light in plan.now.lights}
    plan.place("wall shade", into=circuit if lights == "wired" else strip)
    light = next(one for one in plan.now.lights if one.id not in known)
    x = abs(light.mount_m[0] - centre)
    across = centre + (x if side == "right" else -x)
    plan.set(light.id, "mount_m", [round(across, 4), *light.mount_m[1:]])
    plan.set(light.id, "made_for", "plug" if lights == "plug" else "fixed wiring")
    if light.id != f"{side} light":
        rename = {"name": "rename", "id": light.id, "args": {"to": f"{side} light"}}
        plan.now = apply(plan.now, rename)


def _used(scenario: Scenario) -> Scenario:
    """With setups for who reads and for the evening, and the wishes that such a plan gets."""
    lamps = {light.id: 1.0 for light in scenario.lights}
    strips = [strip.id for strip in scenario.strips]
    setups: list[Json] = []
    if len(lamps) > 1:
        for side in _SIDES:
            setups.append(_setup(f"Read {side}", {f"{side} light": 1.0}, 0.5, 22.5, [side]))
        setups.append(_setup("Read both", lamps, 1.0, 21.5, list(_SIDES)))
    elif lamps:
        setups.append(_setup("Read", lamps, 1.0, 21.5, [scenario.people[0].id]))
    if strips:
        setups.append(_setup("Evening", dict.fromkeys(strips, 0.5), 2.0, 20.0, []))
        setups.append(_setup("Night", dict.fromkeys(strips, 0.02), 0.25, 3.0, []))
    setups.append(_setup("All off", {}, 0.0, None, []))
    scenario = parse({**plain(scenario), "setups": setups})
    wishes = [
        aim.model_dump(mode="json", exclude_defaults=True) for aim in suggested_aims(scenario)
    ]
    return parse({**plain(scenario), "aims": wishes})


def _setup(name: str, levels: Json, hours: float, begins: float | None, reads: list[str]) -> Json:
    when = {} if begins is None else {"from_h": begins}
    own = {"id": name.lower(), "name": name, "levels": levels, "hours_per_day": hours}
    return {**own, **when, "reading": reads}
