"""A light of 0 lm is a dark light: every face shows it as dark, in every room, and none breaks."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lumen.app import commands, panels
from lumen.app.preview import preview
from lumen.scenario.document import parse, plain
from lumen.scenario.files import examples, load
from lumen.sheet import sheet
from lumen.study.lighting.fields import fields
from lumen.study.report import report
from lumen.study.scene.emitters import printed
from lumen.study.study import Study, study


def _dark(plan: dict[str, Any]) -> None:
    """Nothing gives light: bulbs of 0 lm, tape of 0 lm a metre."""
    for light in plan["lights"]:
        light["lamp"]["flux_lm"] = 0
    for strip in plan.get("strips", []):
        strip["flux_lm_per_m"] = 0


def _still(plan: dict[str, Any]) -> None:
    """Nothing draws power, and no bulb's light leaves its shade."""
    for light in plan["lights"]:
        light["lamp"]["power_w"], light["output_share"] = 0, 0
    for strip in plan.get("strips", []):
        strip["power_w_per_m"], strip["flux_lm_per_m"] = 0, 0
    for node in plan["supply"]:
        if node["kind"] == "appliance":
            node["power_w"] = 0


def _off(plan: dict[str, Any]) -> None:
    """Every light at level 0 in every setup; one of them is dark on top."""
    plan["lights"][0]["lamp"]["flux_lm"] = 0
    for setup in plan["setups"]:
        setup["levels"] = dict.fromkeys(setup.get("levels", {}), 0)


def _faces(found: Study) -> Iterator[str]:
    """Yield every face of a study as text."""
    scenario, data = found.scenario, found.to_json()
    yield json.dumps(data, allow_nan=False)
    yield report(found)
    yield sheet(found)
    yield json.dumps(commands.packed(fields(found.lighting)), allow_nan=False)
    for setup in found.setups:
        yield from panels.study_panels(found, setup).values()
    for item in scenario.sources:
        yield from panels.form_panels(scenario, [item.id], "cm").values()
    light, setup = scenario.lights[0].id, found.setups[0]
    yield from panels.heights_panels(scenario, light, setup, "cm").values()
    if len(found.setups) > 1:
        yield from panels.compare_panels(found, setup, found.setups[1]).values()
    moved = {"name": "move", "id": light, "args": {"by_m": [0, 0, 0.01]}}
    yield json.dumps(preview(scenario, moved, setup, ["wall"]), allow_nan=False)


_ROOMS = examples()
_CASES = [(file, change) for file in _ROOMS for change in (_dark, _still)]


@pytest.mark.parametrize(
    ("file", "change"),
    [*_CASES, *((file, _off) for file in _ROOMS[:3])],
    ids=lambda one: getattr(one, "stem", None) or one.__name__,
)
def test_every_face_of_a_dark_room_says_dark(file: Path, change: Any) -> None:
    """All averages are 0 with a band of 0 to 0, and no face says inf or nan or breaks."""
    plan = plain(load(file))
    change(plan)
    found = study(parse(plan))
    for text in _faces(found):
        assert not re.search(r"(?<![\w-])(inf|infinity|nan)(?![\w-])", text, re.IGNORECASE)
    for plane in found.to_json()["planes"]:
        assert plane["average_lx"] == 0
        assert [plane["low_lx"], plane["high_lx"], plane["after_years_lx"]] == [0, 0, 0]


def test_a_dark_bulb_beside_a_lit_one_is_no_doubt() -> None:
    """In sight of a lit room the dark bulb takes no part in any answer nor in its doubts."""
    plan = plain(load(examples()[0]))
    plan["lights"][0]["lamp"]["flux_lm"] = 0
    name = plan["lights"][0]["id"]
    found = study(parse(plan))
    for plane in found.to_json()["planes"]:
        for share in plane["by_source"]:
            if share["id"] == name:
                assert share["direct_lx"] == share["bounced_lx"] == 0
    assert found.lighting.answer("page:right", "read both").average_lx > 0


def test_printed_lumens_as_shares_of_their_middle() -> None:
    """A number has a tenth either way, a range its own ends, darkness no doubt at all."""
    assert printed(400.0) == pytest.approx((0.9, 1.1))
    assert printed((0.0, 400.0)) == (0.0, 2.0)
    assert printed(0.0) == printed((0.0, 0.0)) == (1.0, 1.0)
