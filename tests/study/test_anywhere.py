"""Illuminance at any points: closed forms in odd rooms, points on surfaces and edges, refusals.

The direct references are worked out here with their own shadows: a way from lamp to point is walked
in small steps, each tested against the outline (by winding angle) and the furniture.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

import lumen
from lumen.errors import LumenError, PhotometryError
from lumen.scenario.document import Scenario, parse
from lumen.scenario.outline import inside_outline
from lumen.study.anywhere import illuminance_at
from lumen.study.lighting.maps import lighting
from lumen.study.report import report
from lumen.study.scene.surfaces import ceiling_height_m, furniture_box
from lumen.study.study import study

PLAIN = [[0, 0], [3.94, 0], [3.94, 4.2], [0, 4.2]]
ELL = [[0, 0], [4.8, 0], [4.8, 2.4], [3.0, 2.4], [3.0, 3.9], [0, 3.9]]
ALCOVE = [[0, 0], [4, 0], [4, 3], [3, 3], [3, 3.8], [1, 3.8], [1, 3], [0, 3]]
CUT_CORNER = [[0, 0], [4, 0], [4, 2.5], [3, 3.6], [0, 3.6]]
ATTIC = [
    {"id": f"slope {wall}", "wall": wall, "knee_height_m": 0.95, "pitch_deg": 40} for wall in (1, 3)
]
FLUX = 1000.0


def box(kind, at, size, **more):
    """A piece of furniture."""
    return {"id": f"{kind} {at}", "kind": kind, "at_m": at, "size_m": size, **more}


def room(outline, height, lamp, furniture=(), *, lrv=0.0, **more) -> Scenario:
    """A room of one grey, with an even lamp of 1000 lm somewhere in the air."""
    finish = {"lrv": lrv}
    light = {"mount": "stand", "mount_m": lamp, "projection_m": 0, "size_m": 0}
    return parse(
        {
            "format": "lumen-plan/1",
            "title": "odd",
            "room": {
                "outline_m": outline,
                "height_m": height,
                "finishes": {"floor": finish, "ceiling": finish, "walls": finish},
                **more,
            },
            "furniture": [{**item, "finish": finish} for item in furniture],
            "lights": [{"id": "lamp", **light, "lamp": {"flux_lm": FLUX, "power_w": 9}}],
        }
    )


def odd_rooms(lrv: float = 0.0) -> dict[str, Scenario]:
    """Bedrooms of every awkward kind."""
    slats = [box("batten", [0.3 + 0.12 * i, 3.85, 0], [0.04, 0.03, 2.2]) for i in range(6)]
    return {
        "L with a turned wardrobe": room(
            ELL,
            2.4,
            [4.2, 0.7, 1.9],
            [box("wardrobe", [2.0, 1.4, 0], [1.0, 0.6, 1.2], turn_deg=33)],
            lrv=lrv,
        ),
        "alcove with a leaning board": room(
            ALCOVE,
            2.5,
            [2.9, 3.4, 1.3],
            [
                box("mattress", [2, 2.6, 0.2], [1.6, 2, 0.25]),
                box("headboard", [2, 3.65, 0], [1.7, 0.06, 1.2], lean_deg=7),
            ],
            lrv=lrv,
        ),
        "attic with a curtain": room(
            PLAIN,
            4.0,
            [2.4, 3.0, 1.7],
            [box("curtain", [2, 2, 0], [1.4, 0.05, 2.0], turn_deg=20)],
            lrv=lrv,
            slopes=ATTIC,
        ),
        "loft": room(
            PLAIN,
            2.6,
            [1.0, 3.0, 1.4],
            [
                box("mattress", [1, 3, 1.7], [1, 2, 0.18]),
                box("desk", [1, 3.6, 0.7], [1, 0.6, 0.04]),
            ],
            lrv=lrv,
        ),
        "L under a slope, leaning post": room(
            ELL,
            2.6,
            [1.0, 3.0, 1.2],
            [box("batten", [1.5, 2, 0], [0.1, 0.1, 2.0], turn_deg=45, lean_deg=15)],
            lrv=lrv,
            slopes=[{"id": "slope", "wall": 0, "knee_height_m": 1.1, "pitch_deg": 45}],
        ),
        "slats before a wall": room(ELL, 2.4, [1.5, 3.0, 1.0], slats, lrv=lrv),
    }


def in_air(scenario: Scenario, point, off: float = 1e-4) -> bool:
    """Whether a point is in the room's air."""
    x, y, z = point
    if not inside_outline(scenario.room.outline_m, (x, y)):
        return False
    if not off < z < ceiling_height_m(scenario.room, x, y) - off:
        return False
    return not in_furniture(scenario, np.array([point])).any()


def in_furniture(scenario: Scenario, points):
    """Which points lie in a box."""
    found = np.zeros(len(points), dtype=bool)
    for item in scenario.furniture:
        solid = furniture_box(item)
        found |= (np.abs((points - solid.centre) @ solid.axes.T) < solid.half_size).all(axis=1)
    return found


def in_sight(scenario: Scenario, start, end) -> bool:
    """Whether nothing stands between two points, step by step."""
    steps = start + ((np.arange(1500) + 0.5) / 1500)[:, None] * (np.asarray(end) - start)
    ray = np.array(scenario.room.outline_m)[None] - steps[:, None, :2]
    nxt = np.roll(ray, -1, axis=1)
    cross = ray[..., 0] * nxt[..., 1] - ray[..., 1] * nxt[..., 0]
    around = np.arctan2(cross, (ray * nxt).sum(axis=-1)).sum(axis=1)
    return bool((around > 3.0).all() and not in_furniture(scenario, steps).any())


def somewhere(scenario: Scenario, count: int, seed: int):
    """Points in the air, and ways to look of any length."""
    rng = np.random.default_rng(seed)
    outline = np.array(scenario.room.outline_m)
    points = []
    while len(points) < count:
        x, y = rng.uniform(outline.min(axis=0), outline.max(axis=0))
        point = np.array([x, y, rng.uniform(0, scenario.room.height_m)])
        off = 1e-3  # nearer points are set clear of the wall
        if all(
            in_air(scenario, point + np.array([a, b, 0])) for a in (-off, off) for b in (-off, off)
        ):
            points.append(point)
    return np.array(points), rng.normal(size=(count, 3)) * rng.uniform(0.1, 9, (count, 1))


def from_lamp(lamp, point, normal) -> float:
    """Inverse square and cosine of an even lamp."""
    ray = np.asarray(lamp) - point
    d = np.linalg.norm(ray)
    return FLUX / (4 * math.pi) * max(0.0, ray @ normal / np.linalg.norm(normal)) / d**3


@pytest.mark.parametrize("name", odd_rooms())
def test_direct_light_in_odd_rooms(name):
    """In black rooms each of 120 points gets I cos / d2 where it sees the lamp, else nothing."""
    scenario = odd_rooms()[name]
    lamp = np.array(scenario.lights[0].mount_m)
    points, normals = somewhere(scenario, 120, 3)
    expected = [
        from_lamp(lamp, p, n) if in_sight(scenario, p, lamp) else 0.0
        for p, n in zip(points, normals, strict=True)
    ]
    assert 20 < np.count_nonzero(expected) < 100
    found = illuminance_at(scenario, points, normals, bounced=False)
    np.testing.assert_allclose(found, expected, rtol=1e-9, atol=1e-9)


def on_surfaces(scenario: Scenario, count: int, seed: int):
    """Random points on floor, ceilings, walls and boxes, none that is covered; and their area."""
    from lumen.light.geometry import convex_parts, plane_axes
    from lumen.study.scene.surfaces import lit_room

    rng = np.random.default_rng(seed)
    triangles, ways = [], []
    for surface in lit_room(scenario.room, ()).surfaces:
        u, v, n = plane_axes(surface.corners)
        flat = np.stack([u, v])
        for part in convex_parts(surface.corners @ flat.T):
            for i in range(1, len(part) - 1):
                triangles.append(part[[0, i, i + 1]] @ flat + (surface.corners[0] @ n) * n)
                ways.append(n)
    for item in scenario.furniture:
        solid = furniture_box(item)
        signs = np.array([(a, b, c) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)])
        for axis in range(3):
            for side in (-1, 1):
                face = signs[signs[:, axis] == side] * solid.half_size @ solid.axes + solid.centre
                triangles += [face[[0, 1, 2]], face[[1, 2, 3]]]
                ways += [side * solid.axes[axis]] * 2
    corners, normals = np.array(triangles), np.array(ways)
    edges = corners[:, 1:] - corners[:, :1]
    areas = np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1) / 2
    chosen = rng.choice(len(areas), count, p=areas / areas.sum())
    a, b = rng.random((2, count))
    a, b = np.where(a + b > 1, 1 - a, a), np.where(a + b > 1, 1 - b, b)
    points = corners[chosen, 0] + a[:, None] * edges[chosen, 0] + b[:, None] * edges[chosen, 1]
    open_ = np.array(
        [in_air(scenario, p, 1e-5) for p in points + 1e-3 * normals[chosen]], dtype=bool
    )
    return points[open_], normals[chosen][open_], areas.sum() * open_.mean()


@pytest.mark.parametrize(
    "name", ["L with a turned wardrobe", "attic with a curtain", "loft", "slats before a wall"]
)
def test_bounced_light_in_odd_rooms(name):
    """On average over all surfaces the bounced light is flux rho / (area (1 - rho)).

    Exact for one even reflectance in any shut room (energy); points lie exactly on the surfaces.
    Random points: tolerance 3 standard errors, and 1 % for the area that is counted with them.
    """
    scenario = odd_rooms(lrv=60.0)[name]
    points, normals, area = on_surfaces(scenario, 700, 11)
    total = illuminance_at(scenario, points, normals)
    bounced = total - illuminance_at(scenario, points, normals, bounced=False)
    error = bounced.std() / math.sqrt(len(bounced))
    assert abs(bounced.mean() - FLUX * 0.6 / (area * 0.4)) < 3 * error + 0.01 * bounced.mean()
    assert error < 0.04 * bounced.mean()


MIRROR = {"id": "glass", "kind": "mirror", "from_m": 0.3, "to_m": 1.2, "sill_m": 0.2, "head_m": 1.9}


@pytest.mark.parametrize(
    ("outline", "wall", "lamp", "slopes"),
    [
        (CUT_CORNER, 2, [1.2, 1.0, 1.6], []),
        (ELL, 3, [0.7, 3.4, 1.4], []),
        (PLAIN, 2, [2.4, 1.0, 1.5], ATTIC),
    ],
    ids=["cut corner", "L, wall of the notch", "gable under two slopes"],
)
def test_mirror_in_odd_rooms(outline, wall, lamp, slopes):
    """In a black room a mirror adds 0.85 of the lamp's image where that shows within its outline.

    Image and window worked out here; the mirror's other half of the way has nothing in it.
    """
    if slopes:
        glass = MIRROR | {"wall": wall, "from_m": 1.2, "to_m": 2.6}
    else:
        glass = MIRROR | {"wall": wall}
    scenario = room(outline, 2.6, lamp, openings=[glass], slopes=slopes)
    start, end = (np.array(outline[(wall + k) % len(outline)], dtype=float) for k in (0, 1))
    along = (end - start) / np.linalg.norm(end - start)
    inward = np.array([-along[1], along[0]])
    off = (np.array(lamp[:2]) - start) @ inward
    image = np.array([*(np.array(lamp[:2]) - 2 * off * inward), lamp[2]])
    points, normals = somewhere(scenario, 150, 5)
    expected, mirrored = [], 0
    for p, n in zip(points, normals, strict=True):
        lux = from_lamp(lamp, p, n) if in_sight(scenario, p, lamp) else 0.0
        ahead = (p[:2] - start) @ inward
        hit = p + ahead / (ahead + off) * (image - p) if ahead > 0 else None
        if hit is not None and off > 0:
            s = (hit[:2] - start) @ along
            within = glass["from_m"] < s < glass["to_m"] and 0.2 < hit[2] < 1.9
            before = hit + 1e-6 * np.array([*inward, 0.0])
            if within and in_sight(scenario, p, before) and in_sight(scenario, before, lamp):
                lux += 0.85 * from_lamp(image, p, n)
                mirrored += 1
        expected.append(lux)
    assert mirrored > 15
    found = illuminance_at(scenario, points, normals, bounced=False)
    np.testing.assert_allclose(found, expected, rtol=1e-6, atol=1e-9)
    whole = illuminance_at(scenario, points, normals)
    np.testing.assert_allclose(whole, expected, rtol=1e-5, atol=1e-5)


def test_a_turned_wardrobe_with_a_mirror_front():
    """A mirror on a turned wardrobe adds 0.85 of the image, seen within the front's outline.

    Worked out in the wardrobe's own frame: the image lies as far behind the front as the lamp
    before it.
    """
    lamp = np.array([2.4, 2.6, 1.3])
    wardrobe = box("wardrobe", [1.2, 0.9, 0], [1.6, 0.6, 2.0], turn_deg=160, mirror_front=True)
    scenario = room(PLAIN, 2.5, lamp.tolist(), [wardrobe])
    turn = math.radians(160)
    right = np.array([math.cos(turn), math.sin(turn), 0.0])
    front = np.array([math.sin(turn), -math.cos(turn), 0.0])  # away from the box's back
    middle = np.array([1.2, 0.9, 1.0]) + 0.3 * front
    off = (lamp - middle) @ front
    image = lamp - 2 * off * front
    points, normals = somewhere(scenario, 150, 8)
    expected, mirrored = [], 0
    for p, n in zip(points, normals, strict=True):
        lux = from_lamp(lamp, p, n) if in_sight(scenario, p, lamp) else 0.0
        ahead = (p - middle) @ front
        if ahead > 0:
            hit = p + ahead / (ahead + off) * (image - p) - middle
            if abs(hit @ right) < 0.8 and abs(hit[2]) < 1.0:
                lux += 0.85 * from_lamp(image, p, n)
                mirrored += 1
        expected.append(lux)
    assert off > 0.5
    assert mirrored > 15
    found = illuminance_at(scenario, points, normals)
    np.testing.assert_allclose(found, expected, rtol=1e-5, atol=1e-5)


@pytest.fixture(scope="module")
def grey() -> Scenario:
    """The L with its turned wardrobe, half of all light thrown back."""
    return odd_rooms(lrv=50.0)["L with a turned wardrobe"]


@pytest.mark.parametrize(
    ("on", "step", "normal"),
    [
        ([0, 1.5, 0], [1, 0, 1], [0, 0, 1]),
        ([0, 1.5, 0], [1, 0, 1], [1, 0, 0]),
        ([0, 0, 0], [1, 1, 1], [0, 0, 1]),
        ([3, 2.4, 1.2], [-1, -1, 0], [0, -1, 0]),
        ([2.0, 1.4, 1.2], [0, 0, 1], [0, 0, 1]),
        ([1, 1, 2.4], [0, 0, -1], [0, 0, -1]),
        ([4.8, 1.0, 1.0], [-1, 0, 0], [-1, 0, 0]),
    ],
    ids=["edge, up", "edge, in", "corner", "reflex corner", "on a box", "ceiling", "wall"],
)
def test_on_a_surface_is_as_just_before_it(grey, on, step, normal):
    """Exactly on a surface, edge or corner there is the light of a millimetre off it, within 1 %.

    So it is up to a millimetre behind the surface, where rounding may have put a point.
    """
    points = [np.array(on) + off * np.array(step) for off in (0.0, 1e-3, -5e-4)]
    here, before, behind = illuminance_at(grey, points, normal)
    assert here == pytest.approx(before, rel=0.01)
    assert behind == pytest.approx(here, rel=0.01)


def test_inside_furniture_it_is_dark(grey):
    """A point in the middle of a wardrobe gets nothing, whichever way it looks."""
    assert illuminance_at(grey, [[2.0, 1.4, 0.6]] * 2, [[0, 0, 1], [1, 0, 0]]).tolist() == [0, 0]


def test_lists_one_point_and_none(grey):
    """Lists do; one point gives one number; one normal serves all; no points give no numbers."""
    one = illuminance_at(grey, [1, 1, 1], (0, 0, 2))
    many = illuminance_at(grey, [[1, 1, 1], [1.5, 1, 1]], [0, 0, 1])
    assert one.shape == (1,)
    assert many[0] == pytest.approx(one[0], rel=1e-6)
    for none in ([], np.zeros((0, 3)), np.zeros(0)):
        assert illuminance_at(grey, none, none).shape == (0,)


@pytest.mark.parametrize(
    ("points", "normals", "setup", "said"),
    [
        ([[9, 9, 1]], [0, 0, 1], None, r"points\[0\] must lie in the room: got \[9"),
        ([[1, 1, 1], [3.5, 3.0, 1]], [0, 0, 1], None, r"points\[1\] must lie in the room"),
        ([[1, 1, 2.5]], [0, 0, 1], None, r"points\[0\] must lie in the room"),
        ([[1, 1, -0.01]], [0, 0, 1], None, r"points\[0\] must lie in the room"),
        ([[1, 1, 1]] * 2, [[0, 0, 1], [0, 0, 0]], None, r"normals\[1\] must not be zero"),
        ([[1, 1, 1]], [[0, 0, 1]] * 2, None, "normals must be as many as the points, 1: got 2"),
        ([[1, 1]], [0, 0, 1], None, r"points must be of shape \(n, 3\)"),
        ([[1, 1, math.nan]], [0, 0, 1], None, r"points\[0\] must be finite"),
        ("here", [0, 0, 1], None, "points must be numbers"),
        ([[1, 1, 1], [2, 2]], [0, 0, 1], None, "points must be numbers"),
        ([[1, 1, 1]], [0, 0, 1], "nought", "setup must be None: the plan has none"),
    ],
)
def test_refusals(grey, points, normals, setup, said):
    """What cannot be answered is refused with field, rule and value."""
    with pytest.raises(LumenError, match=said):
        illuminance_at(grey, points, normals, setup=setup)


def test_unknown_setup_names_the_known():
    """A setup that is not in the plan is refused with those that are."""
    plan = lumen.load(lumen.examples()[0])
    with pytest.raises(LumenError, match=r"setup must be one of .*read both"):
        illuminance_at(plan, [[1.8, 1.0, 0.9]], [0, 0, 1], setup="read all")


def test_it_is_the_study_s_light():
    """At the study's own points it gives the study's numbers; its bounced light within 2 %.

    How much of a half-hidden patch a point sees is sampled, and sampled anew with other points.
    """
    plan = odd_rooms(lrv=50.0)["loft"]
    lit = lighting(plan)
    target = next(t for t in lit.targets if t.id == "floor")
    part = lit.slices["floor"]
    direct = illuminance_at(plan, target.points, target.normals, bounced=False)
    np.testing.assert_allclose(direct, lit.direct[0, part], rtol=1e-9)
    whole = illuminance_at(plan, target.points, target.normals)
    np.testing.assert_allclose(whole, (lit.direct + lit.bounced)[0, part], rtol=0.02)


def lm63(
    vertical, horizontal, candela, *, head="IESNA:LM-63-2002", numbers="1 -1 1", more=""
) -> str:
    """A photometric file of type C with those angles and intensities."""
    v, h = " ".join(map(str, vertical)), " ".join(map(str, horizontal))
    table = "\n".join(" ".join(map(str, row)) for row in candela)
    counts = f"{numbers} {len(vertical)} {len(horizontal)} 1 2 0 0 0"
    return f"{head}\nTILT=NONE\n{counts}\n1 1 10\n{v}\n{h}\n{table}{more}\n"


COSINE = [round(200 * math.cos(math.radians(g)), 6) for g in range(0, 91, 5)]


def aimed(text: str, flux: float = 200 * math.pi, **aim: Any) -> Scenario:
    """A black room, a head of 200 cd on wall 3 at 1.5 m that aims as told."""
    plan = room(PLAIN, 2.6, [0.0, 2.0, 1.5])
    light = plan.lights[0].model_dump(exclude_unset=True) | {
        "mount": "wall",
        "wall": 3,
        "aim": aim,
        "distribution": {"form": "file", "lm63": text},
        "lamp": {"flux_lm": flux, "power_w": 9},
    }
    return parse(plan.model_dump(exclude_unset=True) | {"lights": [light]})


@pytest.mark.parametrize(
    ("text", "flux"),
    [
        (lm63(range(0, 91, 5), [0], [COSINE]), 1.0),
        (lm63(range(0, 91, 5), [0, 90], [COSINE] * 2), 1.0),
        (lm63(range(0, 91, 5), [0, 90, 180], [COSINE] * 3), 1.0),
        (lm63(range(0, 91, 5), [90, 180, 270], [COSINE] * 3), 1.0),
        (lm63(range(0, 91, 5), [0, 120, 240, 360], [COSINE] * 4), 1.0),
        (lm63(range(0, 91, 5), [0, 120, 240], [COSINE] * 3), 1.0),
        (lm63(range(90, -1, -5), [0], [COSINE[::-1]]), 1.0),
        (lm63(range(0, 91, 5), [0], [COSINE], head="IESNA: LM-63-2002 "), 1.0),
        (lm63(range(0, 91, 5), [0], [COSINE], head="IESNA91", numbers="1 -1 0.5"), 0.5),
        (lm63(range(0, 91, 5), [0], [COSINE], head="a label\nanother"), 1.0),
        (lm63(range(0, 91, 5), [0], [COSINE], more="\n\x1aEND OF FILE"), 1.0),
        (lm63(range(0, 91, 5), [0], [COSINE]).replace("\n", "\r"), 1.0),
        (lm63(range(0, 91, 5), [0], [COSINE]).replace(" ", ",  "), 1.0),
        (lm63(range(0, 91, 5), [0], [COSINE]).replace("TILT=", "TILT = "), 1.0),
        (lm63(range(0, 91, 5), [0], [COSINE]).replace("1 1 10\n", ""), 1.0),
        (lm63(range(0, 91, 5), [0], [COSINE]).replace("1 1 10\n", "0 1 0\n"), 1.0),
        (
            lm63(range(0, 91, 5), [0], [COSINE]).replace(
                "TILT=NONE", "TILT=INCLUDE\n1\n3\n0 90 180\n1 .9 1"
            ),
            1.0,
        ),
        (
            lm63(range(0, 91, 5), [0], [COSINE], numbers=f"1 {100 * math.pi:.6f} 1"),
            2.0,
        ),
    ],
)
def test_an_aimed_light_from_a_file(text, flux):
    """However its file is written, I0 cos aimed at 45 degrees gives 87.30 lx 0.9 m down the beam.

    E = I0 (a . r)(n . r) / r2 = 200 x 0.7071 / 1.62 (own exact case; no printed one was found). A
    file's lamp flux is taken over to the plan's bulb; one of absolute photometry keeps its own.
    """
    plan = aimed(text, tilt_deg=45)
    (lux,) = illuminance_at(plan, [[0.9, 2.0, 0.6]], [0, 0, 1], bounced=False)
    assert lux == pytest.approx(flux * 200 * math.sqrt(0.5) / 1.62, rel=1e-5)


def test_what_a_file_needed_is_told():
    """What was put right in a file stands in the study and in its text, with the light's name."""
    plan = aimed(lm63(range(90, -1, -5), [0], [COSINE[::-1]]))
    found = study(plan)
    notes = [item["note"] for item in found.to_json()["notes"] if item["of"] == "lamp"]
    assert any("descend" in note for note in notes)
    assert all(f"lamp: {note}" in report(found) for note in notes)


def test_a_file_that_cannot_be_read_names_its_light():
    """Angles out of order are refused, and the sentence says in which light."""
    text = lm63([0, 45, 30, 90], [0], [[100, 80, 60, 0]])
    with pytest.raises(PhotometryError, match="lamp: vertical angles must ascend"):
        illuminance_at(aimed(text), [[1, 1, 1]], [0, 0, 1])
