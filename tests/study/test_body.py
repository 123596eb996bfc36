"""A reader's own head and shoulders: what they hide, from whom, and that they can be left out."""

import numpy as np
import pytest
from scipy.spatial import ConvexHull, HalfspaceIntersection

from lumen.light.visibility import segments_blocked
from lumen.scenario.document import parse
from lumen.study.lighting.maps import lighting
from lumen.study.scene.body import ball, body_of
from lumen.study.scene.targets import page_frame, sitting_eye


def plan(mount, **person):
    """A bed with two readers and one lamp on a stand, anywhere in the air."""
    return parse(
        {
            "format": "lumen-plan/1",
            "title": "body",
            "room": {"outline_m": [[0, 0], [4, 0], [4, 4], [0, 4]], "height_m": 2.6},
            "furniture": [
                {
                    "id": "mattress",
                    "kind": "mattress",
                    "at_m": [2, 2.9, 0],
                    "size_m": [1.6, 2.0, 0.5],
                }
            ],
            "people": [{"id": "left", "side": "left", **person}, {"id": "right", "side": "right"}],
            "lights": [
                {
                    "id": "lamp",
                    "mount": "stand",
                    "mount_m": list(mount),
                    "projection_m": 0,
                    "size_m": 0,
                    "lamp": {"flux_lm": 400, "power_w": 5},
                }
            ],
            "setups": [{"id": "on", "levels": {"lamp": 1}}],
        }
    )


def direct(scenario, target):
    """Direct light on a target [lx], point by point."""
    lit = lighting(scenario)
    return lit.direct[0, lit.slices[target]]


def behind_the_head():
    """A place on the line from the page's middle through the head's middle, 0.3 m behind it."""
    scenario = plan((2, 2, 1))
    bed, person = scenario.furniture[0], scenario.people[0]
    page = page_frame(bed, person)[0]
    head = sitting_eye(bed, person) + np.array([0.0, 0.09, 0.0])
    ray = (head - page) / np.linalg.norm(head - page)
    return tuple(head + 0.3 * ray)


def test_lamp_behind_the_head_leaves_the_middle_dark():
    """The head's shadow falls on the page's middle; without the body it is lit all over."""
    place = behind_the_head()
    shaded, bare = (
        direct(plan(place), "page:left"),
        direct(plan(place, body_shadow=False), "page:left"),
    )
    middle = [7, 12]  # the two middle rows' middle columns of 4 x 5 points
    assert (shaded[middle] == 0.0).all()
    assert (bare > 0.0).all()
    assert ((shaded == 0.0) | np.isclose(shaded, bare)).all()


def test_lamp_in_front_casts_no_shadow():
    """From over the foot of the bed nothing of the reader is in the way."""
    place = (1.6, 2.0, 2.0)
    np.testing.assert_allclose(
        direct(plan(place), "page:left"), direct(plan(place, body_shadow=False), "page:left")
    )


def test_body_shades_ones_own_page_only():
    """The left reader's body changes nothing on the right page, the bed or any eye."""
    place = behind_the_head()
    with_body, without = (lighting(plan(place, body_shadow=on)) for on in (True, False))
    for target in with_body.targets:
        part = with_body.slices[target.id]
        same = np.allclose(with_body.direct[:, part], without.direct[:, part])
        own = target.id.startswith("page") and target.person == "left"  # sitting up or not
        assert same or own, target.id
        assert target.id != "page:left" or not same


def test_head_has_the_volume_of_its_ball():
    """The 26-faced solid has the volume of the ball, and its silhouette is within 7 % of it."""
    solid = ball(np.zeros(3), 1.0)
    normals, offsets = solid.half_spaces()
    corners = HalfspaceIntersection(
        np.hstack([normals, -offsets[:, None]]), np.zeros(3)
    ).intersections
    assert ConvexHull(corners).volume == pytest.approx(4 / 3 * np.pi, rel=1e-3)
    assert offsets.min() > 0.95
    assert np.linalg.norm(corners, axis=1).max() < 1.13
    rng = np.random.default_rng(7)
    ways = rng.normal(size=(500, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    across = np.cross(ways, rng.normal(size=(500, 3)))
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    for share, hits in ((0.95, True), (1.13, False)):
        at = share * across
        assert (segments_blocked(at - 3 * ways, at + 3 * ways, [solid]) == hits).all()


def test_shoulders_rest_on_the_mattress():
    """The chest reaches from the mattress to 20 cm below the eye and turns with the bed."""
    scenario = plan((2, 2, 1))
    bed, person = scenario.furniture[0], scenario.people[0]
    head, chest = body_of(bed, person)
    assert chest.low[2] == pytest.approx(0.5)
    assert chest.high[2] == pytest.approx(0.5 + 0.68 - 0.20)
    assert chest.high[0] - chest.low[0] == pytest.approx(0.44)
    assert len(head.normals) == 13
    low = person.model_copy(update={"eye_above_mattress_m": 0.2})
    assert len(body_of(bed, low)) == 1
