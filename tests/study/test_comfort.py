"""Comfort: lines of sight by hand geometry, glare by its formula, sleepers and whites by sums."""

import json
import math
import re

import numpy as np
import pytest

from lumen.light.glare import position_index
from lumen.scenario.document import parse
from lumen.study.document import comfort_json
from lumen.study.eyes.comfort import Night, comfort
from lumen.study.eyes.looks import look_of
from lumen.study.lighting.maps import lighting
from lumen.study.report import report
from lumen.study.scene.view import first_patch
from lumen.study.study import study
from lumen.words.comfort import (
    comfort_lines,
    contrast_words,
    night_words,
    way_words,
    white_words,
)
from lumen.words.figures import amount
from lumen.words.sight import sight_words

SHADE = {
    "form": "shade",
    "shape": "drum",
    "bottom_diameter_m": 0.20,
    "height_m": 0.20,
    "lamp_height_m": 0.10,
    "material": "fabric, blackout white inside",
}


def light(name="lamp", at=(1.0, 4.0, 1.6), **words):
    """A light on the bed wall, 0.1 m off it."""
    given = {"lamp": {"flux_lm": 400, "power_w": 5, "diameter_m": 0.06}, **words}
    return {"id": name, "mount_m": list(at), "projection_m": 0.1, **given}


def plan(*lights, lrv=50.0, **changes):
    """A 4 m square room, a bed 1.6 m wide with its head at the wall y = 4, two people, a door."""
    finish = {"lrv": lrv}
    return parse(
        {
            "format": "lumen-plan/1",
            "title": "comfort",
            "room": {
                "outline_m": [[0, 0], [4, 0], [4, 4], [0, 4]],
                "height_m": 2.6,
                "finishes": {"floor": finish, "ceiling": finish, "walls": finish},
                "openings": [{"id": "door", "kind": "door", "wall": 0, "from_m": 0.2, "to_m": 1.0}],
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
            "lights": list(lights),
            "setups": [
                {"id": "on", "levels": {item["id"]: 1 for item in lights}, "reading": []},
                {"id": "off"},
            ],
            **changes,
        }
    )


def sight(scenario):
    """What each eye sees of each light, by eye and light."""
    found = comfort(lighting(scenario))
    return {(seen.eye, seen.light): seen for seen in found.sight}


def test_rim_hides_the_lamp_at_its_cut_off():
    """An eye below the line from lamp over rim sees the lamp, one beyond it does not.

    Cut-off atan(0.1 / 0.1) = 45 deg for the lamp's middle, and asin(0.03 / (0.1 sqrt 2)) = 12.2 deg
    more for its last bit. The left pillow (eye 0.68 m up, at x 1.6, y 3.7) is seen from the lamp
    at (1, 3.9, h) at atan(0.6325 / (h - 0.68)) from straight down.
    """
    last = 45 + math.degrees(math.asin(0.03 / math.hypot(0.1, 0.1)))
    for height in (0.95, 1.05, 1.10, 1.30, 1.70):
        gamma = math.degrees(math.atan2(math.hypot(0.6, 0.2), height - 0.68))
        seen = sight(plan(light(at=(1, 4, height), distribution=SHADE)))
        look = seen["eye:left:lying back", "lamp"].look
        assert (look == "lamp") == (gamma < last), (height, gamma, last)


def test_lowering_clears_by_the_computed_step():
    """The move that clears is the hand-computed one, rounded outward to the scan's 10 mm.

    Hidden from 57.25 deg on: the lamp may stand 0.6325 / tan(57.25 deg) = 0.4068 m above the eye.
    """
    height = 1.30
    scenario = plan(light(at=(1, 4, height), distribution=SHADE))
    seen = sight(scenario)
    last = math.radians(45) + math.asin(0.03 / math.hypot(0.1, 0.1))
    free = 0.68 + math.hypot(0.6, 0.2) / math.tan(last)
    (change,) = (c for c in seen["eye:left:lying back", "lamp"].changes if c.by_m < 0)
    assert change.by_m == pytest.approx(-math.ceil((height - free) / 0.01) * 0.01)
    words = sight_words(scenario, seen["eye:left:lying back", "lamp"])
    assert words.startswith("from the left pillow, lying on the back, you see the bare bulb")
    assert f"lower it by {-change.by_m * 1000:.0f} mm" in words


def test_the_change_does_clear():
    """With the light moved as told the eye no longer sees the lamp, nor does it lying otherwise."""
    height = 1.30
    (change,) = (
        c
        for c in sight(plan(light(at=(1, 4, height), distribution=SHADE)))[
            "eye:left:lying back", "lamp"
        ].changes
        if c.by_m < 0
    )
    moved = sight(plan(light(at=(1, 4, height + change.by_m), distribution=SHADE)))
    for posture in ("lying back", "lying left", "lying right"):
        found = moved.get((f"eye:left:{posture}", "lamp"))
        assert found is None or found.look != "lamp" or not found.in_view


def test_a_deeper_shade_does_clear():
    """A shade deepened as told, downward, hides the lamp."""
    first = sight(plan(light(at=(1, 4, 1.30), distribution=SHADE)))["eye:left:lying back", "lamp"]
    extra = first.deeper_shade_m
    deeper = {**SHADE, "height_m": 0.2 + extra, "lamp_height_m": 0.1 + extra}
    second = sight(plan(light(at=(1, 4, 1.30), distribution=deeper)))["eye:left:lying back", "lamp"]
    assert first.look == "lamp"
    assert second.look != "lamp"


def test_furniture_hides():
    """A board between the right pillow and the left light hides it from there only."""
    lamp = light(at=(0.9, 4, 1.0))
    board = {
        "id": "board",
        "kind": "other",
        "at_m": [2.0, 3.6, 0.5],
        "size_m": [0.05, 0.8, 1.2],
    }
    bare, walled = plan(lamp), plan(lamp, furniture=[*furniture(), board])
    assert ("eye:right:lying back", "lamp") in sight(bare)
    assert ("eye:right:lying back", "lamp") not in sight(walled)
    assert ("eye:left:lying back", "lamp") in sight(walled)


def furniture():
    """The bed alone."""
    return [item.model_dump(exclude_unset=True) for item in plan().furniture]


def test_luminance_of_what_is_seen():
    """A bare opal globe of 400 lm and 0.12 m has 2814.5 cd/m2: flux over (pi D)^2.

    A flat opening shows I / (A cos): a Lambertian one looks alike from all sides in front.
    """
    globe = light(size_m=0.12)
    assert sight(plan(globe))["eye:left:lying back", "lamp"].luminance == pytest.approx(
        2814.5, abs=0.05
    )
    disc = light(distribution={"form": "opal"}, aim={"tilt_deg": 20})
    expected = 400 / math.pi / (math.pi * 0.03**2)
    found = [s for s in sight(plan(disc)).values() if s.look == "opening"]
    assert len(found) > 4
    for seen in found:
        assert seen.luminance == pytest.approx(expected, rel=2e-3)


def test_what_lies_behind_the_gaze_is_not_in_view():
    """A light behind the face is told apart: lying with the face away it is not in view."""
    seen = sight(plan(light(at=(0.9, 4, 1.0))))
    assert not seen["eye:left:lying right", "lamp"].in_view
    assert seen["eye:left:lying left", "lamp"].in_view


def test_shielding_of_a_drum_against_its_table():
    """A drum shields 90 deg less its cut-off; 28 kcd/m2 asks 15 deg (EN 12464-1 steps)."""
    seen = sight(plan(light(distribution=SHADE)))["eye:left:lying back", "lamp"]
    last = 45 + math.degrees(math.asin(0.03 / math.hypot(0.1, 0.1)))
    assert seen.shielding_deg == pytest.approx(90 - last)
    assert 400 / (math.pi * 0.06) ** 2 < 20_000
    assert seen.needed_deg == pytest.approx(0.0)
    bright = light(distribution=SHADE, lamp={"flux_lm": 1000, "power_w": 9, "diameter_m": 0.06})
    assert sight(plan(bright))["eye:left:lying back", "lamp"].needed_deg == pytest.approx(15.0)
    assert not sight(plan(light(at=(1, 4, 1.0))))["eye:left:foot", "lamp"].applies


def test_strip_in_sight():
    """A bare strip that faces the room is seen from the foot; one that faces the wall is not."""
    strip = {
        "id": "strip",
        "path_m": [[1, 3.9, 1.5], [3, 3.9, 1.5]],
        "flux_lm_per_m": 900,
        "power_w_per_m": 9,
    }
    for facing, looked in (("room", True), ("bed wall", False)):
        seen = sight(plan(strips=[{**strip, "facing": facing}]))
        assert (("eye:left:foot", "strip") in seen) == looked
    seen = sight(plan(strips=[{**strip, "facing": "room"}]))["eye:left:foot", "strip"]
    assert seen.luminance == pytest.approx(900 / (math.pi * 0.010), rel=0.1)  # voltage drop


def test_glare_is_its_formula():
    """UGR of one globe seen from the door is 8 log10(0.25 / Lb L^2 w / p^2), here by hand."""
    found = comfort(lighting(plan(light(size_m=0.12, at=(1, 4, 2.0)))))
    (glare,) = (g for g in found.glare("on") if g.eye == "eye:left:door")
    (seen,) = (s for s in found.sight if s.eye == "eye:left:door")
    luminance = 400 / (math.pi * 0.12) ** 2
    eye = next(t for t in found.lighting.targets if t.id == "eye:left:door")
    ray = np.array([1, 3.9, 2.0]) - eye.points[0]
    omega = math.pi * 0.06**2 / (ray @ ray)
    background = found.lighting.answer("eye:left:door", "on").bounced_lx / math.pi
    index = position_index(seen.alpha, seen.beta)
    expected = 8 * math.log10(0.25 / background * luminance**2 * omega / index**2)
    assert glare.rating.value == pytest.approx(expected, abs=1e-6)
    assert not glare.rating.small_source


def test_glare_of_a_shade_counts_its_cloth():
    """A lit drum seen from its side glares by its cloth and its opening together.

    By hand from CIE 117:1995, UGR = 8 log10(0.25 / Lb sum(L^2 w / p^2)), and the table's light
    fabric: transmittance 0.40, reflectance 0.42, gaps 0.02. Drum 0.30 wide and 0.25 m high, lamp of
    400 lm in its middle; it hangs 0.6 m above the eye and 1.2 m ahead, H/R = 0.5, T/R = 0, where
    p = 2.86 (the standard's table, from memory).
    """
    eye = next(t for t in lighting(plan(light())).targets if t.id == "eye:left:door")
    ahead = eye.normals[0] * [1, 1, 0] / np.hypot(*eye.normals[0][:2])
    x, y, z = eye.points[0] + 1.2 * ahead + [0, 0, 0.6]
    drum = {**SHADE, "bottom_diameter_m": 0.30, "height_m": 0.25, "lamp_height_m": 0.125}
    hung = {"mount": "ceiling", "drop_m": 2.6 - z, "projection_m": 0}
    shade = {**drum, "material": "fabric, light"}
    found = comfort(lighting(plan(light(at=(x, y, 2.6), distribution=shade, **hung))))

    # what falls on the wall: the lamp's own light, then what its inside bounces (coaxial discs)
    first = 0.125 / math.hypot(0.15, 0.125)  # all but the cones through both ends: 0.640
    x = 2 + (0.25 / 0.15) ** 2
    end_to_end = (x - math.sqrt(x * x - 4)) / 2  # 0.219
    to_itself = 1 - 0.15 * (1 - end_to_end) / 0.25  # 0.532
    falls = first / (1 - 0.42 * to_itself)  # 0.824
    wall = 2 * math.pi * 0.15 * 0.25
    cloth = 400 * (0.40 * falls + 0.02 * falls) / (math.pi * wall)  # cd/m2, gaps spread over all
    inside = 400 * 0.42 * falls / (math.pi * wall)
    assert (cloth, inside) == (pytest.approx(187, abs=1), pytest.approx(187, abs=1))
    # seen from 63.4 degrees off the vertical: side of the drum and ellipse of its opening
    sine, cosine = 1.2 / math.hypot(1.2, 0.6), 0.6 / math.hypot(1.2, 0.6)
    side, opening = 0.30 * 0.25 * sine, math.pi * 0.15**2 * cosine
    assert side > 2 * opening
    away = 1.2**2 + 0.6**2
    background = found.lighting.answer("eye:left:door", "on").bounced_lx / math.pi
    total = (cloth**2 * side + inside**2 * opening) / away / 2.86**2
    expected = 8 * math.log10(0.25 / background * total)

    (glare,) = (g for g in found.glare("on") if g.eye == "eye:left:door")
    # the wall as one ring here, twenty-four there; the bulb's own glimmer through the gaps
    assert glare.rating.value == pytest.approx(expected, abs=0.3)
    opening_alone = 8 * math.log10(0.25 / background * inside**2 * opening / away / 2.86**2)
    assert expected - opening_alone > 3.5


def test_parts_of_a_shade_are_its_outline():
    """Far off, all that shows of a cone, lamp and opening and wall, is its outline's area.

    Seen level a cone of 0.30 and 0.15 m is a trapezium; from straight below a disc of 0.30 m.
    """
    form = {**SHADE, "shape": "cone", "bottom_diameter_m": 0.30, "top_diameter_m": 0.15}
    scenario = plan(light(distribution={**form, "material": "linen, open weave"}))
    (emitter,), (item,) = lighting(scenario).emitters, scenario.lights
    at, axes = np.zeros((1, 3)), np.eye(3)[None]
    for eye, area in (
        ((50.0, 0.0, 0.0), (0.30 + 0.15) / 2 * 0.2),
        ((0.0, 0.0, -50.0), math.pi * 0.15**2),
        ((0.0, 0.0, 50.0), math.pi * 0.15**2),
    ):
        seen = look_of(item, emitter, at, axes, np.array([eye]), [])
        # threads fill what the gaps leave
        assert seen.parts[:, 1].sum() == pytest.approx(area, rel=2e-3)
        lamp, free = seen.parts[0, :, 0, 0]
        assert lamp == pytest.approx(400 / (math.pi * 0.06) ** 2)
        assert free == pytest.approx(0.0 if eye[0] else math.pi * 0.03**2)


def test_lying_eyes_get_no_rating():
    """UGR was not made for those who lie: they get lines of sight, no number."""
    found = comfort(lighting(plan(light())))
    assert found.glare("on")
    assert not any("lying" in g.eye for g in found.glare("on"))
    assert not found.glare("off")


def test_lumen_budget_gives_one_melanopic_lux():
    """A lamp of the budget's lumens gives the sleeper 1 melanopic lx in the worst posture."""
    first = comfort(lighting(plan(light())))
    budget = first.sleepers[0].budgets[0]
    lamp = {"flux_lm": budget.lumens, "power_w": 1, "diameter_m": 0.06}
    second = comfort(lighting(plan(light(lamp=lamp))))
    nights = {n.setup: n for n in second.sleepers[0].by_setup}
    assert nights["on"].melanopic_edi_lx == pytest.approx(1.0)
    assert budget.low_lm < budget.lumens < budget.high_lm
    assert nights["off"].verdict == "sleep"


def test_budget_and_eye_have_one_band():
    """As printed: a lamp's lumens over the eye's melanopic band are the band of its budget.

    With one lamp on, E = k lumens: 1 lx asks lumens / E, and least lumens go with most light. The
    lines are those of `lumen check`; two figures each, so 5 % apart at most on both ends.
    """
    both = light("lamp"), light("other", at=(3.0, 4.0, 1.4), distribution=SHADE)
    setups = [{"id": name, "levels": {name: 1}, "reading": []} for name in ("lamp", "other")]
    found = study(plan(*both, setups=setups))
    lines = report(found).splitlines()
    budgets = [line for line in lines if "; it has 400" in line]
    assert len(budgets) == 4
    eyes = {(e["setup"], e["target"]): e for e in found.to_json()["eyes"]}
    for line in budgets:
        person, lamp = re.match(r"  (\w+), (\w+): ", line).groups()
        lumens, low, high = map(float, re.search(r"about (\S+) lm \((\S+)-(\S+)\)", line).groups())
        worst = max(
            (e for (setup, eye), e in eyes.items() if setup == lamp and _lies(eye, person.lower())),
            key=lambda e: e["illuminance_lx"],
        )
        assert lumens == pytest.approx(400 / worst["melanopic_edi_lx"], rel=0.05)
        assert low == pytest.approx(400 / worst["melanopic_high_lx"], rel=0.05)
        assert high == pytest.approx(400 / worst["melanopic_low_lx"], rel=0.05)


def _lies(eye, person):
    return eye.startswith(f"eye:{person}:lying")


def test_budget_is_not_unsure_of_the_lamp_at_hand():
    """A lamp of 200 to 600 lm makes the eye unsure, not how many lumens a box may promise."""
    given = {"power_w": 5, "diameter_m": 0.06}
    known, unknown = (
        comfort(lighting(plan(light(lamp={"flux_lm": flux, **given}))))
        for flux in (400, [200, 600])
    )
    (one, *_), (other, *_) = (found.sleepers[0].budgets for found in (known, unknown))
    assert (other.low_lm, other.high_lm) == pytest.approx((one.low_lm, one.high_lm))
    nights = [found.sleepers[0].by_setup[0] for found in (known, unknown)]
    assert nights[1].high_lx > 1.2 * nights[0].high_lx


def test_night_words_at_the_limits():
    """1 and 10 lx themselves are within (Brown et al. 2022: at most)."""

    def words(melanopic_lx):
        return night_words(Night("night", "eye:left:lying back", melanopic_lx, 0.0, 0.0))

    assert words(1.0) == "within the 1 lx for sleep"
    assert words(10.0).endswith("within the 10 lx of an evening")
    assert words(10.1) == "over the 10 lx of an evening"


def whites(first_k, second_k):
    """Two like lamps at one place with whites of their own."""
    lamps = [
        light(name, lamp={"flux_lm": 400, "power_w": 5, "cct_k": k})
        for name, k in (("one", first_k), ("two", second_k))
    ]
    return comfort(lighting(plan(*lamps)))


def test_mixed_white_on_the_page():
    """2700 K and 6500 K by equal lux make 3953 K, Duv -0.0064 (colour-science, Ohno 2013)."""
    found = whites(2700, 6500).whites("on")
    assert [w.target for w in found] == ["page:left", "page:right"]
    for white in found:
        assert white.white.cct_k == pytest.approx(3953, abs=1)
        assert white.white.duv == pytest.approx(-0.0064, abs=1e-4)
        assert white_words(white) == "neutral white, pinkish"

    assert not whites(2700, 6500).whites("off")


def test_mismatch_names_the_pair():
    """Whites of 2700 and 4000 K differ; two of 2700 K are alike and not told."""
    ((first, second, found),) = whites(2700, 4000).mismatches("on")
    assert (first, second, found.verdict) == ("one", "two", "different")
    assert not whites(2700, 2700).mismatches("on")
    assert any("different" in line for line in comfort_lines(whites(2700, 4000), "on"))


def test_contrast_is_page_over_surround():
    """Page over surround: paper 0.8 E / pi over the patches' own luminance; levels cancel."""
    scenario = plan(
        light(),
        setups=[{"id": "on", "levels": {"lamp": 1}}, {"id": "half", "levels": {"lamp": 0.5}}],
    )
    found = comfort(lighting(scenario))
    on, half = (found.contrast(s)[0] for s in ("on", "half"))
    page = found.lighting.answer("page:left", "on").average_lx
    assert on.page == pytest.approx(0.8 * page / math.pi)
    assert half.ratio == pytest.approx(on.ratio)
    exitance = found.lighting.maps[0].patch_exitance
    assert exitance.min() / math.pi <= on.surround <= exitance.max() / math.pi


def test_dark_room_around_a_lit_page_is_tiring():
    """In a black room nothing lies round the page but the dark: there is no ratio to tell."""
    spot = light(distribution={"form": "beam", "beam_deg": 20}, aim={"at": "page:left"})
    black = comfort(lighting(plan(spot, lrv=0.0))).contrast("on")[0]
    dark = comfort(lighting(plan(spot, lrv=5.0))).contrast("on")[0]
    assert black.ratio is None
    assert dark.ratio > 10
    assert dark.verdict == "tiring"
    assert contrast_words(dark).endswith(": tiring")


def test_first_patch_is_what_stands_in_the_way():
    """A ray straight down over the bed meets the mattress 0.5 m up, beside it the floor."""
    lit = lighting(plan(light()))
    down = np.array([[0.0, 0.0, -1.0]])
    for at, level in (([2.0, 3.0, 2.0], 0.5), ([0.5, 1.0, 2.0], 0.0)):
        patch, off = first_patch(lit.transport.patches, np.array(at), down)
        assert off[0] == pytest.approx(2.0 - level)
        assert lit.transport.patches.centres[patch[0], 2] == pytest.approx(level)


def test_json_is_plain_and_quiet_in_the_dark():
    """The study's comfort is plain JSON; a setup with all off has nothing to say."""
    data = comfort_json(comfort(lighting(plan(light()))))
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    off = next(s for s in data["setups"] if s["setup"] == "off")
    assert not any(off[part] for part in ("lines", "harsh", "white", "glare", "glow"))


MIRROR = {
    "id": "glass",
    "kind": "mirror",
    "wall": 0,
    "from_m": 1.0,
    "to_m": 3.0,
    "sill_m": 0.0,
    "head_m": 2.2,
}


def mirrored(*lights, **glass):
    """The room with a mirror on the wall across from the bed (y = 0) in place of the door."""
    first = plan(*lights).model_dump(exclude_unset=True, mode="json")
    first["room"]["openings"] = [{**MIRROR, **glass}]
    return parse(first)


def test_mirror_adds_the_image_to_an_eye():
    """Direct light at the sitting eye grows by 0.85 I cos / d^2 from the image at y = -3.9.

    One even lamp at (1.5, 3.9, 1.6), image (1.5, -3.9, 1.6); the eye looks down the bed.
    """
    lamp = light(at=(1.5, 4, 1.6), size_m=0)
    plain, glass = lighting(plan(lamp)), lighting(mirrored(lamp))
    eye = next(t for t in glass.targets if t.id == "eye:left:sitting")
    ray = np.array([1.5, -3.9, 1.6]) - eye.points[0]
    d = np.linalg.norm(ray)
    expected = 0.85 * 400 / (4 * math.pi) * (ray @ eye.normals[0]) / d**3
    added = glass.direct[0, glass.slices[eye.id]] - plain.direct[0, plain.slices[eye.id]]
    assert added[0] == pytest.approx(expected, rel=1e-9)


def test_mirror_reflectance_is_its_finish():
    """A mirror with a card of 80 sends back 0.80; without one the default is 0.85."""
    lamp = light(at=(1.5, 4, 1.6), size_m=0)
    part = "eye:left:sitting"
    base = lighting(plan(lamp)).answer(part, "on").direct_lx
    default, given = (
        lighting(mirrored(lamp, **finish)).answer(part, "on").direct_lx - base
        for finish in ({}, {"finish": {"lrv": 80}})
    )
    assert given / default == pytest.approx(0.80 / 0.85)


def test_mirror_shows_the_lamp():
    """From the sitting eye, which looks at the page, the lamp behind is seen in the mirror only."""
    lamp = light(at=(1.5, 4, 1.6), size_m=0.12)
    found = comfort(lighting(mirrored(lamp)))
    (seen,) = (s for s in found.sight if s.eye == "eye:left:sitting" and s.mirror == "glass")
    assert seen.in_view
    assert seen.luminance == pytest.approx(0.85 * 2814.5, abs=0.05)
    assert "in the glass you see the bare bulb of the lamp" in sight_words(mirrored(lamp), seen)
    low = comfort(lighting(mirrored(lamp, head_m=1.0)))
    assert not any(s.mirror for s in low.sight if s.eye == "eye:left:sitting")


def test_mirror_keeps_the_light_in_the_room():
    """A mirror in place of a matt patch of its reflectance moves light but loses none."""
    lamp = light(at=(1.5, 4, 1.6))
    matt = plan(
        lamp,
        room={
            **plan(lamp).room.model_dump(exclude_unset=True, mode="json"),
            "openings": [{**MIRROR, "kind": "recess", "finish": {"lrv": 85}}],
        },
    )
    totals = []
    for scenario in (matt, mirrored(lamp)):
        lit = lighting(scenario)
        patches = lit.transport.patches
        absorbed = (1 - patches.reflectances[:, 0]) * lit.maps[0].patch_illuminance
        totals.append(float(absorbed @ patches.areas))
    assert totals[1] == pytest.approx(totals[0], rel=5e-3)
    assert totals[1] == pytest.approx(400, rel=5e-3)


def test_way_to_the_door_in_words():
    """A dim strip low down lights the way at some lux; the words follow the least and the mean."""
    strip = {
        "id": "strip",
        "path_m": [[0.1, 0.5, 0.2], [0.1, 3.5, 0.2]],
        "facing": "right",
        "flux_lm_per_m": 100,
        "power_w_per_m": 2,
    }
    scenario = plan(
        strips=[strip],
        setups=[{"id": s, "levels": {"strip": v}} for s, v in (("dim", 0.1), ("full", 1.0))],
    )
    found = comfort(lighting(scenario))
    (dim, _), (full, _) = (found.ways(s) for s in ("dim", "full"))
    assert dim.minimum == pytest.approx(0.1 * full.minimum)
    way = next(t for t in found.lighting.targets if t.id == "path:left")
    lux = found.lighting.illuminance("dim")[found.lighting.slices[way.id]]
    assert (dim.minimum, dim.average) == (pytest.approx(lux.min()), pytest.approx(lux.mean()))
    assert way_words(full) == "brighter than a walk at night needs"
    assert any(
        f"Left's way to the door: {way_words(dim)}" in line for line in comfort_lines(found, "dim")
    )
    assert not any("Left's way" in line for line in comfort_lines(found, "full"))


def test_glaring_is_near_the_line_of_view_and_both_numbers_are_told():
    """Within 60 degrees of the line of view it glares, beyond it is merely in sight.

    The angle is that between gaze and lamp by hand, the luminance the sighting's at that level.
    """
    scenario = plan(light(at=(1, 4, 1.4)), light("other", at=(2, 2.6, 2.4)))
    found = comfort(lighting(scenario))
    eyes = {t.id: t for t in found.lighting.targets if t.kind == "eye"}
    places = {e.id: e.point.position for e in found.lighting.emitters}
    (data,) = (s for s in comfort_json(found)["setups"] if s["setup"] == "on")
    assert len(data["harsh"]) >= 2
    for seen in data["harsh"]:
        ray = places[seen["light"]] - eyes[seen["eye"]].points[0]
        cosine = float(ray @ eyes[seen["eye"]].normals[0]) / float(np.linalg.norm(ray))
        angle = math.degrees(math.acos(cosine))
        assert seen["from_gaze_deg"] == pytest.approx(angle, abs=0.01)
        assert seen["glares"] == (angle <= 60.0)
        assert seen["luminance_cd_m2"] > 1000.0
        assert f"{angle:.0f} degrees off the line of view" in seen["told"]
        assert f"about {amount(seen['luminance_cd_m2'])} cd/m2" in seen["told"]
    first = [seen["glares"] for seen in data["harsh"]]
    assert first == sorted(first, reverse=True)
    assert {True, False} == set(first)
    glaring = [line for line in data["lines"] if line.startswith("Glaring: ")]
    assert len(glaring) == min(4, sum(first))
    assert any("over 60 degrees off the line of view" in line for line in data["lines"])
