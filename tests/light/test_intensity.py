"""Intensity distributions: closed forms, tables, flux as an exact integral."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from lumen.errors import PhotometryError
from lumen.light.intensity import IntensityDistribution

FLUX = st.floats(1.0, 5e4)
BEAM = st.floats(8.0, 150.0)
GAUSS = np.polynomial.legendre.leggauss(400)


def unit(gamma: float, c: float = 0.0) -> np.ndarray:
    """Direction at gamma and C [rad] in the frame of LM-63 type C."""
    return np.array(
        [math.sin(gamma) * math.cos(c), math.sin(gamma) * math.sin(c), -math.cos(gamma)]
    )


def every_form(flux: float, beam: float) -> list[IntensityDistribution]:
    """One of each symmetric form."""
    return [
        IntensityDistribution.isotropic(flux),
        IntensityDistribution.lambertian(flux),
        IntensityDistribution.cosine_power(flux, beam),
        IntensityDistribution.beam(flux, beam),
        IntensityDistribution.beam(flux, beam, beam + 0.6 * (180 - beam)),
    ]


def lopsided() -> IntensityDistribution:
    """A table without any symmetry, uneven in both angles."""
    rng = np.random.default_rng(7)
    gamma = [0, 10, 25, 60, 90, 130, 180]
    c = [0, 40, 90, 200, 300, 360]
    candela = rng.uniform(5, 100, (6, 7))
    candela[-1] = candela[0]
    candela[:, 0], candela[:, -1] = 50.0, 20.0
    return IntensityDistribution.from_table(gamma, c, candela)


@settings(max_examples=20, deadline=None)
@given(FLUX, BEAM)
def test_flux_is_the_integral(flux, beam):
    """Each symmetric form's flux equals the integral of its own intensity over all directions."""
    for form in every_form(flux, beam):
        total = 0.0
        for a, b in ((0.0, math.pi / 2), (math.pi / 2, math.pi)):
            gamma, w = GAUSS
            gamma = a + (gamma + 1) / 2 * (b - a)
            d = np.stack([np.sin(gamma), 0 * gamma, -np.cos(gamma)], axis=-1)
            total += math.tau * (w * form.intensity(d) * np.sin(gamma)).sum() * (b - a) / 2
        # the tables are read in straight pieces, which Gauss points see to 1e-4
        assert total == pytest.approx(flux, rel=2e-4)
        assert form.flux_lm == pytest.approx(flux, rel=1e-12)


def test_flux_of_a_table_is_exact():
    """The flux of a lopsided table equals quadrature of its bilinear reading."""
    table = lopsided()
    x, w = np.polynomial.legendre.leggauss(12)
    total = 0.0
    for i in range(len(table.c) - 1):
        for j in range(len(table.gamma) - 1):
            wide, tall = np.diff(table.c[i : i + 2])[0], np.diff(table.gamma[j : j + 2])[0]
            c = table.c[i] + (x[:, None] + 1) / 2 * wide
            g = table.gamma[j] + (x[None, :] + 1) / 2 * tall
            d = np.stack([np.sin(g) * np.cos(c), np.sin(g) * np.sin(c), -np.cos(g) + 0 * c], -1)
            total += (np.outer(w, w) * table.intensity(d) * np.sin(g)).sum() * wide * tall / 4
    assert table.flux_lm == pytest.approx(total, rel=1e-8)


def test_flux_within_a_cone():
    """Zonal flux equals quadrature between two cones that cut table pieces."""
    table = IntensityDistribution.from_table([0, 20, 70, 120], [0], [300, 500, 100, 40])
    expected = (
        math.tau
        * quad(
            lambda g: float(table.intensity(unit(g))) * math.sin(g),
            0.3,
            1.9,
            points=list(np.radians([20, 70])),
            epsabs=1e-10,
        )[0]
    )
    assert table.zonal_flux(0.3, 1.9) == pytest.approx(expected, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(FLUX, BEAM, FLUX)
def test_scaling_is_linear_and_settles(flux, beam, other):
    """Scaling multiplies every intensity alike, and scaling twice to one flux changes nothing."""
    d = np.random.default_rng(1).normal(size=(50, 3))
    for form in [*every_form(flux, beam), lopsided()]:
        once = form.scaled_to(other)
        assert once.intensity(d) == pytest.approx(form.intensity(d) * other / form.flux_lm)
        assert once.scaled_to(other).candela == pytest.approx(once.candela, rel=1e-14)


@settings(max_examples=25, deadline=None)
@given(FLUX, BEAM, st.floats(0.0, math.tau))
def test_symmetric_forms_do_not_turn(flux, beam, turn):
    """Turning a symmetric source about its aim changes no intensity."""
    d = np.random.default_rng(2).normal(size=(40, 3))
    about = np.array(
        [[math.cos(turn), -math.sin(turn), 0], [math.sin(turn), math.cos(turn), 0], [0, 0, 1]]
    )
    for form in every_form(flux, beam):
        assert form.intensity(d @ about.T) == pytest.approx(form.intensity(d), rel=1e-9, abs=1e-9)


def test_turning_a_table_turns_its_planes():
    """A lopsided table read at C equals the same table with shifted planes read at C + 90."""
    gamma, c = [0, 30, 60, 90], np.arange(0, 361, 30)
    cd = 100 + np.outer(np.cos(np.radians(c)), [0, 30, 60, 40])
    turned = 100 + np.outer(np.cos(np.radians(c - 90)), [0, 30, 60, 40])
    d = np.random.default_rng(3).normal(size=(60, 3))
    rotated = np.stack([-d[:, 1], d[:, 0], d[:, 2]], axis=1)
    a = IntensityDistribution.from_table(gamma, c, cd)
    b = IntensityDistribution.from_table(gamma, c, turned)
    assert b.intensity(rotated) == pytest.approx(a.intensity(d))


@settings(max_examples=40, deadline=None)
@given(BEAM, st.floats(0.05, 0.95))
def test_beam_meets_both_angles(beam, share):
    """A two-angle beam is half its peak at the beam angle and a tenth at the field angle."""
    field = beam + share * (180 - beam)
    if field < beam * 1.05:
        return
    spot = IntensityDistribution.beam(1000.0, beam, field)
    at = [unit(0.0), unit(math.radians(beam / 2)), unit(math.radians(field / 2))]
    peak, half, tenth = spot.intensity(at)
    assert (half / peak, tenth / peak) == pytest.approx((0.5, 0.1), abs=2e-3)


@pytest.mark.parametrize(
    ("beam", "m"), [(120, 1.0), (90, 2.0), (60, 4.82), (36, 13.81), (24, 31.37)]
)
def test_cosine_exponents(beam, m):
    """Exponents of soft beams are ln 0.5 / ln cos(beam / 2); the peak is flux (m + 1) / 2 pi."""
    soft = IntensityDistribution.cosine_power(1000.0, beam)
    assert soft.exponent == pytest.approx(m, abs=0.005)
    assert soft.max_intensity == pytest.approx(1000 * (soft.exponent + 1) / math.tau)
    half = soft.intensity(unit(math.radians(beam / 2)))
    assert half == pytest.approx(soft.max_intensity / 2)


def test_axes_follow_lm63_type_c():
    """Gamma 0 is -z, C 0 is +x and C 90 is +y in the source's own frame."""
    cd = [[10, 1, 20], [10, 2, 20], [10, 3, 20], [10, 4, 20], [10, 1, 20]]
    table = IntensityDistribution.from_table([0, 90, 180], [0, 90, 180, 270, 360], cd)
    towards = np.array(
        [[0, 0, -1], [0, 0, 1], [1, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0]], dtype=float
    )
    assert table.intensity(towards) == pytest.approx([10, 20, 1, 2, 3, 4])


@pytest.mark.parametrize(
    ("c", "span"),
    [([0, 45, 90], "quarter"), ([0, 90, 180], "half"), ([90, 150, 180, 270], "other half")],
)
def test_symmetries_mirror(c, span):
    """Quarter, half and 90-270 tables read the mirrored direction alike."""
    rows = [[100, 10.0 * (k + 1)] for k in range(len(c))]
    table = IntensityDistribution.from_table([0, 90], c, rows)
    d = np.random.default_rng(4).normal(size=(80, 3))
    d[:, 2] = -abs(d[:, 2])
    mirrors = {
        "quarter": [[1, -1, 1], [-1, 1, 1]],
        "half": [[1, -1, 1]],
        "other half": [[-1, 1, 1]],
    }
    for mirror in mirrors[span]:
        assert table.intensity(d * mirror) == pytest.approx(table.intensity(d))
    for angle, row in zip(c, rows, strict=True):
        assert table.intensity(unit(math.pi / 2, math.radians(angle))) == pytest.approx(row[1])


def test_dark_outside_the_table():
    """Directions outside the table's angles get nothing, and length of a direction is no matter."""
    table = IntensityDistribution.from_table([0, 90], [0], [100, 40])
    assert table.intensity([[0, 0, 5.0], [3.0, 0, 0], [0, 0, -0.1]]) == pytest.approx([0, 40, 100])
    uplight = IntensityDistribution.from_table([90, 180], [0], [0, 100])
    assert uplight.intensity([[0, 0, -1.0], [0, 0, 1.0]]) == pytest.approx([0, 100])
    assert uplight.zonal_flux(0.0, math.pi / 2) == 0.0


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: IntensityDistribution.isotropic(-1.0), "flux_lm"),
        (lambda: IntensityDistribution.lambertian(math.nan), "flux_lm"),
        (lambda: IntensityDistribution.cosine_power(1.0, 180.0), "beam_deg"),
        (lambda: IntensityDistribution.beam(1.0, 40.0, 40.0), "field_deg"),
        (lambda: IntensityDistribution.beam(1.0, 40.0, 200.0), "field_deg"),
        (lambda: IntensityDistribution.from_table([0, 90, 80], [0], [1, 2, 3]), "gamma_deg"),
        (lambda: IntensityDistribution.from_table([0, 190], [0], [1, 2]), "gamma_deg"),
        (lambda: IntensityDistribution.from_table([0], [0], [1]), "gamma_deg"),
        (lambda: IntensityDistribution.from_table([0, 90], [0, 45], [[1, 2], [1, 2]]), "c_deg"),
        (lambda: IntensityDistribution.from_table([0, 90], [0], [1, -2]), "candela"),
        (lambda: IntensityDistribution.from_table([0, 90], [0], [1, 2, 3]), "candela"),
        (
            lambda: IntensityDistribution.from_table([0, 90], [0], [0, 0]).scaled_to(5.0),
            "flux_lm",
        ),
    ],
)
def test_refusals_name_the_field(make, field):
    """What cannot be a distribution is refused with the field that is wrong."""
    with pytest.raises(PhotometryError) as caught:
        make()
    assert caught.value.field == field
