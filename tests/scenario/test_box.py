# ruff: noqa: E501 (one label a line is easier to read)
"""What the box says is read in any order, language and spelling; what it stands in for never is.

Labels are made up here after the wording of EU 2019/2015 labels and of usual packaging.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.scenario.box import FOR_LIGHTS, FOR_STRIPS, read_box

LABELS: list[tuple[str, dict[str, Any]]] = [
    ("470 lm 5.5 W 2700K E27 36° dimmable Ra90", {"flux_lm": 470, "power_w": 5.5, "cct_k": 2700, "cap": "E27", "beam_deg": 36, "dims": True, "ra": 90}),
    ("E14, LED, 4,9 W = 40 W, 470 Lumen, 3000 K, nicht dimmbar, CRI>80", {"cap": "E14", "kind": "led", "power_w": 4.9, "flux_lm": 470, "cct_k": 3000, "dims": False, "ra": 80}),
    ("LED spot GU10 36 deg 345lm 4.6W (50W equivalent) 2700 Kelvin CRI 97 R9 > 90", {"kind": "led", "cap": "GU10", "beam_deg": 36, "flux_lm": 345, "power_w": 4.6, "cct_k": 2700, "ra": 97, "r9": 90}),
    ("Replaces 60 W. 806 lumens, 8 watts, 2700 K, B22", {"flux_lm": 806, "power_w": 8, "cct_k": 2700, "cap": "B22d"}),
    ("8W ersetzt 60W Glühlampe, 806lm, warmweiß 2.700 K, dimmbar bis 10 %, Ø 60 mm", {"power_w": 8, "flux_lm": 806, "cct_k": 2700, "dims": True, "lowest_level": 0.1, "diameter_m": 0.06}),
    ("1.055 lm · 11 W (≙ 75 W) · 4000K · Ra ≥ 80 · PstLM ≤ 1,0 · SVM ≤ 0,4", {"flux_lm": 1055, "power_w": 11, "cct_k": 4000, "ra": 80, "pst_lm": 1, "svm": 0.4}),
    ("GX53 6 W, 1,521 lm, 100-240 V, 15000 h, energy class E, 3000K", {"cap": "GX53", "flux_lm": 1521, "cct_k": 3000, "power_w": 6}),
    ("Lichtstrom 250 lm; Leistung 2,5 W; Farbwiedergabeindex 90; Abstrahlwinkel 60°; G9", {"flux_lm": 250, "power_w": 2.5, "ra": 90, "beam_deg": 60, "cap": "G9"}),
    ("flux 400-470 lm, power 4.5-5.5 W, PF > 0.5, standby 0.3 W", {"flux_lm": (400, 470), "power_w": (4.5, 5.5), "power_factor": 0.5, "standby_w": 0.3}),
    ("halogen lamp G9 28 W 370 lm 2800 K", {"kind": "halogen", "cap": "G9", "power_w": 28, "flux_lm": 370, "cct_k": 2800}),
    ("PL-S 11W/827 G23 580 lm", {"power_w": 11, "cct_k": 2700, "ra": 80, "cap": "G23", "flux_lm": 580}),
    ("470 lm, not dimmable, -20 to 40 °C, swivels 350°, tilt 90°", {"flux_lm": 470, "dims": False}),
    ("Tunable white 2700-6500 K, 806 lm, 9 W, dimming range 1-100 %", {"flux_lm": 806, "power_w": 9, "lowest_level": 0.01}),
    ("Ampoule E27 remplace 75 W, 1 055 lm, 10,5 W, IRC 80, 2700 K", {"cap": "E27", "flux_lm": 1055, "power_w": 10.5, "ra": 80, "cct_k": 2700}),
    ("Bedside light, max. 40 W, E14 (bulb not included)", {"max_lamp_w": 40, "cap": "E14"}),
    ("dims down to 5%, R9=-12, 90+ CRI", {"lowest_level": 0.05, "r9": -12, "ra": 90}),
    ("LED strip 24V DC 14.4 W/m 1400 lm/m 120 LEDs/m CRI 95 2700K width 10 mm, cuttable every 50 mm, dimmable", {"kind": "led", "volts": 24, "power_w_per_m": 14.4, "flux_lm_per_m": 1400, "leds_per_m": 120, "ra": 95, "cct_k": 2700, "width_m": 0.01, "cut_m": 0.05, "dims": True}),
    ("12 V, 4,8 Watt/Meter, 60 LED pro Meter, 8 mm breit, schneidbar alle 5 cm", {"volts": 12, "power_w_per_m": 4.8, "leds_per_m": 60, "width_m": 0.008, "cut_m": 0.05}),
    ("3 W/ft, 300 lm/ft", {"power_w_per_m": pytest.approx(9.84252, abs=1e-5), "flux_lm_per_m": pytest.approx(984.252, abs=1e-3)}),
    ("Wandleuchte max. 1x 40W E14, IP20, Schutzklasse I, ohne Leuchtmittel", {"max_lamp_w": 40, "cap": "E14"}),
    ("Wattage: 5.5 | Lumens: 470 | Colour temperature: 2700", {"power_w": 5.5, "flux_lm": 470, "cct_k": 2700}),
    ("Lumens (lm): 1,055\nPower: 230 V\nWattage (W): 11\nreplaces: 75 W", {"flux_lm": 1055, "power_w": 11}),
    ("Equivalent wattage: 60, lumens: 806", {"flux_lm": 806}),
    ("Wattage: 60, lumens: 806", {"flux_lm": 806}),
    ("4W=35W GU5.3 12V MR16 345lm 38°", {"power_w": 4, "cap": "GU5.3", "volts": 12, "flux_lm": 345, "beam_deg": 38}),
    ("Dimmable: No, 470lm 4.5W", {"dims": False, "flux_lm": 470, "power_w": 4.5}),
    ("beam angle: 24, 12°C", {"beam_deg": 24}),
    ("", {}),
    ("a nice lamp for quiet evenings", {}),
]  # fmt: skip


@pytest.mark.parametrize(("text", "fields"), LABELS, ids=lambda one: str(one)[:30])
def test_a_label_is_read(text: str, fields: dict[str, Any]) -> None:
    """Every value of a label is found, nothing else is, and the text bears each one out."""
    found = read_box(text)
    values = {
        field: one.value
        for field, one in found.items()
        if field not in ("kind",) or field in fields
    }
    assert values == fields
    for one in found.values():
        assert text[one.start : one.end].strip()
        if isinstance(one.value, float) and not isinstance(fields.get(one.field), tuple):
            assert any(letter.isdigit() for letter in text[one.start : one.end])


@pytest.mark.parametrize(
    "equals",
    [
        "= 40 W", "=40W", "≙ 40 W", "(40 W equivalent)", "equivalent to 40 W", "replaces 40 W", "ersetzt 40 W",
        "entspricht 40 W", "wie 40 Watt", "remplace 40 W", "vervangt 40 W", "sostituisce 40 W", "sustituye 40 W",
        "40 W eq.", "instead of 40 W", "40W replacement", "(40 W)", "40 W incandescent", "equiv. 40W",
    ],
)  # fmt: skip
@pytest.mark.parametrize(
    "order", ["{own} {equals} 470 lm", "{equals}, 470 lm, {own}", "470 lm {own}, {equals}"]
)
def test_watts_it_stands_in_for_are_never_its_watts(equals: str, order: str) -> None:
    """Before or after its own watts, in any language: 40 W is what it replaces, 5.5 W what it draws."""
    assert read_box(order.format(own="5.5 W", equals=equals))["power_w"].value == 5.5
    assert "power_w" not in read_box(f"470 lm {equals}")


def test_forty_watts_of_an_led_with_470_lm_are_not_believed() -> None:
    """A shop's "LED 40 W 470 lm" names the old bulb: 12 lm/W is no LED."""
    assert "power_w" not in read_box("LED bulb 40 W 470 lm E27")


PIECES = st.sampled_from(
    ["470 lm", "5,5 W", "= 40 W", "2700K", "E27", "36°", "dimmable", "Ra90", "CRI>", "R9 -", "%", "°C", "10-100 %", "max.", "W/m", "/827", "1.055", "1 055", "'", ",", ".", "-", "Ø", "mm", "lm/W", "SVM", "PstLM", "standby", "not", "\n", "≥", "½", "٣", "İ", "ß", "10000000000000000000000000 lm", "0 W", "e", "G", "B22", "..", "PF", "24 V", "LED/m", "to", "bis"]
)  # fmt: skip


@settings(deadline=None, max_examples=300)
@given(
    st.one_of(
        st.text(max_size=300),
        st.lists(PIECES, max_size=40).map(" ".join),
        st.lists(PIECES, max_size=40).map("".join),
    )
)
def test_any_text_is_read_or_left(text: str) -> None:
    """Whatever is pasted: no traceback, places within the text, and values that the document takes."""
    found = read_box(text)
    assert set(found) <= set(FOR_LIGHTS) | set(FOR_STRIPS)
    for one in found.values():
        assert 0 <= one.start < one.end <= len(text)
