"""What is kept is kept by all that it hangs on: every field of the document is changed in turn."""

from __future__ import annotations

import contextlib
import json
import re
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, ClassVar

import numpy as np
import pytest
from pydantic import ValidationError

from lumen.light.interreflection import transport
from lumen.light.sources import StripSource
from lumen.scenario import lights, people, room
from lumen.scenario.base import Part
from lumen.scenario.document import Scenario, dump, parse
from lumen.scenario.files import loads
from lumen.scenario.lights import Light
from lumen.scenario.room import Furniture
from lumen.study.cache import fingerprint, light_content, using
from lumen.study.engine import Engine
from lumen.study.lighting.doubts import doubts, sensitivities
from lumen.study.lighting.fields import fields
from lumen.study.scene import emitters, surfaces

FILE = "IESNA:LM-63-2002\nTILT=NONE\n1 400 1 4 1 1 2 0 0 0\n1 1 5\n0 45 90 180\n0\n{} 80 20 0"


def lamp(name: str, at: list[float], **written: Any) -> dict[str, Any]:
    """A light of 300 lm on the bed wall."""
    return {"id": name, "mount_m": at, "lamp": {"flux_lm": 300, "power_w": 4}, **written}


DATA: dict[str, Any] = {
    "format": "lumen-plan/1",
    "title": "every field",
    "room": {
        "outline_m": [[0, 0], [3.2, 0], [3.2, 3], [0, 3]],
        "height_m": 2.4,
        "bed_wall": 2,
        "finishes": {"wall_by_wall": {"1": {"lrv": 30, "colour": "#c83c28"}}},
        "slopes": [{"id": "slope", "wall": 0, "knee_height_m": 1.9, "pitch_deg": 40}],
        "openings": [
            {"id": "door", "kind": "door", "wall": 3, "from_m": 1.6, "to_m": 2.4,
             "finish": {"lrv": 20}},
        ],
    },
    "furniture": [
        {"id": "bed", "kind": "mattress", "at_m": [1.6, 1.95, 0.2], "size_m": [1.6, 2.0, 0.3]},
        {"id": "board", "kind": "headboard", "at_m": [1.6, 2.93, 0], "size_m": [1.7, 0.05, 1.0]},
        {"id": "chest", "kind": "chest", "at_m": [2.9, 0.5, 0], "size_m": [0.5, 0.6, 0.8]},
    ],
    "people": [
        {"id": "one", "side": "left", "page": {"luminance_cd_m2": None}},
        {"id": "two", "side": "right", "reads_from": "tablet"},
    ],
    "lights": [
        lamp("first lamp", [2.5, 3, 1.5], aim={"at": "page:two"}, distribution={
            "form": "beam", "beam_deg": 40, "field_deg": 70}),
    ],
    "supply": [
        {"id": "circuit", "kind": "circuit", "breaker_a": 15},
        {"id": "outlet", "kind": "outlet", "fed_from": "circuit", "wall": 2, "at_m": [0.4, 3, 0.3]},
        {"id": "driver", "kind": "driver", "fed_from": "outlet", "rating_w": 30},
        {"id": "other", "kind": "driver", "fed_from": "outlet", "rating_w": 60,
         "dims": True},
    ],
    "setups": [
        {"id": "all", "reading": ["one", "two"], "levels": {"first lamp": 0.8, "more": 0.8}},
    ],
    "aims": [{"id": "page", "of": "page:one", "at_least": 100}],
}  # fmt: skip
STRIP = {
    "id": "glow tape",
    "path_m": [[1.0, 2.98, 0.9], [2.2, 2.98, 0.9]],
    "flux_lm_per_m": 500,
    "power_w_per_m": 6,
    "fed_from": "driver",
}

MIRROR = {"id": "glass", "kind": "mirror", "wall": 1, "from_m": 1, "to_m": 1.6, "sill_m": 0.5}
MORE = {
    "": {"aim": {"tilt_deg": 40, "turn_deg": 10}, "distribution": {"form": "opal"}},
    "shade": {"distribution": {"form": "shade", "bottom_diameter_m": 0.25, "height_m": 0.2}},
    "cosine": {"distribution": {"form": "cosine", "beam_deg": 60}},
    "panel": {"distribution": {"form": "panel", "width_m": 0.3, "length_m": 0.3}},
    "file": {"distribution": {"form": "file", "lm63": FILE.format(100)}},
}
"""What the second light is; what takes long is in the plan only where it is what changes."""

CHANGES: dict[str, dict[str, Any]] = {
    "room": {
        "outline_m": ((0, 0), (3.3, 0), (3.3, 3), (0, 3)),
        "height_m": 2.5,
        "bed_wall": None,
        "slopes": (),
        "openings": (),
        "finishes": room.Finishes(),
    },
    "room.slopes.0": {"id": "roof", "wall": 2, "knee_height_m": 2.0, "pitch_deg": 30.0},
    "room.finishes": {
        "floor": room.Finish(lrv=40.0),
        "ceiling": room.Finish(lrv=60.0),
        "walls": room.Finish(lrv=50.0),
        "wall_by_wall": {"0": room.Finish(lrv=20.0)},
    },
    "room.finishes.walls": {"lrv": 55.0, "colour": "#3c50c8"},
    "room.openings.1": {  # a mirror
        "id": "mirror",
        "kind": "window",
        "wall": 0,
        "from_m": 0.9,
        "to_m": 1.7,
        "sill_m": 0.6,
        "head_m": 1.9,
        "finish": room.Finish(lrv=10.0),
    },
    "furniture.2": {
        "id": "drawers",
        "kind": "mattress",
        "name": "Chest of drawers",
        "at_m": (2.8, 0.5, 0.0),
        "size_m": (0.5, 0.6, 0.9),
        "turn_deg": 20.0,
        "lean_deg": 5.0,
        "finish": room.Finish(lrv=70.0),
        "mirror_front": True,
        "compartment": room.Compartment(inner_size_m=(0.3, 0.3, 0.3)),
        "material": "oak",
        "price": 100.0,
    },
    "people.0": {
        "id": "reader",
        "name": "Somebody else",
        "side": "middle",
        "bed": "chest",
        "age": 1.0,
        "age_factor": 2.0,
        "reads": False,
        "reads_from": "phone",
        "eye_above_mattress_m": 0.75,
        "eye_from_head_end_m": 0.35,
        "lying_eye_above_mattress_m": 0.25,
        "lying_eye_from_head_end_m": 0.4,
        "standing_eye_m": 1.4,
        "from_centre_m": 0.1,
        "page": people.Page(distance_m=0.5),
        "body_shadow": False,
    },
    "people.1.page": {
        "distance_m": 0.5,
        "gaze_down_deg": 30.0,
        "width_m": 0.2,
        "height_m": 0.2,
        "luminance_cd_m2": 300.0,
        "night_mode": True,
    },
    "lights.0": {
        "id": "spot",
        "name": "Other",
        "mount": "stand",
        "mount_m": (2.4, 3.0, 1.5),
        "wall": 1,
        "projection_m": 0.2,
        "drop_m": 0.1,
        "aim": lights.Aim(),
        "distribution": lights.Opal(),
        "lamp": lights.Lamp(flux_lm=500.0, power_w=5.0),
        "lamps": 2,
        "output_share": 0.5,
        "maintenance_factor": 0.5,
        "size_m": 0.2,
        "dims": False,
        "dimmer": True,
        "lowest_level": 0.9,
        "fed_from": "outlet",
        "body": "metal",
        "protection_class": "II",
        "made_for": "plug",
        "conversion": "own",
        "enclosure": True,
        "strain_relief": True,
        "fixing": "adhesive",
        "max_lamp_w": 3.0,
        "to_fabric_m": 0.02,
        "inline_switch": True,
        "cord": lights.Cord(length_m=2.0),
        "plug_fuse_a": 3.0,
        "plug": "earthed",
        "mass_kg": 2.0,
        "price": 20.0,
    },
    "lights.0.lamp": {
        "flux_lm": (200.0, 500.0),
        "power_w": 9.0,
        "cct_k": 4000.0,
        "kind": "halogen",
        "diameter_m": 0.12,
        "standby_w": 1.0,
        "power_factor": 0.5,
        "lowest_level": 0.9,
    },
    "lights.1.aim": {"at": "page:one", "tilt_deg": 60.0, "turn_deg": 30.0},
    "lights.1.distribution shade": {
        "form": None,
        "shape": "cone",
        "bottom_diameter_m": 0.3,
        "top_diameter_m": 0.1,
        "height_m": 0.25,
        "lamp_height_m": 0.05,
        "material": "opal glass",
        "open_top": False,
        "open_bottom": False,
    },
    "lights.0.distribution": {"form": None, "beam_deg": 20.0, "field_deg": 60.0},
    "lights.1.distribution cosine": {"form": None, "beam_deg": 30.0},
    "lights.1.distribution panel": {"form": None, "width_m": 0.6, "length_m": 0.6},
    "lights.1.distribution file": {"form": None, "lm63": FILE.format(300), "file_name": "own.ies"},
    "strips.0": {
        "id": "tape",
        "name": "Tape",
        "path_m": ((1.0, 2.98, 0.9), (2.3, 2.98, 0.9)),
        "facing": "up",
        "flux_lm_per_m": 600.0,
        "power_w_per_m": 12.0,
        "volts": 12,
        "cct_k": 4000.0,
        "leds_per_m": 60.0,
        "cut_m": 0.1,
        "width_m": 0.005,
        "cover": "opal",
        "maintenance_factor": 0.5,
        "feed": "both",
        "current": "regulated",
        "loop_ohm_per_m": 3.0,
        "feed_cord": lights.Cord(awg=24, length_m=10.0),
        "fed_from": "other",
        "dims": False,
        "dimmer": True,
        "lowest_level": 0.9,
        "price": 30.0,
    },
}
"""For a part of the plan, by its way from the top (and what it is): other values of its fields."""


def another(part: Part, name: str) -> Any:
    """Another value that a field takes, for one that has none in the list."""
    kind, now = type(part), getattr(part, name)
    choices = re.findall(r"'([^']+)'", str(kind.model_fields[name].annotation))
    for value in (True, False, *choices, 0.5, 2.0, 3, "other words"):
        with contextlib.suppress(ValidationError):
            found = getattr(kind.model_validate({**part.model_dump(), name: value}), name)
            if found != now:
                return found
    raise AssertionError(f"write another value of {kind.__name__}.{name} in CHANGES")


def cases() -> Iterator[tuple[str, tuple[str, ...]]]:
    """Every field by itself; fields that are marked alike, together."""
    for way, values in CHANGES.items():
        part = part_at(plan_for(way), way)
        for name in type(part).model_fields:
            if name not in values:
                values[name] = another(part, name)
        for marked in (part.NO_LIGHT, part.AFTER_MAPS):
            if together := tuple(name for name in values if name in marked):
                yield way, together
        for name in values:
            if name != "form" and name not in part.NO_LIGHT | part.AFTER_MAPS:
                yield way, (name,)


@pytest.fixture(autouse=True)
def rough(monkeypatch: pytest.MonkeyPatch) -> None:
    """Few large patches: what hangs on what is the same, and the room takes no time."""
    monkeypatch.setattr(transport, "EDGE_M", 2.0)


def plan_for(way: str) -> Scenario:
    """The plan with what changes at a way in it."""
    data = json.loads(json.dumps(DATA))
    data["lights"].append(lamp("more", [0.7, 3, 1.4], **MORE[way.partition(" ")[2]]))
    if way.startswith("strips"):
        data["strips"] = [STRIP]
        data["setups"][0]["levels"]["glow tape"] = 0.8
    if way.startswith("room.openings"):
        data["room"]["openings"].append(MIRROR)
    return parse(data)


def part_at(part: Any, way: str) -> Any:
    """What stands at a way such as ``lights.1.lamp``."""
    for step in way.partition(" ")[0].split("."):
        part = part[int(step)] if step.isdigit() else getattr(part, step)
    return part


def put(part: Any, way: str, value: Any) -> Any:
    """The same with another value there, whatever the rules across parts say to it."""
    step, _, rest = way.partition(".")
    if isinstance(part, tuple):
        at = int(step)
        return (*part[:at], put(part[at], rest, value) if rest else value, *part[at + 1 :])
    new = put(getattr(part, step), rest, value) if rest else value
    return part.model_copy(update={step: new})


def changed(plan: Scenario, way: str, names: Sequence[str]) -> Scenario:
    """The plan with some fields of one part changed."""
    for name in names:
        value = CHANGES[way][name]
        old = getattr(part_at(plan, way), name)
        assert value != old
        if name == "id" and way.startswith(("lights", "strips")):  # setups speak of them
            plan = loads(dump(plan).replace(f'"{old}"', f'"{value}"'))
            continue
        plan = put(plan, f"{way.partition(' ')[0]}.{name}", value)
    return plan


def answers(plan: Scenario, engine: Engine) -> dict[str, Any]:
    """All that light gives and is said of it, on every face."""
    found = engine.study(plan, detail="drag")
    lit = found.lighting
    with using(engine):
        maps = fields(lit, surfaces=["page:one"], detail="drag")
    data = found.to_json()
    return {
        "said": json.dumps([data["planes"], data["eyes"], data["aims"], data["comfort"],
                            data["targets"], data["notes"]]),
        "doubts": repr([
            (doubts(lit, target.id, "all"), sensitivities(lit, target.id, "all"))
            for target in lit.targets
        ]),
        "maps": {
            f"{grid} {part} {name}": values
            for grid, each in maps["grids"].items()
            for part in ("direct", "bounced")
            for name, values in each[part].items()
        },
        "unit": np.hstack([lit.direct, lit.bounced]),
    }  # fmt: skip


def same(one: dict[str, Any], other: dict[str, Any]) -> None:
    """Both say the same, and their maps agree to the last few digits."""
    assert one["said"] == other["said"]
    assert one["doubts"] == other["doubts"]
    assert one["maps"].keys() == other["maps"].keys()
    for name, values in one["maps"].items():
        np.testing.assert_allclose(values, other["maps"][name], rtol=1e-9, atol=1e-12)


@pytest.fixture(scope="module")
def warm() -> dict[str, Engine]:
    """An engine for each variant of the plan, which knows it already when it is asked again."""
    return {}


def test_every_model_that_may_bear_on_light_has_its_cases() -> None:
    """A model that somebody adds has cases here, too, and what is marked are fields of it."""
    seen = {type(part_at(plan_for(way), way)): set(values) for way, values in CHANGES.items()}
    aside = {room.Compartment, lights.Cord, lights.Ageing, lights.AllRound, lights.Opal}
    models = {
        model
        for module in (room, people, lights)
        for model in vars(module).values()
        if isinstance(model, type)
        and issubclass(model, Part)
        and model.__module__.startswith(module.__name__)
    }
    assert models - aside == set(seen)
    for model, values in seen.items():
        assert values == set(model.model_fields)
    for model in models | {Scenario}:
        marked = model.NO_LIGHT | model.AFTER_MAPS
        assert marked <= set(model.model_fields), model
        assert not model.NO_LIGHT & model.AFTER_MAPS


@pytest.mark.parametrize(
    ("way", "names"), [pytest.param(*one, id=f"{one[0]} {','.join(one[1])}") for one in cases()]
)
def test_a_field_changed(warm: dict[str, Engine], way: str, names: tuple[str, ...]) -> None:
    """What an engine answers that knew the plan before is what one says that never did.

    A field that is not marked makes something of the light anew; one that is marked makes no map
    anew, and needs none: computed afresh they come out the same.
    """
    plan = plan_for(way)
    after = changed(plan, way, names)
    engine = warm.setdefault(fingerprint(plan), Engine())
    was, made = answers(plan, engine), engine.made.copy()
    told, fresh = answers(after, engine), answers(after, Engine())
    same(told, fresh)
    part = part_at(plan, way)
    anew = any(
        engine.made[kind] > made[kind] for kind in ("transport", "surface light", "target light")
    )
    marked = names[0] in part.NO_LIGHT | part.AFTER_MAPS
    assert anew is not marked
    if marked:
        np.testing.assert_array_equal(was["unit"], fresh["unit"])
    if names[0] in part.NO_LIGHT:
        assert numbers(was["said"]) == numbers(fresh["said"])


def numbers(said: str) -> list[float]:
    """Every number of an answer, its words left out."""

    def walk(value: Any) -> Iterator[float]:
        if isinstance(value, dict | list):
            for one in value.values() if isinstance(value, dict) else value:
                yield from walk(one)
        elif isinstance(value, int | float):
            yield value

    return list(walk(json.loads(said)))


class Sooty(Furniture):
    """Furniture with an optical field that the document does not have."""

    soot: float = 0.0


class Dusty(Light):
    """A light with one."""

    dust: float = 0.0
    label: str = ""
    NO_LIGHT: ClassVar[frozenset[str]] = Light.NO_LIGHT | {"label"}


def test_a_new_field_of_furniture_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A field that nobody told the cache about changes the answer as soon as the light reads it."""
    plain = surfaces._box_reflectance
    monkeypatch.setattr(
        surfaces, "_box_reflectance", lambda item: plain(item) * (1 - getattr(item, "soot", 0.0))
    )
    engine, plan = Engine(), plan_for("room")
    bed = Sooty(**plan.furniture[0].model_dump())
    results = []
    for soot in (0.0, 0.9):
        some = (bed.model_copy(update={"soot": soot}), *plan.furniture[1:])
        results.append(answers(plan.model_copy(update={"furniture": some}), engine))
    same(results[1], answers(plan.model_copy(update={"furniture": some}), Engine()))
    assert results[0]["said"] != results[1]["said"]


def test_a_new_field_of_a_light_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same for a light; one that is marked as without effect makes nothing anew."""
    plain = emitters._kept
    monkeypatch.setattr(
        emitters, "_kept", lambda plan, item: plain(plan, item) * (1 - getattr(item, "dust", 0.0))
    )
    engine = Engine()
    plan = plan_for("room").model_copy(update={"ageing": lights.Ageing(counted=True)})
    light = Dusty(**plan.lights[0].model_dump())
    results = []
    for update in ({}, {"dust": 0.5}, {"dust": 0.5, "label": "upstairs"}):
        some = (light.model_copy(update=update), *plan.lights[1:])
        results.append(answers(plan.model_copy(update={"lights": some}), engine))
        made = engine.made["surface light"]
        if not update:
            first = made
    assert first < made
    assert results[0]["said"] != results[1]["said"]
    assert results[1]["said"] == results[2]["said"]
    a, b = (light.model_copy(update=update) for update in ({"label": "a"}, {"label": "b"}))
    assert light_content(a) == light_content(b) != light_content(plan.lights[0])


def test_a_new_field_of_a_source_counts() -> None:
    """What the light half is given is named by all its fields."""

    class Tinted(StripSource):
        pass

    strip = StripSource(np.eye(3)[:2], np.array([0.0, 0.0, 1.0]), np.ones(1))
    wider = StripSource(strip.path, strip.facing, strip.flux_per_length, width_m=0.02)
    names = {fingerprint(strip), fingerprint(wider), fingerprint(Tinted(*vars(strip).values()))}
    assert len(names) == 3


def test_rough_answers_are_never_given_for_full_ones() -> None:
    """A colour of the walls found while a strip was dragged is not that of the strip at rest."""
    plan = plan_for("strips")
    engine = Engine()
    engine.study(plan, detail="drag").to_json()
    told, fresh = (one.study(plan).to_json()["comfort"] for one in (engine, Engine()))
    assert told == fresh


def test_two_threads_get_the_same_numbers_as_one() -> None:
    """Two threads that ask one engine for the same plan: each map is made once, all agree."""
    plan, engine, alone = plan_for("strips"), Engine(), Engine()
    expected = answers(plan, alone)
    with ThreadPoolExecutor(2) as pool:
        both = list(pool.map(lambda _: answers(plan, engine), range(2)))
    for one in both:
        same(one, expected)
    assert engine.made == alone.made
