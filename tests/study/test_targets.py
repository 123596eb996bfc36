"""Pages and eyes lie where the person is, whichever way the bed is turned."""

import numpy as np
import pytest

from lumen.scenario.document import parse
from lumen.study.targets import page_frame, sitting_eye, targets

PLAN = {
    "format": "lumen-plan/1",
    "title": "targets",
    "room": {"outline_m": [[0, 0], [4, 0], [4, 4], [0, 4]], "height_m": 2.5},
    "furniture": [
        {"id": "mattress", "kind": "mattress", "at_m": [2, 2.9, 0.4], "size_m": [1.6, 2.0, 0.2]}
    ],
    "people": [{"id": "left", "side": "left"}, {"id": "right", "side": "right", "reads": False}],
}


def test_page_lies_where_the_reader_holds_it():
    """The page is 0.40 m from an eye 0.68 m above the mattress, 0.42 m above it at 40 degrees.

    0.68 - 0.40 sin 40 = 0.4229; the page faces the eye squarely.
    """
    plan = parse(PLAN)
    mattress, person = plan.furniture[0], plan.people[0]
    centre, _, _, normal = page_frame(mattress, person)
    eye = sitting_eye(mattress, person)
    assert eye == pytest.approx([1.6, 3.62, 1.28])
    assert centre[2] - 0.6 == pytest.approx(0.4229, abs=1e-4)
    assert (eye - centre) / 0.40 == pytest.approx(normal)


def test_only_readers_have_a_page():
    """A sleeper has eyes but no page."""
    names = [t.id for t in targets(parse(PLAN))]
    assert "page:left" in names
    assert "page:right" not in names
    assert "eye:right:lying left" in names


def test_normals_are_unit_and_planes_face_up():
    """Every sensor has a unit normal; mattress and floor look up."""
    for target in targets(parse(PLAN)):
        np.testing.assert_allclose(np.linalg.norm(target.normals, axis=1), 1.0)
        if target.id in ("mattress", "floor"):
            assert (target.normals[:, 2] > 0.99).all()


def test_turned_bed_turns_its_people():
    """With the bed turned half round the page faces the other way and stays on the bed."""
    turned = {**PLAN, "furniture": [{**PLAN["furniture"][0], "turn_deg": 180}]}
    plan = parse(turned)
    centre, _, _, normal = page_frame(plan.furniture[0], plan.people[0])
    assert normal[1] < 0
    assert centre[0] > 2  # the left sleeper lies on the right of the room now
