"""The lit page lights its reader: form factor by hand, every face alike, screens, who reads."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest

from lumen.errors import ScenarioError
from lumen.light.colour import melanopic_ratio
from lumen.scenario.base import middle
from lumen.scenario.document import Scenario, dump, parse
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.anywhere import illuminance_at
from lumen.study.lighting.fields import fields, grids
from lumen.study.lighting.glow import glows
from lumen.study.lighting.maps import Lighting, lighting
from lumen.study.scene.body import own_shadow
from lumen.study.scene.reading import other_pages, reading_of
from lumen.study.scene.surfaces import held_in, reflectance, solid_at
from lumen.study.scene.targets import bed_of, lying_eye, slouched_eye, targets
from lumen.study.study import study
from lumen.study.wishes.verdicts import aim_results

PAIR = next(p for p in map(load, examples()) if p.title == "Plain pair")


def dark_plan(*, lrv: float = 0.0, setup: dict[str, Any] | None = None, **person: Any) -> Scenario:
    """A room, black or grey, with one reader and a lamp over the foot of the bed."""
    finish = {"lrv": lrv}
    return parse(
        {
            "format": "lumen-plan/1",
            "title": "reading",
            "room": {
                "outline_m": [[0, 0], [4, 0], [4, 4], [0, 4]],
                "height_m": 2.6,
                "finishes": {"floor": finish, "ceiling": finish, "walls": finish},
            },
            "furniture": [
                {
                    "id": "mattress",
                    "kind": "mattress",
                    "at_m": [2, 2.9, 0],
                    "size_m": [1.6, 2.0, 0.5],
                    "finish": finish,
                }
            ],
            "people": [
                {"id": "one", "side": "left", **person},
                {"id": "two", "side": "right", "reads": False},
            ],
            "lights": [
                {
                    "id": "lamp",
                    "mount": "stand",
                    "mount_m": [1.6, 3.6, 2.0],
                    "projection_m": 0,
                    "size_m": 0,
                    "distribution": {"form": "cosine", "beam_deg": 60},
                    "aim": {"at": "page:one"},
                    "lamp": {"flux_lm": 300, "power_w": 5, "cct_k": 2700},
                }
            ],
            "setups": [{"id": "on", "levels": {"lamp": 1.0}, **(setup or {})}],
        }
    )


def facing_rectangle(width_m: float, height_m: float, distance_m: float) -> float:
    """Configuration factor of a rectangle that squarely faces an element on its axis.

    Four times that of a quarter (J. R. Howell, A Catalog of Radiation Heat Transfer Configuration
    Factors, B-3; the number from memory).
    """
    a, b = width_m / 2 / distance_m, height_m / 2 / distance_m
    p, q = math.sqrt(1 + a * a), math.sqrt(1 + b * b)
    return 2 / math.pi * (a / p * math.atan(b / p) + b / q * math.atan(a / q))


def test_a_page_of_300_lx_gives_its_readers_eye_46_lx() -> None:
    """White paper of 40 x 30 cm at 40 cm: 300 x 0.8 x 0.19 = 45.6 lx, some 18 melanopic at 2700 K.

    In a black room nothing else takes part, and the eye's own direct light is taken off.
    """
    assert facing_rectangle(0.4, 0.3, 0.4) == pytest.approx(0.1900, abs=1e-4)
    reads, sleeps = (lighting(dark_plan(setup={"reading": who})) for who in (["one"], []))
    page = reads.answer("page:one", "on").average_lx
    gain = (
        300
        / page
        * (
            reads.answer("eye:one:sitting", "on").average_lx
            - sleeps.answer("eye:one:sitting", "on").average_lx
        )
    )
    assert gain == pytest.approx(300 * 0.8 * 0.1900, rel=2e-3)
    ratio = melanopic_ratio(2700, "led")[0]
    assert 17 < ratio * gain < 19
    assert page == pytest.approx(sleeps.answer("page:one", "on").average_lx)


def test_a_tablet_gives_pi_l_f_to_the_eye_whatever_the_lamps() -> None:
    """A screen of 40 cd/m2: E = pi L F at the eye that looks at it; 6500 K, or warm at night."""
    dark = dark_plan(reads_from="tablet", setup={"levels": {}, "reading": ["one"]})
    lit = lighting(dark)
    found = lit.answer("eye:one:sitting", "on")
    factor = facing_rectangle(0.155, 0.207, 0.4)
    assert found.average_lx == pytest.approx(math.pi * 40 * factor, rel=3e-3)
    assert found.melanopic_lx == pytest.approx(found.average_lx * melanopic_ratio(6500, "led")[0])
    assert [share.id for share in found.by_source] == ["screen:one"]
    # as unsure as the table says: 10 to 300 cd/m2
    assert found.low_lx == pytest.approx(found.average_lx * 10 / 40)
    assert found.high_lx == pytest.approx(found.average_lx * 300 / 40)
    night = dark_plan(
        reads_from="tablet",
        page={"night_mode": True, "luminance_cd_m2": 40},
        setup={"levels": {}, "reading": ["one"]},
    )
    warm = lighting(night).answer("eye:one:sitting", "on")
    assert warm.average_lx == pytest.approx(found.average_lx)
    assert warm.melanopic_lx < 0.75 * found.melanopic_lx
    other = lit.answer("eye:two:lying left", "on").average_lx
    assert 0 < other < found.average_lx / 10


def test_the_lit_page_is_linear_and_bounced_light_of_its_light() -> None:
    """Half the light, half the answer; the shares add up to it, and it ages as its lamp does."""
    plan = dark_plan(lrv=50.0)
    setups = [s.model_copy(update={"id": "half", "levels": {"lamp": 0.5}}) for s in plan.setups]
    lit = lighting(plan.model_copy(update={"setups": (*plan.setups, *setups)}))
    assert lit.reading == {"on": ("one",), "half": ("one",)}
    for target in lit.targets:
        full, half = (lit.answer(target.id, setup) for setup in ("on", "half"))
        assert half.average_lx == pytest.approx(full.average_lx / 2)
        assert sum(s.direct_lx + s.bounced_lx for s in full.by_source) == pytest.approx(
            full.average_lx
        )
        assert full.after_years_lx == pytest.approx(0.8 * full.average_lx)  # table maintenance


@pytest.mark.parametrize("path", examples(), ids=lambda path: path.stem)
def test_every_face_shows_the_page_s_light(path: Any) -> None:
    """Cards, maps, glow and `illuminance_at` agree in every setup in which somebody reads."""
    plan = load(path)
    lit = lighting(plan)
    maps = fields(lit)
    for setup in [name for name, who in lit.reading.items() if who][:2]:
        for target in [t for t in lit.targets if t.id == "mattress" or t.posture in LOOKED_FROM]:
            if held_in(plan.room, plan.furniture, target.points)[1].any():
                continue  # who sits up under a slope has the eyes in it
            asked = illuminance_at(
                plan, target.points, target.normals, setup=setup, target=target.id
            )
            np.testing.assert_allclose(asked.mean(), lit.answer(target.id, setup).average_lx, 2e-3)
        found = _map_mean(lit, maps, "mattress", setup)
        # the map's cells lie between the card's points; both see the same page
        assert found == pytest.approx(lit.answer("mattress", setup).average_lx, rel=0.08)
        for glow in glows(lit):
            read = np.array([page in lit.pages_read(setup) for page in lit.pages])
            along = glow.along[:: len(glow.along) // 5]
            wall = next(grid for grid in grids(plan) if grid.id == "wall")
            places = wall.corner + along[:, None] * wall.u + 0.002 * wall.normal
            places[:, 2] += glow.height_m
            asked = illuminance_at(plan, places, wall.normal, setup=setup)
            line = glow.profile(lit.weights(setup), read)[:: len(glow.along) // 5]
            np.testing.assert_allclose(line, asked * reflectance(wall.finish) / np.pi, rtol=0.05)


LOOKED_FROM = ("sitting", "lying left", "lying back", "door")


def _map_mean(lit: Lighting, maps: Any, grid: str, setup: str) -> float:
    """Mean of a map in a setup, summed as the browser does."""
    levels = dict(zip((e.id for e in lit.emitters), lit.weights(setup), strict=True))
    read = set(maps["reading"][setup])
    levels |= {
        name: sum(levels[source] * lx for source, lx in of.items())
        for name, of in maps["pages"].items()
        if name in read
    } | {name: levels[of["source"]] for name, of in maps["shadows"].items() if of["page"] in read}
    parts = [maps["grids"][grid][part] for part in ("direct", "bounced")]
    return float(sum(levels.get(name, 0.0) * part[name].mean() for part in parts for name in part))


def test_who_reads_follows_wishes_and_own_lights_unless_it_is_written() -> None:
    """A wish for the page, an own light at half or more; a list overrules both, empty as well."""
    by_id = {t.id: t for t in targets(PAIR)}
    assert reading_of(PAIR, by_id)["read left"] == ("left",)
    no_wish = PAIR.model_copy(update={"aims": ()})
    assert reading_of(no_wish, by_id)["read left"] == ("left",)
    dimmed = apply(
        no_wish,
        {"name": "level", "args": {"setup": "read left", "of": "left light", "value": 0.4}},
    )
    assert reading_of(dimmed, by_id)["read left"] == ()
    for who in ([], ["right"], ["left", "right"]):
        args = {"field": "reading", "value": who}
        written = apply(PAIR, {"name": "set", "id": "read left", "args": args})
        assert reading_of(written, by_id)["read left"] == tuple(who)


def test_who_reads_is_an_assumption_until_it_is_written() -> None:
    """The study lists whom it took to read, and how bright it took a screen to glow."""
    found = {a["field"]: a for a in study(PAIR).to_json()["assumptions"]}
    assert found["setups[0].reading"]["value"] == ["left"]
    args = {"field": "reading", "value": ["left"]}
    written = apply(PAIR, {"name": "set", "id": "read left", "args": args})
    args = {"field": "reads_from", "value": "phone"}
    written = apply(written, {"name": "set", "id": "left", "args": args})
    data = study(written).to_json()
    found = {a["field"]: a for a in data["assumptions"]}
    assert "setups[0].reading" not in found
    assert "40 cd/m2 (10-300)" in found["people[0].page.luminance_cd_m2"]["why"]
    assert data["setups"][0]["reading"] == ["left"]


def test_readers_are_people_and_are_renamed_and_removed_with_them() -> None:
    """A setup that names a stranger is refused; edits carry the name along."""
    with pytest.raises(ScenarioError, match=r"setups\[0\]\.reading must name people"):
        dark_plan(setup={"reading": ["nobody"]})
    plan = dark_plan(setup={"reading": ["one"]})
    renamed = apply(plan, {"name": "rename", "id": "one", "args": {"to": "first"}})
    assert renamed.setups[0].reading == ("first",)
    lights = [
        light.model_copy(update={"aim": light.aim.model_copy(update={"at": None})})
        for light in plan.lights
    ]
    plain = plan.model_copy(update={"lights": tuple(lights)})
    assert apply(plain, {"name": "remove", "id": "one", "args": {}}).setups[0].reading == ()


@pytest.mark.parametrize("path", examples(), ids=lambda path: path.stem)
def test_pages_of_other_postures_are_held_before_their_eyes(path: Any) -> None:
    """A page squarely faces its eye at reading distance and stands clear of bed and things.

    Their sitting page neither lights nor shades them: nobody holds two.
    """
    plan = load(path)
    found = {t.id: t for t in targets(plan)}
    for person in [p for p in plan.people if p.reads]:
        bed = bed_of(plan, person)
        assert bed is not None
        eyes = {
            f"page slouched:{person.id}": slouched_eye(bed, person),
            f"page on the side:{person.id}": lying_eye(bed, person),
        }
        for name in [name for name in other_pages(person.id) if name in found]:
            page = found[name]
            middle_of = page.points.mean(axis=0)
            ray = eyes[name] - middle_of
            assert np.linalg.norm(ray) == pytest.approx(middle(person.page.distance_m))
            assert page.normals[0] @ ray == pytest.approx(np.linalg.norm(ray))
            assert own_shadow(plan, name) or not person.body_shadow
        side = found.get(f"page on the side:{person.id}")
        if side is not None:
            top = bed.at_m[2] + bed.size_m[2]
            assert bed.turn_deg or side.points[:, 2].min() > top
            assert not solid_at(plan.furniture, side.points.mean(axis=0)[None]).any()


def test_a_slouched_page_can_be_wished_for() -> None:
    """A wish for it is a reading wish: its reader reads then, and it is to be even too."""
    wish = {"id": "w", "of": "page slouched:one", "at_least": 1, "setups": ["on"]}
    plan = dark_plan(lrv=50.0)
    plan = parse({**json.loads(dump(plan)), "aims": [wish]})
    (result,) = aim_results(lighting(plan))
    assert (result.of, result.level_state) == ("page slouched:one", "met")
    assert result.evenness is not None
    read, not_read = (
        lighting(plan.model_copy(update={"setups": (plan.setups[0].model_copy(update=change),)}))
        for change in ({}, {"reading": ()})
    )
    assert read.reading["on"] == ("one",)
    for name in other_pages("one"):
        a, b = (one.answer(name, "on").average_lx for one in (read, not_read))
        assert a == pytest.approx(b)
