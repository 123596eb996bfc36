"""What the search asks gives the study's own numbers, for every kind of light and any place."""

from __future__ import annotations

import numpy as np
import pytest

import lumen
from lumen.find.reciprocity import Reciprocity, rows_of
from lumen.light.sources import PointSource
from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.study.lighting.maps import lighting

ROOMS = {path.stem: path for path in lumen.examples()}
SPOT = {"form": "beam", "beam_deg": 25}
DRUM = {"form": "shade", "bottom_diameter_m": 0.3, "height_m": 0.2, "material": "fabric, light"}
HEAD = {
    "form": "shade",
    "shape": "head",
    "bottom_diameter_m": 0.1,
    "height_m": 0.12,
    "material": "metal, white inside",
}
FILE = {
    "form": "file",
    "lm63": "IESNA:LM-63-2002\nTILT=NONE\n1 400 1 5 5 1 2 0.2 0.1 0\n1 1 5\n0 20 40 60 90\n"
    "0 90 180 270 360\n200 150 80 20 0\n200 100 40 10 0\n200 60 10 5 0\n200 100 40 10 0\n"
    "200 150 80 20 0\n",
}
KINDS = {
    "spot at a page": (SPOT, {"at": "page"}),
    "drum": (DRUM, {}),
    "head": (HEAD, {"tilt_deg": 40, "turn_deg": 20}),
    "all round": ({"form": "all round"}, {}),
    "opal": ({"form": "opal"}, {"tilt_deg": 90}),
    "soft": ({"form": "cosine", "beam_deg": 70}, {"tilt_deg": 170}),
    "file": (FILE, {"tilt_deg": 30, "turn_deg": -50}),
}


def changed(plan: Scenario, light: str, form: object, aim: dict[str, object]) -> Scenario:
    """The plan with another kind of light there, aimed."""
    page = f"page:{next(p.id for p in plan.people if p.reads)}"
    aim = {key: page if value == "page" else value for key, value in aim.items()}
    for field, value in (("distribution", form), ("aim", aim)):
        plan = apply(plan, {"name": "set", "id": light, "args": {"field": field, "value": value}})
    return plan


def moved(plan: Scenario, light: str, by: tuple[float, float, float]) -> Scenario:
    """The plan with a light moved."""
    return apply(plan, {"name": "move", "id": light, "args": {"by_m": list(by)}})


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    "room", ["plain-pair", "alcove-two-sleep-times", "attic-slope", "l-room-dressing-nook"]
)
def test_the_same_numbers_as_the_plain_way(room: str, kind: str) -> None:
    """Direct and bounced light at every target point, to 1e-5; the L-room has a mirror.

    In place and moved by 7 and 13 cm; the plain way is the study of the changed plan.
    """
    plan = lumen.load(ROOMS[room])
    light = plan.lights[0].id
    reciprocity = Reciprocity.of(plan)
    for by in ((0.0, 0.0, 0.0), (0.07, -0.02, 0.13)):
        plain = lighting(changed(moved(plan, light, by), light, *KINDS[kind]))
        source = plain.emitters[0].source
        assert isinstance(source, PointSource)
        direct, bounced = reciprocity.responses([source])
        scale = plain.direct[0].max() + plain.bounced[0].max()
        np.testing.assert_allclose(direct[0], plain.direct[0], rtol=1e-5, atol=1e-9 * scale)
        np.testing.assert_allclose(bounced[0], plain.bounced[0], rtol=1e-5, atol=1e-7 * scale)


def test_rows_are_means_and_points_of_targets() -> None:
    """A row of means gives the mean of the points, whatever else is asked beside it."""
    plan = lumen.load(ROOMS["plain-pair"])
    lit = lighting(plan)
    rows, places = rows_of(lit, {"page:left": True, "mattress": False})
    direct, bounced = Reciprocity.of(plan, rows).responses([lit.emitters[0].source])
    total = lit.direct[0] + lit.bounced[0]
    np.testing.assert_allclose(
        (direct + bounced)[0, places["page:left"]], total[lit.slices["page:left"]], rtol=1e-5
    )
    mean = total[lit.slices["mattress"]].mean()
    np.testing.assert_allclose((direct + bounced)[0, places["mattress"]], mean, rtol=1e-5)
    page = lit.slices["page:left"]
    assert len(rows) == page.stop - page.start + 1


def test_what_is_far_of_a_small_light_is_near_of_a_large_one() -> None:
    """One place asked for lights of two sizes, in either order, keeps them apart."""
    plan = lumen.load(ROOMS["plain-pair"])
    source = lighting(plan).emitters[0].source
    assert isinstance(source, PointSource)
    wide = PointSource(source.position, source.distribution, source.axes, 0.5)
    reciprocity = Reciprocity.of(plan)
    both = reciprocity.responses([source, wide])[0]
    again = reciprocity.responses([wide, source])[0]
    np.testing.assert_array_equal(both, again[::-1])
    assert np.abs(both[0] - both[1]).max() > 1e-3 * both[0].max()


def test_what_differs_in_its_receivers_keeps_its_places_apart() -> None:
    """Without bodies, or for a coarse look, one place is another: neither is given for the other.

    A reader's own head and shoulders keep some of the light from the page.
    """
    plan = lumen.load(ROOMS["plain-pair"])
    reciprocity = Reciprocity.of(plan)
    names = {reciprocity.content, reciprocity.coarse.content, reciprocity.without_bodies.content}
    assert len(names) == 3
    source = lighting(plan).emitters[0].source
    assert isinstance(source, PointSource)
    shaded, bare = (
        one.responses([source])[0].sum() for one in (reciprocity, reciprocity.without_bodies)
    )
    assert bare > shaded
