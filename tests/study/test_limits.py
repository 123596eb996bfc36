"""Limits and doubts that decide what a person reads, each held from both sides.

A limit of ours is argued by the behaviour that it is there for, one of a source by the source.
Every test here fails when its number moves by a tenth.
"""

import math

import pytest

from lumen.light.shade import Material, distribution_of_shade
from lumen.study.comfort import _contrast_words as contrast_words
from lumen.study.comfort import _way_words as way_words
from lumen.study.comfort import comfort
from lumen.study.glow import _dot_words as dot_words
from lumen.study.lighting import lighting

from .test_comfort import light, plan
from .test_glow import drawn, room

# ---- doubts -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cover", "share", "low", "high"),
    [
        ("none", 1.0, 1.0, 1.0),
        ("clear", 0.93, 0.90, 0.96),  # 0.93 from a maker's page, 0.90 to 0.95 from memory
        ("frosted", 0.80, 0.75, 0.85),  # all from memory
        ("opal", 0.66, 0.59, 0.71),  # 0.68 from a maker's page, 0.55 to 0.70 from memory
    ],
)
def test_cover_of_a_strip(cover, share, low, high):
    """A cover lets out what trade pages give, and its band is their range; lumens known here."""
    flux = {"flux_lm_per_m": [1000, 1000]}
    bare, covered = (lighting(room(cover=c, **flux)).emitters[0] for c in ("none", cover))
    assert covered.flux_lm / bare.flux_lm == pytest.approx(share, abs=0.011)
    assert covered.flux_lm * covered.flux_low / bare.flux_lm == pytest.approx(low, abs=0.006)
    assert covered.flux_lm * covered.flux_high / bare.flux_lm == pytest.approx(high, abs=0.006)


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


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (2.8, "in keeping with what lies around it"),
        (3.2, "3 times as bright as what lies around it"),
        (9.4, "9 times as bright as what lies around it"),
        (10.6, "11 times as bright as what lies around it: tiring"),
    ],
)
def test_page_and_its_surround(ratio, words):
    """3 to 1 near by and 10 to 1 at most: the usual ratios of luminance (NBR 5413, 5.3.65)."""
    assert contrast_words(100.0, ratio) == words


def test_a_page_of_less_than_a_candela_is_too_dark_to_tell():
    """Below about 1 cd/m2 the eye leaves daylight vision; a ratio of luminances says little."""
    assert contrast_words(0.95, 2.0) == "too dark to tell"
    assert contrast_words(1.05, 2.0) != "too dark to tell"


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
    assert dot_words(contrast) == words


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
    assert way(0.96 / full.minimum).words == "dark in places"
    assert way(1.04 / full.minimum).words != "dark in places"
    assert way_words(2.0, 4.8) == "enough to walk by"
    assert way_words(2.0, 5.2) == "brighter than a walk at night needs"
