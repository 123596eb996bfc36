"""The compartment's warmth: closed forms, energy balance, order of the band."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.errors import LumenError
from lumen.power.heat import Compartment, compartment_heat, panel_transmittance

size = st.floats(0.05, 1.5)
boxes = st.builds(
    Compartment,
    width_m=size,
    depth_m=size,
    height_m=size,
    panel_m=st.floats(0.003, 0.05),
    covered=st.lists(st.sampled_from(["back", "left", "bottom"]), unique=True).map(tuple),
    low_vent_m2=st.sampled_from([0.0, 0.001, 0.005]),
    high_vent_m2=st.sampled_from([0.0, 0.001, 0.005]),
)


def test_closed_box_is_losses_over_conductance() -> None:
    """Without vents the middle is P / (U A): 18 mm wood, 0.45 m², 0.89 K/W, worked by hand."""
    assert panel_transmittance(0.018) == pytest.approx(2.51, abs=0.005)
    box = Compartment(0.4, 0.3, 0.15)
    for losses, rise in ((1.0, 0.89), (10.0, 9.0), (30.0, 27.0)):
        # printed as 0.89 K/W, +9 K and +27 K
        tolerance = 0.005 if losses == 1.0 else 0.5
        assert compartment_heat(losses, box).rise_k[1] == pytest.approx(rise, abs=tolerance)


@given(boxes, st.floats(0.0, 100.0))
@settings(max_examples=100, deadline=None)
def test_band_is_in_order_and_vents_only_cool(box: Compartment, losses: float) -> None:
    """Low, middle, high in that order, and the closed box is never the cooler one."""
    heat = compartment_heat(losses, box)
    low, middle, high = heat.rise_k
    assert -1e-9 <= low <= middle + 1e-9 <= high + 2e-9
    closed = Compartment(box.width_m, box.depth_m, box.height_m, box.panel_m, covered=box.covered)
    assert compartment_heat(losses, closed).rise_k[1] >= middle - 1e-9


@given(boxes, st.floats(0.1, 100.0))
@settings(max_examples=100, deadline=None)
def test_heat_in_is_heat_out(box: Compartment, losses: float) -> None:
    """Faces and vents together carry off what is made, by the formulas written out again here.

    At the high end the largest open face carries none and half of each vent's area is blocked; at
    the low end every face is free, moving air has films of 0.10 m2 K/W (ISO 6946, heat upward) and
    panels conduct twice as well.
    """
    low, middle, high = compartment_heat(losses, box, room_c=20.0).rise_k
    areas = {
        "back": box.width_m * box.height_m,
        "front": box.width_m * box.height_m,
        "left": box.depth_m * box.height_m,
        "right": box.depth_m * box.height_m,
        "top": box.width_m * box.depth_m,
        "bottom": box.width_m * box.depth_m,
    }
    still = 1 / (2 * 0.13 + box.panel_m / box.conductivity)
    moving = 1 / (2 * 0.10 + box.panel_m / (2 * box.conductivity))
    open_faces = sorted(area for face, area in areas.items() if face not in box.covered)

    def carried(rise: float, through: float, vents: float) -> float:
        one, two = vents * box.low_vent_m2, vents * box.high_vent_m2
        if one and two:
            area = 1 / math.sqrt(1 / one**2 + 1 / two**2)
            flow = 0.6 * area * math.sqrt(2 * 9.81 * 0.75 * box.height_m * rise / 293.15)
        else:
            flow = 0.2 * (one + two) * math.sqrt(9.81 * 0.02 * rise / 293.15)
        return through * rise + 1200 * flow * rise

    assert carried(low, moving * sum(areas.values()), 1.0) == pytest.approx(losses, rel=1e-6)
    assert carried(middle, still * sum(open_faces), 1.0) == pytest.approx(losses, rel=1e-6)
    assert carried(high, still * sum(open_faces[:-1]), 0.5) == pytest.approx(losses, rel=1e-6)


def test_next_to_no_heat_warms_next_to_nothing() -> None:
    """The smallest number that a computer holds, and a picowatt, give a rise and no failure."""
    box = Compartment(0.5, 1.0, 1.0, 0.03125, low_vent_m2=0.005, high_vent_m2=0.005)
    for losses in (5e-324, 1e-12, 1e-9, 1.1e-9):
        low, middle, high = compartment_heat(losses, box).rise_k
        assert 0.0 <= low <= middle <= high < 1e-8


def test_label_ambient_counts() -> None:
    """A label's ambient is held against the high air temperature, not the middle."""
    box = Compartment(0.4, 0.3, 0.15, covered=("back",))
    heat = compartment_heat([6.0, 4.0], box, room_c=26.0, label_ambient_c=40.0)
    assert heat.losses_w == 10.0
    assert heat.air_c[1] < 40.0 < heat.air_c[2]
    assert heat.over_label is True
    assert compartment_heat(10.0, box, label_ambient_c=60.0).over_label is False
    assert compartment_heat(10.0, box).over_label is None
    assert any("closed lid" in line for line in heat.assumptions)


@pytest.mark.parametrize(
    ("box", "losses", "message"),
    [
        (Compartment(0.0, 0.3, 0.15), 1.0, "box.width_m must be more than 0"),
        (Compartment(0.4, 0.3, 0.15), -1.0, "losses_w must be numbers, 0 or more"),
        (Compartment(0.4, 0.3, 0.15, low_vent_m2=-1.0), 1.0, "box.low_vent_m2"),
        (Compartment(0.4, 0.3, 0.15, vent_gap_m=0.0), 1.0, "box.vent_gap_m"),
        (Compartment(0.4, 0.3, 0.15, covered=("lid",)), 1.0, "box.covered must hold only"),  # type: ignore[arg-type]
        (
            Compartment(
                0.4, 0.3, 0.15, covered=("back", "front", "left", "right", "top", "bottom")
            ),
            1.0,
            "box.covered must leave one face open",
        ),
    ],
)
def test_bad_boxes_are_refused(box: Compartment, losses: float, message: str) -> None:
    """A space that cannot be is refused by its field."""
    with pytest.raises(LumenError, match=message):
        compartment_heat(losses, box)
