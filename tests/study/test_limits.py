"""Limits and doubts that decide what a person reads, each held from both sides.

A limit of ours is argued by the behaviour that it is there for, one of a source by the source.
Every test here fails when its number moves by a tenth.
"""

import math

import numpy as np
import pytest

from lumen.light.shade import Material, distribution_of_shade
from lumen.study.eyes.comfort import Contrast, Way, comfort
from lumen.study.eyes.comfort import _ring as ring
from lumen.study.eyes.looks import LOOKS, deeper_shade, look_of
from lumen.study.lighting.glow import dots_show
from lumen.study.lighting.maps import lighting
from lumen.study.scene.body import body_of
from lumen.study.scene.targets import sitting_eye, targets
from lumen.tables import table

from .test_comfort import SHADE, light, plan
from .test_glow import drawn, room

# ---- doubts -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cover", "share", "low", "high"),
    [
        ("none", 1.0, 1.0, 1.0),
        ("clear", 0.93, 0.902, 0.958),  # 0.93 from a maker's page, 0.90 to 0.95 from memory
        ("frosted", 0.80, 0.752, 0.848),  # 0.75 to 0.85, from memory
        ("opal", 0.65, 0.585, 0.715),  # 0.68 from a maker's page, 0.55 to 0.70 from memory
    ],
)
def test_cover_of_a_strip(cover, share, low, high):
    """A cover lets out what trade pages give, and its band is their range; lumens known here."""
    flux = {"flux_lm_per_m": [1000, 1000]}
    bare, covered = (lighting(room(cover=c, **flux)).emitters[0] for c in ("none", cover))
    assert covered.flux_lm / bare.flux_lm == pytest.approx(share, abs=0.005)
    assert covered.flux_lm * covered.flux_low / bare.flux_lm == pytest.approx(low, abs=0.002)
    assert covered.flux_lm * covered.flux_high / bare.flux_lm == pytest.approx(high, abs=0.002)


def test_reflectances_are_a_tenth_unsure():
    """A room painted LRV 50 may be 45 or 55: its bounced light is 0.82 to 1.22 of the middle.

    In a closed room of one reflectance bounced light goes with rho / (1 - rho) (integrating
    sphere), 1 at 0.50, 0.818 at 0.45, 1.222 at 0.55. The engine, run in such rooms, says the same.
    """
    lamp = light(at=(2.0, 4.0, 1.3), projection_m=2.0)
    rooms = {
        lrv: lighting(plan(lamp, lrv=lrv, furniture=[], people=[])) for lrv in (45.0, 50.0, 55.0)
    }
    down, up = rooms[50.0].doubts[2:]
    assert (down, up) == (pytest.approx(1 - 0.45 / 0.55, abs=5e-3), pytest.approx(0.222, abs=5e-3))
    low, middle, high = (lit.answer("floor", "on").bounced_lx for lit in rooms.values())
    assert (1 - low / middle, high / middle - 1) == pytest.approx((down, up), rel=0.06)


def test_lamp_in_a_shade_is_three_hundredths_unsure():
    """With the wall known a shade's flux is unsure by the lamp's unevenness alone: 3 %, our own."""
    known = distribution_of_shade(
        500.0, shape="drum", bottom_diameter_m=0.3, height_m=0.2, material=Material(0.4, 0.4)
    )
    assert known.spread == pytest.approx(0.03)


def test_beams_are_unsure_by_what_a_box_leaves_open():
    """A beam angle alone leaves a tenth open, a cosine a twentieth, bare lamps nothing: our own."""
    for form, spread in (
        ({"form": "beam", "beam_deg": 36}, 0.10),
        ({"form": "cosine", "beam_deg": 90}, 0.05),
        ({"form": "all round"}, 0.0),
        ({"form": "opal"}, 0.0),
    ):
        lamp = {"flux_lm": [400, 400], "power_w": 5}
        (emitter,) = lighting(plan(light(distribution=form, lamp=lamp))).emitters
        assert emitter.flux_high - 1 == pytest.approx(spread)
        assert 1 - emitter.flux_low == pytest.approx(spread)


# ---- brightness ---------------------------------------------------------------------------------


def test_harsh_from_1000_cd_m2():
    """A globe of 960 cd/m2 is not told, one of 1040 is (DIN 5035-3: 1000 toward the other bed)."""
    for luminance, told in ((960.0, False), (1040.0, True)):
        flux = luminance * (math.pi * 0.12) ** 2
        globe = light(size_m=0.12, lamp={"flux_lm": flux, "power_w": 3})
        found = comfort(lighting(plan(globe)))
        assert bool(found.harsh("on")) == told
        assert any(seen.harsh for seen in found.sight) == told


def test_lamps_may_be_twice_as_bright_in_their_middle():
    """The band of a bare lamp's luminance runs from half to twice: uneven bulbs, our own."""
    known = light(size_m=0.12, lamp={"flux_lm": [400, 400], "power_w": 5})
    for seen in comfort(lighting(plan(known))).sight:
        assert (seen.low / seen.luminance, seen.high / seen.luminance) == pytest.approx((0.5, 2.0))


def contrast(page, ratio):
    """How a page of so many cd/m2 stands to what lies around it."""
    return Contrast("page:left", "left", "on", page, page / ratio, ratio).verdict


@pytest.mark.parametrize(
    ("ratio", "verdict"),
    [(2.8, "in keeping"), (3.2, "brighter"), (9.4, "brighter"), (10.6, "tiring")],
)
def test_page_and_its_surround(ratio, verdict):
    """3 to 1 near by and 10 to 1 at most: the usual ratios of luminance (NBR 5413, 5.3.65)."""
    assert contrast(100.0, ratio) == verdict


def test_what_lies_around_a_page_is_seen_half_a_page_further_out():
    """The ring goes through the corners of a page half as wide and half as high again."""
    scenario = plan(light())
    (page,) = (one for one in targets(scenario) if one.id == "page:left")
    medium = scenario.people[0].page
    across = page.points[1] - page.points[0]
    up = np.cross(page.normals[0], across)
    away = ring(page) - page.points.mean(axis=0)
    x = away @ across / np.linalg.norm(across) / (medium.width_m / 2)
    y = away @ up / np.linalg.norm(up) / (medium.height_m / 2)
    np.testing.assert_allclose(x**2 + y**2, 1.5**2 + 1.5**2, rtol=1e-9)
    assert (x.max(), y.max()) == (pytest.approx(2.12, abs=0.01), pytest.approx(2.12, abs=0.01))


def test_a_page_of_less_than_a_candela_is_too_dark_to_tell():
    """Below about 1 cd/m2 the eye leaves daylight vision; a ratio of luminances says little."""
    assert contrast(0.95, 2.0) == "dark"
    assert contrast(1.05, 2.0) != "dark"


def shows(form, eye, **lamp):
    """What an eye sees of a light at the origin that aims straight down."""
    scenario = plan(light(distribution=form, **lamp))
    (emitter,), (item,) = lighting(scenario).emitters, scenario.lights
    seen = look_of(item, emitter, np.zeros((1, 3)), np.eye(3)[None], np.array([eye]), [])
    return LOOKS[seen.look[0, 0]]


def test_an_opening_seen_from_its_edge_shows_nothing():
    """A flat opening is out of sight from 3 degrees below its own plane: cosine 0.05, our own."""
    for cosine, look in ((0.047, "nothing"), (0.053, "opening")):
        eye = (math.sqrt(1 - cosine**2), 0.0, -cosine)
        assert shows({"form": "opal"}, eye) == look


def test_a_weave_with_a_twentieth_of_gaps_shows_its_bulb():
    """Close cloth (2 % of gaps in the table) glows, open linen (12 %) shows the bulb between."""
    gaps = {row["material"]: float(row["openness"]) for row in table("materials")}
    for material, look in (("fabric, light", "shade"), ("linen, open weave", "gaps")):
        assert shows({**SHADE, "material": material}, (3.0, 0.0, 0.0)) == look
        assert (gaps[material] > 0.05) == (look == "gaps")


def test_a_shade_is_not_told_deeper_than_15_cm():
    """A shade 15 cm deeper is still a shade one can buy; what needs more is told otherwise.

    Drum of 0.20 m, bulb of 60 mm 0.10 m above its lower edge, 0.1 m + x below the bulb's middle
    after x: it is hidden along gamma from gamma = atan(r / d) + asin(0.03 / hypot(r, d)) on.
    """
    scenario = plan(light(distribution=SHADE))
    (emitter,), (item,) = lighting(scenario).emitters, scenario.lights
    for depth, told in ((0.11, 0.11), (0.145, 0.145), (0.16, None)):
        below = 0.10 + depth - 1e-6
        gamma = math.atan2(0.1, below) + math.asin(0.03 / math.hypot(0.1, below))
        assert deeper_shade(item, emitter, gamma) == (pytest.approx(told) if told else None)


def test_a_reader_has_the_size_of_a_middling_adult():
    """Head and chest have the sizes of ISO 7250-2 (means of adults, from memory).

    A head 195 mm long, 153 mm wide and 225 mm high is as large as a ball of 94 mm radius, its
    middle 90 mm behind the eye; chest 220 mm deep, shoulders 440 mm wide and 200 mm below the eye.
    """
    scenario = plan()
    bed, person = scenario.furniture[0], scenario.people[0]
    eye = sitting_eye(bed, person)
    head, chest = body_of(bed, person)
    radius = (0.195 * 0.153 * 0.225) ** (1 / 3) / 2
    # 26 faces, the inner radius 0.9571 of that of a ball of the same volume
    assert (head.high - head.low) / 2 == pytest.approx(0.957 * radius, rel=0.02)
    lows, highs = (
        dict(zip(map(tuple, chest.normals), x, strict=True)) for x in (chest.low, chest.high)
    )
    size = {n: highs[n] - lows[n] for n in lows}
    across, deep, up = (next(n for n in size if abs(n[k]) > 0.9) for k in range(3))
    assert size[across] == pytest.approx(0.44, abs=0.02)
    assert size[deep] == pytest.approx(0.22, abs=0.01)
    assert max(abs(highs[up]), abs(lows[up])) == pytest.approx(eye[2] - 0.20, abs=0.01)
    middle = (highs[deep] + lows[deep]) / 2 * deep[1]
    assert middle - eye[1] == pytest.approx(0.12, abs=0.01)
    level = next(i for i, n in enumerate(head.normals) if abs(n[1]) > 0.9)
    centre = (head.high[level] + head.low[level]) / 2 * head.normals[level][1]
    assert centre - eye[1] == pytest.approx(0.09, abs=0.005)


# ---- glow ---------------------------------------------------------------------------------------


def dip(least_over_mean):
    """A profile of 20 places whose four middle ones are so much below its mean."""
    low = 4 * least_over_mean / (1 - 0.2 * least_over_mean)
    return [*[5.0] * 8, *[low] * 4, *[5.0] * 8]


@pytest.mark.parametrize(
    ("profile", "words"),
    [
        (dip(0.73), "even"),  # least over mean 0.7: common practice, no source
        (dip(0.67), "uneven"),
        ([6.3, *[5.0] * 18, 6.3], "even"),  # 1.26 times the middle
        ([6.7, *[5.0] * 18, 6.7], "bright corners"),  # 1.34 times
        ([4.0, *[5.0] * 18, 4.0], "even"),  # 1 / 1.25
        ([3.7, *[5.0] * 18, 3.7], "fades toward both ends"),  # 1 / 1.35
        ([0.094] * 20, "no glow"),  # 0.1 cd/m2 does not read as lit: our own
        ([0.106] * 20, "even"),
        # an end is the outer 15 %: a spot at 14 of 100 lies in it, one at 15 does not
        ([*[5.0] * 14, 7.0, *[5.0] * 85], "a bright corner at the left"),
        ([*[5.0] * 15, 7.0, *[5.0] * 84], "even"),
    ],
)
def test_words_of_a_glow_turn_at_their_limits(profile, words):
    """Each word of a glow begins at its own limit and not a tenth before or after."""
    assert drawn(profile) == words


@pytest.mark.parametrize(
    ("contrast", "words"),
    [
        (0.0095, "no dots"),  # a hundredth is at the eye's threshold for stripes this coarse
        (0.0105, "faint dots"),
        (0.047, "faint dots"),  # a light box of 16.7 mm pitch reads as even at 15 mm: 4.8 %
        (0.053, "dots"),
    ],
)
def test_dots_show_from_a_hundredth_and_a_twentieth(contrast, words):
    """Dots are faint from a contrast of 1 % and plain from 5 %: our own limits."""
    assert dots_show(contrast) == words


# ---- night --------------------------------------------------------------------------------------


def test_way_by_night_begins_at_one_lux():
    """The way's words turn at the 1 and 5 lx of a night light, read through a real strip."""
    strip = {
        "id": "strip",
        "path_m": [[0.1, 0.5, 0.2], [0.1, 3.5, 0.2]],
        "facing": "right",
        "flux_lm_per_m": 100,
        "power_w_per_m": 2,
    }

    def way(level):
        setups = [{"id": "on", "levels": {"strip": level}}]
        return comfort(lighting(plan(strips=[strip], setups=setups))).ways("on")[0]

    full = way(1.0)
    assert way(0.96 / full.minimum).verdict == "dark in places"
    assert way(1.04 / full.minimum).verdict != "dark in places"
    assert Way("path:left", "on", 4.8, 2.0).verdict == "enough"
    assert Way("path:left", "on", 5.2, 2.0).verdict == "brighter"
