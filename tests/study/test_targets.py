"""Pages and eyes lie where the person is, whichever way the bed is turned."""

import numpy as np
import pytest

from lumen.errors import ScenarioError
from lumen.scenario.document import parse
from lumen.study.lighting.maps import lighting
from lumen.study.scene.targets import page_frame, sitting_eye, targets
from lumen.study.wishes.verdicts import aim_results

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


def room_with_door(**changes):
    """A 4 x 4 m room with a door at the near left and a wardrobe to walk round."""
    room = {
        **PLAN["room"],
        "openings": [
            {"id": "door", "kind": "door", "wall": 0, "from_m": 0.2, "to_m": 1.0},
            {"id": "glass", "kind": "mirror", "wall": 1, "from_m": 1, "to_m": 2, "head_m": 2},
        ],
    }
    return parse({**PLAN, "room": room, **changes})


def by_id(plan):
    """Targets of a plan by id."""
    return {target.id: target for target in targets(plan)}


def length(way):
    """Length of a walk [m]."""
    return float(np.linalg.norm(np.diff(way[:, :2], axis=0), axis=1).sum())


def test_way_to_the_door_is_straight_where_nothing_stands():
    """The left sleeper walks straight from beside the bed (0.9, 3.0) to inside the door (0.6, 0.3).

    Ends lie in the 10 cm grid's cells; the straight line is 2.72 m.
    """
    way = by_id(room_with_door())["path:left"].points
    assert way[0, :2] == pytest.approx([0.9, 3.0], abs=0.08)
    assert way[-1, :2] == pytest.approx([0.6, 0.3], abs=0.08)
    assert length(way) == pytest.approx(np.linalg.norm(way[-1, :2] - way[0, :2]))
    assert np.diff(way[:, :2], axis=0).max() <= 0.26


def test_way_goes_round_furniture_with_room_to_spare():
    """A chest across the way is walked round at 25 cm, by no more than the corner costs."""
    box = {"id": "chest", "kind": "chest", "at_m": [0.7, 1.1, 0], "size_m": [1.4, 0.5, 1]}
    way = by_id(room_with_door(furniture=[*PLAN["furniture"], box]))["path:left"].points[:, :2]
    gap = np.maximum(np.abs(way - [0.7, 1.1]) - [0.7, 0.25], 0.0)
    assert np.linalg.norm(gap, axis=1).min() >= 0.20
    corners = np.array([[0.9, 3.0], [1.1, 1.6], [1.65, 1.35], [1.65, 0.85], [0.6, 0.3]])
    tight = np.linalg.norm(np.diff(corners, axis=0), axis=1).sum()
    assert tight - 0.3 < length(way) < tight + 0.3


def test_no_door_no_way():
    """Without a door, or with the bed walled in, there is no way; a baby does not walk."""
    assert "path:left" not in by_id(parse(PLAN))
    wall = {"id": "wall", "kind": "other", "at_m": [2, 1.6, 0], "size_m": [4, 0.1, 2]}
    assert "path:left" not in by_id(room_with_door(furniture=[*PLAN["furniture"], wall]))
    baby = {"id": "baby", "side": "left", "age": 1}
    assert "path:baby" not in by_id(room_with_door(people=[baby]))


def test_way_from_the_other_side_when_ones_own_is_shut():
    """With the bed's left side at the wall the left sleeper gets out on the right."""
    bed = {**PLAN["furniture"][0], "at_m": [0.8, 2.9, 0.4]}
    way = by_id(room_with_door(furniture=[bed]))["path:left"].points
    assert way[0, 0] > 1.6


def test_bedside_test_plane():
    """DIN 5035-3: 75 degrees to the level, 0.9 x 0.3 m, middle 1.10 m up, 0.80 m from the head."""
    plane = by_id(parse(PLAN))["bedside:left"]
    np.testing.assert_allclose(plane.points.mean(axis=0), [1.6, 3.9 - 0.80, 1.10])
    assert np.degrees(np.arccos(plane.normals[0, 2])) == pytest.approx(75.0)
    assert plane.normals[0, 1] > 0  # it faces the head of the bed
    assert np.ptp(plane.points[:, 0]) == pytest.approx(0.8)  # middles of cells of 0.1 m
    step = plane.points[-1] - plane.points[8]
    assert np.linalg.norm(step) == pytest.approx(0.2)
    assert step @ plane.normals[0] == pytest.approx(0.0, abs=1e-12)


def test_face_at_a_mirror():
    """A face stands half a metre before the mirror's middle and looks into it."""
    face = by_id(room_with_door())["mirror:glass"]
    np.testing.assert_allclose(face.points.mean(axis=0), [3.5, 1.5, 1.58])
    np.testing.assert_allclose(face.normals[0], [1.0, 0.0, 0.0], atol=1e-12)


def test_slouched_eye_is_lower():
    """Slid down, the eye is at 0.45 m where it was at 0.68 m upright."""
    eyes = by_id(parse(PLAN))
    upright, down = (eyes[f"eye:left:{p}"].points[0] for p in ("sitting", "slouched"))
    assert down[2] - 0.6 == pytest.approx(0.45)
    assert upright[1] - down[1] == pytest.approx(0.10)


@pytest.mark.parametrize("of", ["path:left", "bedside:left", "mirror:glass", "eye:left:slouched"])
def test_wishes_may_speak_of_the_new_planes(of):
    """A wish for the way, the test plane or the face is read and answered."""
    wish = {"id": "wish", "of": of, "at_least": 1}
    plan = room_with_door(
        aims=[wish],
        lights=[{"id": "lamp", "mount_m": [2, 4, 1.4], "lamp": {"flux_lm": 400, "power_w": 5}}],
        setups=[{"id": "on", "levels": {"lamp": 1}}],
    )
    (result,) = aim_results(lighting(plan))
    assert (result.of, result.state) == (of, "met")


@pytest.mark.parametrize(
    ("of", "rule"),
    [
        ("path:left", "needs a door"),
        ("path:nobody", "with a person of the plan"),
        ("mirror:glass", "must name a mirror"),
        ("eye:left:upside down", "must end in one of"),
    ],
)
def test_wishes_for_what_is_not_there(of, rule):
    """A wish for a way without a door, or a mirror nobody hung, is refused in words."""
    with pytest.raises(ScenarioError, match=rule):
        parse({**PLAN, "aims": [{"id": "wish", "of": of, "at_least": 1}]})


def test_wish_for_a_page_nobody_reads_has_no_result():
    """The right person does not read: a wish for that page is kept and left unanswered."""
    plan = parse(
        {
            **PLAN,
            "aims": [{"id": "wish", "of": "page:right", "at_least": 1}],
            "setups": [{"id": "on"}],
        }
    )
    assert aim_results(lighting(plan)) == ()
