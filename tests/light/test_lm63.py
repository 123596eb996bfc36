"""LM-63 files: every edition, symmetry and type, and the faults met in the wild."""

from __future__ import annotations

import importlib.util
import math
from pathlib import Path

import numpy as np
import pytest

from lumen.errors import PhotometryError
from lumen.light.lm63 import Lm63File, read_lm63

FIRST_LINE = {
    1986: "",
    1991: "IESNA91\n",
    1995: "IESNA:LM-63-1995\n",
    2002: "IESNA:LM-63-2002\n",
    2019: "IES:LM-63-2019\n",
}


def write(
    vertical,
    horizontal,
    candela,
    *,
    edition=2002,
    head="[TEST] own\n",
    tilt="TILT=NONE\n",
    lumens=-1,
    multiplier=1,
    kind=1,
    unit=2,
    opening="0 0 0",
    factors="1 1 10",
    lamps=1,
    end="\n",
) -> str:
    """A file of our own making."""
    if edition == 1986 and head.startswith("["):
        head = "a label of our own\n"
    rows = "\n".join(" ".join(f"{v:.6f}" for v in row) for row in np.atleast_2d(candela))
    angles = " ".join(f"{a:g}" for a in vertical) + "\n" + " ".join(f"{a:g}" for a in horizontal)
    return (
        f"{FIRST_LINE[edition]}{head}{tilt}{lamps} {lumens} {multiplier} {len(vertical)} "
        f"{len(horizontal)} {kind} {unit} {opening}\n{factors}\n{angles}\n{rows}{end}"
    )


GAMMA = np.arange(0.0, 90.5, 1.0)


def cosine(exponent: float, peak: float = 100.0) -> np.ndarray:
    """Intensity peak * cos^n, of flux 2 pi peak / (n + 1)."""
    return peak * np.maximum(np.cos(np.radians(GAMMA)), 0.0) ** exponent


def say(file: Lm63File, words: str) -> bool:
    """Whether one of the file's corrections holds the words."""
    return any(words in sentence for sentence in file.corrections)


# ---- real files ---------------------------------------------------------------------------------


@pytest.mark.reference
@pytest.mark.parametrize(
    ("name", "flux", "lamps", "edition", "watts"),
    [
        ("luxpy_test_lid_file.ies", 5280.7, 6000.0, 1995, 43.5),
        ("luxpy_test_lid_file2b.ies", 3340.0, 3150.0, 1986, 147.5),
        ("luxpy_test_lid_file2t.ies", 5772.0, 3150.0, 1986, 147.5),
    ],
)
def test_files_of_a_colour_library(name, flux, lamps, edition, watts):
    """Files shipped with the luxpy package integrate to the flux worked out apart from us."""
    spec = importlib.util.find_spec("luxpy")
    assert spec is not None
    assert spec.origin is not None
    folder = Path(spec.origin).parent / "toolboxes" / "iolidfiles" / "data"
    file = read_lm63((folder / name).read_bytes())
    # the integrals were done linear in angle and printed to these digits
    assert file.distribution.flux_lm == pytest.approx(flux, abs=0.5 if flux != 5280.7 else 0.05)
    assert (file.lamp_flux_lm, file.edition, file.power_w) == (lamps, edition, watts)
    assert say(file, "look at multiplier") == (file.distribution.flux_lm > 1.05 * lamps)


def test_the_real_file_in_detail():
    """The 1995 sample's keywords, size and peak are read as written."""
    spec = importlib.util.find_spec("luxpy")
    assert spec is not None
    assert spec.origin is not None
    folder = Path(spec.origin).parent / "toolboxes" / "iolidfiles" / "data"
    file = read_lm63((folder / "luxpy_test_lid_file.ies").read_text())
    assert file.keywords["FLASHAREA"] == "0.038049"
    assert (file.width_m, file.length_m, file.opening) == (0.080, 1.966, "rectangle")
    assert file.distribution.max_intensity == pytest.approx(1536.4, abs=0.05)
    assert file.output_ratio == pytest.approx(0.88, abs=0.005)


def test_the_example_of_the_2002_edition():
    """The standard's own type C example gives 98 596 lm, 197 % of its lamp, and says so."""
    # numbers of ANSI/IESNA LM-63-2002's example file; flux integrated linear in angle
    tilt = (
        "TILT=INCLUDE\n1\n13\n0 15 30 45 60 75 90 105 120 135 150 165 180\n"
        "1.0 .95 .94 .90 .88 .87 .98 .87 .88 .90 .94 .95 1.0\n"
    )
    candela = [
        [100000, 50000, 25000, 10000, 5000],
        [100000, 35000, 16000, 8000, 3000],
        [100000, 20000, 10000, 5000, 1000],
    ]
    text = write(
        [0, 22.5, 45, 67.5, 90],
        [0, 45, 90],
        candela,
        head="[TEST] own\n[OTHER] one line\n[MORE] and the next\n[_OWN] x\n",
        tilt=tilt,
        lumens=50000,
        unit=1,
        opening=".5 .6 0",
        factors="1.0 1.0 495",
    ).replace("IESNA:LM", "IESNA: LM")
    file = read_lm63(text)
    assert file.distribution.flux_lm == pytest.approx(98596, abs=0.5)
    assert file.output_ratio == pytest.approx(1.97, abs=0.005)
    assert say(file, "197 % of the lamps' 50000 lm")
    assert file.tilt is not None
    assert (file.tilt.geometry, len(file.tilt.angles_deg)) == (1, 13)
    assert file.tilt.factors[5] == 0.87
    assert file.keywords["OTHER"] == "one line and the next"
    assert file.keywords["_OWN"] == "x"
    assert file.width_m == pytest.approx(0.1524)
    assert file.edition == 2002


# ---- our own files of known flux ----------------------------------------------------------------


@pytest.mark.parametrize("edition", [1986, 1991, 1995, 2002, 2019])
def test_every_edition(edition):
    """The cosine source is read alike by the rules of each edition; flux is 2 pi I / (n + 1)."""
    file = read_lm63(write(GAMMA, [0], cosine(1), edition=edition))
    assert file.edition == edition
    assert file.distribution.flux_lm == pytest.approx(100 * math.pi, rel=1e-3)
    assert file.lamp_flux_lm is None


@pytest.mark.parametrize(
    ("edition", "twelfth", "factor"),
    [(1986, 0.9, 0.9), (1991, 0.9, 0.9), (1995, 0.9, 1.0), (2002, 1, 1.0), (2019, 1.10100, 1.0)],
)
def test_factors_by_edition(edition, twelfth, factor):
    """Multiplier and ballast factor always multiply; the twelfth number only to 1991."""
    text = write(
        GAMMA, [0], cosine(2), edition=edition, multiplier=2.5, factors=f"0.8 {twelfth} 10"
    )
    file = read_lm63(text)
    assert file.distribution.max_intensity == pytest.approx(100 * 2.5 * 0.8 * factor)
    assert file.generation == pytest.approx(twelfth)


PLANES = {
    "rotational": [0],
    "quarter": list(range(0, 91, 10)),
    "half": list(range(0, 181, 10)),
    "half about 90": list(range(90, 271, 10)),
    "whole": list(range(0, 361, 10)),
}


@pytest.mark.parametrize("exponent", [0, 1, 4])
@pytest.mark.parametrize("planes", PLANES)
def test_every_symmetry_of_type_c(planes, exponent):
    """Each symmetry of type C gives the same even source of flux 2 pi I / (n + 1)."""
    horizontal = PLANES[planes]
    file = read_lm63(write(GAMMA, horizontal, [cosine(exponent)] * len(horizontal)))
    expected = math.tau * 100 / (exponent + 1)
    assert file.distribution.flux_lm == pytest.approx(expected, rel=1e-3)
    assert file.corrections[0].startswith("Lumens per lamp is -1")
    assert len(file.corrections) == 1


def test_half_about_90_is_mirrored_across_x():
    """A 90 to 270 file lights -x and, mirrored, +x; its planes 90 and 270 stay apart."""
    bright = [[100, 10 + 0.1 * c] for c in PLANES["half about 90"]]
    file = read_lm63(write([0, 90], PLANES["half about 90"], bright))
    at = file.distribution.intensity([[1.0, 0, 0], [-1.0, 0, 0], [0, 1.0, 0], [0, -1.0, 0]])
    assert at == pytest.approx([28, 28, 19, 37])


def test_light_upward():
    """Vertical angles from 90 to 180 shine up only."""
    up = read_lm63(write(GAMMA + 90, [0], cosine(1)[::-1]))
    assert up.distribution.flux_lm == pytest.approx(100 * math.pi, rel=1e-3)
    assert up.distribution.zonal_flux(0.0, math.pi / 2) == 0.0


def test_types_b_and_a_find_the_aim_and_the_sides():
    """In types A and B a spot at V up and H right lands at +y and +x about the aim."""
    v = h = np.arange(-90.0, 91.0, 5.0)
    hh, vv = np.meshgrid(h, v, indexing="ij")
    spot = 1000 * np.exp(-(((hh - 40) / 8) ** 2) - ((vv - 25) / 8) ** 2)
    for kind in (2, 3):
        d = read_lm63(write(v, h, spot, kind=kind)).distribution
        rh, rv = math.radians(40), math.radians(25)
        if kind == 2:
            towards = [math.sin(rh), math.cos(rh) * math.sin(rv), -math.cos(rh) * math.cos(rv)]
        else:
            towards = [math.sin(rh) * math.cos(rv), math.sin(rv), -math.cos(rh) * math.cos(rv)]
        assert d.intensity(towards) == pytest.approx(d.max_intensity, rel=0.03)
        assert d.intensity(np.array(towards) * [-1, 1, 1]) < 1
        assert d.intensity(np.array(towards) * [1, -1, 1]) < 1


@pytest.mark.parametrize("kind", [2, 3])
@pytest.mark.parametrize("lowest", [0, -90])
def test_types_b_and_a_keep_the_flux(kind, lowest):
    """A cosine source written in type A or B, mirrored or whole, keeps its flux of pi I."""
    v = np.arange(-90.0, 91.0, 2.5)
    h = np.arange(float(lowest), 91.0, 2.5)
    ahead = np.outer(np.cos(np.radians(h)), np.cos(np.radians(v)))
    file = read_lm63(write(v, h, 100 * ahead, kind=kind))
    assert file.photometric_type == {2: "B", 3: "A"}[kind]
    # two readings of straight pieces, 2.5 and 1 degree wide
    assert file.distribution.flux_lm == pytest.approx(100 * math.pi, rel=2e-3)


@pytest.mark.parametrize(
    ("opening", "edition", "shape", "across"),
    [
        ("0 0 0", 2002, "point", 0.0),
        ("0.3 0.6 0", 2002, "rectangle", math.sqrt(2 * 0.45 / 3)),
        ("0.3 0.6 0.1", 2002, "box with luminous sides", math.sqrt(2 * 0.45 / 3)),
        ("-0.2 -0.2 0", 2002, "disc", 0.2),
        ("-0.2 -0.4 0", 2002, "ellipse", math.sqrt(0.1)),
        ("-0.2 -0.2 0.3", 2002, "upright cylinder", 0.2),
        ("-0.2 -0.4 0.3", 2002, "upright elliptical cylinder", math.sqrt(0.1)),
        ("-0.2 -0.2 -0.2", 2002, "sphere", 0.2),
        ("-0.2 -0.3 -0.4", 2002, "ellipsoid", math.sqrt(0.065)),
        ("-0.1 0.5 -0.1", 2002, "level cylinder along the length", math.sqrt(2 * 0.26 / 3)),
        ("0.5 -0.1 -0.1", 2002, "level cylinder across the length", math.sqrt(2 * 0.26 / 3)),
        ("-0.2 0 -0.2", 2002, "upright disc", 0.2),
        ("-0.2 0 -0.3", 2002, "upright ellipse", 0.2),
        ("-0.2 0 0", 1995, "disc", 0.2),
    ],
)
def test_openings(opening, edition, shape, across):
    """The signs of the opening tell its shape (LM-63-2002, Table 1; a disc otherwise before)."""
    file = read_lm63(write(GAMMA, [0], cosine(1), opening=opening, edition=edition))
    assert file.opening == shape
    assert file.luminous_size_m == pytest.approx(across)
    assert not say(file, "opening")


def test_feet_become_metres():
    """Feet are turned into metres, of 0.3048 m each."""
    file = read_lm63(write(GAMMA, [0], cosine(1), opening="-0.5 -0.5 0", unit=1))
    assert file.width_m == pytest.approx(-0.1524)


def test_several_lamps():
    """Rated flux is the lamps' sum."""
    file = read_lm63(write(GAMMA, [0], cosine(1), lumens=200, lamps=2))
    assert file.lamp_flux_lm == 400
    assert file.output_ratio == pytest.approx(math.pi / 4, rel=1e-3)


# ---- faults put right, and said ----------------------------------------------------------------


def plain(**changes) -> str:
    """A cosine source whose integral fits its lamp, with changes."""
    return write(GAMMA, [0], cosine(1), **{"lumens": 400, **changes})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (plain().replace("IESNA:LM-63-2002\n", ""), "version line is missing"),
        (plain().replace("IESNA:LM-63-2002", "IESNA: LM-63-2002 "), "version line were taken out"),
        (plain(tilt="TILT = NONE\n"), "blank in 'TILT ='"),
        (plain(opening="-0.08 0 0"), "way of before 2002"),
        (plain(lumens=-1), "absolute photometry"),
        (plain(lumens=0), "read as not given"),
        (plain(factors=""), "ballast factors and watts is missing"),
        (plain(factors="1 1 0"), "no input watts"),
        (plain(factors="0 1 10"), "ballast factor is 0"),
        (plain(factors="1 0 10", edition=1991), "ballast-lamp factor is 0"),
        (plain(end="\n\x1a"), ""),
        (plain(end="\nEND OF FILE\n"), "Text after the numbers"),
        (plain(lumens=4000), "8 % of the lamps'"),
        (plain(lumens=200), "157 % of the lamps'"),
        (plain(multiplier=3, lumens=2500), "per 1000 lm"),
        (plain(opening="12 48 0"), "feet and metres"),
        (plain(head="[LUMINAIRE] wall uplight\n"), "upside down"),
        (plain(head="[MORE] lonely\n[TEST] x\n"), "continues nothing"),
    ],
)
def test_plain_faults_are_read_and_said(text, words):
    """A fault with one meaning is put right, the light is still there, and a sentence says so."""
    file = read_lm63(text)
    assert file.distribution.flux_lm > 0
    assert say(file, words) if words else not file.corrections
    flux = 100 * math.pi * (3 if "\n1 2500 3" in text else 1)
    assert file.distribution.flux_lm == pytest.approx(flux, rel=1e-3)


def test_latin_1_bytes():
    """Bytes of Latin-1 are read, and said."""
    file = read_lm63(plain(head="[LUMINAIRE] Lampe für Zürich\n").encode("latin-1"))
    assert file.keywords["LUMINAIRE"] == "Lampe für Zürich"
    assert say(file, "Latin-1")


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace(" ", ", "),
        lambda text: text.replace(" ", "\t"),
        lambda text: text.replace("\n", "\r"),
        lambda text: text.replace("\n", "\r\n"),
        lambda text: "\n".join(_wrapped(text)),
        lambda text: "\ufeff" + text,
    ],
)
def test_legal_layouts_need_no_words(change):
    """Commas, tabs, any line ends, any wrapping and a byte order mark read the same, unsaid."""
    file = read_lm63(change(plain()))
    assert file.corrections == ()
    assert file.distribution.flux_lm == pytest.approx(100 * math.pi, rel=1e-3)


def _wrapped(text: str) -> list[str]:
    head, numbers = text.split("TILT=NONE\n")
    tokens = numbers.split()
    return [
        *head.split("\n")[:-1],
        "TILT=NONE",
        *(" ".join(tokens[i : i + 7]) for i in range(0, len(tokens), 7)),
    ]


def test_missing_plane_360_is_joined():
    """A whole-circle file without its plane at 360 gets plane 0 again, and says so."""
    horizontal = list(range(0, 351, 10))
    file = read_lm63(write(GAMMA, horizontal, [cosine(1)] * len(horizontal)))
    assert file.distribution.flux_lm == pytest.approx(100 * math.pi, rel=1e-3)
    assert say(file, "plane at 360 is missing")


def test_unequal_planes_0_and_360_are_averaged():
    """Planes 0 and 360 that differ by more than 1 % of the peak are averaged, and said."""
    rows = [cosine(1)] * 36 + [0.9 * cosine(1)]
    file = read_lm63(write(GAMMA, PLANES["whole"], rows))
    assert say(file, "differ by 10 %")
    assert file.distribution.candela[0] == pytest.approx(0.95 * cosine(1), abs=1e-5)
    close = [cosine(1)] * 36 + [0.995 * cosine(1)]
    assert not say(read_lm63(write(GAMMA, PLANES["whole"], close)), "differ")


def test_descending_angles_are_turned_round():
    """Vertical angles that descend throughout are turned round with their intensities."""
    file = read_lm63(write(GAMMA[::-1], [0], cosine(1)[::-1]))
    assert file.distribution.flux_lm == pytest.approx(100 * math.pi, rel=1e-3)
    assert say(file, "descend")


def test_half_type_b_says_that_it_is_dark_below():
    """A type B file without angles below its aim is dark there, and says so."""
    v, h = np.arange(0.0, 91.0, 5), np.arange(0.0, 91.0, 5)
    file = read_lm63(write(v, h, np.full((19, 19), 10.0), kind=2))
    assert say(file, "dark below the aim")
    assert file.distribution.intensity([0, -0.5, -1.0]) == 0
    assert file.distribution.intensity([0.3, 0.5, -1.0]) == pytest.approx(10)


# ---- refusals -----------------------------------------------------------------------------------


def _with_angles(text: str, old: str, new: str) -> str:
    assert old in text
    return text.replace(old, new, 1)


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("", "file"),
        ("nothing of the sort", "file"),
        (plain().replace("IESNA:LM-63-2002", "IESNA:LM-63-2050"), "first line"),
        (plain(tilt="TILT=lamp.tlt\n"), "TILT"),
        (plain(tilt="TILT=INCLUDE\n7\n1\n0\n1\n"), "TILT geometry"),
        (plain(tilt="TILT=INCLUDE\n1\n900\n0\n1\n"), "TILT angles"),
        ("TILT=NONE\n1 2 3", "numbers after TILT"),
        (plain(lamps=0), "number of lamps"),
        (plain(lumens=-5), "lumens per lamp"),
        (plain(multiplier=0), "candela multiplier"),
        (plain(kind=4), "photometric type"),
        (plain(unit=3), "units"),
        (plain(factors="-1 1 10"), "ballast factor"),
        (plain(end=" 7 8 9\n"), "numbers after TILT"),
        (plain(end="")[:-9], "numbers after TILT"),
        (plain().replace("100.000000", "abc", 1), "numbers after TILT"),
        (plain().replace("100.000000", "nan", 1), "number 106 after TILT"),
        (plain().replace("100.000000", "-100.0", 1), "candela"),
        (_with_angles(plain(), " 45 46 47 ", " 45 45 47 "), "vertical angles"),
        (write([0, 90], [0, 90, 180, 170], [[1, 2]] * 4), "horizontal angles"),
        (write([0, 90], [0, 45], [[1, 2]] * 2), "c_deg"),
        (write([0, 90], [0, 45, 90], [[1, 2]] * 5), "numbers after TILT"),
        (write([0, 200], [0], [[1, 2]]), "gamma_deg"),
        (write([0, 180], [0, 45, 90], [[1, 2]] * 3, kind=2), "vertical angles"),
        (write([0, 90], [0], [[1, 2]], kind=3), "horizontal angles"),
        (write([0, 90], [0], [[0, 0]]), "candela"),
        ("TILT=NONE\n1 -1 1 1e7 10 1 2 0 0 0\n1 1 1", "number of angles"),
        ("TILT=NONE\n1 -1 1 2.5 1 1 2 0 0 0\n1 1 1", "number of vertical angles"),
    ],
)
def test_faults_with_two_meanings_are_refused(text, field):
    """What cannot be read one way only is refused, naming the field, its rule and the value."""
    with pytest.raises(PhotometryError) as caught:
        read_lm63(text)
    assert caught.value.field == field
    assert str(caught.value).startswith(f"{field} must ")
