"""What a plan draws: sums done by hand, setups, a day, a year, warmth, and rules of any tree."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.errors import ScenarioError
from lumen.power.energy import energy_kwh
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.load.document import power_json
from lumen.study.load.electrics import EVERYTHING, Electrics, Total, electrics, strip_profiles
from tests.study.small_plans import (
    Command,
    add,
    appliance,
    caution_json,
    found,
    heater,
    led_strip,
    light,
    plan,
    put,
    raised,
    supply,
    told,
)


def bedroom(*more: Command) -> list[Command]:
    """A North American bedroom reckoned by hand: 254.47 W, of which 169.47 W lasts.

    2 lights of 9 W, a 24 V strip of 5 m at 9.6 W/m behind a driver of 85 %, two receivers of
    1 W, a clock of 3 W, two chargers of 10 W, a laptop of 65 W, a television of 90 W; all at a
    power factor of 1, so that amperes are watts over 120 V.
    """
    one = {"power_factor": 1.0}
    return [
        supply("strip", "power strip", "wall outlet", rating_a=15),
        supply("left receiver", "receiver", "wall outlet", standby_w=1, rating_a=15),
        supply("right receiver", "receiver", "strip", standby_w=1, rating_a=15),
        supply(
            "driver",
            "driver",
            "strip",
            rating_w=60,
            efficiency=0.85,
            power_factor=1.0,
            standby_w=0,
            class_2=True,
        ),
        led_strip("glow", "driver", 5.0, 9.6),
        light("left light", "left receiver", 9, lamp=one),
        light("right light", "right receiver", 9, lamp=one, mount_m=[3.2, 3.0, 1.3]),
        appliance("clock", "strip", 3, continuous=True),
        appliance("left phone", "strip", 10, continuous=False, efficiency=1.0),
        appliance("right phone", "strip", 10, continuous=False, efficiency=1.0),
        appliance("laptop", "strip", 65, continuous=False),
        appliance("television", "strip", 90, continuous=True),
        *more,
    ]


HEATER = heater("heater", "far outlet", 1500, continuous=True)
DRYER = heater("dryer", "far outlet", 1875, continuous=False)


def test_bedroom_reckoned_by_hand() -> None:
    """254.47 W and 2.121 A in all, 1.412 A of it lasting, 2.474 A by the code's sum."""
    drawn, raised_here = found(plan("US", *bedroom()))
    circuit = drawn.everything["circuit"]
    assert circuit.watts_in == pytest.approx(254.47, abs=0.005)
    assert circuit.amperes == pytest.approx(2.121, abs=0.0005)
    assert circuit.amperes_continuous == pytest.approx(1.412, abs=0.0005)
    assert circuit.amperes_noncontinuous == pytest.approx(0.708, abs=0.0005)
    assert circuit.amperes_demand == pytest.approx(2.474, abs=0.0005)
    assert {c.rule for c in raised_here} <= {
        38,
        42,
        65,
        91,
        94,
    }  # a long strip in the air, seven plugs


def test_bedroom_with_a_heater() -> None:
    """14.621 A is within 15 A, but 18.099 A by the code's sum, and 12.5 A is over one outlet."""
    drawn, raised_here = found(plan("US", *bedroom(HEATER)))
    circuit = drawn.everything["circuit"]
    assert circuit.amperes == pytest.approx(14.621, abs=0.0005)
    assert circuit.amperes_demand == pytest.approx(18.099, abs=0.0005)
    rules = {c.rule for c in raised_here}
    assert {2, 3, 5} <= rules
    assert 1 not in rules


def test_bedroom_with_everything_on_one_strip() -> None:
    """Heater and electronics on one 15 A strip: over four fifths of it; the heater is stopped."""
    commands = bedroom(HEATER)
    rules = told("US", *commands, {"name": "plug", "id": "heater", "args": {"into": "strip"}})
    assert 14 in rules
    assert 9 in rules
    assert "14.5 A" in rules[9][0].fact  # all but the left light and its receiver


def test_bedroom_with_a_dryer() -> None:
    """(254.47 + 1875) / 120 = 17.7456 A is over the 15 A breaker: a danger."""
    drawn, raised_here = found(plan("US", *bedroom(DRYER)))
    assert drawn.everything["circuit"].amperes == pytest.approx(17.7456, abs=0.00005)
    assert 1 in {c.rule for c in raised_here if c.severity == "danger"}


def test_japanese_strip_at_99_percent() -> None:
    """1490 W on a 1500 W strip is a warning, not a danger."""
    commands = [
        supply("strip", "power strip", "wall outlet", rating_a=15),
        *(
            appliance(name, "strip", watts)
            for name, watts in (("dryer", 1200), ("lights", 60), ("blanket", 100), ("tv", 130))
        ),
    ]
    drawn, raised_here = found(plan("JP", *commands))
    assert drawn.everything["strip"].watts_in == pytest.approx(1490)
    assert drawn.everything["strip"].amperes / 15 == pytest.approx(0.99, abs=0.005)
    assert {c.severity for c in raised_here if c.rule in (8, 9)} == {"warning"}


def test_british_strip_with_heater_and_kettle() -> None:
    """21.7 A on a 13 A strip is a danger although the 32 A ring carries it."""
    drawn, raised_here = found(
        plan(
            "UK",
            supply("strip", "power strip", "wall outlet", rating_a=13),
            heater("heater", "strip", 2000, label_v=230),
            heater("kettle", "strip", 3000, label_v=230),
        )
    )
    assert drawn.everything["strip"].amperes == pytest.approx(21.7, abs=0.05)
    dangers = {c.rule for c in raised_here if c.severity == "danger"}
    assert {8, 14} <= dangers
    assert 1 not in dangers


def example_electrics(name: str) -> Electrics:
    """Return the electrics of one of the rooms that come with the project."""
    return electrics(load({file.stem: file for file in examples()}[name]))


@pytest.mark.parametrize(
    ("room", "setup", "watts", "tolerance"),
    [
        ("plain-pair", EVERYTHING, 90.7, 0.05),  # 11 + 23.52/0.85 + 2 + 40/0.85 + 3
        ("heater-one-outlet", "winter evening", 1301, 0.5),
        ("heater-one-outlet", "hair drying", 2447, 0.5),  # 2446 and 1 W of a waiting blanket
        (
            "alcove-two-sleep-times",
            "bedside all on",
            221.4,
            0.5,
        ),  # 231 with blankets at 230 V, 120 W at 240,
        ("l-room-dressing-nook", "hair drying", 1983, 0.5),
        ("weak-supply", "everything by the bed", 137, 1.0),  # a strip of 17 W behind 85 %
    ],
)
def test_example_rooms_draw_what_was_reckoned(
    room: str, setup: str, watts: float, tolerance: float
) -> None:
    """The rooms that come along draw what their author reckoned by hand."""
    assert example_electrics(room).total(setup).total_w == pytest.approx(watts, abs=tolerance)


def test_one_outlet_without_the_blanket() -> None:
    """Heater and bedside without blanket: 1246 W, by the same hand as the 1301 W with it."""
    room = load({file.stem: file for file in examples()}["heater-one-outlet"])
    bare = electrics(apply(room, {"name": "remove", "id": "electric blanket"}))
    assert bare.total("winter evening").total_w == pytest.approx(1246, abs=0.5)


def test_working_amperes_of_the_example_rooms() -> None:
    """About 1.0 A at 230 V in the alcove, 0.75 A at 120 V in the plain pair: working part only."""
    alcove = example_electrics("alcove-two-sleep-times").trees["bedside all on"]
    pair = example_electrics("plain-pair").everything
    for tree, expected, tolerance in ((alcove, 1.0, 0.05), (pair, 0.756, 0.0005)):
        active = math.fsum(tree[root].amperes_active for root in tree.roots)
        assert active == pytest.approx(expected, abs=tolerance)
        assert math.fsum(tree[root].amperes for root in tree.roots) > active


def test_dryer_in_the_nook_trips_the_circuit() -> None:
    """Morning in the L-shaped room: over 15 A with the dryer, more with the television."""
    drawn = example_electrics("l-room-dressing-nook")
    watts = {
        name: drawn.trees[name]["bedroom circuit"].watts_in / 120
        for name in ("hair drying", "hair drying and news")
    }
    assert watts["hair drying"] == pytest.approx(16.4, abs=0.05)
    assert watts["hair drying and news"] == pytest.approx(17.3, abs=0.05)


def test_setup_that_names_nothing_draws_only_standby() -> None:
    """With a receiver off, what hangs on it does not even wait."""
    drawn = electrics(plan("EU", *bedroom()))
    tree = drawn.trees["evening"]
    assert tree["right light"].watts_in == 0.0
    assert tree["right receiver"].watts_in == pytest.approx(1.0)


def test_receiver_is_on_when_something_behind_it_is() -> None:
    """A level on a light switches on the receiver above it."""
    scenario = plan("EU", *bedroom())
    lit = apply(
        scenario,
        {"name": "level", "args": {"setup": "evening", "of": "right light", "value": 0.5}},
    )
    tree = electrics(lit).trees["evening"]
    assert tree["right light"].watts_in == pytest.approx(4.5)
    assert tree["right receiver"].watts_in == pytest.approx(5.5)


def test_light_without_a_plug_counts_in_the_total() -> None:
    """A light that is plugged in nowhere yet still shows in the setup's watts, not in the tree."""
    drawn = electrics(plan("US", light("loose", None, 12)))
    assert drawn.total(EVERYTHING) == Total(12.0, 0.1)
    assert power_json(drawn)["apart"] == ["loose"]


def test_plan_without_supply_is_studied() -> None:
    """A room with no circuit has no weakest link and draws nothing."""
    scenario = plan("US")
    for item in ("far outlet", "wall outlet", "circuit"):
        scenario = apply(scenario, {"name": "remove", "id": item})
    data = power_json(electrics(scenario))
    assert data["nodes"] == []
    assert data["weakest"] is None
    assert data["energy"]["kwh_year"] == 0.0


def test_typed_range_counts_at_its_high_end_for_limits_only() -> None:
    """900 to 1100 W is 1100 W against a limit and 1000 W in the energy of a year."""
    load = supply(
        "load", "appliance", "far outlet", power_w=[900, 1100], hours_per_day=1, on_from_h=8
    )
    drawn = electrics(plan("US", load))
    assert drawn.everything["load"].watts_in == 1100
    assert drawn.year.total_kwh == pytest.approx(energy_kwh(1000, 1, 365))


def test_energy_of_a_year_follows_the_tariff_and_season() -> None:
    """A winter heater of 1500 W for 8 h runs half the year; the plan's own price counts."""
    warm = heater("h", "far outlet", 1500, hours_per_day=8, on_from_h=22, season="winter")
    drawn = electrics(plan("EU", warm, put("plan", "price_per_kwh", 0.4)))
    assert drawn.year.total_kwh == pytest.approx(1.5 * 8 * 182.5)
    data = power_json(drawn)["energy"]
    assert data["cost_year"] == pytest.approx(1.5 * 8 * 182.5 * 0.4, rel=1e-5)
    assert data["tariff_assumed"] is False
    assert data["currency"] == "EUR"


def test_standby_is_told_apart() -> None:
    """A receiver of 1 W costs 8.76 kWh a year, all of it standby."""
    drawn = electrics(plan("UK", supply("r", "receiver", "far outlet", rating_a=13, standby_w=1)))
    data = power_json(drawn)["energy"]
    assert data["kwh_year"] == data["standby_kwh_year"] == pytest.approx(8.76)
    assert data["changes"][0]["saves_kwh_year"] == pytest.approx(8.76)


def test_changes_are_ranked_by_what_they_save() -> None:
    """The winter heater a quarter less comes before unplugging a receiver; both are free."""
    warm = heater("h", "far outlet", 1500, hours_per_day=8, on_from_h=22, season="winter")
    idle = supply("r", "receiver", "wall outlet", rating_a=13, standby_w=1)
    first, second = power_json(electrics(plan("EU", warm, idle)))["energy"]["changes"]
    assert first["text"] == "use 'h' a quarter less"
    assert first["saves_kwh_year"] == pytest.approx(0.25 * 1.5 * 8 * 182.5)
    assert second["saves_kwh_year"] == pytest.approx(8.76)


def test_day_finds_the_hour_that_is_closest_to_a_limit() -> None:
    """A dryer at 6.75 h on top of a heater from 5 to 8 h is the worst quarter hour."""
    commands = [
        heater("h", "wall outlet", 1000, on_from_h=5, hours_per_day=3),
        heater("d", "far outlet", 1400, on_from_h=6.75, hours_per_day=0.1),
    ]
    drawn = electrics(plan("US", *commands))
    (day,) = drawn.days.values()
    assert day.closest_h == 6.75
    assert day.closest is not None
    assert day.closest.node_id == "circuit"
    assert "a day, 06:45" in [case.key for case in drawn.cases]


def test_untimed_thing_is_tried_in_evening_and_morning() -> None:
    """A dryer without a time meets the morning heater and the evening heater."""
    commands = [
        heater("h", "wall outlet", 1000, on_from_h=6.5, hours_per_day=1, season="winter"),
        heater("d", "far outlet", 1300, hours_per_day=0.2),
    ]
    drawn = electrics(plan("US", *commands))
    assert set(drawn.days) == {"winter evening", "winter morning"}
    peaks = {name: float(day.amperes["circuit"].max()) for name, day in drawn.days.items()}
    assert peaks["winter morning"] == pytest.approx(2300 / 120)
    assert peaks["winter evening"] == pytest.approx(1300 / 120)


def test_hours_decide_what_lasts() -> None:
    """Three hours make a load count 1.25 times in North America, less do not."""
    for hours, factor in ((3.0, 1.25), (2.9, 1.0)):
        load = appliance("load", "far outlet", 1200, hours_per_day=hours, on_from_h=18)
        circuit = electrics(plan("US", load)).everything["circuit"]
        assert circuit.amperes_demand == pytest.approx(10 * factor)


def test_kind_of_appliance_fills_what_nobody_typed() -> None:
    """'like' gives watts (the high end), standby, heat and lasting from the appliance table."""
    drawn = electrics(plan("US", supply("h", "appliance", "far outlet", like="heater")))
    load = drawn.everything["h"]
    assert load.watts_in == 1500
    assert load.node.heats
    assert load.node.continuous


def test_unknown_kind_is_refused_with_near_ones() -> None:
    """A kind that no row has is refused and near ones are named."""
    with pytest.raises(ScenarioError, match=r"like must name .* \(hair-dryer"):
        plan("US", supply("h", "appliance", "far outlet", like="hairdryer"))


def test_appliance_without_watts_and_kind_is_refused() -> None:
    """Something with neither watts nor a kind cannot be reckoned, and the message says which."""
    with pytest.raises(ScenarioError, match="power_w must be given, or like must be"):
        plan("US", supply("thing", "appliance", "far outlet"))


def test_amperes_count_apparent_power() -> None:
    """A power factor of one half doubles the current of the same watts."""
    half = appliance("load", "far outlet", 120, power_factor=0.5)
    assert electrics(plan("US", half)).everything["circuit"].amperes == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("volts", "feed", "end_share", "watts"),
    [(12, "start", 0.459, 45.2), (12, "both", 0.793, 62.0), (24, "start", 0.793, 62.0)],
)
def test_strip_reaches_the_light_half_really_dimmer(
    volts: int, feed: str, end_share: float, watts: float
) -> None:
    """5 m of 14.4 W/m: the far end by the cosh law (1 / cosh(L / lambda)), the driver by label."""
    commands = [
        supply("driver", "driver", "far outlet", rating_w=100, output_v=volts, class_2=False),
        led_strip("tape", "driver", 5, 14.4, volts=volts, feed=feed),
    ]
    scenario = plan("EU", *commands)
    stations, flux = strip_profiles(scenario)["tape"]
    assert stations[0] == 0.0
    assert stations[-1] == 1.0
    assert float(flux.min() / flux.max()) == pytest.approx(end_share, abs=0.0005)
    drawn = electrics(scenario)
    assert drawn.strips["tape"].watts == pytest.approx(watts, abs=0.05)
    assert drawn.everything["tape"].watts_in == pytest.approx(72.0)


def test_strip_without_power_glows_evenly() -> None:
    """A strip of 0 W/m has an even profile and no circuit."""
    scenario = plan(
        "EU",
        supply("driver", "driver", "far outlet", rating_w=60),
        led_strip("tape", "driver", 2, 0),
    )
    assert np.all(strip_profiles(scenario)["tape"][1] == 1.0)


def test_closed_space_warms_and_takes_from_the_cord() -> None:
    """Losses in a closed nightstand warm it, and the strip's cord there may carry less."""
    inside = [
        put("nightstand", "compartment.vent_area_m2", 0),
        supply(
            "strip", "power strip", "far outlet", rating_a=15, inside="nightstand", cord={"awg": 14}
        ),
        supply("driver", "driver", "strip", rating_w=150, inside="nightstand"),
        led_strip("tape", "driver", 5, 20),
    ]
    drawn = electrics(plan("US", *inside))
    heat = drawn.heat["nightstand"]
    loss = 100 / 0.85 - 100
    assert heat.losses_w == pytest.approx(loss)
    low, middle, high = heat.rise_k
    assert low < middle < high
    cold = electrics(plan("US", *inside[:2]))
    assert (
        drawn.wiring.limits["strip"]["cord"].amperes < cold.wiring.limits["strip"]["cord"].amperes
    )


def test_cord_drop_is_two_ways_of_copper() -> None:
    """10 A through 5 m of 0.75 mm² of fine strands, 26 mΩ/m (IEC 60228 class 5): 2.6 V."""
    cord = {"area_mm2": 0.75, "length_m": 5}
    commands = [
        supply("lead", "extension", "far outlet", rating_a=13, cord=cord),
        appliance("load", "lead", 2300),
    ]
    (drop,) = electrics(plan("UK", *commands)).cord_drops
    assert drop.drop_v == pytest.approx(2.6)
    assert drop.loss_w == pytest.approx(26.0)
    assert drop.drop_hot_v == pytest.approx(2.6 * (1 + 0.00393 * 40))


def test_json_is_plain_finite_and_whole() -> None:
    """The power part of the study is plain JSON with every node, setup and sum."""
    drawn = electrics(plan("US", *bedroom(HEATER)))
    data = json.loads(json.dumps(power_json(drawn), allow_nan=False))
    assert {node["id"] for node in data["nodes"]} >= {"circuit", "strip", "glow", "left light"}
    for node in data["nodes"]:
        assert set(node["by_setup"]) == {"evening"}
        assert set(node["explain"]) == {"evening", EVERYTHING}
        assert node["everything_on"]["amperes"] >= 0.0
        assert all(len(line) == 3 for line in node["explain"][EVERYTHING])
    assert [entry["setup"] for entry in data["weakest_by_case"]][-1] == EVERYTHING
    assert data["weakest"]["node"] == "circuit"
    assert data["weakest"]["share"] == pytest.approx(18.099 / 15, abs=1e-4)


# -- rules of any tree ------------------------------------------------------------------------

PLUGS = ("strip", "left receiver", "right receiver", "far outlet")
load_watts = st.floats(0.0, 2000.0, allow_nan=False).map(lambda x: round(x, 2))
load_factor = st.floats(0.3, 1.0).map(lambda x: round(x, 3))  # a plan keeps six decimals


@settings(max_examples=25, deadline=None)
@given(watts=load_watts, factor=load_factor, into=st.sampled_from(PLUGS))
def test_adding_a_load_never_lowers_any_node(watts: float, factor: float, into: str) -> None:
    """One more load raises, or leaves, the watts and amperes of every node."""
    before = electrics(plan("US", *bedroom())).everything
    more = appliance("more", into, watts, power_factor=factor)
    after = electrics(plan("US", *bedroom(more))).everything
    for node_id, was in before.loads.items():
        assert after[node_id].watts_in >= was.watts_in - 1e-9
        assert after[node_id].amperes >= was.amperes - 1e-9


@settings(max_examples=25, deadline=None)
@given(watts=st.lists(load_watts, min_size=1, max_size=5))
def test_total_is_the_sum_of_leaves_and_losses(watts: list[float]) -> None:
    """What the circuit draws is what loads use and what drivers and receivers lose."""
    more = [appliance(f"load {i}", "strip", w) for i, w in enumerate(watts)]
    tree = electrics(plan("EU", *bedroom(*more))).everything
    assert tree.total_w == pytest.approx(tree.leaf_w + tree.loss_w)
    by_hand = 11 * 0 + 18 + 48 / 0.85 + 2 + 3 + 20 + 65 + 90 + math.fsum(watts)
    assert tree.total_w == pytest.approx(by_hand)


@settings(max_examples=15, deadline=None)
@given(watts=load_watts, factor=load_factor)
def test_moving_a_load_between_siblings_leaves_what_is_above(watts: float, factor: float) -> None:
    """Plugged into the other receiver of a strip, a load changes neither strip nor circuit."""
    twin = supply("third receiver", "receiver", "strip", standby_w=1, rating_a=15)
    load = appliance("more", "right receiver", watts, power_factor=factor)
    scenario = plan("EU", *bedroom(twin, load))
    moved = apply(scenario, {"name": "plug", "id": "more", "args": {"into": "third receiver"}})
    one, two = electrics(scenario).everything, electrics(moved).everything
    for above in ("strip", "wall outlet", "circuit"):
        assert two[above].watts_in == pytest.approx(one[above].watts_in)
        assert two[above].amperes == pytest.approx(one[above].amperes)


@settings(max_examples=15, deadline=None)
@given(rating=st.floats(6.0, 40.0), watts=load_watts)
def test_greater_breaker_never_adds_an_overload_of_the_circuit(rating: float, watts: float) -> None:
    """Rules 1 and 2 never appear because a breaker became bigger."""
    base = bedroom(appliance("more", "far outlet", watts))
    small = raised("US", *base, put("circuit", "breaker_a", rating))
    big = raised("US", *base, put("circuit", "breaker_a", rating * 1.25))
    for rule in (1, 2, 3):
        if rule in big:
            assert rule in small or 1 in small


def test_furniture_inside_without_compartment_is_reckoned_closed() -> None:
    """A box whose inside nobody measured counts as closed, its size less the boards."""
    chest = add("furniture", "chest", kind="chest", at_m=[3.5, 2.7, 0], size_m=[0.5, 0.4, 0.5])
    commands = [
        chest,
        supply("driver", "driver", "far outlet", rating_w=150, inside="chest"),
        led_strip("tape", "driver", 4, 15),
    ]
    drawn = electrics(plan("UK", *commands))
    assert drawn.heat["chest"].rise_k[1] > 0
    assert any("no vents" in text for text in drawn.heat["chest"].assumptions)


# -- what the study says beside the sums ------------------------------------------------------


def power(region: str, *commands: Command) -> dict[str, Any]:
    """Return the power part of the study of a small plan."""
    data = json.loads(json.dumps(power_json(electrics(plan(region, *commands))), allow_nan=False))
    return dict(data)


def test_driver_choice_is_told() -> None:
    """A reel of 72 W at 12 V: 90 W needed at 80 %, 96 W the next size, two outputs of 60 W."""
    commands = [
        supply("driver", "driver", "far outlet", rating_w=100, output_v=12, class_2=True),
        led_strip("tape", "driver", 5, 14.4, volts=12),
    ]
    (fit,) = power("US", *commands)["drivers"]
    assert fit["nominal_w"] == pytest.approx(72.0)
    assert fit["needed_w"] == pytest.approx(90.0)
    assert (fit["next_size_w"], fit["outputs_needed"], fit["output_limit_w"]) == (96.0, 2, 60.0)
    assert fit["fill"] == pytest.approx(0.72)
    # the least efficient driver of 96 W that EU law lets on sale: 96^0.81 = 40.34
    assert fit["input_w"][1] == pytest.approx(72 / (40.34 / (1.09 * 40.34 + 2.10)), rel=1e-3)
    assert ["label power in all", 72.0, "W"] in fit["explain"]


def test_driver_that_feeds_nothing_or_odd_volts_has_no_size() -> None:
    """No load, or volts of no known class, give no next size and no made-up limit."""
    idle, odd = power(
        "EU",
        supply("idle", "driver", "far outlet", rating_w=60),
        supply("odd", "driver", "wall outlet", rating_w=60, output_v=36),
        appliance("thing", "odd", 20),
    )["drivers"]
    assert idle["next_size_w"] is None
    assert odd["next_size_w"] is None
    assert odd["output_limit_w"] is None
    assert odd["nominal_w"] == 20.0


def test_surge_of_several_drivers_is_told() -> None:
    """Two drivers on one receiver: ten times the larger to a hundred times both, over 230 V."""
    full = {"efficiency": 0.8, "power_factor": 1.0, "rating_w": 60, "standby_w": 0}
    commands = [
        supply("receiver", "receiver", "far outlet", rating_a=10, standby_w=0),
        supply("one", "driver", "receiver", **full),
        supply("two", "driver", "receiver", **full),
        led_strip("long", "one", 3, 9.2),
        led_strip("short", "two", 1, 9.2),
    ]
    receiver, circuit = power("EU", *commands)["surges"]
    assert receiver["id"] == "receiver"
    assert circuit["id"] == "circuit"
    assert receiver["drivers"] == ["one", "two"]
    # 27.6 W and 9.2 W through 80 %: 34.5 W and 11.5 W, 0.15 A and 0.05 A
    assert receiver["running_a"] == pytest.approx(0.20)
    assert receiver["peak_a"] == pytest.approx([1.5, 20.0])
    assert receiver["breaker_trips_a"] == [48.0, 80.0]  # 16 A, curve B: 3 to 5 times
    assert receiver["passes"] is False


def test_supply_range_bands_the_current() -> None:
    """Electronics draw more at low volts, heat makers more at high volts: India, -6 to +10 %."""
    lamp = appliance("lamp", "far outlet", 230, efficiency=1.0)
    hot = heater("hot", "wall outlet", 1150)
    data = power("IN", lamp, hot)["supply"]
    assert (data["low_v"], data["nominal_v"], data["high_v"]) == (216.2, 230.0, 253.0)
    assert data["amperes"]["circuit"] == pytest.approx([1 / 0.94 + 5 * 0.94, 1 / 1.1 + 5 * 1.1])
    measured = power("IN", lamp, hot, put("plan", "supply_volts", 190))["supply"]
    assert measured["measured_v"] == 190.0
    assert measured["amperes"]["circuit"][0] == pytest.approx(230 / 190 + 5 * 190 / 230)


def test_cord_lengths_follow_the_plan() -> None:
    """From an outlet at x = 2.3 to a light at 0.8 on an open wall: 0.4 m down, 1.5 m along the
    floor, 1.3 m up; 3.2 m, 3.82 with slack, 5 m sold.
    """
    commands = [
        put("far outlet", "at_m", [2.3, 3.0, 0.4]),
        light("lamp", "far outlet", mount_m=[0.8, 3.0, 1.3], cord={"length_m": 2.0}),
    ]
    (run,) = power("EU", *commands)["cord_lengths"]
    assert run["route_m"] == pytest.approx(0.4 + 1.5 + 1.3)
    assert run["needed_m"] == pytest.approx(3.2 * 1.1 + 0.3)
    assert run["buy_m"] == 5.0
    assert run["over_m"] == pytest.approx(2.0 - 3.82)  # the plan's own cord is too short


def test_every_day_explains_its_closest_hour() -> None:
    """Each variant of the day names hour, node and limit, and ends in that share."""
    commands = [
        heater("h", "wall outlet", 1000, on_from_h=6.5, hours_per_day=1, season="winter"),
        heater("d", "far outlet", 1300, hours_per_day=0.2),
    ]
    days = power("US", *commands)["day"]
    assert [day["variant"] for day in days] == ["winter evening", "winter morning"]
    for day in days:
        assert len(day["amperes"]["circuit"]) == 96
        shares = [value for text, value, _ in day["explain"] if text == "share of the limit"]
        assert any(value == pytest.approx(100 * day["share"], rel=1e-4) for value in shares)


def test_every_node_explains_its_current() -> None:
    """In every case the lines of a node hold the watts, the amperes and each of its limits."""
    for node in power("UK", *bedroom(HEATER))["nodes"]:
        for lines in node["explain"].values():
            texts = [text for text, _, _ in lines]
            assert "drawn" in texts
            assert "current, at most" in texts
            for limit in node["limits"]:
                named = f"limit: {limit['reason']}" + ", assumed" * limit["assumed"]
                assert named in texts


def test_every_plug_of_a_fused_region_has_a_fuse() -> None:
    """In Britain a plug whose fuse nobody read counts as 13 A, assumed; elsewhere there is none."""
    load = appliance("load", "far outlet", 100)
    (fuse,) = [
        limit
        for limit in electrics(plan("UK", load)).wiring.limits["load"].items()
        if limit[0] == "plug fuse"
    ]
    assert (fuse[1].amperes, fuse[1].assumed) == (13.0, True)
    known = electrics(plan("UK", load, put("load", "plug_fuse_a", 3))).wiring.limits["load"]
    assert (known["plug fuse"].amperes, known["plug fuse"].assumed) == (3.0, False)
    assert "plug fuse" not in electrics(plan("EU", load)).wiring.limits["load"]


def test_coiled_cord_has_a_limit_of_its_own() -> None:
    """A coiled cord of 1.25 mm² keeps a quarter of 13 A, and is the weakest link when loaded."""
    coil = {"area_mm2": 1.25, "coiled": True}
    data = power(
        "UK",
        supply("lead", "extension", "far outlet", rating_a=13, cord=coil),
        appliance("load", "lead", 1150),
    )
    assert data["weakest"]["node"] == "lead"
    assert data["weakest"]["limit_a"] == pytest.approx(3.25)
    assert data["weakest"]["share"] == pytest.approx(5 / 3.25, rel=1e-5)


def test_very_hot_space_leaves_a_cord_its_limit() -> None:
    """At 60 °C and above a cord may carry nothing; its limit stays, tiny, and does not vanish."""
    box = put("nightstand", "compartment.vent_area_m2", 0)
    cord = {"awg": 18}
    for watts in (60, 3000):
        drawn = electrics(
            plan(
                "US",
                box,
                supply("strip", "power strip", "far outlet", inside="nightstand", cord=cord),
                appliance("hot", "strip", watts, inside="nightstand"),
            )
        )
        limit = drawn.wiring.limits["strip"]["cord"]
        assert limit.amperes < 2.0
        assert "over 59 °C" in limit.reason


HOSTILE: dict[str, list[Command]] = {
    "nothing drawn": [
        supply("idle", "driver", "wall outlet", rating_w=10, standby_w=0),
        led_strip("dark", "idle", 1, 0),
        appliance("off", "far outlet", 0),
    ],
    "all unplugged": [light("one", None, 5), light("two", None, 60)],
    "sixty deep": [
        supply("x0", "extension", "far outlet"),
        *(
            supply(f"x{i}", ("power strip", "extension", "adapter", "receiver")[i % 4], f"x{i - 1}")
            for i in range(1, 60)
        ),
        heater("end", "x59", 1500),
    ],
    "fifty things": [
        supply("strip", "power strip", "wall outlet", holes=20),
        *(supply(f"a{i}", "appliance", "strip", like="laptop") for i in range(50)),
    ],
    "two circuits of other volts": [
        add("supply", "kitchen", kind="circuit", breaker_a=10, volts=400),
        supply("stove outlet", "outlet", "kitchen", holes=1),
        appliance("stove", "stove outlet", 5000),
    ],
    "a millionth of an ampere": [
        put("circuit", "breaker_a", 1e-6),
        appliance("load", "far outlet", 5e4),
    ],
    "a heater in a drawer": [
        put("nightstand", "compartment.vent_area_m2", 0),
        heater("hot", "far outlet", 3000, inside="nightstand"),
        supply("strip", "power strip", "wall outlet", inside="nightstand", cord={"awg": 24}),
    ],
}


@pytest.mark.parametrize("region", ["US", "UK", "EU", "AU", "JP", "IN"])
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_plans_are_answered(name: str, region: str) -> None:
    """Odd but well-formed plans give finite figures, no crash, and a total that adds up."""
    scenario = plan(region, *HOSTILE[name])
    drawn, raised_here = found(scenario)
    data = [power_json(drawn), *caution_json(raised_here, scenario)]
    assert json.loads(json.dumps(data, allow_nan=False))
    tree = drawn.everything
    assert tree.total_w == pytest.approx(tree.leaf_w + tree.loss_w)
    roots = math.fsum(tree[root].watts_in for root in tree.roots)
    assert tree.total_w == pytest.approx(roots)
    for node in tree.loads.values():
        assert node.amperes >= node.amperes_active - 1e-9


def test_two_circuits_do_not_share_a_load() -> None:
    """What hangs on the second circuit is not in the first, and each keeps its own volts."""
    tree = electrics(plan("EU", *HOSTILE["two circuits of other volts"])).everything
    assert tree["circuit"].watts_in == 0.0
    assert tree["kitchen"].amperes == pytest.approx(12.5)
    assert tree.total_w == pytest.approx(5000)
