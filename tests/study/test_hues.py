"""Colour of bounced light: closed forms for one paint, luminance kept, grey rooms left alone."""

import json
import math

import numpy as np
import pytest

from lumen.light.colour import mixed_white, xy_of_rgb
from lumen.light.interreflection import PHOTOMETRIC, Transport, illuminance_map
from lumen.light.room import Room as LitRoom
from lumen.scenario.document import dump, parse
from lumen.scenario.room import Finish
from lumen.study.eyes.comfort import comfort
from lumen.study.lighting.hues import coloured, exitance_in_colour, finishes, hue_of, hues_at, paint
from lumen.study.lighting.maps import lighting
from lumen.study.scene.surfaces import lit_room

RED = {"lrv": 30, "colour": "#d0806a"}
GREY = {"lrv": 30}


def plan(walls=GREY, floor=GREY, ceiling=GREY, **changes):
    """A room with one lamp in the air, a bed and a reader."""
    data = {
        "format": "lumen-plan/1",
        "title": "hues",
        "room": {
            "outline_m": [[0, 0], [4, 0], [4, 4], [0, 4]],
            "height_m": 2.6,
            "finishes": {"floor": floor, "ceiling": ceiling, "walls": walls},
        },
        "furniture": [
            {
                "id": "bed",
                "kind": "mattress",
                "at_m": [2, 2.9, 0],
                "size_m": [1.6, 2, 0.5],
                "finish": floor,
            }
        ],
        "people": [{"id": "reader", "side": "middle"}],
        "lights": [
            {
                "id": "lamp",
                "mount": "stand",
                "mount_m": [1.2, 1.2, 1.5],
                "projection_m": 0,
                "lamp": {"flux_lm": 800, "power_w": 8},
            }
        ],
        "setups": [{"id": "on", "levels": {"lamp": 1}}],
        **changes,
    }
    return parse(data)


def test_paint_keeps_its_light_reflectance_value():
    """The luminance of a paint's three channels is its LRV; too strong a colour turns paler."""
    assert PHOTOMETRIC @ paint(Finish(lrv=30, colour="#d0806a")) == pytest.approx(0.30)
    strong = paint(Finish(lrv=60, colour="#ff0000"))
    assert PHOTOMETRIC @ strong == pytest.approx(0.60)
    assert strong.max() == pytest.approx(0.98)
    assert paint(Finish(lrv=60, colour="#000000")).tolist() == [0.6, 0.6, 0.6]


def test_one_paint_all_over_is_the_sphere_s_law():
    """With one paint on everything each channel's exitance is rho / (1 - rho) of the direct flux.

    Exact on average over any shut room. Holding each patch to its photometric luminance costs some
    of it: less than 1 % for a pale paint, 5 % for a strong one.
    """
    for colour, within in (("#a89a94", 0.01), (RED["colour"], 0.05)):
        finish = {"lrv": 30, "colour": colour}
        lit = lighting(plan(finish, finish, finish))
        mean = lit.transport.patches.areas @ exitance_in_colour(lit)[0]
        rho = paint(Finish(**finish))
        law = rho / (1 - rho)
        np.testing.assert_allclose(mean / mean[1], law / law[1], rtol=within)


def test_luminance_is_the_photometric_answer():
    """Every patch keeps the exitance that the study has; only its hue is new."""
    lit = lighting(plan(RED))
    found = exitance_in_colour(lit)
    np.testing.assert_allclose(found @ PHOTOMETRIC, [m.patch_exitance for m in lit.maps], rtol=1e-6)


def test_three_channels_of_the_engine_agree():
    """The engine's own three channels, solved from scratch, give the same hues within 1 %."""
    scenario = plan(RED, {"lrv": 20, "colour": "#4a6a90"})
    lit = lighting(scenario)
    grey = lit_room(scenario.room, scenario.furniture)
    paints = [paint(f) for f in finishes(scenario.room, scenario.furniture)]
    count = len(grey.surfaces)
    surfaces = tuple(type(s)(s.corners, rho) for s, rho in zip(grey.surfaces, paints, strict=False))
    room = LitRoom(
        surfaces, grey.surface_names, grey.boxes, grey.box_names, (np.array(paints[count:]),)
    )
    transport = Transport.from_room(room)
    points, normals = np.array([[2.0, 2.0, 1.5]]), np.array([[0.0, 0.0, 1.0]])
    sensors = transport.sensors(points, normals)
    solved = illuminance_map(transport, sensors, lit.emitters[0].source)
    want = hue_of(solved.bounced_rgb[0])
    np.testing.assert_allclose(hues_at(lit, points, normals)[0], want, rtol=0.01)


def test_grey_rooms_have_no_hues():
    """Without colours nothing is reckoned, and the white on the page is the lamp's."""
    lit = lighting(plan())
    assert not coloured(lit)
    assert exitance_in_colour(lit) is None
    assert hues_at(lit, np.array([[1, 1, 1.0]]), np.array([[0, 0, 1.0]])) is None
    (white,) = comfort(lit).whites("on")
    assert white.white.cct_k == pytest.approx(2700, abs=1)


def test_colours_leave_lux_alone():
    """Illuminance of a coloured room is that of the grey one with the same LRVs."""
    a, b = (lighting(plan(walls)).answer("page:reader", "on") for walls in (RED, GREY))
    assert a.average_lx == b.average_lx


def test_red_walls_make_the_page_warmer():
    """Between red walls the page's light is warmer than the lamp, by the mixture of its parts."""
    lit = lighting(plan(RED))
    (red,) = comfort(lit).whites("on")
    assert red.white.cct_k < 2650
    (share,) = lit.answer("page:reader", "on").by_source
    page = next(t for t in lit.targets if t.id == "page:reader")
    hue = hues_at(lit, page.points, page.normals)[0]
    assert hue[0] > 1.05 > 0.95 > hue[2]
    from lumen.light.colour import tint_of_white

    bounced = xy_of_rgb(hue * np.array(tint_of_white(2700.0, None)))
    want = mixed_white([(share.direct_lx, 2700.0), (share.bounced_lx, bounced)])
    assert (red.white.x, red.white.y) == pytest.approx((want.x, want.y))


def test_the_glow_takes_the_wall_s_colour():
    """Light on a wall above a board goes on in the wall's paint, and more so after a bounce."""
    board = {"id": "board", "kind": "headboard", "at_m": [2, 3.93, 0], "size_m": [1.6, 0.06, 1.1]}
    strip = {
        "id": "glow",
        "path_m": [[1.3, 3.98, 1.05], [2.7, 3.98, 1.05]],
        "facing": "up",
        "flux_lm_per_m": 500,
        "power_w_per_m": 5,
    }
    base = plan(RED)
    data = json.loads(dump(base))
    lit = lighting(parse({**data, "furniture": [*data["furniture"], board], "strips": [strip]}))
    (glow,) = comfort(lit).glow
    rho = paint(Finish(**RED)) / 0.30
    assert glow.hue.shape == (2, 3)
    np.testing.assert_allclose(glow.hue @ PHOTOMETRIC, 1.0)
    assert (glow.hue[:, 0] >= rho[0] * 0.999).all()
    assert (glow.hue[:, 0] < rho[0] ** 2).all()
    assert not math.isclose(*glow.hue[:, 0], rel_tol=1e-3)
