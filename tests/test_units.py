"""What people type becomes SI and back; what cannot be read is refused in one sentence."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lumen.units import QUANTITIES, Typed, UnitError, read, show_feet_inches

# Exact factors: international yard and pound agreement of 1959; NIST SP 811 (2008), appendix B.8.
FOOT, INCH, POUND = 0.3048, 0.0254, 0.45359237


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("168", "cm", 1.68),
        ("168", None, 168.0),
        ("168 cm", "in", 1.68),
        ("1,68 m", None, 1.68),
        ("1.68m", None, 1.68),
        (".5 m", None, 0.5),
        ("1m68", None, 1.68),
        ("1 m 68 cm", None, 1.68),
        ("0,500 m", None, 0.5),
        ("1683 mm", None, 1.683),
        ("5 ft 6 1/2 in", None, 5 * FOOT + 6.5 * INCH),
        ("5'6 1/2\"", None, 5 * FOOT + 6.5 * INCH),
        ("5’ 6½”", None, 5 * FOOT + 6.5 * INCH),
        ("5'-6 1/2\"", None, 5 * FOOT + 6.5 * INCH),
        ("5 feet 6 inches", None, 5 * FOOT + 6 * INCH),
        ("5'6", None, 5 * FOOT + 6 * INCH),
        ("5'", None, 5 * FOOT),
        ("6 1/2", "in", 6.5 * INCH),
        ("6-1/2\"", None, 6.5 * INCH),
        ("6''", None, 6 * INCH),
        ("3/4 in", None, 0.75 * INCH),
        ("66.5 in.", None, 66.5 * INCH),
        ("-5 cm", None, -0.05),
        ("−5 cm", None, -0.05),
        ("  2 400  mm ".replace("2 400", "2400"), None, 2.4),
        ("0", "ft", 0.0),
    ],
)  # fmt: skip
def test_one_length(text: str, unit: str | None, expected: float) -> None:
    """A single length is read in the unit typed, or in the default unit."""
    typed = read(text, unit=unit)
    assert typed.value == pytest.approx(expected, rel=1e-12)
    assert not typed.is_range
    assert typed.amount() == typed.value


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [
        ("55-60 cm", None, 0.55, 0.60),
        ("55–60 cm", None, 0.55, 0.60),
        ("55 - 60", "cm", 0.55, 0.60),
        ("55 cm to 60 cm", None, 0.55, 0.60),
        ("between 2 and 3 ft", None, 2 * FOOT, 3 * FOOT),
        ("5'-6'", None, 5 * FOOT, 6 * FOOT),
        ("5' - 5'6\"", None, 5 * FOOT, 5.5 * FOOT),
        ("0,5-0,6 m", None, 0.5, 0.6),
        ("60 ± 2 cm", None, 0.58, 0.62),
        ("60 +/- 2", "cm", 0.58, 0.62),
        ("about 60 cm", None, 0.57, 0.63),
        ("~60cm", None, 0.57, 0.63),
        ("ca. 60 cm", None, 0.57, 0.63),
    ],
)
def test_range(text: str, unit: str | None, low: float, high: float) -> None:
    """A range keeps both ends; "about" is give or take a twentieth."""
    typed = read(text, unit=unit)
    assert typed.amount() == pytest.approx((low, high), rel=1e-12)
    assert typed.value == pytest.approx((low + high) / 2, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "quantity", "expected"),
    [
        ("2 lb", "mass", 2 * POUND),
        ("2 lb 4 oz", "mass", 2.25 * POUND),
        ("900 g", "mass", 0.9),
        ("5.5W", "power", 5.5),
        ("1.2 kW", "power", 1200.0),
        ("470 lm", "flux", 470.0),
        ("1200", "flux", 1200.0),
        ("500 mA", "current", 0.5),
        ("230 V", "voltage", 230.0),
        ("30°", "angle", 30.0),
        ("2700K", "colour temperature", 2700.0),
    ],
)
def test_other_quantities(text: str, quantity: str, expected: float) -> None:
    """Masses, watts, lumens and the rest are read by the same rules."""
    assert read(text, quantity).value == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "quantity", "sentence"),
    [
        ("", "length", "must be an amount such as"),
        ("abc", "length", "must be an amount such as"),
        ("nan", "length", "must be an amount such as"),
        ("inf m", "length", "must be an amount such as"),
        ("1e5", "length", "must be an amount such as"),
        ("1 200 mm", "length", "must be an amount such as"),
        ("55-", "length", "must be an amount such as"),
        ("12 parsecs", "length", "must be in one of m, cm, mm, ft, in, not 'parsecs'"),
        ("3 kg", "length", "must be in one of"),
        ("60-55 cm", "length", "smaller number first"),
        ("5' 13\"", "length", "second part smaller"),
        ("1/0 in", "length", "proper fraction"),
        ("6 5/4 in", "length", "proper fraction"),
        ("1,200 lm", "flux", "whether 1.2 or 1200 is meant"),
        ("1,680 m", "length", "whether 1.68 or 1680 is meant"),
        ("1.234,5 m", "length", "must be an amount such as"),
        ("9999999999999 m", "length", "size that occurs in a room"),
        ("5 m" + " " * 80, "length", "must be a short text"),
    ],
)
def test_refused(text: str, quantity: str, sentence: str) -> None:
    """What is no amount, or could be two, is refused with the rule and the text."""
    with pytest.raises(UnitError) as caught:
        read(text, quantity)
    assert caught.value.field == quantity
    assert sentence in caught.value.rule
    assert caught.value.value == text
    assert "\n" not in str(caught.value)


def test_unknown_quantity_and_unit_are_refused() -> None:
    """A wrong quantity or default unit is named."""
    with pytest.raises(UnitError, match="quantity must be one of length"):
        read("1", "beauty")
    with pytest.raises(UnitError, match="unit must be a unit of mass"):
        read("1", "mass", "cm")
    with pytest.raises(UnitError, match="length must be finite"):
        show_feet_inches(math.inf)


@pytest.mark.parametrize(
    ("length_m", "shown"),
    [
        (0.0, '0"'),
        (INCH / 16, '1/16"'),
        (INCH / 33, '0"'),
        (INCH * 6.5, '6 1/2"'),
        (FOOT, "1' 0\""),
        (5 * FOOT + 6.5 * INCH, "5' 6 1/2\""),
        (FOOT * 12 - INCH / 64, "12' 0\""),
        (-INCH * 14, "-1' 2\""),
    ],
)
def test_feet_and_inches(length_m: float, shown: str) -> None:
    """Feet and inches carry over, reduce their fraction and keep their sign."""
    assert show_feet_inches(length_m) == shown


@given(st.floats(-30, 30, allow_nan=False))
def test_feet_inches_round_trip(length_m: float) -> None:
    """What is shown in feet and inches reads back within half a sixteenth of an inch."""
    assert read(show_feet_inches(length_m), unit="in").value == pytest.approx(
        length_m, abs=INCH / 32 + 1e-9
    )


@given(st.integers(0, 99), st.integers(0, 11), st.integers(0, 15))
def test_feet_inches_sixteenths_exact(feet: int, inches: int, over: int) -> None:
    """Any sixteenth of an inch survives being shown and read."""
    length_m = (feet * 12 + inches + over / 16) * INCH
    assert read(show_feet_inches(length_m)).value == pytest.approx(length_m, abs=1e-9)


@given(st.text(max_size=60), st.sampled_from(sorted(QUANTITIES)))
def test_any_text_is_read_or_refused(text: str, quantity: str) -> None:
    """No text breaks the reader: it gives finite ordered numbers or one refusal."""
    try:
        typed = read(text, quantity)
    except UnitError:
        return
    assert typed.low <= typed.value <= typed.high
    assert abs(typed.high) < 1e13


@given(
    st.text(alphabet="0123456789.,'\"-/ ftincmo½±~", max_size=14),
    st.sampled_from(["m", "cm", "in", "ft"]),
)
def test_any_near_length_is_read_or_refused(text: str, unit: str) -> None:
    """Texts made of the very signs lengths are made of never break the reader either."""
    try:
        typed = read(text, unit=unit)
    except UnitError:
        return
    assert isinstance(typed, Typed)
    assert typed.low <= typed.value <= typed.high
