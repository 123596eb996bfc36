"""Plans that would take more time or memory than a bedroom is worth are refused with a sentence."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from lumen.errors import ScenarioError
from lumen.scenario.checks import MOST_FLOOR_M2, MOST_STRIP_WORK
from lumen.scenario.document import parse
from lumen.scenario.files import examples

PAIR = json.loads(examples()[0].read_text(encoding="utf-8"))


def _many(section: str, count: int) -> dict[str, Any]:
    plan = copy.deepcopy(PAIR)
    one = plan[section][0]
    plan[section] = [{**copy.deepcopy(one), "id": f"{section} {k}"} for k in range(count)]
    return plan


def _faults(plan: dict[str, Any]) -> str:
    with pytest.raises(ScenarioError) as refused:
        parse(plan)
    return str(refused.value)


@pytest.mark.parametrize(
    ("section", "most"),
    [("furniture", 60), ("people", 12), ("lights", 40), ("strips", 10), ("setups", 24)],
)
def test_one_more_than_the_most_is_refused(section: str, most: int) -> None:
    """The sentence names the section and how many there may be; the most is taken."""
    assert f"at most {most} item" in _faults(_many(section, most + 1))
    fine = _many(section, most)
    if section == "strips":
        fine["furniture"] = [item for item in fine["furniture"] if item["kind"] == "mattress"]
    assert "at most" not in _faults({**fine, "nothing": 1})  # names that others refer to are gone


def test_a_hall_is_no_bedroom() -> None:
    """A floor over the ceiling is refused with its area; one just under is not."""
    side = MOST_FLOOR_M2 / 10
    for width, fine in ((side - 0.1, True), (side + 0.1, False)):
        room = {"outline_m": [[0, 0], [width, 0], [width, 10], [0, 10]], "height_m": 2.4}
        plan = {"format": PAIR["format"], "title": "x", "room": room}
        if fine:
            parse(plan)
        else:
            assert "room.outline_m must enclose at most 200 m2 of floor: got 201.0" in _faults(plan)


def test_many_runs_among_much_furniture() -> None:
    """The product counts, and the sentence says how many runs are left beside so many boxes."""
    room = {"outline_m": [[0, 0], [8, 0], [8, 8], [0, 8]], "height_m": 2.4}
    boxes = [
        {
            "id": f"b{k}",
            "kind": "other",
            "at_m": [0.3 + k % 10 * 0.7, 0.3 + k // 10 * 0.7, 0],
            "size_m": [0.2, 0.2, 0.4],
        }
        for k in range(60)
    ]
    runs = MOST_STRIP_WORK // 60
    path = [[0.1 + 0.3 * k, 7.9, 1.0 + 0.1 * (k % 2)] for k in range(runs + 2)]
    strip = {"id": "s", "flux_lm_per_m": 500, "power_w_per_m": 5, "facing": "room"}
    plan = {"format": PAIR["format"], "title": "x", "room": room, "furniture": boxes}
    parse({**plan, "strips": [{**strip, "path_m": path[: runs + 1]}]})
    told = _faults({**plan, "strips": [{**strip, "path_m": path}]})
    assert f"strips must have at most {runs} straight runs in all beside 60 pieces" in told


def test_a_length_under_a_micrometre_is_not_rounded_to_nothing() -> None:
    """What a plan holds can be read back, whatever the digits."""
    from lumen.scenario.document import dump
    from lumen.scenario.files import loads

    plan = copy.deepcopy(PAIR)
    plan["setups"][0]["levels"]["left light"] = 1e-9
    read = parse(plan)
    assert loads(dump(read)) == read
