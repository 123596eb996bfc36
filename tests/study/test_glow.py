"""The glow above a headboard: against the integral of a line, and in words."""

import math

import numpy as np
import pytest
from scipy.integrate import dblquad

from lumen.light.dots import dot_contrast
from lumen.scenario.document import parse
from lumen.study.lighting.glow import Glow, dots_of_strips, glows
from lumen.study.lighting.maps import lighting
from lumen.words.glow import dots_words, glow_words

GAP, BELOW = 0.05, 0.03  # strip to wall, strip below the board's top edge [m]


def room(lrv=0.0, path=((0.2, 2.95, 0.97), (3.8, 2.95, 0.97)), **strip):
    """A 4 x 3 m room, a headboard 1 m high off the wall, a strip behind it that faces the wall."""
    finish = {"lrv": lrv}
    return parse(
        {
            "format": "lumen-plan/1",
            "title": "glow",
            "room": {
                "outline_m": [[0, 0], [4, 0], [4, 3], [0, 3]],
                "height_m": 2.4,
                "finishes": {
                    "floor": finish,
                    "ceiling": finish,
                    "walls": finish,
                    "wall_by_wall": {"2": {"lrv": 50}},
                },
            },
            "furniture": [
                {
                    "id": "board",
                    "kind": "headboard",
                    "at_m": [2, 2.9, 0],
                    "size_m": [1.6, 0.04, 1.0],
                    "finish": {"lrv": 0},
                }
            ],
            "strips": [
                {
                    "id": "strip",
                    "path_m": list(path),
                    "flux_lm_per_m": 1000,
                    "power_w_per_m": 10,
                    "loop_ohm_per_m": 1e-6,
                    **strip,
                }
            ],
            "setups": [{"id": "on", "levels": {"strip": 1}}, {"id": "off"}],
        }
    )


def test_luminance_is_that_of_a_line():
    """At the middle of the edge L = rho E / pi, E the integral over a Lambertian band 10 mm wide.

    E = mean over y of the integral of (flux'/pi) g^2 / (g^2 + y^2 + x^2)^2 dx (inverse square
    law, two cosines), numerically; ends 1.5 m off give less than 0.01 %.
    """
    lit = lighting(room())
    (glow,) = glows(lit)
    gap, up = GAP - 0.002, BELOW + 0.02  # the wall is looked at 2 mm off, 20 mm above the edge
    middle = len(glow.along) // 2
    at = float(glow.along[middle])

    def integrand(x, y):
        return 1000 / math.pi * gap**2 / (gap**2 + (up + y) ** 2 + (x - at) ** 2) ** 2

    lux = dblquad(integrand, -0.005, 0.005, at - 1.5, at + 1.5)[0] / 0.010
    found = glow.profile(lit.weights("on"))[middle]
    assert found == pytest.approx(0.5 / math.pi * lux, rel=5e-4)


def test_a_run_past_the_board_is_even_and_a_short_one_fades():
    """A strip that runs past both ends is even; one that stops short fades at both ends."""
    lit = lighting(room())
    (edge,) = (glow.in_setup("on", lit.weights("on")) for glow in glows(lit))
    assert edge.even
    assert edge.evenness > 0.99
    lit = lighting(room(path=((1.5, 2.95, 0.97), (2.5, 2.95, 0.97))))
    (edge,) = (glow.in_setup("on", lit.weights("on")) for glow in glows(lit))
    assert edge.fading_ends == (True, True)
    assert glow_words(edge) == "fades toward both ends"


def test_profile_is_symmetric_and_linear():
    """A strip on the centre line glows alike left and right; half the level, half the glow."""
    lit = lighting(room(lrv=60.0, path=((1.5, 2.95, 0.97), (2.5, 2.95, 0.97))))
    (glow,) = glows(lit)
    line = glow.profile(lit.weights("on"))
    np.testing.assert_allclose(line, line[::-1], rtol=0.02)
    np.testing.assert_allclose(glow.profile(0.5 * lit.weights("on")), line / 2)
    assert not glow.in_setup("off", lit.weights("off")).lit


def drawn(luminance, ripple=0.0):
    """Words of a profile drawn by hand."""
    line = np.array([luminance], dtype=float)
    glow = Glow(
        "board",
        np.arange(float(line.shape[1])),
        1.0,
        line,
        np.array([ripple]),
        np.ones(1, dtype=bool),
    )
    return glow_words(glow.in_setup("on", np.ones(1)))


@pytest.mark.parametrize(
    ("luminance", "ripple", "words"),
    [
        ([5] * 20, 0.0, "even"),
        ([5] * 20, 0.03, "even, faint dots"),
        ([5] * 20, 0.30, "even, dots"),
        ([9, 9, 9, *[5] * 17], 0.0, "a bright corner at the left"),
        ([9, 9, 9, *[5] * 14, 9, 9, 9], 0.0, "bright corners"),
        ([*[5] * 17, 4, 2, 1], 0.0, "fades toward the right end"),
        ([*[5] * 8, 1, 1, 1, 1, *[5] * 8], 0.0, "uneven"),
        ([0.01] * 20, 0.0, "no glow"),
    ],
)
def test_words(luminance, ripple, words):
    """Each shape of a profile has its own words."""
    assert drawn(luminance, ripple) == words


def test_dots_take_the_gap_to_the_wall():
    """A strip 50 mm off the wall at 60 LEDs a metre stands three pitches off: no dots there."""
    (dots,) = dots_of_strips(lighting(room(leds_per_m=60)))
    assert dots.stand_off_m == pytest.approx(GAP)
    assert dots.contrast < 1e-6
    assert dots_words(dots) == "no dots"
    (dots,) = dots_of_strips(lighting(room(leds_per_m=15)))
    assert dots_words(dots) == "dots"
    (dots,) = dots_of_strips(lighting(room(leds_per_m=15, cover="opal")))
    assert dots_words(dots).startswith("the cover blends")


def test_coarse_leds_show_at_the_edge():
    """The dots above the edge are those of the nearest lit place, sqrt(50^2 + 50^2) mm off."""
    lit = lighting(room(leds_per_m=10))
    (glow,) = glows(lit)
    off = math.hypot(GAP - 0.002, BELOW + 0.02)
    assert glow.in_setup("on", lit.weights("on")).dots == pytest.approx(
        dot_contrast(off, 0.1), rel=0.02
    )
