"""The written room becomes arrays: closed, facing inward, boxes where the person put them."""

import math

import numpy as np
import pytest

from lumen.scenario.room import Finish, Furniture, Opening, Room, Slope
from lumen.study.scene.surfaces import (
    ceiling_height_m,
    free_floor,
    furniture_box,
    lit_room,
    mirrors_of,
)

PLAIN = ((0, 0), (3.6, 0), (3.6, 3.0), (0, 3.0))
L_SHAPE = ((0, 0), (4.8, 0), (4.8, 3.9), (3.0, 3.9), (3.0, 2.4), (0, 2.4))


def vector_area(corners):
    """Half the sum of cross products: area times normal."""
    return 0.5 * np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)


def rooms():
    """Rooms of every shape the document can hold."""
    attic = (
        Slope(id="left", wall=3, knee_height_m=0.95, pitch_deg=40),
        Slope(id="right", wall=1, knee_height_m=0.95, pitch_deg=40),
    )
    door = Opening(
        id="door", kind="door", wall=0, from_m=0.2, to_m=1.0, head_m=2.0, finish=Finish(lrv=40)
    )
    return {
        "plain": Room(outline_m=PLAIN, height_m=2.4),
        "door": Room(outline_m=PLAIN, height_m=2.4, openings=(door,)),
        "L": Room(outline_m=L_SHAPE, height_m=2.4),
        "attic": Room(outline_m=PLAIN, height_m=2.3, slopes=attic),
        "attic, door and mirror": Room(
            outline_m=PLAIN,
            height_m=2.3,
            slopes=attic,
            openings=(
                door,
                Opening(id="glass", kind="mirror", wall=2, from_m=1.0, to_m=2.2, head_m=2.2),
                Opening(id="tall", kind="mirror", wall=2, from_m=2.4, to_m=3.1, head_m=2.2),
            ),
        ),
        "one slope on an L": Room(
            outline_m=L_SHAPE,
            height_m=2.4,
            slopes=(Slope(id="s", wall=0, knee_height_m=1.2, pitch_deg=35),),
        ),
    }


@pytest.mark.parametrize("name", rooms())
def test_shell_is_closed_and_faces_inward(name):
    """Vector areas of a closed shell add up to zero, and its volume is positive seen from inside.

    Divergence theorem: sum over faces of area normal is 0; volume = -1/3 sum of c . A for normals
    that point inward.
    """
    room = rooms()[name]
    surfaces = lit_room(room, ()).surfaces
    areas = [vector_area(s.corners) for s in surfaces]
    np.testing.assert_allclose(np.sum(areas, axis=0), 0, atol=1e-9)
    volume = -sum(s.corners[0] @ a for s, a in zip(surfaces, areas, strict=True)) / 3
    outline = np.array(room.outline_m)
    xs, ys = (np.linspace(outline[:, k].min(), outline[:, k].max(), 401) for k in (0, 1))
    middles = [(a[1:] + a[:-1]) / 2 for a in (xs, ys)]
    cell = (xs[1] - xs[0]) * (ys[1] - ys[0])
    from lumen.scenario.outline import inside_outline

    expected = (
        sum(
            cell * ceiling_height_m(room, x, y)
            for x in middles[0][::8]
            for y in middles[1][::8]
            if inside_outline(room.outline_m, (x, y))
        )
        * 64
    )
    assert volume == pytest.approx(expected, rel=0.02)


def test_attic_ridge():
    """Two 40 degree slopes from 0.95 m knee walls 3.94 m apart meet at a 2.60 m ridge.

    Source: the attic room of our own list; 0.95 + 1.97 tan 40 = 2.603.
    """
    outline = ((0, 0), (3.94, 0), (3.94, 4.2), (0, 4.2))
    slopes = tuple(Slope(id=str(w), wall=w, knee_height_m=0.95, pitch_deg=40) for w in (1, 3))
    room = Room(outline_m=outline, height_m=4.0, slopes=slopes)
    assert ceiling_height_m(room, 1.97, 2.0) == pytest.approx(
        0.95 + 1.97 * math.tan(math.radians(40))
    )
    assert ceiling_height_m(room, 0.30, 2.0) == pytest.approx(1.20, abs=0.005)


def test_opening_keeps_wall_area():
    """A door cut out of a wall leaves the wall's whole area in pieces."""
    plain, door = (lit_room(rooms()[name], ()) for name in ("plain", "door"))

    def wall_area(room):
        return sum(
            np.linalg.norm(vector_area(s.corners))
            for s, n in zip(room.surfaces, room.surface_names, strict=True)
            if n.startswith("wall:0")
        )

    assert wall_area(door) == pytest.approx(wall_area(plain))
    assert "wall:0:door" in door.surface_names


def test_a_mirror_ends_at_the_slope():
    """On a gable wall a mirror ends where the slopes come down: 0.95 m + tan 40 a metre."""
    heights = [m.corners[:, 2].max() for _, m in mirrors_of(rooms()["attic, door and mirror"])]
    rise = math.tan(math.radians(40))
    assert heights == pytest.approx([0.95 + 1.0 * rise, 0.95 + 0.5 * rise])


@pytest.mark.parametrize("lean", [-8.0, 0.0, 5.0, 20.0])
def test_leaning_box_stands_on_the_floor(lean):
    """A leaning board touches the floor with its lower edge and its top moves by h sin(lean)."""
    board = Furniture(
        id="b", kind="headboard", at_m=(1.8, 2.9, 0), size_m=(1.6, 0.06, 1.1), lean_deg=lean
    )
    box = furniture_box(board)
    signs = np.array([[a, b, c] for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)])
    corners = box.centre + (signs * box.half_size) @ box.axes
    assert corners[:, 2].min() == pytest.approx(0, abs=1e-12)
    upright = furniture_box(board.model_copy(update={"lean_deg": 0.0}))
    top = corners[corners[:, 2] > 0.5]
    moved = top[:, 1].max() - (upright.centre[1] + 0.03)
    if lean > 0:
        assert moved == pytest.approx(1.1 * math.sin(math.radians(lean)), abs=1e-9)
    elif lean == 0:
        assert moved == pytest.approx(0, abs=1e-12)


def test_free_floor_leaves_out_furniture():
    """No floor point lies under a low box, nor in a slit between two; some do under a shelf."""
    room = Room(outline_m=PLAIN, height_m=2.4)
    low = Furniture(id="a", kind="chest", at_m=(1, 1, 0), size_m=(0.88, 0.88, 0.5))
    beside = low.model_copy(update={"id": "b", "at_m": (1.96, 1, 0)})  # 8 cm apart
    high = Furniture(id="s", kind="shelf", at_m=(1, 1, 1.2), size_m=(0.9, 0.9, 0.3))
    bare, with_low, with_high = (len(free_floor(room, f, 0.2)) for f in ((), (low,), (high,)))
    assert with_low == bare - 16
    assert with_high == bare
    slit = free_floor(room, (low, beside), 0.02)
    assert not ((abs(slit[:, 0] - 1.48) < 0.04) & (abs(slit[:, 1] - 1.0) < 0.4)).any()
