"""Light of a plan: known answers through the whole path from file to lux, and its laws."""

import math

import numpy as np
import pytest

from lumen.errors import ScenarioError
from lumen.scenario.assumptions import assumptions
from lumen.scenario.document import parse
from lumen.study.anywhere import illuminance_at
from lumen.study.eyes.comfort import comfort
from lumen.study.lighting.maps import EVERYTHING, lighting
from lumen.study.wishes.verdicts import aim_results
from lumen.tables import table


def plan(lrv=0.0, **changes):
    """A 4 m square room, a bed, one even light 1 m above the bed's middle, and a strip."""
    finish = {"lrv": lrv}
    data = {
        "format": "lumen-plan/1",
        "title": "lighting",
        "room": {
            "outline_m": [[0, 0], [4, 0], [4, 4], [0, 4]],
            "height_m": 3.0,
            "finishes": {"floor": finish, "ceiling": finish, "walls": finish},
        },
        "furniture": [
            {
                "id": "mattress",
                "kind": "mattress",
                "at_m": [2, 3.0, 0],
                "size_m": [1.6, 2.0, 0.5],
                "finish": finish,
            }
        ],
        "people": [{"id": "left", "side": "left"}, {"id": "right", "side": "right"}],
        "lights": [
            {
                "id": "lamp",
                "mount": "ceiling",
                "mount_m": [2, 3.0, 3.0],
                "projection_m": 1.5,
                "size_m": 0,
                "distribution": {"form": "all round"},
                "lamp": {"flux_lm": 800, "power_w": 8},
            }
        ],
        "setups": [
            {"id": "on", "levels": {"lamp": 1}, "reading": []},
            {"id": "half", "levels": {"lamp": 0.5}, "reading": []},
            {"id": "off"},
        ],
        **changes,
    }
    return parse(data)


def test_dark_room_is_the_inverse_square_law():
    """In a black room the bed gets I cos(g) / d^2 point by point (CIE S 017, 17-21-060 ff.)."""
    lit = lighting(plan())
    target = next(t for t in lit.targets if t.id == "mattress")
    lamp = np.array([2, 3.0, 1.5])
    d = np.linalg.norm(target.points - lamp, axis=1)
    expected = 800 / (4 * math.pi) * (lamp[2] - target.points[:, 2]) / d**3
    found = lit.illuminance("on")[lit.slices["mattress"]]
    np.testing.assert_allclose(found, expected, rtol=1e-9)
    assert lit.answer("mattress", "on").bounced_lx == 0.0


def test_even_reflectance_closes_the_energy():
    """Mean illuminance over all surfaces is flux / (area (1 - rho)) for one even reflectance.

    Closed form: light-reference identity of an enclosure with uniform reflectance.
    """
    lit = lighting(plan(lrv=50.0))
    patches, found = lit.transport.patches, lit.maps[0]
    mean = np.average(found.patch_illuminance, weights=patches.areas)
    assert mean == pytest.approx(800 / (patches.areas.sum() * 0.5), rel=2e-3)


def test_levels_are_linear():
    """Half the level gives half of everything, off gives nothing."""
    lit = lighting(plan(lrv=50.0))
    on, half, off = (lit.answer("page:left", s) for s in ("on", "half", "off"))
    assert half.average_lx == pytest.approx(on.average_lx / 2)
    assert half.high_lx == pytest.approx(on.high_lx / 2)
    assert (off.average_lx, off.low_lx, off.high_lx) == (0.0, 0.0, 0.0)
    assert off.uniformity is None


def test_parts_add_up():
    """Direct and bounced of each source add up to the average."""
    lit = lighting(plan(lrv=50.0))
    for target in lit.targets:
        answer = lit.answer(target.id, "on")
        total = sum(s.direct_lx + s.bounced_lx for s in answer.by_source)
        assert answer.average_lx == pytest.approx(total)
        assert answer.average_lx == pytest.approx(
            lit.illuminance("on")[lit.slices[target.id]].mean()
        )


def test_mirror_symmetry():
    """A light on the centre line gives both readers the same."""
    lit = lighting(plan(lrv=60.0))
    left, right = (lit.answer(f"page:{who}", "on").average_lx for who in ("left", "right"))
    assert left == pytest.approx(right, rel=0.01)


NO_AGEING = {"maintenance_factor": 1.0, "dusty_maintenance_factor": 1.0}


def test_band_holds_the_flux_doubt():
    """With black walls and no ageing the band is the printed lumens' tenth and nothing else."""
    answer = lighting(plan(ageing=NO_AGEING)).answer("mattress", "on")
    assert answer.low_lx == pytest.approx(0.9 * answer.average_lx)
    assert answer.high_lx == pytest.approx(1.1 * answer.average_lx)


def test_typed_range_replaces_the_tenth():
    """Lumens typed as 700 to 900 give the band 700/800 to 900/800."""
    lamp = plan().lights[0].model_dump(exclude_unset=True)
    lamp["lamp"] = {"flux_lm": [700, 900], "power_w": 8}
    answer = lighting(plan(lights=[lamp], ageing=NO_AGEING)).answer("mattress", "on")
    assert answer.low_lx / answer.average_lx == pytest.approx(700 / 800)
    assert answer.high_lx / answer.average_lx == pytest.approx(900 / 800)


def test_the_low_end_is_after_years():
    """The middle is a new lamp's; 0.80 of it is left after years, and the low end 0.9 of that."""
    answer = lighting(plan()).answer("mattress", "on")
    new = lighting(plan(ageing=NO_AGEING)).answer("mattress", "on")
    assert answer.average_lx == new.average_lx
    assert answer.high_lx == new.high_lx
    assert answer.after_years_lx == pytest.approx(0.80 * new.average_lx)
    assert answer.low_lx == pytest.approx(0.80 * 0.9 * new.average_lx)
    assert answer.melanopic_low_lx < 0.81 * new.melanopic_low_lx


SHADE = {"form": "shade", "bottom_diameter_m": 0.2, "height_m": 0.2}


@pytest.mark.parametrize(
    ("light", "kept"),
    [
        ({}, 0.80),
        ({"distribution": SHADE}, 0.70),
        ({"aim": {"tilt_deg": 180}, "distribution": {"form": "opal"}}, 0.70),
        ({"maintenance_factor": 0.6}, 0.60),
    ],
)
def test_what_gathers_dust_keeps_less(light, kept):
    """Fabric shades and light thrown up keep 0.70; a light's own factor goes before the plan's."""
    lamp = plan().lights[0].model_dump(exclude_unset=True) | light
    answer = lighting(plan(lrv=50.0, lights=[lamp])).answer("floor", "on")
    assert answer.after_years_lx == pytest.approx(kept * answer.average_lx)


def test_strips_keep_less():
    """A strip is an open cove: 0.70, or what is written on it."""
    strip = {
        "id": "glow",
        "path_m": [[1.5, 3.9, 1.0], [2.5, 3.9, 1.0]],
        "facing": "up",
        "flux_lm_per_m": 400,
        "power_w_per_m": 5,
    }
    setups = [{"id": "on", "levels": {"glow": 1}}]
    for written, kept in (({}, 0.70), ({"maintenance_factor": 0.9}, 0.9)):
        lit = lighting(plan(lrv=50.0, strips=[{**strip, **written}], setups=setups))
        answer = lit.answer("floor", "on")
        assert answer.after_years_lx == pytest.approx(kept * answer.average_lx)


def test_a_plan_may_be_reckoned_as_after_years():
    """``counted`` moves every number to after years; the band still runs from aged to new."""
    new = lighting(plan(lrv=50.0)).answer("page:left", "on")
    aged = lighting(plan(lrv=50.0, ageing={"counted": True})).answer("page:left", "on")
    assert aged.average_lx == pytest.approx(0.80 * new.average_lx, rel=1e-6)
    assert aged.after_years_lx == pytest.approx(aged.average_lx)
    assert aged.low_lx == pytest.approx(new.low_lx, rel=1e-6)
    assert aged.high_lx == pytest.approx(new.high_lx, rel=1e-6)


def test_maintenance_factors_are_the_table_s():
    """The document's defaults are the rows of the table ``maintenance``."""
    clean, dusty = (float(row["factor"]) for row in table("maintenance"))
    ageing = plan().ageing
    assert (ageing.maintenance_factor, ageing.dusty_maintenance_factor) == (clean, dusty)
    (said,) = (a for a in assumptions(plan()) if a.field == "ageing")
    assert f"{clean:.2f}" in said.why
    assert f"{dusty:.2f}" in said.why


def test_one_factor_written_leaves_the_other_assumed():
    """A plan that says how its lamps age still assumes how its strips and shades do."""
    found = [a.field for a in assumptions(plan(ageing={"maintenance_factor": 0.9}))]
    assert "ageing.dusty_maintenance_factor" in found
    assert not {"ageing", "ageing.maintenance_factor"} & set(found)


def test_a_factor_of_nothing_is_refused():
    """A maintenance factor of 0 or over 1 is refused with its field."""
    with pytest.raises(ScenarioError, match=r"ageing\.maintenance_factor"):
        plan(ageing={"maintenance_factor": 0})
    with pytest.raises(ScenarioError, match=r"ageing\.dusty_maintenance_factor"):
        plan(ageing={"dusty_maintenance_factor": 1.1})


def test_a_wish_new_lamps_meet_and_old_ones_do_not_is_left_open():
    """A wish between the aged and the new value is met while the lamps are new, and says so."""
    value = lighting(plan()).answer("mattress", "on").average_lx
    (result,) = aim_results(aim(at_least=0.85 * value))
    assert (result.state, result.sure) == ("met while new", False)
    assert result.after_years == pytest.approx(0.8 * value)  # an open light: table ``maintenance``


@pytest.mark.parametrize(
    ("person", "factor"), [({"age": 40}, 1.0), ({"age": 70}, 2.0), ({"age_factor": 1.5}, 1.5)]
)
def test_a_wish_for_age_follows_its_person(person, factor):
    """``for_age`` raises the level by the person's factor: twice over 65 (IES), or as written."""
    wish = {"id": "w", "of": "page:left", "at_least": 10, "for_age": True, "setups": ["on"]}
    people = [{"id": "left", "side": "left", **person}]
    (result,) = aim_results(lighting(plan(people=people, aims=[wish])))
    assert result.at_least == 10 * factor
    assert (result.age.factor if result.age else 1.0) == factor


def panel_plan(width=1.0, length=1.0, **light):
    """A black room with a panel of 1000 cd/m2 2 m above the floor, over (2, 1)."""
    lamp = {
        "id": "panel",
        "mount": "ceiling",
        "mount_m": [2, 1.0, 3.0],
        "projection_m": 1.0,
        "distribution": {"form": "panel", "width_m": width, "length_m": length},
        "lamp": {"flux_lm": 1000 * math.pi * width * length, "power_w": 30},
        **light,
    }
    return plan(lights=[lamp], setups=[{"id": "on", "levels": {"panel": 1}}])


def test_panel_is_the_closed_form():
    """1 m square, 1000 cd/m2, 2 m up: 230.84 lx below its middle, 188.07 lx below a corner.

    Configuration factor of a rectangle, Howell B-3 (catalogue number from memory).
    """
    points = [[2, 1, 0], [2.5, 1.5, 0]]
    found = illuminance_at(panel_plan(), points, [0, 0, 1], bounced=False)
    np.testing.assert_allclose(found, [230.84, 188.07], atol=0.005)


def test_panel_s_length_runs_the_way_it_is_turned():
    """A long panel lies along y unturned and along x turned by 90 degrees."""
    ahead, aside = [[2, 0.1, 0]], [[2.9, 1, 0]]
    plain, turned = panel_plan(0.3, 1.2), panel_plan(0.3, 1.2, aim={"turn_deg": 90})
    a, b = (illuminance_at(plain, p, [0, 0, 1], bounced=False) for p in (ahead, aside))
    c, d = (illuminance_at(turned, p, [0, 0, 1], bounced=False) for p in (ahead, aside))
    assert a > 1.03 * b
    np.testing.assert_allclose([c, d], [b, a], rtol=1e-6)


def test_a_tilted_panel_lights_the_way_it_aims():
    """Tilted to level it shines on the wall ahead and leaves the wall behind dark."""
    scenario = panel_plan(0.3, 0.3, aim={"tilt_deg": 90, "turn_deg": 0})
    ahead = illuminance_at(scenario, [[2, 0.01, 2]], [0, 1, 0], bounced=False)
    behind = illuminance_at(scenario, [[2, 2.4, 2]], [0, -1, 0], bounced=False)
    assert ahead > 0.0
    assert behind == 0.0


def test_a_panel_is_seen_at_its_own_luminance():
    """Somebody on the back under a panel of 1000 cd/m2 sees 1000 cd/m2."""
    scenario = panel_plan(0.6, 0.6, mount_m=[2, 3.0, 3.0])
    seen = [s for s in comfort(lighting(scenario)).sight if s.eye == "eye:left:lying back"]
    assert [s.look for s in seen] == ["opening"]
    assert seen[0].luminance == pytest.approx(1000, rel=1e-9)
    assert seen[0].area_m2 == pytest.approx(0.36 * math.cos(seen[0].gamma))


def test_bounce_widens_the_band():
    """Guessed reflectances widen the band of bounced light."""

    def spread(lrv):
        answer = lighting(plan(lrv=lrv)).answer("floor", "on")
        return (answer.high_lx - answer.low_lx) / answer.average_lx

    assert spread(70.0) > spread(30.0) > spread(0.0)


def aim(**words):
    """A plan with one wish."""
    return lighting(plan(aims=[{"id": "wish", "of": "mattress", "setups": ["on"], **words}]))


@pytest.mark.parametrize(
    ("words", "state"),
    [
        ({"at_least": 10}, "met"),
        ({"at_least": 1000}, "short"),
        ({"at_most": 10}, "too much"),
        ({"at_most": 1000}, "met"),
        ({"measure": "uniformity", "at_least": 0.99}, "short"),
    ],
)
def test_wishes(words, state):
    """A wish is met, short or too much by its value (about 45 lx on this bed)."""
    (result,) = aim_results(aim(**words))
    assert result.state == state


def test_a_wish_within_the_band_is_not_sure():
    """A limit inside the band is reported as open."""
    value = lighting(plan()).answer("mattress", "on").average_lx
    assert not aim_results(aim(at_least=value * 0.95))[0].sure
    assert aim_results(aim(at_least=value * 0.5))[0].sure


def test_sleeper_wish_takes_the_worst_posture():
    """``eye:<person>`` is judged in the lying posture that gets most."""
    lit = lighting(plan(aims=[{"id": "w", "of": "eye:left", "at_most": 5, "setups": ["on"]}]))
    (result,) = aim_results(lit)
    postures = ("lying back", "lying left", "lying right")
    most = max(lit.answer(f"eye:left:{p}", "on").average_lx for p in postures)
    assert result.value == pytest.approx(most)


def test_moving_a_light_keeps_the_room():
    """The dear part, the transport, is the same object after a light has moved."""
    first = lighting(plan(lrv=50.0))
    lamp = plan().lights[0].model_dump(exclude_unset=True) | {"mount_m": [1.5, 3.0, 3.0]}
    moved = lighting(plan(lrv=50.0, lights=[lamp]))
    assert moved.transport is first.transport
    assert moved.answer("page:left", "on").average_lx != pytest.approx(
        first.answer("page:left", "on").average_lx, rel=1e-3
    )


def test_everything_on_is_every_source_at_full():
    """The reserved setup adds every source at full level."""
    lit = lighting(plan())
    np.testing.assert_allclose(lit.weights(EVERYTHING), 1.0)


def test_aimed_light_points_at_its_target():
    """A spot aimed at a page gives its peak intensity along the line to the page's middle."""
    lamp = plan().lights[0].model_dump(exclude_unset=True) | {
        "aim": {"at": "page:left"},
        "distribution": {"form": "cosine", "beam_deg": 30},
    }
    lit = lighting(plan(lights=[lamp]))
    (emitter,) = lit.emitters
    middle = next(t for t in lit.targets if t.id == "page:left").points.mean(axis=0)
    ray = middle - emitter.source.position
    own = emitter.source.axes @ (ray / np.linalg.norm(ray))
    np.testing.assert_allclose(own, [0, 0, -1], atol=1e-9)
