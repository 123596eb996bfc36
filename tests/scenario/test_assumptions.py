"""Every assumption is listed until somebody writes the value, and each says why."""

from __future__ import annotations

from typing import Any

import pytest

from lumen.scenario.assumptions import assumptions
from lumen.scenario.document import Scenario, parse
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load

PAIR = load(examples()[0])
BARE: dict[str, Any] = {
    "format": "lumen-plan/1",
    "title": "x",
    "room": {"outline_m": [[0, 0], [3, 0], [3, 3], [0, 3]], "height_m": 2.4},
}


def _fields(plan: Scenario) -> list[str]:
    return [one.field for one in assumptions(plan)]


def test_bare_room() -> None:
    """A bare room assumes its region, its finishes and how lamps age, and nothing else."""
    assert _fields(parse(BARE)) == ["region", "room.finishes", "ageing"]


def test_inside_lists_and_parts() -> None:
    """Fields inside items carry the item's number and the part's name."""
    plan = parse(
        BARE
        | {
            "lights": [
                {"id": "a", "mount_m": [1, 3, 1], "lamp": {"flux_lm": 400, "power_w": 5}},
            ]
        }
    )
    found = {one.field: one for one in assumptions(plan)}
    assert found["lights[0].lamp.cct_k"].value == 2700
    assert found["lights[0].lamp.cct_k"].why == "warm white, 2700 K"
    assert found["lights[0].distribution"].value == {"form": "all round"}


@pytest.mark.parametrize("field", ["eye_above_mattress_m", "standing_eye_m"])
def test_a_written_value_is_no_assumption(field: str) -> None:
    """Writing a value takes it off the list, even the very value that was assumed."""
    path = f"people[0].{field}"
    assert path in _fields(PAIR)
    value = getattr(PAIR.people[0], field)
    command = {"name": "set", "id": "left", "args": {"field": field, "value": value}}
    written = apply(PAIR, command)
    assert path not in _fields(written)
    assert _fields(written) == [one for one in _fields(PAIR) if one != path]
    command["args"] = {"field": field, "value": None}
    assert _fields(apply(written, command)) == _fields(PAIR)


def test_a_part_written_in_part() -> None:
    """One finish written leaves the others assumed, each by itself."""
    command = {"name": "set", "id": "room", "args": {"field": "finishes.walls.lrv", "value": 30}}
    found = _fields(apply(parse(BARE), command))
    assert found == ["region", "room.finishes.floor", "room.finishes.ceiling", "ageing"]


@pytest.mark.parametrize("file", examples(), ids=lambda file: file.stem)
def test_each_says_where_and_why(file: Any) -> None:
    """Every assumption of every example names one field and a reason."""
    found = assumptions(load(file))
    assert len({one.field for one in found}) == len(found)
    assert all(len(one.why) > 8 for one in found)
