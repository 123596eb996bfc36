"""Whites: temperature, mixing, tint, evening light, against tables and a colour library."""

from __future__ import annotations

import csv
import importlib.util
import math
import re
import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.errors import PhotometryError
from lumen.light.colour import (
    cct_and_duv,
    melanopic_ratio,
    mixed_white,
    planckian_xy,
    tint_of_white,
    white_mismatch,
)
from lumen.tables import table

REFERENCE = Path(__file__).parent.parent / "reference"
MELANOPIC_EFFICACY_D65 = 1.3262e-3  # of luminous radiation of daylight D65, W/lm (CIE S 026:2018)


def rows(name: str) -> list[dict[str, str]]:
    """Rows of a file of published cases."""
    with (REFERENCE / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.fixture(scope="module")
def colour():
    """The colour-science library, quietly."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with np.printoptions():  # it changes how numpy prints, for everybody
            import colour as science

        return science


@pytest.mark.parametrize("row", rows("white_cct.csv"), ids=lambda r: r["cct_k"])
def test_temperature_of_published_whites(row):
    """Published chromaticities give their published temperature and distance from the locus."""
    found, duv = cct_and_duv(float(row["x"]), float(row["y"]))
    assert duv == pytest.approx(float(row["duv"]), abs=float(row["tolerance_duv"]))
    assert found == pytest.approx(float(row["cct_k"]), abs=float(row["tolerance_k"]))


@pytest.mark.parametrize(
    "row", rows("white_mixing.csv"), ids=lambda r: f"{r['first_k']}+{r['second_k']}"
)
def test_mixing_by_tristimulus(row):
    """Mixed whites have the temperature of their summed tristimulus values, not of mean kelvins."""
    value = {key: float(row[key]) for key in row if key not in ("source", "locator")}
    mixed = mixed_white(
        [(value["first_lx"], value["first_k"]), (value["second_lx"], value["second_k"])]
    )
    # printed to five digits, and summed there to 780 nm, here to 830 nm
    assert (mixed.x, mixed.y) == pytest.approx((value["x"], value["y"]), abs=1e-5)
    # whole kelvins are printed; our locus is read a mired apart: 1 K
    assert mixed.cct_k == pytest.approx(value["cct_k"], abs=1.0)
    assert mixed.duv == pytest.approx(value["duv"], abs=5e-5)
    assert abs(mixed.cct_k - value["mean_k"]) > 50
    if value["first_k"] == 2700 and value["second_k"] == 6500:
        assert abs(mixed.cct_k - value["mean_mired_k"]) > 100


@pytest.mark.parametrize(
    ("kelvin", "x", "y"),
    [
        (2200, 0.50563, 0.41521),
        (2700, 0.45986, 0.41060),
        (3000, 0.43693, 0.40408),
        (4000, 0.38044, 0.37675),
        (6500, 0.31353, 0.32363),
    ],
)
def test_planckian_chromaticities(kelvin, x, y):
    """Black bodies have the chromaticities worked out apart with colour-science, to five digits."""
    assert planckian_xy(kelvin) == pytest.approx((x, y), abs=5e-6)


@pytest.mark.reference
@pytest.mark.parametrize(
    "kelvin", [1040.0, 1555.0, 1817.0, 2345.0, 3333.0, 5432.0, 8765.0, 30000.0]
)
def test_locus_against_the_library(colour, kelvin):
    """Between the table's entries the locus follows Planck's law summed by colour-science."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        spectrum = colour.sd_blackbody(kelvin, observer.shape)
        xyz = colour.sd_to_XYZ(spectrum, observer)
    # the library sums to 780 nm, we to 830 nm: seen only in the deepest red
    tolerance = 1e-5 if kelvin > 1500 else 3e-5
    assert planckian_xy(kelvin) == pytest.approx(tuple(xyz[:2] / xyz.sum()), abs=tolerance)


@pytest.mark.reference
@settings(max_examples=40, deadline=None)
@given(st.floats(1700, 20000), st.floats(-0.02, 0.02))
def test_temperature_against_the_library(kelvin, duv):
    """Any white near the locus gets the temperature and distance that Ohno's method gives."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        uv = colour.temperature.CCT_to_uv_Ohno2013(np.array([kelvin, duv]))
        xy = colour.UCS_uv_to_xy(uv)
        found, off = cct_and_duv(*xy)
        expected = colour.temperature.uv_to_CCT_Ohno2013(uv)
    # Ohno's own residual is of this order away from the locus
    assert found == pytest.approx(expected[0], rel=2e-3)
    assert off == pytest.approx(expected[1], abs=5e-5)
    assert found == pytest.approx(kelvin, rel=2e-3)


@settings(max_examples=60, deadline=None)
@given(st.floats(1100, 40000))
def test_the_locus_finds_itself(kelvin):
    """A point of the locus has its own temperature and no distance."""
    found, duv = cct_and_duv(*planckian_xy(kelvin))
    assert found == pytest.approx(kelvin, rel=1e-4)
    assert abs(duv) < 2e-7


@settings(max_examples=60, deadline=None)
@given(st.floats(1500, 9000), st.floats(1500, 9000), st.floats(0.01, 100), st.floats(0.01, 100))
def test_mixing_laws(a, b, lux_a, lux_b):
    """A mix lies between its whites, on the pink side of the locus, and does not mind order."""
    mixed = mixed_white([(lux_a, a), (lux_b, b)])
    assert min(a, b) * (1 - 1e-3) <= mixed.cct_k <= max(a, b) * (1 + 1e-3)
    assert mixed.duv <= 1e-6
    swapped = mixed_white([(2 * lux_b, b), (2 * lux_a, a)])
    assert (swapped.x, swapped.y) == pytest.approx((mixed.x, mixed.y))


# ---- evening light ------------------------------------------------------------------------------


SHAPE = np.arange(380.0, 781.0)


def bundle(*names: str) -> Path:
    """A file of the spectra that luxpy carries; the library itself would draw matplotlib in."""
    spec = importlib.util.find_spec("luxpy")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent.joinpath(*names)


@pytest.fixture(scope="module")
def observer(colour):
    """The CIE 1931 observer at 1 nm from 380 to 780 nm: its middle column is V."""
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy()
    return cmfs.align(colour.SpectralShape(380, 780, 1)).values


@pytest.fixture(scope="module")
def melanopic_of(colour, observer):
    """Melanopic ratio of a spectrum, a temperature or an illuminant of the CIE, by CIE S 026."""
    path = bundle("toolboxes", "photbiochem", "data", "S026_Table2_Data_downloaded_04062025.csv")
    data = np.genfromtxt(path, delimiter=",", skip_header=1)
    action = np.interp(SHAPE, data[:, 0], np.nan_to_num(data[:, 5]))

    def ratio(spectrum):
        values = spectrum_of(colour, spectrum) if not isinstance(spectrum, np.ndarray) else spectrum
        return (values @ action) / (683 * (values @ observer[:, 1])) / MELANOPIC_EFFICACY_D65

    return ratio


def spectrum_of(colour, name):
    """Spectrum of a glowing body of a temperature [K], or of a CIE illuminant by name."""
    shape = colour.SpectralShape(380, 780, 1)
    if isinstance(name, float):
        return colour.sd_blackbody(name, shape).values
    return colour.SDS_ILLUMINANTS[name].copy().align(shape).values


@pytest.fixture(scope="module")
def phosphor_leds(colour, observer, melanopic_of):
    """Temperature [K] and melanopic ratio of every phosphor LED within 0.006 of the locus (n, 2).

    The spectra of ANSI/IES TM-30's library, and CIE 015's LED-B1 to B5, V1 and V2.
    """
    folder = ("data", "spds")
    with bundle(*folder, "IESTM30_15_Sinfo.txt").open(encoding="utf-8") as stream:
        kinds = [row[2].strip() for row in csv.reader(stream)][1:]
    spectra = np.loadtxt(bundle(*folder, "IESTM30_15_Sspds.dat"), delimiter=",")[:, 1:].T
    leds = [s for s, kind in zip(spectra, kinds, strict=True) if kind == "LED Phosphor"]
    leds += [
        spectrum_of(colour, f"LED-{name}") for name in ["B1", "B2", "B3", "B4", "B5", "V1", "V2"]
    ]
    found = []
    for spectrum in leds:
        xyz = spectrum @ observer
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            uv = colour.UCS_to_uv(colour.XYZ_to_UCS(xyz))
            kelvin, duv = colour.temperature.uv_to_CCT_Ohno2013(uv)
        if abs(duv) < 0.006:
            found.append((kelvin, melanopic_of(spectrum)))
    assert len(found) > 100
    return np.array(found)


@pytest.mark.reference
def test_melanopic_efficacy_of_daylight(melanopic_of):
    """Daylight D65 has a ratio of 1 by definition, illuminant A 0.496, E 0.906, LED-B3 0.633."""
    assert melanopic_of("D65") == pytest.approx(1.0, abs=2e-4)
    assert melanopic_of("A") == pytest.approx(0.496, abs=5e-4)
    assert melanopic_of("E") == pytest.approx(0.906, abs=5e-4)
    assert melanopic_of("LED-B3") == pytest.approx(0.633, abs=5e-4)


def melanopic_rows(*kinds: str, how: str | None = None) -> list[dict[str, str]]:
    """Rows of the table of some kinds of lamp."""
    found = [row for row in table("melanopic") if row["kind"] in kinds]
    return [row for row in found if how in (None, row["how"])]


def of_row(row: dict[str, str]) -> str:
    """A row's name."""
    return f"{row['kind']} {row['cct_k']} K"


@pytest.mark.reference
@pytest.mark.parametrize("row", melanopic_rows("halogen", "incandescent"), ids=of_row)
def test_glowing_bodies_of_the_table(melanopic_of, row):
    """The table's glowing bodies are what Planck's law gives with CIE's action spectrum.

    The band is that of a lamp 100 K off its printed temperature.
    """
    kelvin = float(row["cct_k"])
    assert float(row["ratio"]) == pytest.approx(melanopic_of(kelvin), abs=6e-4)
    assert float(row["low"]) == pytest.approx(melanopic_of(kelvin - 100), abs=0.011)
    assert float(row["high"]) == pytest.approx(melanopic_of(kelvin + 100), abs=0.011)


@pytest.mark.reference
@pytest.mark.parametrize("row", melanopic_rows("led", how="read"), ids=of_row)
def test_leds_of_the_table(phosphor_leds, row):
    """A row has the median of the LEDs within 5 % of its temperature, and its band holds them all.

    No more than 15 % of a bound is ours.
    """
    near = phosphor_leds[np.abs(phosphor_leds[:, 0] / float(row["cct_k"]) - 1) <= 0.05, 1]
    middle, low, high = (float(row[name]) for name in ("ratio", "low", "high"))
    assert middle == pytest.approx(float(np.median(near)), rel=0.03)
    assert 0.85 * near.min() < low < 1.01 * near.min()
    assert 0.99 * near.max() < high < 1.12 * near.max()


@pytest.mark.reference
@pytest.mark.parametrize("row", melanopic_rows("led", how="assumed"), ids=of_row)
def test_leds_without_a_spectrum(melanopic_of, phosphor_leds, row):
    """Where no spectrum was read a row is a glowing body times LED over glowing body at 2700 K.

    To two figures. So is the upper end of its band, from the library's greatest; the lower end may
    be lower still, for amber.
    """
    body = melanopic_of(float(row["cct_k"])) / melanopic_of(2700.0)
    near = phosphor_leds[np.abs(phosphor_leds[:, 0] / 2700.0 - 1) <= 0.05, 1]
    assert float(row["ratio"]) == pytest.approx(float(np.median(near)) * body, rel=0.04)
    assert float(row["high"]) == pytest.approx(near.max() * body, rel=0.05)
    assert float(row["low"]) < 1.02 * near.min() * body


@pytest.mark.reference
def test_amber_lies_in_the_band(melanopic_of, observer):
    """Amber phosphor, a band of 80 nm about 600 nm, is within the band of its temperature."""
    amber = np.exp(-4 * math.log(2) * ((SHAPE - 600.0) / 80.0) ** 2)
    xyz = amber @ observer
    kelvin, _ = cct_and_duv(*(xyz[:2] / xyz.sum()))
    middle, low, _ = melanopic_ratio(kelvin)
    assert 1900 < kelvin < 2000
    assert low < melanopic_of(amber) < 0.6 * middle


@pytest.mark.reference
@pytest.mark.parametrize("row", melanopic_rows("fluorescent", how="read"), ids=of_row)
def test_fluorescent_lamps_of_the_table(melanopic_of, row):
    """The CIE's fluorescent lamps that a row names lie within its band, its middle amid them."""
    found = [melanopic_of(name) for name in re.findall(r"FL[0-9.]+[0-9]|FL[0-9]", row["locator"])]
    middle, low, high = (float(row[name]) for name in ("ratio", "low", "high"))
    assert len(found) >= 5
    assert 0.97 * min(found) < low < min(found) + 5e-3
    assert max(found) - 5e-3 < high < 1.05 * max(found)
    assert middle == pytest.approx(float(np.median(found)), rel=0.06)


@pytest.mark.reference
@pytest.mark.parametrize(
    ("name", "kelvin", "kind"),
    [
        ("LED-B1", 2735, "led"),
        ("LED-B2", 2999, "led"),
        ("LED-B3", 4102, "led"),
        ("LED-B4", 5106, "led"),
        ("LED-B5", 6591, "led"),
        ("LED-BH1", 2850, "led"),
        ("LED-V1", 2720, "led"),
        ("LED-V2", 4077, "led"),
        ("FL2", 4230, "fluorescent"),
        ("FL4", 2940, "fluorescent"),
        ("FL11", 4000, "fluorescent"),
        ("FL12", 3000, "fluorescent"),
        ("FL3.13", 3910, "fluorescent"),
        ("A", 2856, "incandescent"),
    ],
)
def test_standard_lamps_lie_in_the_band(melanopic_of, name, kelvin, kind):
    """CIE's illuminants lie within the band that the table gives for their kind and temperature."""
    _, low, high = melanopic_ratio(kelvin, kind)
    assert low <= melanopic_of(name) <= high


def test_published_evening_light():
    """A measured lamp of 3888 K and 777 lx gave 540 lx melanopic EDI, inside our band."""
    # PMC6831674, table 4
    _, low, high = melanopic_ratio(3888.0)
    assert 777.0 * low <= 540.0 <= 777.0 * high


def test_band_of_evening_light_is_in_order():
    """Low, middle and high ascend at every temperature, those between the rows too."""
    for kind in ("led", "halogen", "incandescent", "fluorescent"):
        for kelvin in range(1000, 12000, 250):
            middle, low, high = melanopic_ratio(kelvin, kind)
            assert 0 < low <= middle <= high < 1.5


# ---- tint and mismatch --------------------------------------------------------------------------


@pytest.mark.reference
@pytest.mark.parametrize("kelvin", [2700.0, 3000.0, 5000.0, 6500.0])
def test_tint_against_the_library(colour, kelvin):
    """Without adaptation the tint is colour-science's linear sRGB of the same chromaticity."""
    x, y = planckian_xy(kelvin)
    xyz = colour.xyY_to_XYZ([x, y, 1.0])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        expected = colour.XYZ_to_sRGB(xyz, apply_cctf_encoding=False)
    # the four-digit matrix of IEC 61966-2-1 beside their exact one
    assert tint_of_white(kelvin, None) == pytest.approx(tuple(expected), abs=2e-3)


@pytest.mark.reference
def test_adaptation_against_the_library(colour):
    """With adaptation the tint is the library's Bradford transform of it, at luminance 1."""
    x, y = planckian_xy(2700.0)
    white = colour.xyY_to_XYZ([*planckian_xy(4000.0), 1.0])
    d65 = colour.xyY_to_XYZ([0.3127, 0.3290, 1.0])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        seen = colour.adaptation.chromatic_adaptation_VonKries(
            colour.xyY_to_XYZ([x, y, 1.0]), white, d65, transform="Bradford"
        )
        expected = colour.XYZ_to_sRGB(seen / seen[1], apply_cctf_encoding=False)
    assert tint_of_white(2700.0) == pytest.approx(tuple(expected), abs=2e-3)


@settings(max_examples=60, deadline=None)
@given(st.floats(1000, 20000), st.one_of(st.none(), st.floats(2000, 8000)))
def test_tint_fits_the_screen(kelvin, adapted):
    """Every tint has luminance 1 and no negative channel."""
    rgb = tint_of_white(kelvin, adapted)
    assert min(rgb) >= -1e-12
    assert np.dot(rgb, [0.2126, 0.7152, 0.0722]) == pytest.approx(1.0, abs=2e-3)


def test_warm_is_red_and_cool_is_blue():
    """Red over blue falls as the white gets cooler."""
    ratios = [tint_of_white(k)[0] / tint_of_white(k)[2] for k in (2200, 2700, 3000, 4000, 6500)]
    assert ratios == sorted(ratios, reverse=True)


def test_mismatch_of_usual_lamps():
    """2700 beside 2750 K pass as alike, 2700 beside 3000 K do not; a green cast counts too."""
    assert white_mismatch(2700, 2750).verdict == "alike"
    far = white_mismatch(2700, 3000)
    assert far.verdict == "different"
    assert far.mired == pytest.approx(37.04, abs=0.005)
    assert white_mismatch(4000, 4000, (0.0, 0.006)).verdict != "alike"
    assert white_mismatch(3000, 3000) == white_mismatch(3000, 3000, (0, 0))


@pytest.mark.parametrize("duv", [-0.01, 0.01])
def test_mismatch_moves_off_the_locus(duv):
    """A distance from the locus of 0.01 is found again as 0.01 in u, v."""
    far = white_mismatch(3500, 3500, (0.0, duv))
    assert far.duv == 0.01
    # u', v' stretches v by half: between 1 and 1.5 times
    assert 0.01 / 0.0011 <= far.steps <= 0.015 / 0.0011


# ---- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: planckian_xy(900.0), "cct_k"),
        (lambda: planckian_xy(math.nan), "cct_k"),
        (lambda: cct_and_duv(0.3, 0.6), "x, y"),
        (lambda: mixed_white([]), "parts"),
        (lambda: mixed_white([(-1.0, 2700.0)]), "illuminance"),
        (lambda: melanopic_ratio(2700.0, "candle"), "lamp.kind"),
        (lambda: melanopic_ratio(0.0), "cct_k"),
    ],
)
def test_refusals_name_the_field(make, field):
    """What is no white is refused with the field that is wrong."""
    with pytest.raises(PhotometryError) as caught:
        make()
    assert caught.value.field == field
