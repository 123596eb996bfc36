"""Answers ahead of the question, and while a hand moves something."""

from __future__ import annotations

import threading
from typing import Any

import numpy as np
import pytest

from lumen.app.preview import preview
from lumen.light.interreflection import Transport
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.document import aims_json, answers_json
from lumen.study.lighting.fields import fields
from lumen.study.study import study
from lumen.study.wishes.verdicts import aim_results
from lumen.whatif.live import ahead

PLAN = load(examples()[0])


def test_who_asks_while_it_is_reckoned_ahead_waits_for_the_same_answer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A room is set up once and each picture's sensors once, whoever asks meanwhile."""
    taller = apply(
        PLAN, {"name": "set", "id": "room", "args": {"field": "height_m", "value": 2.61}}
    )
    rooms, sensors = [], []
    make, see = Transport.from_room, Transport.sensors

    def from_room(*args: Any, **named: Any) -> Transport:
        rooms.append(threading.current_thread())
        return make(*args, **named)

    def seen(self: Transport, points: Any, normals: Any) -> Any:
        sensors.append(np.asarray(points).tobytes())
        return see(self, points, normals)

    monkeypatch.setattr(Transport, "from_room", from_room)
    monkeypatch.setattr(Transport, "sensors", seen)
    ahead(taller)
    fields(study(taller).lighting)
    assert len(rooms) == 1
    assert len(sensors) == len(set(sensors))


def test_a_preview_of_a_light_is_what_the_command_will_give() -> None:
    """While a light is dragged the numbers are already those of the plan after it is let go."""
    light = PLAN.lights[0]
    x, y, z = light.mount_m
    command = {"name": "move", "id": light.id, "args": {"to_m": [x, y, z + 0.13]}}
    setup = PLAN.setups[0].id
    study(PLAN)
    found = preview(PLAN, command, setup, ["wall"])
    after = study(apply(PLAN, command))
    assert {key: found[key] for key in ("planes", "eyes")} == answers_json(after.lighting, setup)
    assert found["aims"] == aims_json(
        aim_results(after.lighting, setup, shadows=False),
        {target.id: target.name for target in after.lighting.targets},
    )
    first, *shadows = found["fields"]["sources"]
    assert first == light.id
    assert shadows == list(found["fields"]["shadows"]) == [f"shadow:left:{light.id}"]
    assert list(found["fields"]["grids"]) == ["wall"]


def test_a_preview_that_would_take_long_says_so() -> None:
    """Another room is not set up under a hand."""
    command = {"name": "set", "id": "room", "args": {"field": "height_m", "value": 2.53}}
    assert preview(PLAN, command) == {"stale": True}


def test_numbers_follow_a_light_in_a_room_that_memory_let_go_of() -> None:
    """A light moved in a room that is not at hand is answered all the same; furniture is not."""
    plan = apply(PLAN, {"name": "remove", "id": PLAN.strips[0].id, "args": {}})
    plan = apply(plan, {"name": "set", "id": "room", "args": {"field": "height_m", "value": 2.47}})
    bed = next(item for item in plan.furniture if item.kind == "headboard")
    x, y, z = bed.at_m
    aside = {"name": "move", "id": bed.id, "args": {"to_m": [x + 0.01, y, z]}}
    assert preview(plan, aside) == {"stale": True}
    light = plan.lights[0]
    x, y, z = light.mount_m
    higher = {"name": "move", "id": light.id, "args": {"to_m": [x, y, z + 0.1]}}
    assert preview(plan, higher, plan.setups[0].id, ["wall"])["planes"]
