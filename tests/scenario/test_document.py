# ruff: noqa: E501 (one case a line is easier to read)
"""Bad plans are refused whole, with every fault in a sentence; good ones keep what was written."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from lumen.errors import ScenarioError
from lumen.scenario.document import Scenario, dump, json_schema, parse, plain
from lumen.scenario.files import examples, load

PAIR = json.loads(examples()[0].read_text(encoding="utf-8"))


def _changed(path: str, value: Any) -> dict[str, Any]:
    """Return the plain pair with one value put at a dotted path ("DROP" takes it away)."""
    plan = copy.deepcopy(PAIR)
    at: Any = plan
    *steps, last = [int(step) if step.isdigit() else step for step in path.split(".")]
    for step in steps:
        at = at[step]
    if value == "DROP":
        del at[last]
    else:
        at[last] = value
    return plan


def _faults(plan: object) -> list[str]:
    with pytest.raises(ScenarioError) as caught:
        parse(plan)
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        ("titel", "x", "titel is not a known field, did you mean title?: got 'x'"),
        ("room.heigth_m", 2.4, "room.heigth_m is not a known field, did you mean height_m?"),
        ("lights.0.lamp.flux", 400, "lights[0].lamp.flux is not a known field, did you mean flux_lm?"),
        ("lights.0.distribution.hight_m", 1, "lights[0].distribution.hight_m is not a known field, did you mean height_m?"),
        ("supply.3.hole", 4, "supply[3].hole is not a known field, did you mean holes?"),
        ("title", "DROP", "title must be given"),
        ("room.height_m", "DROP", "room.height_m must be given"),
        ("lights.0.lamp.flux_lm", "DROP", "lights[0].lamp.flux_lm must be given"),
        ("region", "MARS", "region must be 'US', 'CA', 'UK', 'EU', 'AU', 'JP' or 'IN'"),
        ("format", "lumen-plan/9", "format must be 'lumen-plan/1'"),
        ("lights.0.lamp.flux_lm", -3, "lights[0].lamp.flux_lm must be a number of 0 or more"),
        ("lights.0.lamp.flux_lm", [500, 400], "low first"),
        ("lights.0.lamp.flux_lm", [1, 2, 3], "or a range [low, high]"),
        ("lights.0.lamp.flux_lm", float("nan"), "lights[0].lamp.flux_lm must be a number"),
        ("lights.0.lamp.flux_lm", True, "lights[0].lamp.flux_lm must be a number"),
        ("lights.0.lamp.flux_lm", "bright", "lights[0].lamp.flux_lm must be a number"),
        ("lights.0.lamp.cct_k", 270, "lights[0].lamp.cct_k must be greater than or equal to 1000"),
        ("room.finishes.walls.lrv", 140, "room.finishes.walls.lrv must be a number of 0 or more and at most 100"),
        ("room.height_m", 10**400, "room.height_m"),
        ("room.height_m", 0.2, "room.height_m must be greater than 0.5"),
        ("furniture.1.size_m", [1.5, 2.0, 3.0], "furniture[1].size_m must end below the ceiling at 2.4 m"),
        ("furniture.1.size_m", [1.5, 0.0, 0.2], "furniture[1].size_m[1] must be greater than 0"),
        ("furniture.1.at_m", [1.5, 2.0], "furniture[1].at_m"),
        ("furniture.1.kind", "sofa", "furniture[1].kind must be"),
        ("lights.0.mount_m", [9.0, 3.0, 1.2], "lights[0].mount_m must be inside the room's outline"),
        ("lights.0.mount_m", [0.9, 3.0, 2.9], "lights[0].mount_m must be within 0 to 2.4 m above the floor"),
        ("lights.0.mount_m", [0.9, 3.0, 500], "lights[0].mount_m[2] must be less than or equal to 30"),
        ("lights.0.wall", 7, "lights[0].wall must be a wall, 0 to 3"),
        ("lights.0.distribution.form", "laser", "lights[0].distribution.form must be one of"),
        ("lights.0.distribution.form", "DROP", "lights[0].distribution needs a 'form'"),
        ("lights.0.aim", {"at": "page:nobody"}, "lights[0].aim.at must be mattress, floor, page:<person>"),
        ("strips.0.path_m", [[1.0, 2.9, 1.0]], "strips[0].path_m must have at least 2 items"),
        ("strips.0.path_m", [[1, 2.9, 1], [1, 2.9, 1]], "strips[0].path_m must not repeat a point"),
        ("strips.0.fed_from", "left receiver", "strips[0].fed_from must be a driver"),
        ("lights.0.fed_from", "moon", "lights[0].fed_from must name a supply node"),
        ("lights.0.fed_from", "headboard", "lights[0].fed_from must name a supply node"),
        ("supply.3.inside", "left light", "supply[3].inside must name furniture"),
        ("setups.0.levels", {"driver": 1}, "setups[0].levels must name lights or strips"),
        ("setups.0.running", ["driver"], "setups[0].running must name appliances"),
        ("aims.0.of", "page:headboard", "aims[0].of must be mattress, floor, page:<person>"),
        ("aims.0.setups", ["left light"], "aims[0].setups must name setups"),
        ("lights.0.fed_from", "clock", "lights[0].fed_from must not be an appliance"),
        ("supply.1.fed_from", "bedside strip", "supply[1].fed_from must be a circuit"),
        ("supply.3.fed_from", "left receiver", "supply[3].fed_from must not lead back to itself"),
        ("supply.3.fed_from", "bedroom circuit", "supply[3].fed_from must be an outlet or what is plugged in"),
        ("supply.3.inside", "attic", "supply[3].inside must name furniture"),
        ("supply.4.id", "driver", "must differ from every other id in the plan"),
        ("lights.0.id", "page:left", "lights[0].id must be a name without : or /"),
        ("room.finishes.walls.colour", "reddish", "room.finishes.walls.colour must be a colour: a name"),
        ("people.0.bed", "headboard", "people[0].bed must name a mattress (mattress)"),
        ("setups.0.levels", {"left lamp": 1}, "setups[0].levels must name lights or strips"),
        ("setups.0.levels", {"left light": 1.5}, "setups[0].levels.left light must be less than or equal to 1"),
        ("setups.0.running", ["left light"], "setups[0].running must name appliances"),
        ("aims.0.of", "eye:left:dancing", "aims[0].of must end in one of"),
        ("aims.0.at_least", "DROP", "aims[0] needs at_least or at_most"),
        ("aims.0.at_most", 10, "aims[0].at_least must be 10 or less"),
        ("aims.0.setups", ["read upside down"], "aims[0].setups must name setups"),
        ("room.outline_m", [[0, 0], [0, 3], [3.6, 3], [3.6, 0]], "room.outline_m must run counter-clockwise"),
        ("room.outline_m", [[1, 0], [4.6, 0], [4.6, 3], [1, 3]], "room.outline_m[0] must be the origin"),
        ("room.outline_m", [[0, 0], [3, 3], [3, 0], [0, 3]], "room.outline_m must not cross itself"),
        ("room.openings.0.wall", 9, "room.openings[0].wall must be a wall, 0 to 3"),
        ("room.openings.0.to_m", 0.1, "room.openings[0].to_m must be beyond from_m"),
        ("lights", 3, "lights must be a list"),
    ],
)  # fmt: skip
def test_each_kind_of_fault(path: str, value: Any, sentence: str) -> None:
    """Each kind of bad input is named by field, rule and value."""
    faults = _faults(_changed(path, value))
    assert any(sentence in fault for fault in faults), faults
    assert all("\n" not in fault and len(fault) < 700 for fault in faults)


def test_all_faults_at_once() -> None:
    """Several faults in several parts are told together, fields and references alike."""
    plan = _changed("titel", "x")
    plan["room"]["height_m"] = -1
    plan["lights"][0]["lamp"]["flux_lm"] = -5
    plan["lights"][1]["fed_from"] = "moon"
    plan["setups"][0]["levels"] = {"left light": 1, "nothing": 1}
    faults = _faults(plan)
    for part in (
        "titel",
        "room.height_m",
        "lights[0].lamp.flux_lm",
        "lights[1].fed_from",
        "setups[0].levels",
    ):
        assert sum(fault.startswith(part) for fault in faults) == 1, part


def test_one_slip_is_told_once() -> None:
    """A light at fault does not also make every setup that names it a fault."""
    faults = _faults(_changed("lights.0.lamp.flux_lm", -5))
    assert len(faults) == 1


@pytest.mark.parametrize("data", [None, 3, "plan", [], [PAIR]])
def test_not_an_object(data: object) -> None:
    """What is no JSON object is no plan."""
    assert _faults(data)[0].startswith("plan must be a JSON object")


def test_silly_but_possible_values_load() -> None:
    """An 8000 lm bulb is odd, not impossible: the document takes it, the study may wonder."""
    plan = parse(_changed("lights.0.lamp.flux_lm", 8000))
    assert plan.lights[0].lamp.flux_lm == 8000


def test_written_assumptions_stay_written() -> None:
    """A value equal to an assumed default stays in the file once somebody wrote it."""
    written = _changed("people.0.eye_above_mattress_m", 0.68)
    text = dump(parse(written))
    assert '"eye_above_mattress_m": 0.68' in text
    assert "eye_above_mattress_m" not in dump(parse(PAIR))


def test_other_defaults_are_left_out() -> None:
    """A value equal to a plain default is not written."""
    assert '"drop_m"' not in dump(parse(_changed("lights.0.drop_m", 0)))


def test_dump_is_stable_and_in_order() -> None:
    """Whatever order it was typed in, the text is the same and starts with the format."""
    turned = {key: PAIR[key] for key in reversed(PAIR)}
    text = dump(parse(turned))
    assert text == dump(parse(PAIR))
    assert text.startswith('{\n  "format": "lumen-plan/1",')
    assert parse(json.loads(text)) == parse(PAIR)


def test_editor_schema_line_is_kept() -> None:
    """A "$schema" line for editors is allowed and comes back second."""
    text = dump(parse({"$schema": "plan.schema.json", **PAIR}))
    assert list(json.loads(text))[:2] == ["format", "$schema"]


def test_plain_is_what_dump_writes() -> None:
    """The plain values and the text say the same for every example."""
    for file in examples():
        plan = load(file)
        assert json.loads(dump(plan)) == json.loads(json.dumps(plain(plan)))


def test_schema_names_every_field() -> None:
    """The JSON Schema describes every top-level field and refuses others."""
    schema = json_schema()
    names = {field.alias or name for name, field in Scenario.model_fields.items()}
    assert set(schema["properties"]) == names
    assert schema["additionalProperties"] is False


def test_alcove_outline_is_sound() -> None:
    """Two walls in one line, as beside an alcove, do not count as crossing."""
    outline = [[0, 0], [4, 0], [4, 1], [3, 1], [3, 3], [1, 3], [1, 1], [0, 1]]
    room = {"outline_m": outline, "height_m": 2.3}
    assert parse({"format": "lumen-plan/1", "title": "x", "room": room}).room.outline_m[6] == (1, 1)


def test_walls_that_overlap_in_one_line_cross() -> None:
    """Two walls on the same stretch of one line do count as crossing."""
    outline = [[0, 0], [4, 0], [4, 1], [1, 1], [1, 2], [3, 2], [3, 1], [0, 1]]
    room = {"outline_m": outline, "height_m": 2.3}
    faults = _faults({"format": "lumen-plan/1", "title": "x", "room": room})
    assert any("must not cross itself" in fault for fault in faults)


def test_schema_says_what_fields_are() -> None:
    """An editor shows the label and the sentence that the form shows."""
    lamp = json_schema()["$defs"]["Lamp"]["properties"]
    assert lamp["flux_lm"]["title"] == "Bulb's light"
    assert "box" in lamp["flux_lm"]["description"]
    light = json_schema()["$defs"]["Light"]["properties"]
    assert light["lamp"]["description"] == "One bulb or LED module, as its box has it."
    assert light["lamp"]["$ref"].endswith("/Lamp")
