"""Rules on currents against limits, in every region: one percent over the line, and on it."""

from __future__ import annotations

from tests.study.caution_parts import (
    ALL,
    BREAKER,
    OUTLET,
    OVER,
    VOLTS,
    Case,
    Made,
    driver,
    each,
    kept_lead,
    receiver,
    resistive,
    spread,
    strip,
    two,
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


def _watts(region: str, amperes: float) -> float:
    return VOLTS[region] * amperes


def _full_circuit(share: float, **fields: object) -> Made:
    """Return a maker of loads that take a share of the breaker, in eight plugs of two outlets."""

    def made(region: str) -> list[Command]:
        each_w = _watts(region, share * BREAKER[region]) / 8
        return spread(*[each_w] * 8, **fields)

    return made


def _one(share_of: dict[str, float], share: float, **fields: object) -> Made:
    """Return a maker of one load in the far outlet."""
    return lambda region: [
        *(put("far outlet", name, value) for name, value in fields.items()),
        resistive(_watts(region, share * share_of[region])),
    ]


def _on_strip(amperes: float, **fields: object) -> Made:
    """Return a maker of one load on a 10 A strip."""
    return lambda region: [strip(**fields), resistive(_watts(region, amperes), "strip")]


def _lead(amperes: float, cord: dict[str, object], rating_a: float = 16) -> Made:
    """Return a maker of one load on an extension cord."""
    return lambda region: [
        supply("lead", "extension", "far outlet", rating_a=rating_a, cord=cord),
        resistive(_watts(region, amperes), "lead"),
    ]


def _heat(share: float) -> Made:
    """Return a maker of two heaters on two outlets that take a share of the circuit together."""

    def made(region: str) -> list[Command]:
        each_w = _watts(region, share * BREAKER[region]) / 2
        volts = VOLTS[region]
        return [
            heater("h", "wall outlet", each_w, label_v=volts),
            heater("i", "far outlet", each_w, label_v=volts),
        ]

    return made


def _receiver(amperes: float, **fields: object) -> Made:
    return lambda region: [receiver(**fields), resistive(_watts(region, amperes), "receiver")]


def _lamp_on_receiver(watts: float, factor: float = 1.0, **fields: object) -> list[Command]:
    lamp = {"power_factor": factor}
    return [receiver(**fields), light("lamp", "receiver", watts, max_lamp_w=2000, lamp=lamp)]


def _far(watts: float, **fields: object) -> list[Command]:
    """Two loads of which one is in the far outlet, the other beside it."""
    return [
        resistive(watts, "far outlet", **fields),
        appliance("other", "wall outlet", watts, continuous=False),
    ]


LV = {"rating_w": 300, "output_v": 12, "class_2": False}
# amperes by the table of cords, by hand: what a coiled cord of unknown size is taken to hold
THINNEST = {"US": 7, "CA": 7, "UK": 3, "EU": 3, "AU": 7.5, "JP": 7, "IN": 4}
# amperes of 0.75 mm2 (18 AWG)
SMALL = {"US": 7, "CA": 7, "UK": 6, "EU": 6, "AU": 7.5, "JP": 7, "IN": 7}
SMALL_CORD = {
    region: {"awg": 18} if region in ("US", "CA") else {"area_mm2": 0.75} for region in VOLTS
}
WARN_TWIN, MOST_TWIN = {"UK": 13, "JP": 15}, {"UK": 20, "JP": 15}


def _twin(amperes: dict[str, float], share: float) -> Made:
    return lambda region: two(*[_watts(region, share * amperes[region]) / 2] * 2)


def _plug_over(breaker_a: float, amperes: float, rating_a: float = 15) -> Made:
    return lambda region: [
        put("circuit", "breaker_a", breaker_a),
        put("far outlet", "rating_a", rating_a),
        resistive(_watts(region, amperes)),
    ]


def _small_cord(share: float, **fields: object) -> Made:
    return lambda region: [
        appliance(
            "load",
            "far outlet",
            _watts(region, share * SMALL[region]),
            continuous=False,
            cord={"length_m": 1.5, **SMALL_CORD[region]},
            **fields,
        )
    ]


def _strip_cord(share: float) -> Made:
    return lambda region: [
        strip(rating_a=16, cord={"length_m": 1.5, **SMALL_CORD[region]}),
        resistive(_watts(region, share * SMALL[region]), "strip"),
    ]


def _coiled(share: float) -> Made:
    """Return a maker of a heater whose coiled cord has no size: a quarter of the thinnest sold."""
    return lambda region: [
        heater(
            "h",
            "far outlet",
            _watts(region, share * THINNEST[region] / 4),
            cord={"coiled": True},
            label_v=VOLTS[region],
        )
    ]


def _halogen(watts: float, **cord: object) -> list[Command]:
    """A low-voltage halogen light on a 12 V driver by its own cord."""
    return [
        driver(**LV),
        light("lamp", "driver", watts, max_lamp_w=100, lamp={"kind": "halogen"}, cord=cord),
    ]


def _tape(amperes: float, **cord: object) -> list[Command]:
    """An LED strip of 12 V on a feed cord."""
    return [
        driver(**LV),
        led_strip("tape", "driver", 3.0, amperes * 12 / 3.0, volts=12, feed_cord=cord),
    ]


def _drop(length_m: float) -> Made:
    """Return a maker of 5 A at the end of a cord of 1.5 mm2, or 16 AWG, of a length."""
    size = {
        region: {"awg": 16} if region in ("US", "CA") else {"area_mm2": 1.5} for region in VOLTS
    }
    return lambda region: [
        appliance(
            "load", "far outlet", _watts(region, 5), cord={"length_m": length_m, **size[region]}
        )
    ]


# ohm/km at 20 degrees: 16.37 at 75 is 13.46 for 16 AWG; 13.3 for 1.5 mm2
_OHM = {region: 13.456 if region in ("US", "CA") else 13.3 for region in VOLTS}


def _lost(share: float) -> Made:
    """Return a maker of a cord so long that it loses a share of the volts."""
    return lambda region: _drop(share * VOLTS[region] / (2 * 5 * _OHM[region] / 1000))(region)


CASES = [
    *each(1, ALL, _full_circuit(OVER), _full_circuit(1.0), "danger"),
    # 2: 15 A of which a third for long, then a little more
    *each(
        2,
        "US CA",
        _full_circuit(0.8 * OVER, continuous=True),
        _full_circuit(0.8, continuous=True),
        "warning",
    ),
    Case(
        2,
        "US",
        [*spread(600, continuous=True), appliance("short", "far outlet", 1065, continuous=False)],
        [*spread(600, continuous=True), appliance("short", "far outlet", 1050, continuous=False)],
        "warning",
    ),
    Case(3, "US", [resistive(1440 * OVER)], [resistive(1440)], "warning"),
    Case(
        4,
        "US",
        [resistive(900 * OVER, "circuit", fixed=True)],
        [resistive(900, "circuit", fixed=True)],
        "warning",
    ),
    # 5: a plug over the rating of its outlet; in India the larger outlet is asked about first
    *each(5, ALL, _one(OUTLET, OVER, rating_a=None), _one(OUTLET, 1.0), "danger")[:-1],
    *each(5, "IN", _one(OUTLET, OVER, rating_a=6), _one(OUTLET, OVER, rating_a=None), "danger"),
    *each(5, "IN", _one(OUTLET, OVER), _one(OUTLET, 1.0), "warning"),
    Case(5, "IN", [resistive(3680 * OVER)], [resistive(3680)], "danger"),
    # 80 % of it on a circuit with others: 12 A
    *each(5, "US CA", _one(OUTLET, 0.8 * OVER), _one(OUTLET, 0.8), "warning"),
    Case(
        5,
        "US",
        [
            put("circuit", "breaker_a", 20),
            put("far outlet", "rating_a", 20),
            resistive(1920 * OVER),
        ],
        [put("circuit", "breaker_a", 20), put("far outlet", "rating_a", 20), resistive(1920)],
        "warning",
    ),
    *each(6, "UK", _twin(WARN_TWIN, OVER), _twin(WARN_TWIN, 1.0), "warning"),
    *each(6, "UK JP", _twin(MOST_TWIN, OVER), _twin(MOST_TWIN, 1.0), "danger"),
    # 6 A + 10 A = 16 A on one plate: the inspection associations' own example
    Case(6, "JP", two(600, 1000), two(600, 900), "danger"),
    *each(7, "AU JP", _one(OUTLET, OVER), _one(OUTLET, 1.0), "danger"),
    *each(7, "US CA EU", _plug_over(20, 15 * OVER), _plug_over(20, 15), "danger"),
    *each(7, "US", _plug_over(20, 15 * OVER), _plug_over(15, 15 * OVER), "danger"),
    *each(7, "IN", _one(OUTLET, OVER, rating_a=6), _one(OUTLET, OVER), "danger"),
    *each(7, "UK", _twin(MOST_TWIN, OVER), _twin(MOST_TWIN, 1.0), "danger"),
    # a radial of 20 A does guard a twin plate that may carry 20 A
    Case(
        7,
        "UK",
        two(2300 * OVER, 2300),
        [*two(2300 * OVER, 2300), put("circuit", "breaker_a", 20)],
        "danger",
    ),
    *each(8, ALL, _on_strip(10 * OVER), _on_strip(10), "danger"),
    # a strip whose label nobody has read, and one whose built-in breaker is smaller
    *each(
        8,
        "US CA UK EU JP",
        _on_strip(10 * OVER, rating_a=None),
        _on_strip(10, rating_a=None),
        "danger",
    ),
    *each(8, "AU", _on_strip(7.5 * OVER, rating_a=None), _on_strip(7.5, rating_a=None), "danger"),
    *each(8, "IN", _on_strip(6 * OVER, rating_a=None), _on_strip(6, rating_a=None), "danger"),
    *each(8, ALL, _on_strip(5 * OVER, breaker_a=5), _on_strip(5, breaker_a=5), "danger"),
    # 15.2 A of a label of 15.2 A: 3500 W at 230 V is 15.217 A, and the label was rounded
    Case(
        8,
        "EU",
        [strip(rating_a=15.2), resistive(3500 * OVER, "strip")],
        [strip(rating_a=15.2), resistive(3500, "strip")],
        "danger",
    ),
    *each(9, ALL, _on_strip(8 * OVER), _on_strip(8), "warning"),
    *each(15, ALL, _heat(0.8 * OVER), _heat(0.8), "danger"),
    # heat-making things of 200 W and more, two on a plate
    *each(
        15,
        ALL,
        lambda r: two(202, 400, heats=True, label_v=VOLTS[r]),
        lambda r: two(199, 400, heats=True, label_v=VOLTS[r]),
        "warning",
    ),
    Case(22, "EU", [kept_lead(1), resistive(1150 * OVER, "lead")], [kept_lead(1)], "warning"),
    *each(
        22,
        ALL,
        lambda r: [kept_lead(1), resistive(VOLTS[r] * 5 * OVER, "lead")],
        lambda r: [kept_lead(1), resistive(VOLTS[r] * 5, "lead")],
        "warning",
    ),
    # 16 AWG: 13 A to 50 ft, 10 A beyond (UL 817)
    *each(
        23,
        "US CA",
        _lead(10 * OVER, {"awg": 16, "length_m": 16}),
        _lead(10 * OVER, {"awg": 16, "length_m": 15}),
        "danger",
    ),
    *each(
        23,
        ALL,
        lambda r: _lead(SMALL[r] * OVER, {"length_m": 1.5, **SMALL_CORD[r]})(r),
        lambda r: _lead(SMALL[r], {"length_m": 1.5, **SMALL_CORD[r]})(r),
        "danger",
    ),
    *each(23, ALL, _lead(6 * OVER, {}, 6), _lead(6, {}, 6), "danger"),
    *each(23, ALL, _strip_cord(OVER), _strip_cord(1.0), "danger"),
    *each(
        24,
        ALL,
        lambda r: [
            strip(cord={"rating_a": 12, "coiled": True}),
            resistive(VOLTS[r] * 3 * OVER, "strip"),
        ],
        lambda r: [strip(cord={"rating_a": 12, "coiled": True}), resistive(VOLTS[r] * 3, "strip")],
        "warning",
    ),
    # a quarter of its label, when nothing else is known of a coiled lead
    *each(
        24,
        ALL,
        _lead(2.5 * OVER, {"coiled": True}, 10),
        _lead(2.5, {"coiled": True}, 10),
        "warning",
    ),
    # of no size and no label: the thinnest sold
    *each(24, ALL, _coiled(OVER), _coiled(1.0), "warning"),
    *each(25, ALL, _small_cord(OVER), _small_cord(1.0), "danger"),
    Case(
        27, "UK", [resistive(690 * OVER, plug_fuse_a=3)], [resistive(690, plug_fuse_a=3)], "warning"
    ),
    Case(27, "UK", [resistive(700, plug_fuse_a=13)], [resistive(701, plug_fuse_a=13)], "advice"),
    *each(42, ALL, _receiver(10 * OVER), _receiver(10), "danger"),
    *each(
        42,
        "US CA JP",
        _receiver(10 * OVER, rating_a=None),
        _receiver(10, rating_a=None),
        "danger",
    ),
    *each(
        42,
        "UK EU AU IN",
        _receiver(4.3 * OVER, rating_a=None),
        _receiver(4.3, rating_a=None),
        "danger",
    ),
    # watts printed for electronic loads count against watts, whatever the power factor
    *each(
        42,
        ALL,
        _lamp_on_receiver(101, 0.7, electronic_w=100),
        _lamp_on_receiver(100, 0.7, electronic_w=100),
        "warning",
    ),
    # without them, a tenth of the rating, in amperes
    *each(
        42,
        ALL,
        lambda r: _lamp_on_receiver(VOLTS[r] * OVER),
        lambda r: _lamp_on_receiver(VOLTS[r]),
        "warning",
    ),
    # 10 A x 230 V for longer than an hour
    *each(
        55,
        "EU",
        [resistive(2300 * OVER, hours_per_day=3, on_from_h=18, continuous=True)],
        [resistive(2300, hours_per_day=3, on_from_h=18, continuous=True)],
        "advice",
    ),
    *each(
        55,
        "EU",
        [resistive(2400, hours_per_day=1.25, on_from_h=18)],
        [resistive(2400, hours_per_day=1.0, on_from_h=18)],
        "advice",
    ),
    *each(
        55,
        "EU",
        [resistive(2400, hours_per_day=3, on_from_h=18)],
        [put("far outlet", "rating_a", 10), resistive(2400, hours_per_day=3, on_from_h=18)],
        "advice",
    ),
    # 60: an adapter over what is printed on it; no rule of its own speaks of that
    *each(
        60,
        ALL,
        lambda r: [
            supply("cube", "adapter", "far outlet", rating_a=5),
            resistive(VOLTS[r] * 5 * OVER, "cube"),
        ],
        lambda r: [
            supply("cube", "adapter", "far outlet", rating_a=5),
            resistive(VOLTS[r] * 5, "cube"),
        ],
        "danger",
    ),
    # a plug fuse that somebody typed outside Britain
    *each(
        60,
        "EU AU",
        [resistive(690 * OVER, plug_fuse_a=3)],
        [resistive(690, plug_fuse_a=3)],
        "warning",
    ),
    # a full outlet or plate raises nothing at all where it may carry its rating
    *each(5, "UK EU AU JP", _one(OUTLET, OVER), _one(OUTLET, 1.0), "any"),
    *each(6, "UK", _twin(WARN_TWIN, OVER), _twin(WARN_TWIN, 1.0), "any"),
    *each(6, "JP", _twin(MOST_TWIN, OVER), _twin(MOST_TWIN, 1.0), "any"),
    *each(
        68,
        "US CA EU JP IN",
        [put("circuit", "breaker_a", 20 * OVER)],
        [put("circuit", "breaker_a", 20)],
        "danger",
    ),
    *each(
        68,
        "UK AU",
        [put("circuit", "breaker_a", 32 * OVER)],
        [put("circuit", "breaker_a", 32)],
        "danger",
    ),
    # 68: 15 A (US) or other usual outlets behind a breaker that is not for them, with no load
    *each(
        68,
        "US CA EU JP IN",
        [put("circuit", "breaker_a", 25)],
        [put("circuit", "breaker_a", 20)],
        "danger",
    ),
    *each(
        68, "UK AU", [put("circuit", "breaker_a", 40)], [put("circuit", "breaker_a", 32)], "danger"
    ),
    Case(
        68,
        "US",
        [put("circuit", "breaker_a", 30)],
        [
            put("circuit", "breaker_a", 30),
            put("far outlet", "rating_a", 30),
            put("wall outlet", "rating_a", 30),
        ],
        "danger",
    ),
    *each(70, ALL, _lost(0.0505), _lost(0.05), "advice"),
    *each(70, ALL, _lost(0.101), _lost(0.1), "warning"),
    # 71: a heater of the winter and a cooler of the summer
    *each(
        71,
        ALL,
        lambda r: [
            appliance(
                "heat",
                "wall outlet",
                VOLTS[r] * 0.52 * BREAKER[r],
                season="winter",
                continuous=False,
            ),
            appliance(
                "cool",
                "far outlet",
                VOLTS[r] * 0.52 * BREAKER[r],
                season="summer",
                continuous=False,
            ),
        ],
        lambda r: [
            appliance(
                "heat",
                "wall outlet",
                VOLTS[r] * 0.5 * BREAKER[r],
                season="winter",
                continuous=False,
            ),
            appliance(
                "cool", "far outlet", VOLTS[r] * 0.5 * BREAKER[r], season="summer", continuous=False
            ),
        ],
        "advice",
    ),
    # 72: 24 AWG may carry 2 A, 0.25 mm2 counts as that, 0.5 mm2 may carry 3 A (4 A in India)
    *each(72, ALL, _tape(2 * OVER, awg=24), _tape(2, awg=24), "danger"),
    *each(72, ALL, _tape(5, awg=24), _tape(5, awg=18), "danger"),
    *each(72, ALL, _halogen(50, area_mm2=0.25), _halogen(50, area_mm2=0.75), "danger"),
    *each(72, ALL, _tape(3 * OVER, awg=22), _tape(3, awg=22), "danger"),
    # 73: 10 % about the volts on a label
    *each(
        73,
        ALL,
        lambda r: [resistive(50, label_v=VOLTS[r] / 1.102)],
        lambda r: [resistive(50, label_v=[VOLTS[r] / 1.5, VOLTS[r] / 1.099])],
        "danger",
    ),
    *each(
        73,
        ALL,
        lambda r: [resistive(50, label_v=VOLTS[r] / 0.898)],
        lambda r: [resistive(50, label_v=VOLTS[r] / 0.901)],
        "warning",
    ),
]
