"""Rules 1 to 27: a plan just over the line and one just short of it."""

from __future__ import annotations

from tests.study.caution_parts import (
    DRYER,
    Case,
    behind_headboard,
    cord,
    kept_lead,
    receiver,
    resistive,
    spread,
    strip,
    two,
)
from tests.study.small_plans import (
    appliance,
    heater,
    light,
    put,
    supply,
)

CASES = [
    # 1: sum of currents against the breaker, 15 / 32 / 16 / 20 / 20 / 16 A
    Case(1, "US", spread(1400, 401), spread(1400, 400), "danger"),
    Case(1, "CA", spread(1400, 401), spread(1400, 400), "danger"),
    Case(1, "UK", spread(2400, 2500, 2461), spread(2400, 2500, 2460), "danger"),
    Case(1, "EU", spread(2000, 1681), spread(2000, 1680), "danger"),
    Case(1, "AU", spread(2300, 2301), spread(2300, 2300), "danger"),
    Case(1, "JP", spread(1000, 1001), spread(1000, 1000), "danger"),
    Case(1, "IN", spread(1380, 1380, 921), spread(1380, 1380, 920), "danger"),
    # 2: 5 A for long: 1.25 x 5 + x <= 15
    Case(
        2,
        "US",
        [*spread(600, continuous=True), appliance("short", "far outlet", 1051, continuous=False)],
        [*spread(600, continuous=True), appliance("short", "far outlet", 1050, continuous=False)],
        "warning",
    ),
    Case(2, "CA", spread(800, 641, continuous=True), spread(800, 640, continuous=True), "warning"),
    Case(3, "US", [resistive(1441)], [resistive(1440)], "warning"),
    Case(
        4,
        "US",
        [resistive(901, "circuit", fixed=True)],
        [resistive(900, "circuit", fixed=True)],
        "warning",
    ),
    # 5: one plug against its hole: 12 / 12 / 13 / 16 / 10 / 15 / 6 A
    Case(5, "US", [resistive(1441)], [resistive(1440)], "danger"),
    Case(5, "CA", [resistive(1441)], [resistive(1440)], "danger"),
    Case(5, "UK", [resistive(2991)], [resistive(2990)], "danger"),
    Case(5, "EU", [resistive(3681)], [resistive(3680)], "danger"),
    Case(5, "AU", [resistive(2301)], [resistive(2300)], "danger"),
    Case(5, "JP", [resistive(1501)], [resistive(1500)], "danger"),
    Case(5, "IN", [resistive(1381)], [resistive(1380)], "danger"),
    # 20 A outlet in the US: 16 A
    Case(
        5,
        "US",
        [put("circuit", "breaker_a", 20), put("far outlet", "rating_a", 20), resistive(1921)],
        [put("circuit", "breaker_a", 20), put("far outlet", "rating_a", 20), resistive(1920)],
        "danger",
    ),
    Case(6, "UK", two(1500, 1491), two(1500, 1490), "warning"),
    Case(6, "UK", two(2300, 2301), [], "danger"),
    # 6 A + 10 A = 16 A on one plate: the inspection associations' own example
    Case(6, "JP", two(600, 1000), two(600, 900), "danger"),
    Case(7, "JP", [resistive(1501)], [resistive(1500)], "danger"),
    Case(7, "AU", [resistive(2301)], [resistive(2300)], "danger"),
    Case(7, "IN", [resistive(1381)], [resistive(1380)], "danger"),
    Case(7, "UK", two(2300, 2301), two(2300, 2300), "danger"),
    Case(
        7,
        "US",
        [put("circuit", "breaker_a", 20), resistive(1801)],
        [put("circuit", "breaker_a", 15), resistive(1801)],
        "danger",
    ),
    Case(
        7,
        "EU",
        [put("circuit", "breaker_a", 20), resistive(3681)],
        [put("circuit", "breaker_a", 20), resistive(3680)],
        "danger",
    ),
    Case(
        8, "US", [strip(), resistive(1201, "strip")], [strip(), resistive(1200, "strip")], "danger"
    ),
    Case(
        8, "UK", [strip(), resistive(2301, "strip")], [strip(), resistive(2300, "strip")], "danger"
    ),
    Case(
        8, "JP", [strip(), resistive(1001, "strip")], [strip(), resistive(1000, "strip")], "danger"
    ),
    Case(
        8,
        "EU",
        [strip(rating_a=None), resistive(2301, "strip")],
        [strip(rating_a=16), resistive(2301, "strip")],
        "danger",
    ),
    Case(
        8, "AU", [strip(), resistive(2301, "strip")], [strip(), resistive(2300, "strip")], "danger"
    ),
    Case(
        8,
        "IN",
        [strip(rating_a=6), resistive(1381, "strip")],
        [strip(rating_a=6), resistive(1380, "strip")],
        "danger",
    ),
    Case(
        9, "US", [strip(), resistive(961, "strip")], [strip(), resistive(960, "strip")], "warning"
    ),
    Case(
        9, "UK", [strip(), resistive(1841, "strip")], [strip(), resistive(1840, "strip")], "warning"
    ),
    Case(10, "US", [strip(rating_a=None)], [strip(rating_a=15)], "advice"),
    Case(10, "AU", [strip(rating_a=None)], [strip(rating_a=10)], "advice"),
    Case(11, "US", [strip(), strip("second", "strip")], [strip(), strip("second")], "danger"),
    Case(
        11,
        "UK",
        [strip(), supply("cube", "adapter", "strip"), strip("second", "cube")],
        [strip(), supply("cube", "adapter", "far outlet"), strip("second", "cube")],
        "danger",
    ),
    Case(
        12,
        "US",
        [supply("lead", "extension", "wall outlet", rating_a=13), strip(into="lead")],
        [supply("lead", "extension", "wall outlet", rating_a=13), strip(into="wall outlet")],
        "danger",
    ),
    Case(
        13,
        "AU",
        [strip(), supply("cube", "adapter", "strip")],
        [strip(), supply("cube", "adapter", "far outlet")],
        "warning",
    ),
    Case(
        13,
        "UK",
        [
            supply("cube", "adapter", "wall outlet"),
            heater("h", "cube", 500),
            heater("i", "cube", 500),
        ],
        [supply("cube", "adapter", "wall outlet"), heater("h", "cube", 500)],
        "warning",
    ),
    Case(
        14,
        "US",
        [strip(), heater("h", "strip", 900)],
        [strip(), heater("h", "far outlet", 900)],
        "danger",
    ),
    Case(
        14,
        "UK",
        [receiver(), appliance("dry", "receiver", 900, **DRYER)],
        [receiver(), appliance("dry", "far outlet", 900, **DRYER)],
        "danger",
    ),
    Case(
        15,
        "US",
        [heater("h", "wall outlet", 500), heater("i", "wall outlet", 500)],
        [heater("h", "wall outlet", 500), heater("i", "far outlet", 500)],
        "warning",
    ),
    Case(
        15,
        "US",
        [heater("h", "wall outlet", 800), heater("i", "far outlet", 641)],
        [heater("h", "wall outlet", 800), heater("i", "far outlet", 640)],
        "danger",
    ),
    # the heater stands left of the bed, whose side is at x = 1.2
    Case(
        16,
        "US",
        [heater("h", "wall outlet", 500, at_m=[0.31, 1.5, 0.1])],
        [heater("h", "wall outlet", 500, at_m=[0.29, 1.5, 0.1])],
        "danger",
    ),
    Case(
        17,
        "US",
        [strip(), appliance("blanket", "strip", 60, like="electric-blanket")],
        [strip(), appliance("blanket", "far outlet", 60, like="electric-blanket")],
        "warning",
    ),
    Case(
        18,
        "US",
        [light("lamp", "wall outlet", cord=cord(route=["through wall"]))],
        [light("lamp", "wall outlet", cord=cord(route=["open"]))],
        "danger",
    ),
    Case(
        18,
        "EU",
        [strip(cord=cord(route=["concealed"]))],
        [strip(cord=cord(route=["open"]))],
        "danger",
    ),
    Case(
        19,
        "JP",
        [light("lamp", "wall outlet", cord=cord(route=["stapled"]))],
        [light("lamp", "wall outlet", cord=cord(route=["open"]))],
        "warning",
    ),
    Case(
        20,
        "UK",
        [strip(cord=cord(route=["through door"]))],
        [strip(cord=cord(route=[]))],
        "warning",
    ),
    Case(
        21,
        "US",
        [strip(cord=cord(route=["under rug"]))],
        [strip(cord=cord(route=["open"]))],
        "warning",
    ),
    # the bed's head end is at y = 2.98, 20 mm off the wall
    Case(
        21,
        "EU",
        [put("far outlet", "at_m", [2.0, 3.0, 0.2]), put("far outlet", "wall", 2), resistive(9)],
        [put("far outlet", "at_m", [3.5, 3.0, 0.2]), put("far outlet", "wall", 2), resistive(9)],
        "warning",
    ),
    Case(22, "US", [supply("lead", "extension", "wall outlet", rating_a=13)], [], "advice"),
    Case(
        22,
        "UK",
        [supply("lead", "extension", "wall outlet", rating_a=13, days_in_use=91)],
        [],
        "warning",
    ),
    # 16 AWG: 13 A to 50 ft, 10 A beyond (UL 817)
    Case(
        23,
        "US",
        [
            supply(
                "lead", "extension", "wall outlet", rating_a=15, cord={"awg": 16, "length_m": 16}
            ),
            resistive(1201, "lead"),
        ],
        [
            supply(
                "lead", "extension", "wall outlet", rating_a=15, cord={"awg": 16, "length_m": 15}
            ),
            resistive(1201, "lead"),
        ],
        "danger",
    ),
    Case(
        23,
        "UK",
        [
            supply("lead", "extension", "wall outlet", rating_a=13, cord={"area_mm2": 0.75}),
            resistive(1381, "lead"),
        ],
        [
            supply("lead", "extension", "wall outlet", rating_a=13, cord={"area_mm2": 0.75}),
            resistive(1380, "lead"),
        ],
        "danger",
    ),
    Case(
        24,
        "US",
        [strip(cord=cord(rating_a=12, coiled=True)), resistive(361, "strip")],
        [strip(cord=cord(rating_a=12, coiled=True)), resistive(360, "strip")],
        "warning",
    ),
    Case(
        25,
        "US",
        [light("lamp", "wall outlet", cord={"cores": 2, "awg": 20})],
        [light("lamp", "wall outlet", cord={"cores": 2, "awg": 18})],
        "danger",
    ),
    Case(
        25,
        "EU",
        [light("lamp", "wall outlet", cord={"cores": 2, "area_mm2": 0.5})],
        [light("lamp", "wall outlet", cord={"cores": 2, "area_mm2": 0.75})],
        "danger",
    ),
    Case(
        26,
        "UK",
        [light("lamp", "wall outlet", plug_fuse_a=13, cord=cord(area_mm2=0.75, length_m=2.0))],
        [light("lamp", "wall outlet", plug_fuse_a=13, cord=cord(area_mm2=0.75, length_m=1.9))],
        "warning",
    ),
    Case(
        26,
        "UK",
        [light("lamp", "wall outlet", plug_fuse_a=13, cord=cord(area_mm2=1.0))],
        [light("lamp", "wall outlet", plug_fuse_a=3, cord=cord(area_mm2=1.0))],
        "warning",
    ),
    Case(27, "UK", [resistive(691, plug_fuse_a=3)], [resistive(690, plug_fuse_a=3)], "warning"),
    Case(27, "UK", [resistive(700, plug_fuse_a=13)], [resistive(701, plug_fuse_a=13)], "advice"),
    # labels that nobody has read, of things other than power strips
    Case(
        10,
        "EU",
        [receiver(rating_a=None)],
        [receiver(rating_a=10)],
        "advice",
    ),
    Case(
        10,
        "JP",
        [supply("lead", "extension", "far outlet")],
        [supply("lead", "extension", "far outlet", cord={"area_mm2": 1.25})],
        "advice",
    ),
    Case(
        10,
        "IN",
        [supply("cube", "adapter", "far outlet")],
        [supply("cube", "adapter", "far outlet", rating_a=6)],
        "advice",
    ),
    # a strip whose built-in breaker is smaller than its label
    Case(
        8,
        "AU",
        [strip(breaker_a=8), resistive(1841, "strip")],
        [strip(breaker_a=8), resistive(1840, "strip")],
        "danger",
    ),
    # a plug whose fuse nobody has read is taken to hold 13 A
    Case(
        26,
        "UK",
        [light("lamp", "wall outlet", cord=cord(area_mm2=1.0))],
        [light("lamp", "wall outlet", cord=cord(area_mm2=1.25))],
        "warning",
    ),
    # a quarter of the 13 A label, when nothing else is known of a coiled cord
    Case(
        24,
        "AU",
        [
            supply("lead", "extension", "far outlet", rating_a=10, cord={"coiled": True}),
            resistive(576, "lead"),
        ],
        [
            supply("lead", "extension", "far outlet", rating_a=10, cord={"coiled": True}),
            resistive(575, "lead"),
        ],
        "warning",
    ),
    # thresholds from both sides, by a few percent
    Case(
        8,
        "EU",
        [strip(rating_a=None), resistive(2301, "strip")],
        [strip(rating_a=None), resistive(2300, "strip")],
        "danger",
    ),
    # a headboard 59.5 or 60.5 mm before an outlet; a plug is 60 mm deep
    Case(21, "US", behind_headboard(0.0595), behind_headboard(0.0605), "warning"),
    Case(22, "EU", [kept_lead(90.5)], [kept_lead(90)], "warning"),
    Case(22, "EU", [kept_lead(1), resistive(1151, "lead")], [kept_lead(1)], "warning"),
    Case(
        22,
        "EU",
        [kept_lead(1), resistive(1151, "lead")],
        [kept_lead(1), resistive(1150, "lead")],
        "warning",
    ),
    # a radial of 20 A does guard a twin plate that may carry 20 A
    Case(7, "UK", two(2300, 2301), [*two(2300, 2301), put("circuit", "breaker_a", 20)], "danger"),
]
