"""Plane mirrors: a published example, images by hand, windows, obstacles on both legs, energy."""

import math
from dataclasses import replace

import numpy as np
import pytest

from lumen.errors import GeometryError
from lumen.light.direct import illuminance_from
from lumen.light.geometry import Box, Surface
from lumen.light.intensity import IntensityDistribution
from lumen.light.interreflection import Transport, illuminance_map
from lumen.light.mirror import PlaneMirror, illuminance_through_mirror, with_mirrors
from lumen.light.room import Room
from lumen.light.sources import PanelSource, PointSource, StripSource
from lumen.light.visibility import Blocker

UP = np.array([[0.0, 0.0, 1.0]])


def lamp(at, candela=100.0):
    """An even lamp."""
    return PointSource(
        np.array(at, dtype=float), IntensityDistribution.isotropic(candela * 4 * math.pi)
    )


def ceiling(rho=0.90, size=9.0, level=5.0):
    """A mirror overhead that looks down."""
    a = size
    return PlaneMirror([[-a, -a, level], [-a, a, level], [a, a, level], [a, -a, level]], rho)


def test_published_example():
    """100 cd 4 m up, 1 m below a mirror of 0.90: 3.200 + 1.789 = 4.989 lx at 3 m.

    Source: A Textbook of Electrical Technology, vol. III, example 49.7 (prints 5.0 lx).
    """
    point = np.array([[3.0, 0.0, 0.0]])
    source = lamp([0, 0, 4])
    own = illuminance_from(source, point, UP)
    added = illuminance_through_mirror(ceiling(), source, point, UP)
    assert own[0] == pytest.approx(3.2, abs=5e-4)
    assert added[0] == pytest.approx(1.789, abs=5e-4)
    assert own[0] + added[0] == pytest.approx(4.989, abs=5e-4)
    assert round(float(own[0] + added[0]), 1) == 5.0


@pytest.mark.parametrize(("x", "seen"), [(1.9, True), (2.1, False)])
def test_outline_is_a_window(x, seen):
    """A mirror 1 m to its edge, half-way between lamp and floor in height, serves 2 m out.

    Lamp 4 m up, mirror at 5 m, image at 6 m: the edge ray leaves at x = 1 for 1 m of drop and
    meets the level 4 m up at x = 2.
    """
    point = np.array([[x, 0.0, 4.0]])
    added = illuminance_through_mirror(ceiling(size=1.0), lamp([0, 0, 4]), point, UP)
    assert (added[0] > 0) == seen


def test_outline_of_any_convex_shape():
    """A triangle serves exactly the receivers whose mirror point lies inside it."""
    triangle = PlaneMirror([[0, 0, 2], [0, 1, 2], [1, 0, 2]], 0.9)
    rng = np.random.default_rng(3)
    points = np.column_stack([rng.uniform(-2, 3, (400, 2)), np.zeros(400)])
    source = lamp([0.3, 0.3, 1.0])
    image = triangle.image(source.position)
    at = image + (points - image) * ((2.0 - image[2]) / (points[:, 2] - image[2]))[:, None]
    inside = (at[:, 0] > 0) & (at[:, 1] > 0) & (at[:, 0] + at[:, 1] < 1)
    added = illuminance_through_mirror(triangle, source, points, np.tile(UP, (400, 1)))
    assert ((added > 0) == inside).all()
    assert 20 < inside.sum() < 380


@pytest.mark.parametrize(
    "box",
    [
        Box([0.5, 0, 4.6], [0.05, 0.3, 0.3]),  # on the way up
        Box([1.5, 0, 4.0], [0.05, 0.3, 0.3]),  # on the way down
    ],
)
def test_obstacles_on_either_leg(box):
    """The bent way from (0, 4) by (0.75, 5) down is cut by a box on its first or second leg."""
    point = np.array([[4.5, 0.0, 0.0]])
    source = lamp([0, 0, 4])
    # image (0, 6): the way meets the mirror at x = 0.75
    free = illuminance_through_mirror(ceiling(), source, point, UP)
    cut = illuminance_through_mirror(ceiling(), source, point, UP, [Blocker.of_box(box)])
    aside = Blocker.of_box(Box(box.centre + np.array([0, 1.0, 0]), box.half_size))
    assert free[0] > 0
    assert cut[0] == 0
    assert illuminance_through_mirror(ceiling(), source, point, UP, [aside])[0] == free[0]


def test_the_wall_behind_the_mirror_does_not_hide_it():
    """Blockers behind the mirror's plane, such as its own wall, stand in nobody's way."""
    wall = Blocker.of_box(Box([0, 0, 5.05], [9, 9, 0.05]))
    point = np.array([[3.0, 0.0, 0.0]])
    added = illuminance_through_mirror(ceiling(), lamp([0, 0, 4]), point, UP, [wall])
    assert added[0] == pytest.approx(1.789, abs=5e-4)


def test_blocker_through_the_plane_hides_with_its_front_only():
    """A post that runs through the mirror's plane hides by what stands before it."""
    post = Blocker.of_box(Box([0.75, 0, 5.0], [0.05, 0.05, 1.0]))
    at = np.array([[4.5, 0.0, 0.0], [4.5, 2.0, 0.0]])
    added = illuminance_through_mirror(ceiling(), lamp([0, 0, 4]), at, np.tile(UP, (2, 1)), [post])
    assert added[0] == 0.0
    assert added[1] > 0.0


def test_distribution_is_mirrored_not_turned():
    """A beam aimed up at the mirror comes down beyond it; a lopsided one keeps its side.

    The image of a ray is a ray: the intensity toward the mirror point is the one received.
    """
    gamma = np.radians(np.arange(0, 181, 5.0))
    plane = np.radians(np.arange(0, 360, 15.0))
    candela = (1 + 0.8 * np.sin(plane))[:, None] * (1 + np.cos(gamma))[None, :] * 50
    full = IntensityDistribution(
        gamma, np.append(plane, 2 * math.pi), np.vstack([candela, candela[:1]])
    )
    turn = np.array([[0.6, 0.8, 0], [-0.8, 0.6, 0], [0, 0, 1.0]])
    source = PointSource(np.array([0, 0, 4.0]), full, turn)
    point = np.array([[1.2, 2.1, 0.0]])
    mirror = ceiling(1.0)
    image = mirror.image(source.position)
    hit = image + (point[0] - image) * (5 - 6) / (0 - 6)
    way = (hit - source.position) / np.linalg.norm(hit - source.position)
    intensity = float(full.intensity((turn @ way)[None])[0])
    length = np.linalg.norm(hit - source.position) + np.linalg.norm(point[0] - hit)
    down = (hit - point[0])[2] / np.linalg.norm(hit - point[0])
    added = illuminance_through_mirror(mirror, source, point, UP)
    assert added[0] == pytest.approx(intensity * down / length**2, rel=1e-9)


def test_strip_is_its_points():
    """The image of a strip is that of five hundred small Lambertian points along it."""
    strip = StripSource([[0, -1, 4], [0, 1, 4]], [0, 0, 1], 600.0, 0.001)
    mirror = ceiling(0.8, size=1.2)
    points = np.array([[0.5, 0.3, 0.0], [1.5, 0.0, 2.0], [4.9, 0.0, 0.0]])
    t = (np.arange(500) + 0.5) / 500 * 2 - 1
    expected = np.zeros(3)
    for y in t:
        image = np.array([0, y, 6.0])
        ray = points - image
        d = np.linalg.norm(ray, axis=1)
        hit = image + ray * (1.0 / (6.0 - points[:, 2]))[:, None]
        inside = (np.abs(hit[:, :2]) < 1.2).all(axis=1)
        cosine = -ray[:, 2] / d
        expected += inside * 0.8 * (600 * 2 / 500 / math.pi) * cosine**2 / d**2
    added = illuminance_through_mirror(mirror, strip, points, np.tile(UP, (3, 1)))
    np.testing.assert_allclose(added, expected, rtol=5e-3)
    assert added[2] > 0


def test_panel_image_keeps_its_lit_side():
    """A panel that faces the mirror lights the floor by its image, as a panel 6 m up would."""
    corners = np.array([[-0.2, -0.2, 4], [0.2, -0.2, 4], [0.2, 0.2, 4], [-0.2, 0.2, 4.0]])
    point = np.array([[0.5, 0.0, 0.0]])
    high = PanelSource((corners + np.array([0, 0, 2]))[::-1], 500.0)
    added = illuminance_through_mirror(ceiling(0.9), PanelSource(corners, 500.0), point, UP)
    # the panel itself does not stand in the way here
    assert added[0] == pytest.approx(0.9 * illuminance_from(high, point, UP)[0])


def test_behind_the_mirror_there_is_nothing():
    """A light or a receiver behind the plane has no part in it."""
    mirror = ceiling()
    point = np.array([[3.0, 0.0, 0.0]])
    assert illuminance_through_mirror(mirror, lamp([0, 0, 6]), point, UP)[0] == 0.0
    above = np.array([[1.0, 0.0, 5.5]])
    assert illuminance_through_mirror(mirror, lamp([0, 0, 4]), above, -UP)[0] == 0.0
    through = StripSource([[0, 0, 4], [0, 0, 6]], [1, 0, 0], 600.0)
    assert mirror.image_of(through) is None


def cube(rho, mirror_rho):
    """A room of 4 m, one wall x = 4 cut into a mirror of 2 x 2 m and what is round it."""

    def wall(*corners, value=rho):
        return Surface(np.array(corners, dtype=float), np.array(value))

    x = 4.0
    surfaces = [
        wall((0, 0, 0), (4, 0, 0), (4, 4, 0), (0, 4, 0)),
        wall((0, 0, 4), (0, 4, 4), (4, 4, 4), (4, 0, 4)),
        wall((0, 0, 0), (0, 4, 0), (0, 4, 4), (0, 0, 4)),
        wall((0, 0, 0), (0, 0, 4), (4, 0, 4), (4, 0, 0)),
        wall((0, 4, 0), (4, 4, 0), (4, 4, 4), (0, 4, 4)),
        wall((x, 0, 0), (x, 0, 4), (x, 1, 4), (x, 1, 0)),
        wall((x, 3, 0), (x, 3, 4), (x, 4, 4), (x, 4, 0)),
        wall((x, 1, 0), (x, 1, 1), (x, 3, 1), (x, 3, 0)),
        wall((x, 1, 3), (x, 1, 4), (x, 3, 4), (x, 3, 3)),
        wall((x, 1, 1), (x, 1, 3), (x, 3, 3), (x, 3, 1), value=mirror_rho),
    ]
    room = Room(tuple(surfaces), tuple(f"s{k}" for k in range(10)))
    mirror = PlaneMirror(surfaces[-1].corners, mirror_rho)
    return Transport.from_room(room), mirror


def both(rho, source, points, normals, mirror_rho=0.85):
    """Maps of a source with the mirror as a matt surface, and as a mirror."""
    transport, mirror = cube(rho, mirror_rho)
    sensors = transport.sensors(np.array(points, dtype=float), np.array(normals, dtype=float))
    matt = illuminance_map(transport, sensors, source)
    surfaces = with_mirrors(matt.surfaces, transport, source, [mirror])
    straight = illuminance_through_mirror(
        mirror, source, sensors.points, sensors.normals, transport.blockers
    )
    found = replace(
        matt,
        direct=matt.direct + straight,
        bounced=surfaces.bounced(sensors),
        surfaces=surfaces,
    )
    return transport, mirror, matt, found


def test_flux_on_the_mirror_goes_on():
    """Between black walls all absorb what comes: lamp's flux less (1 - rho) of the mirror's share.

    The mirror's share of an even lamp at 2 m from a square of 2 m is one sixth of the flux of a
    cube round it: solid angle 4 pi / 6 at 1 m, here by the closed form 4 asin(1 / (1 + 4)).
    """
    source = lamp([2, 2, 2])
    flux = source.flux_lm
    share = 4 * math.asin(1 / 5) / (4 * math.pi)  # square of half 1 m, 2 m off: sin a sin b
    transport, mirror, _, found = both(0.0, source, [[2, 2, 0.01]], [[0, 0, 1]])
    patches = transport.patches
    others = ~mirror.holds(patches)
    caught = float((found.patch_illuminance * patches.areas)[others].sum())
    assert caught == pytest.approx(flux * (1 - share) + 0.85 * flux * share, rel=4e-3)
    assert float((found.patch_illuminance * patches.areas)[~others].sum()) == pytest.approx(
        flux * share, rel=4e-3
    )


def test_energy_closes_with_a_mirror():
    """In a room of one reflectance, mirror included, absorbed flux is given flux."""
    source = lamp([1.3, 2.2, 2.4])
    transport, _, matt, found = both(0.6, source, [[2, 2, 0.01]], [[0, 0, 1]], mirror_rho=0.6)
    areas = transport.patches.areas
    for name, each in (("matt", matt), ("mirror", found)):
        absorbed = 0.4 * float((each.patch_illuminance * areas).sum())
        assert absorbed == pytest.approx(source.flux_lm, rel=5e-3), name


def test_mirror_is_only_its_patches():
    """The mirror's own patches are found, four square metres of them, and no others."""
    transport, mirror = cube(0.5, 0.85)
    held = mirror.holds(transport.patches)
    assert transport.patches.areas[held].sum() == pytest.approx(4.0)
    assert (transport.patches.reflectances[held] == 0.85).all()


@pytest.mark.parametrize(
    ("corners", "rho", "rule"),
    [
        ([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0.9, 0.1, 0]], 0.9, "flat and convex"),
        ([[0, 0, 0], [1, 0, 0], [1, 1, 0.2], [0, 1, 0]], 0.9, "flat and convex"),
        ([[0, 0, 0], [1, 0, 0], [2, 0, 0]], 0.9, "enclose an area"),
        ([[0, 0, 0], [1, 0, 0], [1, 1, 0]], 1.2, "from 0 to 1"),
        ([[0, 0, 0], [1, 0, math.inf], [1, 1, 0]], 0.9, "finite"),
        ([[0, 0], [1, 0], [1, 1]], 0.9, "three or more points"),
    ],
)
def test_bad_mirrors(corners, rho, rule):
    """A mirror that is not flat, convex and passive is refused in words."""
    with pytest.raises(GeometryError, match=rule):
        PlaneMirror(corners, rho)


def traced(rho, mirror_rho, start, particles=80_000, bounces=24):
    """Flux that falls on each side of the cube, by following particles; every mirror hit turns.

    An independent check written on plain numpy: sides x0 x1 y0 y1 z0 z1, the mirror on x1 apart.
    Returns the shares and their standard errors, each of the lamp's flux.
    """
    rng = np.random.default_rng(20)

    def sphere(n):
        v = rng.normal(size=(n, 3))
        return v / np.linalg.norm(v, axis=1, keepdims=True)

    p, d = np.tile(np.array(start, dtype=float), (particles, 1)), sphere(particles)
    weight = np.ones(particles)
    each = np.zeros((particles, 7))
    for _ in range(bounces):
        with np.errstate(divide="ignore"):
            t = np.where(d > 0, (4 - p) / d, -p / d)
        axis = t.argmin(axis=1)
        rows = np.arange(particles)
        p = np.clip(p + t[rows, axis, None] * d, 0.0, 4.0)
        side = 2 * axis + (d[rows, axis] > 0)
        glass = (side == 1) & (np.abs(p[:, 1:] - 2) < 1).all(axis=1)
        side = np.where(glass, 6, side)
        each[rows, side] += weight
        weight = weight * np.where(glass, mirror_rho, rho)
        inward = np.zeros((particles, 3))
        inward[rows, axis] = -np.sign(d[rows, axis])
        matt = inward + sphere(particles)  # cosine law
        matt /= np.linalg.norm(matt, axis=1, keepdims=True)
        turned = d - 2 * (d * inward).sum(axis=1)[:, None] * inward
        d = np.where(glass[:, None], turned, matt)
    total, squares = each.mean(axis=0), each.std(axis=0) / math.sqrt(particles)
    return total, squares


@pytest.mark.parametrize(("rho", "start"), [(0.5, (1.3, 2.2, 2.4)), (0.7, (3.2, 1.5, 1.0))])
def test_against_followed_particles(rho, start):
    """What falls on each wall agrees with particles that turn at the mirror at every hit.

    Tolerance: four standard errors and 1 % of the wall's light, for what reaches the mirror after
    a bounce and here goes on as from a matt surface. The mirror itself: 2 %.
    """
    expected, error = traced(rho, 0.85, start)
    source = lamp(start)
    transport, mirror, matt, found = both(rho, source, [[2, 2, 0.01]], [[0, 0, 1]])
    patches = transport.patches
    held = mirror.holds(patches)

    def by_side(each):
        lit = each.patch_illuminance * patches.areas / source.flux_lm
        n = patches.normals
        sides = [
            n[:, 0] > 0.9,
            (n[:, 0] < -0.9) & ~held,
            n[:, 1] > 0.9,
            n[:, 1] < -0.9,
            n[:, 2] > 0.9,
            n[:, 2] < -0.9,
            held,
        ]
        return np.array([lit[side].sum() for side in sides])

    share = np.array([0.01] * 6 + [0.02])
    assert (np.abs(by_side(found) - expected) <= 4 * error + share * expected).all(), (
        by_side(found) / expected
    )
    # and a matt patch instead of the mirror is told apart by the same measure
    assert (np.abs(by_side(matt) - expected) > 4 * error + share * expected).any()
