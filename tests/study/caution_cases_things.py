"""Rules from 28 on: a plan just over the line and one just short of it."""

from __future__ import annotations

from tests.study.caution_parts import (
    ALL,
    OVER,
    SIGN,
    VOLTS,
    Case,
    absolute_file,
    board,
    boxed,
    cord,
    cot,
    curtain,
    driver,
    each,
    lamp_over,
    reader,
    receiver,
    regulated,
    resistive,
    small_ceiling_lamp,
    stand_light,
    strip,
)
from tests.study.small_plans import (
    Command,
    appliance,
    heater,
    led_strip,
    light,
    put,
    supply,
)


def _lead(item_id: str, into: str = "far outlet", **fields: object) -> Command:
    """Return the command that adds a 16 A extension cord."""
    return supply(item_id, "extension", into, **{"rating_a": 16, **fields})


def _cube(into: str = "far outlet") -> Command:
    """Return the command that adds a 16 A cube adapter of two holes."""
    return supply("cube", "adapter", into, rating_a=16)


def _fan(into: str, watts: float) -> Command:
    """Return the command that plugs in a fan of power factor 0.8."""
    return supply("fan", "appliance", into, like="window-fan", power_w=watts)


def _lowvolt_fan() -> Command:
    """Return the command that plugs a fan with a low-voltage motor into the receiver."""
    return supply("fan", "appliance", "receiver", like="dc-fan", power_w=20)


def _cooler(into: str, watts: float) -> Command:
    """Return the command that plugs in an air conditioner."""
    return supply("cooler", "appliance", into, like="window-air-conditioner", power_w=watts)


def _breather(into: str = "far outlet") -> Command:
    """Return the command that plugs in a breathing machine."""
    return supply("breather", "appliance", into, like="breathing-machine", power_w=40)


def _many(into: str, count: int) -> list[Command]:
    """Return commands that plug in so many small loads."""
    return [appliance(f"small {i}", into, 5) for i in range(count)]


def _fused(fuse_a: float, area_mm2: float) -> list[Command]:
    """A small load behind a British plug fuse and a flex."""
    return [resistive(20, plug_fuse_a=fuse_a, cord={"area_mm2": area_mm2, "length_m": 3.0})]


def _strong_tapes(*drivers: str) -> list[Command]:
    """Return LED strips that fill drivers of 200 W."""
    return [led_strip(f"tape {i}", i, 3.0, 50) for i in drivers]


def _shut_in(watts: float) -> list[Command]:
    """Return something that is no mains part, in a large closed space: 0.369 K for each watt."""
    return [
        put("nightstand", "compartment.vent_area_m2", 0),
        put("nightstand", "compartment.inner_size_m", [0.6, 0.5, 0.3]),
        appliance("warm", "far outlet", watts, inside="nightstand"),
    ]


def _hanging(off_wall_m: float) -> list[Command]:
    """Return a strip of LEDs that runs so far before the wall."""
    path = [[0.3, 3.0 - off_wall_m, 1.6], [3.5, 3.0 - off_wall_m, 1.6]]
    return [led_strip("tape", None, 2, 5), put("tape", "path_m", path)]


_thin = {"rating_a": 6.0}

CASES = [
    *each(
        25,
        "UK EU AU JP IN",
        [light("lamp", "wall outlet", cord={"cores": 2, "area_mm2": 0.5})],
        [light("lamp", "wall outlet", cord={"cores": 2, "area_mm2": 0.75})],
        "danger",
    ),
    Case(
        28,
        "UK",
        [light("lamp", "wall outlet", protection_class="I", cord=cord(cores=2))],
        [light("lamp", "wall outlet", protection_class="I", cord=cord(cores=3))],
        "danger",
    ),
    Case(
        28,
        "US",
        [
            put("wall outlet", "earthed", False),
            light("lamp", "wall outlet", body="metal", made_for="fixed wiring"),
        ],
        [
            put("wall outlet", "earthed", True),
            light("lamp", "wall outlet", body="metal", made_for="fixed wiring"),
        ],
        "danger",
    ),
    Case(
        29,
        "EU",
        [light("lamp", "wall outlet", body="metal")],
        [light("lamp", "wall outlet", body="metal", protection_class="II")],
        "warning",
    ),
    Case(
        30,
        "US",
        [light("lamp", "wall outlet", cord=cord(marked=False))],
        [light("lamp", "wall outlet", cord=cord(marked=True))],
        "warning",
    ),
    Case(
        30,
        "JP",
        [light("lamp", "wall outlet", plug="two-pin", inline_switch=True)],
        [light("lamp", "wall outlet", plug="two-pin polarised", inline_switch=True)],
        "warning",
    ),
    Case(
        31,
        "EU",
        [light("lamp", "wall outlet", inline_switch=True)],
        [light("lamp", "wall outlet", inline_switch=False)],
        "advice",
    ),
    Case(
        32,
        "US",
        [light("lamp", "wall outlet", made_for="fixed wiring")],
        [light("lamp", "wall outlet", made_for="fixed wiring", conversion="maker's kit")],
        "warning",
    ),
    Case(
        32,
        "UK",
        [light("lamp", "wall outlet", conversion="own")],
        [light("lamp", "circuit", made_for="fixed wiring")],
        "warning",
    ),
    Case(
        33,
        "US",
        [light("lamp", "wall outlet", conversion="own", enclosure=False, strain_relief=True)],
        [light("lamp", "wall outlet", conversion="own", enclosure=True, strain_relief=True)],
        "danger",
    ),
    Case(
        33,
        "EU",
        [light("lamp", "wall outlet", conversion="own", strain_relief=False)],
        [light("lamp", "wall outlet", conversion="none", strain_relief=False)],
        "danger",
    ),
    Case(
        34,
        "US",
        [light("lamp", "wall outlet", 41, max_lamp_w=40)],
        [light("lamp", "wall outlet", 40, max_lamp_w=40)],
        "danger",
    ),
    Case(
        34, "UK", [light("lamp", "wall outlet", 61)], [light("lamp", "wall outlet", 60)], "warning"
    ),
    Case(
        34,
        "US",
        [
            light(
                "lamp",
                "wall outlet",
                26,
                mount="ceiling",
                mount_m=[2, 1, 2.4],
                lamp={"diameter_m": 0.03},
            )
        ],
        [
            light(
                "lamp",
                "wall outlet",
                26,
                mount="ceiling",
                mount_m=[2, 1, 2.4],
                lamp={"diameter_m": 0.06},
            )
        ],
        "warning",
    ),
    Case(
        35,
        "US",
        [light("lamp", "wall outlet", to_fabric_m=0.09)],
        [light("lamp", "wall outlet", to_fabric_m=0.10)],
        "warning",
    ),
    Case(
        35,
        "EU",
        [light("lamp", "wall outlet", lamp={"kind": "halogen"}), curtain(0.29)],
        [light("lamp", "wall outlet", lamp={"kind": "halogen"}), curtain(0.31)],
        "warning",
    ),
    Case(
        36,
        "US",
        [driver(), led_strip("tape", "driver", 3.2, 15.15)],
        [driver(), led_strip("tape", "driver", 3.2, 15.0)],
        "advice",
    ),
    Case(
        36,
        "UK",
        [driver(), led_strip("tape", "driver", 3.0, 20.2)],
        [driver(), led_strip("tape", "driver", 3.0, 20.0)],
        "danger",
    ),
    Case(
        37,
        "US",
        [driver(output_v=12, rating_w=100), led_strip("tape", "driver", 3, 20.2, volts=12)],
        [driver(output_v=12, rating_w=100), led_strip("tape", "driver", 3, 20.0, volts=12)],
        "warning",
    ),
    Case(
        37,
        "CA",
        [driver(output_v=12, rating_w=100), led_strip("tape", "driver", 3, 26, volts=12)],
        [
            driver(output_v=12, rating_w=100, outputs=2),
            led_strip("tape", "driver", 3, 26, volts=12),
        ],
        "warning",
    ),
    Case(
        37,
        "CA",
        [driver(rating_w=150, class_2=None)],
        [driver(rating_w=150, class_2=None, outputs=2)],
        "warning",
    ),
    Case(
        38,
        "EU",
        [driver(rating_w=150), led_strip("tape", "driver", 5, 14.4)],
        [driver(rating_w=150), led_strip("tape", "driver", 5, 14.4, feed="both")],
        "advice",
    ),
    Case(
        39,
        "US",
        [driver(cord_route=["in wall"])],
        [driver(cord_route=["open"])],
        "warning",
    ),
    Case(
        39,
        "CA",
        [driver(), led_strip("tape", "driver", 2, 5, feed_cord={"route": ["concealed"]})],
        [driver(), led_strip("tape", "driver", 2, 5, feed_cord={"route": ["open"]})],
        "warning",
    ),
    Case(
        40,
        "UK",
        [
            put("nightstand", "compartment.vent_area_m2", 0),
            driver(inside="nightstand", rating_w=96),
            led_strip("tape", "driver", 3, 20),
        ],
        [driver(inside="nightstand", rating_w=96), led_strip("tape", "driver", 3, 10)],
        "advice",
    ),
    Case(
        40,
        "US",
        [
            put("nightstand", "compartment.vent_area_m2", 0),
            driver(inside="nightstand", rating_w=240, efficiency=0.8),
            led_strip("tape", "driver", 5, 20),
        ],
        [],
        "warning",
    ),
    Case(
        41,
        "US",
        [strip(inside="nightstand")],
        [strip(inside="nightstand", furniture_type=True)],
        "warning",
    ),
    Case(41, "CA", [strip(fixed=True)], [strip()], "warning"),
    Case(42, "EU", [strip(), receiver(into="strip")], [strip(), receiver()], "warning"),
    Case(
        43,
        "UK",
        [receiver(electronic_w=300), driver(into="receiver"), driver("second", "receiver")],
        [receiver(electronic_w=300), driver(into="receiver"), driver("second")],
        "advice",
    ),
    Case(44, "EU", [resistive(9, standby_w=5.05)], [resistive(9, standby_w=5.0)], "advice"),
    # what waits behind a remote plug that is off does not wait
    Case(
        44,
        "EU",
        [resistive(9, "far outlet", standby_w=6)],
        [receiver(), resistive(9, "receiver", standby_w=6)],
        "advice",
    ),
    Case(
        45,
        "US",
        [put("circuit", "arc_fault_protection", None)],
        [put("circuit", "leakage_protection", None)],
        "advice",
    ),
    *each(
        45,
        "US CA",
        [put("circuit", "arc_fault_protection", False)],
        [put("circuit", "leakage_protection", False)],
        "advice",
    ),
    *each(
        45,
        "UK EU AU JP IN",
        [put("circuit", "leakage_protection", None)],
        [put("circuit", "arc_fault_protection", None)],
        "advice",
    ),
    # 49: a volt under and over what the region's supply rules allow, by the references
    *(
        Case(
            49,
            region,
            [put("plan", "supply_volts", volts + step)],
            [put("plan", "supply_volts", volts)],
            "advice",
        )
        for region, low, high in (
            ("US", 114, 126),
            ("CA", 110, 125),
            ("UK", 216.2, 253),
            ("EU", 207, 253),
            ("AU", 216.2, 253),
            ("JP", 95, 107),
            ("IN", 216.2, 253),
        )
        for volts, step in ((low, -1), (high, 1))
    ),
    Case(
        45,
        "AU",
        [put("circuit", "leakage_protection", False)],
        [put("circuit", "arc_fault_protection", None)],
        "advice",
    ),
    Case(
        46,
        "US",
        [appliance("phone", "far outlet", 10, charges=True, inside="nightstand")],
        [appliance("phone", "far outlet", 10, charges=True)],
        "warning",
    ),
    Case(47, "US", SIGN, [], "danger"),
    Case(
        48,
        "JP",
        [put("wall outlet", "earthed", False), appliance("a", "wall outlet", 90, plug="earthed")],
        [put("wall outlet", "earthed", False), appliance("a", "wall outlet", 90, plug="two-pin")],
        "danger",
    ),
    Case(
        48,
        "UK",
        [
            supply("cube", "adapter", "wall outlet", passes_earth=False),
            appliance("a", "cube", 90, plug="earthed"),
        ],
        [
            supply("cube", "adapter", "wall outlet", passes_earth=True),
            appliance("a", "cube", 90, plug="earthed"),
        ],
        "danger",
    ),
    Case(
        49,
        "US",
        [put("plan", "supply_volts", 127)],
        [put("plan", "supply_volts", 126)],
        "advice",
    ),
    Case(
        49,
        "IN",
        [put("plan", "supply_volts", 216)],
        [put("plan", "supply_volts", 217)],
        "advice",
    ),
    Case(
        50,
        "US",
        [supply("dryer", "appliance", "far outlet", like="hair dryer")],
        [supply("dryer", "appliance", "far outlet", like="hair dryer", power_w=1200)],
        "advice",
    ),
    Case(50, "EU", [resistive(90, label_read=False)], [resistive(90, label_read=True)], "advice"),
    # the mattress ends at 0.60 m: a head 0.12 m over the eye, under 2.40 m of ceiling
    Case(51, "EU", [reader(1.681)], [reader(1.679)], "warning"),
    Case(51, "US", [reader(1.631)], [reader(1.630)], "advice"),
    Case(51, "US", [reader(0.531), board(1.3)], [reader(0.530), board(1.3)], "advice"),
    # a shelf beside the bed is over nobody
    Case(
        51,
        "JP",
        [reader(0.68), board(1.3, "shelf")],
        [reader(0.68), board(1.3, "shelf"), put("upper base", "at_m", [3.2, 1.98, 1.3])],
        "warning",
    ),
    Case(52, "US", [cot(0.7), stand_light(1.59)], [cot(0.7), stand_light(1.61)], "danger"),
    Case(
        52,
        "UK",
        [cot(0.7), strip(at_m=[1.59, 2.2, 0.1])],
        [cot(0.7), strip(at_m=[1.61, 2.2, 0.1])],
        "danger",
    ),
    Case(
        52,
        "AU",
        [cot(0.7), put("far outlet", "at_m", [1.59, 2.2, 0.3])],
        [cot(0.7), put("far outlet", "at_m", [1.61, 2.2, 0.3])],
        "warning",
    ),
    # the strip starts 0.1 m behind the line of the cot's side, at the height of its rail
    Case(
        52,
        "JP",
        [cot(0.7), led_strip("tape", None, 1, 5, start_m=1.59)],
        [cot(0.7), led_strip("tape", None, 1, 5, start_m=1.61)],
        "danger",
    ),
    # a cord leads past: from an outlet right of the cot to a strip left of it
    Case(
        52,
        "US",
        [
            cot(2.3),
            put("far outlet", "at_m", [3.9, 2.99, 0.3]),
            strip(into="far outlet", at_m=[0.3, 2.99, 0.1]),
        ],
        [
            cot(2.3),
            put("far outlet", "at_m", [3.9, 2.99, 0.3]),
            strip(into="far outlet", at_m=[3.5, 2.99, 0.1]),
        ],
        "danger",
    ),
    # an upper mattress up to 1.60 m
    Case(
        53,
        "US",
        [board(1.5, "mattress"), lamp_over(2.3)],
        [board(0.75, "mattress"), lamp_over(2.3)],
        "danger",
    ),
    Case(
        53,
        "EU",
        [board(1.0, "mattress"), lamp_over(2.09)],
        [board(1.0, "mattress"), lamp_over(2.11)],
        "danger",
    ),
    Case(
        53,
        "IN",
        [
            board(1.5, "mattress"),
            supply("fan", "appliance", "far outlet", like="ceiling-fan", at_m=[2.0, 1.5, 2.3]),
        ],
        [
            board(1.5, "mattress"),
            supply("fan", "appliance", "far outlet", like="portable-fan", at_m=[2.0, 1.5, 2.3]),
        ],
        "danger",
    ),
    Case(
        54,
        "US",
        [driver(output_v=24), led_strip("tape", "driver", 2, 5, volts=12)],
        [driver(output_v=12), led_strip("tape", "driver", 2, 5, volts=12)],
        "danger",
    ),
    Case(
        54,
        "EU",
        [driver(output_v=12), led_strip("tape", "driver", 2, 5, volts=24)],
        [driver(output_v=24), led_strip("tape", "driver", 2, 5, volts=24)],
        "danger",
    ),
    Case(
        56,
        "UK",
        [driver(isolated=False), led_strip("tape", "driver", 2, 5)],
        [driver(isolated=True), led_strip("tape", "driver", 2, 5)],
        "danger",
    ),
    Case(56, "US", [driver(isolated=False), led_strip("tape", "driver", 2, 5)], [], "danger"),
    Case(57, "US", [driver(), strip(into="driver")], [driver(), strip()], "danger"),
    Case(
        57,
        "UK",
        [driver(), receiver(), driver("second", "driver")],
        [driver(), receiver(), driver("second", "receiver")],
        "danger",
    ),
    Case(
        58,
        "JP",
        [light("lamp", None, 2.0, lamp={"flux_lm": 500.5})],
        [light("lamp", None, 2.0, lamp={"flux_lm": 499.5})],
        "advice",
    ),
    # an absolute file falling evenly from 400 cd: 2 pi x 400 (1 - 2 / pi) = 913 lm; and times 1000
    Case(
        58,
        "US",
        [light("lamp", None, 5.0, distribution={"form": "file", "lm63": absolute_file(1000)})],
        [light("lamp", None, 4.4, distribution={"form": "file", "lm63": absolute_file(1)})],
        "warning",
    ),
    Case(
        58,
        "EU",
        [led_strip("tape", None, 2, 3.59)],
        [led_strip("tape", None, 2, 3.61)],
        "advice",
    ),
    # a label's own ambient counts before our thresholds
    Case(
        40,
        "EU",
        [
            driver(inside="nightstand", rating_w=96, max_ambient_c=26),
            led_strip("tape", "driver", 3, 10),
        ],
        [
            driver(inside="nightstand", rating_w=96, max_ambient_c=60),
            led_strip("tape", "driver", 3, 10),
        ],
        "warning",
    ),
    Case(34, "US", [small_ceiling_lamp(25.1)], [small_ceiling_lamp(25.0)], "warning"),
    Case(34, "EU", [small_ceiling_lamp(26)], [small_ceiling_lamp(26, 0.041)], "warning"),
    # 1 / cosh(L / 7.071 m) = 0.8 at 4.90 m of 24 V, 14.4 W/m, 0.2 ohm/m
    Case(
        38,
        "US",
        [driver(rating_w=150), led_strip("tape", "driver", 4.95, 14.4)],
        [driver(rating_w=150), led_strip("tape", "driver", 4.85, 14.4)],
        "advice",
    ),
    # regulated: 0.2 x 1.2 A/m x L^2 / 2 is a tenth of 12 V at 3.16 m
    Case(
        38,
        "US",
        [driver(output_v=12), regulated(3.18)],
        [driver(output_v=12), regulated(3.15)],
        "advice",
    ),
    # 0.39 m2 of 2.51 W/(m2 K): 20 K from 19.58 W; with 2 x 50 cm2 of vents 10 K from 16.71 W
    Case(40, "US", boxed(19.7, 0), boxed(19.5, 0), "warning"),
    Case(40, "US", boxed(16.8, 0.01), boxed(16.6, 0.01), "advice"),
    Case(40, "US", boxed(1.0, 0), boxed(0.99, 0), "advice"),
    # straight over a cot that counts up to 1 m
    Case(
        52,
        "EU",
        [cot(0.7), stand_light(0.4), put("lamp", "mount_m", [0.4, 2.2, 1.89])],
        [cot(0.7), stand_light(0.4), put("lamp", "mount_m", [0.4, 2.2, 1.91])],
        "danger",
    ),
    Case(
        53,
        "JP",
        [board(0.765, "mattress"), lamp_over(1.5)],
        [board(0.755, "mattress"), lamp_over(1.5)],
        "danger",
    ),
    # 43: one driver alone is not many
    Case(
        43,
        "EU",
        [driver("a", rating_w=200), driver("b", rating_w=200), *_strong_tapes("a", "b")],
        [driver("a", rating_w=200), *_strong_tapes("a")],
        "advice",
    ),
    # 61: every pair of parts that no other rule speaks of
    *each(61, ALL, [_lead("one"), _lead("two", "one")], [_lead("one"), _lead("two")], "danger"),
    *each(61, ALL, [strip(), _lead("one", "strip")], [strip(), _lead("one")], "danger"),
    *each(
        61,
        ALL,
        [_cube(), strip(into="cube")],
        [_cube(), strip(into="wall outlet")],
        "warning",
    ),
    *each(
        61,
        ALL,
        [receiver(), strip(into="receiver")],
        [receiver(), strip(into="far outlet")],
        "warning",
    ),
    *each(61, ALL, [receiver(), _lead("one", "receiver")], [receiver(), _lead("one")], "warning"),
    *each(61, ALL, [_cube(), _lead("one", "cube")], [_cube(), _lead("one")], "warning"),
    *each(61, ALL, [receiver(), _cube("receiver")], [receiver(), _cube()], "warning"),
    *each(
        61,
        ALL,
        [_cube(), receiver(into="cube"), strip(into="receiver")],
        [_cube(), receiver(into="cube"), strip(into="far outlet")],
        "danger",
    ),
    # 62: a motor wants a rating for motors; a compressor is stopped, and so is what is over it
    *each(
        62,
        ALL,
        [receiver(), _fan("receiver", 60)],
        [receiver(motor_w=100), _fan("receiver", 60)],
        "warning",
    ),
    *each(
        62,
        ALL,
        [receiver(motor_w=100), _fan("receiver", 81)],
        [receiver(motor_w=100), _fan("receiver", 80)],
        "danger",
    ),
    *each(
        62,
        ALL,
        [receiver(), _cooler("receiver", 700)],
        [receiver(), _cooler("far outlet", 700)],
        "danger",
    ),
    *each(62, ALL, [receiver(), _fan("receiver", 60)], [receiver(), _lowvolt_fan()], "warning"),
    # 63: six times the running current of 12 A, behind a label for that
    *each(
        63,
        ALL,
        lambda r: [strip(rating_a=12), _fan("strip", 0.8 * VOLTS[r] * 2 * OVER)],
        lambda r: [strip(rating_a=12), _fan("strip", 0.8 * VOLTS[r] * 2)],
        "warning",
    ),
    *each(
        63,
        ALL,
        [strip(rating_a=16), _cooler("strip", 100)],
        [strip(rating_a=16), _cooler("far outlet", 100)],
        "danger",
    ),
    *each(
        63,
        ALL,
        [_lead("one", cord=_thin), _fan("one", 350)],
        [_lead("one", cord=_thin), _fan("one", 60)],
        "warning",
    ),
    *each(64, ALL, [receiver(), _breather("receiver")], [receiver(), _breather()], "danger"),
    *each(64, ALL, [strip(), _breather("strip")], [strip(), _breather()], "warning"),
    *each(
        64,
        ALL,
        [receiver(), resistive(9, "receiver", medical=True)],
        [receiver(), resistive(9, "receiver", medical=False)],
        "danger",
    ),
    # 65: one plug more than there are holes
    *each(65, ALL, _many("far outlet", 3), _many("far outlet", 2), "warning"),
    *each(
        65,
        ALL,
        [strip(holes=3), *_many("strip", 4)],
        [strip(holes=4), *_many("strip", 4)],
        "warning",
    ),
    *each(65, ALL, [_cube(), *_many("cube", 3)], [_cube(), *_many("cube", 2)], "warning"),
    *each(65, ALL, [_lead("one"), *_many("one", 2)], [_lead("one"), *_many("one", 1)], "warning"),
    *each(
        65, ALL, [receiver(), *_many("receiver", 2)], [receiver(), *_many("receiver", 1)], "warning"
    ),
    *each(
        66,
        ALL,
        [driver(output_v=12), light("lamp", "far outlet", protection_class="III")],
        [driver(output_v=12), light("lamp", "driver", protection_class="III")],
        "danger",
    ),
    *each(
        66,
        ALL,
        [resistive(9, protection_class="III")],
        [resistive(9, protection_class="II")],
        "danger",
    ),
    *each(
        67,
        ALL,
        [put("wall outlet", "earthed", None), light("lamp", "wall outlet", protection_class="I")],
        [put("wall outlet", "earthed", True), light("lamp", "wall outlet", protection_class="I")],
        "warning",
    ),
    *each(
        67,
        ALL,
        [put("wall outlet", "earthed", None), light("lamp", "wall outlet", protection_class="I")],
        [put("wall outlet", "earthed", None), light("lamp", "wall outlet", protection_class="II")],
        "warning",
    ),
    # 69: a heater without a place, by a bed; 0.25 m from the wall is beyond the bed's 0.9 m
    *each(
        69,
        ALL,
        [heater("h", "far outlet", 500)],
        [heater("h", "far outlet", 500, at_m=[0.25, 1.5, 0.1])],
        "warning",
    ),
    *each(
        69,
        ALL,
        lambda r: [heater("h", "far outlet", 202, label_v=VOLTS[r])],
        lambda r: [heater("h", "far outlet", 198, label_v=VOLTS[r])],
        "warning",
    ),
    # a straightener of 60 W is no heater on a strip; 200 W and more is
    *each(
        14,
        ALL,
        lambda r: [strip(), heater("h", "strip", 202, label_v=VOLTS[r])],
        lambda r: [strip(), heater("h", "strip", 198, label_v=VOLTS[r])],
        "danger",
    ),
    # 26: every fuse that is sold against the flex that may carry it
    *(
        Case(26, "UK", _fused(fuse, thin), _fused(fuse, right), "warning")
        for fuse, thin, right in (
            (13, 1.0, 1.25),
            (10, 0.75, 1.0),
            (7, 0.75, 1.0),
            (5, 0.5, 0.75),
            (3, 0.4, 0.5),
            (2, 0.4, 0.5),
            (1, 0.4, 0.5),
        )
    ),
    # 40: 65 K over the room, at 0.979 K for each watt; and a kelvin where no mains part lies
    *each(40, ALL, boxed(64.5, 0), boxed(63.3, 0), "danger"),
    *each(40, ALL, _shut_in(2.78), _shut_in(2.65), "advice"),
    # 91: 10 cm off the wall
    *each(91, ALL, _hanging(0.1035), _hanging(0.0985), "warning"),
]
