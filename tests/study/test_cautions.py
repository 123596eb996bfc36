"""Every rule: a plan that raises it and one just short of it, by edits of a quiet room."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.cautions import ORDER, Caution, cautions, rules, source_of
from lumen.study.cautions.registry import PREDICATES
from lumen.study.load.electrics import electrics
from lumen.words.caution_sentences import SENTENCES, SHARED
from lumen.words.cautions import DEFER, caution_words, question, rules_text
from lumen.words.sentences import translated
from lumen.words.trade import local
from tests.study.caution_cases_bodies import CASES as BODIES
from tests.study.caution_cases_else import ELSE
from tests.study.caution_cases_loads import CASES as LOADS
from tests.study.caution_cases_supply import CASES as SUPPLY
from tests.study.caution_cases_things import CASES as THINGS
from tests.study.caution_parts import (
    SIGN,
    Case,
    cord,
    driver,
    receiver,
    resistive,
    shows,
    spread,
    strip,
)
from tests.study.small_plans import (
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

ALL_RULES = tuple(rules())
REGIONS = ("US", "CA", "UK", "EU", "AU", "JP", "IN")


REGIONAL = {14, 25, 45, 49, 63, 69}
"""Rules with plans that are just over the line in one region only."""


def _spread_over_regions(cases: list[Case], most: int = len(REGIONS)) -> list[Case]:
    """Return each case in the regions in which its rule holds, where nothing depends on one.

    In ``most`` of them, each case in others than the one before.
    """
    found = []
    for number, case in enumerate(cases):
        regions = [case.region] if case.rule in REGIONAL else list(rules()[case.rule].regions)
        first = number % len(regions)
        for region in (regions[first:] + regions[:first])[:most]:
            found.append(Case(case.rule, region, case.earns, case.misses, case.severity))
    return found


def _once(cases: list[Case]) -> list[Case]:
    return list({repr(case): case for case in cases}.values())


CASES = _once([*LOADS, *_spread_over_regions([*SUPPLY, *THINGS, *BODIES])])
_FEW = {repr(case) for case in [*LOADS, *_spread_over_regions([*SUPPLY, *THINGS, *BODIES], 2)]}
FEW = [number for number, case in enumerate(CASES) if repr(case) in _FEW]
"""What knows nothing of regions is tried in two of them each time, in all with ``-m long``."""


def _numbers(numbers: Iterable[int]) -> list[Any]:
    few = set(FEW)
    return [
        pytest.param(n, id=_name(CASES[n]), marks=[] if n in few else [pytest.mark.long])
        for n in numbers
    ]


def _name(case: Case) -> str:
    return f"{case.rule}-{case.region}-{case.severity}"


@cache
def _earned(number: int) -> tuple[Scenario, tuple[Caution, ...]]:
    """Return the plan that raises a case's rule, and all that it raises."""
    scenario = plan(CASES[number].region, *CASES[number].earns)
    return scenario, found(scenario)[1]


@pytest.mark.parametrize("number", _numbers(range(len(CASES))))
def test_plan_that_earns_the_rule_raises_it(number: int) -> None:
    """A plan just over the line raises the rule, at its severity, with source and numbers."""
    case, (_, cautions_here) = CASES[number], _earned(number)
    hits = [hit for hit in cautions_here if hit.rule == case.rule]
    assert shows(case, [hit.severity for hit in hits]), hits


@pytest.mark.parametrize("number", _numbers(n for n, c in enumerate(CASES) if c.misses))
def test_near_miss_does_not_raise_the_rule(number: int) -> None:
    """A plan just short of the line does not raise the rule at that severity."""
    case = CASES[number]
    hits = raised(case.region, *case.misses).get(case.rule, [])
    assert not shows(case, [hit.severity for hit in hits]), hits


@pytest.mark.parametrize("region", REGIONS)
def test_quiet_room_raises_nothing(region: str) -> None:
    """The room that all small plans start from raises no caution in any region."""
    assert raised(region) == {}


def test_registry_and_table_match_one_to_one() -> None:
    """Each row, the fifty and ours, has one predicate, a place in the order, and vice versa."""
    assert sorted(PREDICATES) == sorted(rules()) == sorted(ORDER) == sorted(ALL_RULES)


def test_each_rule_has_a_plan_and_a_near_miss() -> None:
    """No rule goes without a plan that raises it and one that just does not."""
    assert {case.rule for case in CASES} == set(ALL_RULES)
    lacking = set(ALL_RULES) - {case.rule for case in CASES if case.misses} - {22, 47}
    assert lacking == set()  # 22 and 47 have no threshold: the quiet room is their near miss


def test_each_rule_is_tried_in_every_region_where_it_holds() -> None:
    """With a plan that raises it there, and one that just does not."""
    for number, rule in rules().items():
        for region in rule.regions:
            here = [case for case in CASES if (case.rule, case.region) == (number, region)]
            assert here, (number, region)
            assert any(case.misses for case in here) or number in {22, 47}, (number, region)


def test_no_rule_lacks_a_source() -> None:
    """Every rule names its source and how it is known; what is not our own has a locator."""
    for number, rule in rules().items():
        assert rule.source.source, number
        assert rule.source.how in ("read", "memory", "assumed")
        assert rule.source.locator, number


def test_rule_text_prints_every_rule_with_its_source() -> None:
    """``lumen rules`` prints every title, each with source, regions and how it is known."""
    text = rules_text()
    for number, rule in rules().items():
        assert f"\n{number}. {rule.title}" in text
        assert rule.source.source in text
    assert text.count("   regions: ") == len(ALL_RULES)
    assert text.count("   source (") >= len(ALL_RULES)
    assert "our own assumption" in text
    assert "(read)" in text


def test_rule_outside_its_regions_is_silent() -> None:
    """A British fuse rule says nothing in Germany, a North American one nothing in Britain."""
    fuse = [light("lamp", "wall outlet", plug_fuse_a=13, cord=cord(area_mm2=0.5))]
    assert 26 in raised("UK", *fuse)
    assert 26 not in raised("EU", *fuse)
    assert 3 not in raised("UK", resistive(2900))


@pytest.fixture(
    scope="module",
    params=[
        pytest.param(FEW, id="few"),
        pytest.param(range(len(CASES)), id="all", marks=pytest.mark.long),
    ],
)
def earned(request: pytest.FixtureRequest) -> list[tuple[Case, Scenario, tuple[Caution, ...]]]:
    """Plans that raise something, with what they raise."""
    return [(CASES[number], *_earned(number)) for number in request.param]


Earned = list[tuple[Case, Scenario, tuple[Caution, ...]]]


def test_words_never_promise_anything(earned: Earned) -> None:
    """No message says safe or compliant, none is empty, and each ends in the same deferral."""
    banned = re.compile(r"\b(safe|safely|safety of|compliant|complies|legal|approved)\b", re.I)
    written = (data for _, scenario, here in earned for data in caution_json(here, scenario))
    for data in written:
        for field in ("title", "fact", "rule_text", "remedy"):
            assert data[field], data
            assert not banned.search(data[field]), data[field]
        assert data["defer"] == DEFER
        assert data["fact"].endswith(".")
        assert data["source"]
        assert data["edition"]


AMERICAN = r"\bNFPA|\bNEC\b|\bUL \d|\bCFR\b|\bOSHA\b|\bESFI\b|Consumer Product|\bCPSC\b|\bUS\b"
OWN_WORDS = {
    "american": AMERICAN,
    "canadian": r"Canadian|\bCSA\b|\bCE Code",
    "british": r"\bBS \d|\bBS EN|British|\bUK\b|Manchester|London",
    "european": r"\bVDE\b|\bDIN\b|Regulation \(EU\)|German|\bEN \d",
    "australian": r"AS/NZS|Tasmania|Australia",
    "japanese": r"Japan|\bJIS\b|\bJEAC\b",
    "indian": r"\bIS \d|\bIndian?\b",
    "american trade": r"\bGFCI\b|\bAFCI\b|\bground(ed|ing)?\b|receptacle",
    "other trade": r"\bRCDs?\b|\bRCBOs?\b|\bAFDDs?\b|\bMCBs?\b|\bearth(ed|ing)?\b",
    "international": r"\bIEC\b",
}
ALLOWED = {
    "US": {"american", "american trade"},
    "CA": {"canadian", "american trade"},
    "UK": {"british", "other trade", "international"},
    "EU": {"european", "other trade", "international"},
    "AU": {"australian", "other trade", "international"},
    "JP": {"japanese", "other trade", "international"},
    "IN": {"indian", "other trade", "international"},
}
"""Whose documents and trade words a region's texts may hold; an EN on bunk beds is British too."""


def foreign(text: str, region: str) -> list[str]:
    """Return the words in a text that are another region's."""
    found = []
    for kind, pattern in OWN_WORDS.items():
        if kind not in ALLOWED[region]:
            found += [f"{kind}: {match.group(0)}" for match in re.finditer(pattern, text)]
    return [word for word in found if not (region == "UK" and "EN 747" in text)]


def test_foreign_words_are_seen() -> None:
    """The list of words does find another region's documents and trade."""
    assert foreign("NFPA 70, 210.23", "UK")
    assert foreign("BS 7671, 433.1.1", "EU")
    assert foreign("no earth here", "US")
    assert foreign("an RCD", "US")
    assert not foreign("NFPA 70: no ground here", "US")


@pytest.mark.parametrize("region", REGIONS)
def test_rules_speak_the_words_of_the_region(region: str) -> None:
    """Each rule cites the region's own documents, or none, in the words of its trade."""
    for number, rule in rules().items():
        if region not in rule.regions:
            continue
        source = source_of(number, region)
        texts = [source.source, local(source.locator, region)]
        own = (rule.title, rule.trigger, rule.tell, rule.remedy)
        texts += [local(text, region) for text in own]
        texts += [question(number, region) or ""]
        for text in texts:
            assert foreign(text, region) == [], (number, text)


def test_cautions_speak_the_words_of_the_region(earned: Earned) -> None:
    """Every caution of every plan above, line by line."""
    for case, scenario, cautions_here in earned:
        for data in caution_json(cautions_here, scenario):
            lines = [text for text, _, _ in data["explain"]]
            for name in ("title", "fact", "rule_text", "source", "remedy", "question", "assumed"):
                lines.append(data[name] or "")
            for text in lines:
                assert foreign(text, case.region) == [], (case.region, data["rule"], text)


def test_electrician_is_asked_in_trade_words() -> None:
    """The question on protection says GFCI and AFCI in America, RCD, RCBO and AFDD elsewhere."""
    unknown = [
        put("circuit", "arc_fault_protection", None),
        put("circuit", "leakage_protection", None),
    ]
    words = {
        "US": ("GFCI", "AFCI"),
        "CA": ("GFCI", "AFCI"),
        "UK": ("RCD", "RCBO", "AFDD"),
        "EU": ("RCD", "RCBO", "AFDD"),
        "AU": ("RCD", "RCBO", "AFDD"),
        "IN": ("RCD", "RCBO", "AFDD"),
        "JP": ("earth-leakage breaker",),
    }
    for region, wanted in words.items():
        (hit,) = told(region, *unknown)[45]
        assert hit.question is not None
        assert all(word in hit.question for word in wanted), hit.question
        assert any(hit.question in text for text, _, _ in hit.explain)
    metal = light("lamp", "wall outlet", protection_class="I", cord=cord(cores=2))
    assert "ground" in told("US", metal)[28][0].fact
    assert "earth" in told("UK", metal)[28][0].fact


def test_levels_are_the_same_three_words_everywhere() -> None:
    """``lumen rules`` and each caution say stop, ask or note, and nothing else."""
    text = rules_text()
    said = set(re.findall(r"\[(.*)\]", text))
    assert {word for levels in said for word in levels.split(" or ")} == {"stop", "ask", "note"}
    for rule in rules().values():
        assert not re.search(r"\b(danger|warning|advice)\b", rule.trigger), rule.trigger


def test_order_puts_harm_first() -> None:
    """Dangers come before warnings before advice, and within them signs and earth come first."""
    scenario = plan(
        "US",
        *SIGN,
        strip(rating_a=None),
        light("lamp", "strip", protection_class="I", cord=cord(cores=2)),
        heater("h", "strip", 1500),
        put("circuit", "arc_fault_protection", None),
    )
    _, raised_here = found(scenario)
    severities = [caution.severity for caution in raised_here]
    ranks = [("danger", "warning", "advice").index(s) for s in severities]
    assert ranks == sorted(ranks)
    dangers = [caution.rule for caution in raised_here if caution.severity == "danger"]
    assert dangers[:3] == [47, 28, 14]
    assert {c.level for c in raised_here} <= {"stop", "ask", "note"}


def test_each_rule_is_raised_once_for_a_thing(earned: Earned) -> None:
    """No rule marks the same thing twice."""
    for case, _, cautions_here in earned:
        marks = [(c.rule, c.objects[0]) for c in cautions_here]
        assert len(marks) == len(set(marks)), case


def test_graver_rule_covers_the_lesser() -> None:
    """An overloaded strip is not also near its limit; an overloaded circuit not also rule 2."""
    hits = raised("US", strip(), resistive(1300, "strip"))
    assert 8 in hits
    assert 9 not in hits
    hits = raised("US", *spread(1000, 1000, continuous=True))
    assert 1 in hits
    assert 2 not in hits


def test_every_fix_can_be_applied_and_clears_its_caution(earned: Earned) -> None:
    """Where a caution offers a command, it can be applied and the caution is gone."""
    offered = set()
    for _, scenario, cautions_here in earned:
        for caution in cautions_here:
            if caution.fix is None:
                continue
            offered.add(caution.rule)
            mended = apply(scenario, caution.fix)
            left = {(c.rule, c.objects[0], c.severity) for c in found(mended)[1]}
            assert (caution.rule, caution.objects[0], caution.severity) not in left, caution
    assert {8, 11, 12, 13, 14, 17, 24, 26, 27, 36, 38, 42} <= offered


def test_every_sentence_of_the_rules_is_said(earned: Earned) -> None:
    """No template is there for nothing: with keys in their place, each turns up in some plan."""
    said: set[str] = set()

    def keep(key: str, template: str, facts: Mapping[str, object]) -> str:
        said.add(key.removeprefix("caution."))
        return template.format(**facts)

    rare = [plan("US", *commands) for commands in ELSE.values()]
    with translated(keep):
        for _, scenario, cautions_here in earned:
            caution_words(cautions_here, scenario)
        for scenario in (*rare, *map(load, examples())):
            caution_words(found(scenario)[1], scenario)
    assert sorted({*SENTENCES, *SHARED} - said) == []


def test_the_words_change_and_the_facts_do_not(earned: Earned) -> None:
    """With every sentence replaced by its key, who, what and how much come out the same."""
    numbers = ("rule", "level", "severity", "objects", "names", "fix", "edition", "how", "source")
    for _, scenario, cautions_here in earned[::7]:
        plain = caution_json(cautions_here, scenario)
        with translated(lambda key, template, facts: key):
            keyed = caution_json(cautions_here, scenario)
        for words, key in zip(plain, keyed, strict=True):
            assert [words[name] for name in numbers] == [key[name] for name in numbers]
            assert [line[1:] for line in words["numbers"]] == [line[1:] for line in key["numbers"]]
            assert [line[1:] for line in words["explain"]] == [line[1:] for line in key["explain"]]
            assert re.fullmatch(r"Caution\.\d+\.[\w-]+|Caution\.[\w-]+", key["fact"]), key["fact"]


def test_a_power_strip_is_a_power_board_in_australia() -> None:
    """Only there; what the person calls it stays."""
    for region, words in (("AU", "Power board"), ("UK", "Power strip"), ("US", "Power strip")):
        (hit,) = told(region, strip(), resistive(2600, "strip"))[8]
        assert hit.title.startswith(words)
        assert hit.fact.startswith("The strip ")


def test_the_trades_words_never_touch_a_name() -> None:
    """A thing called 'earth lamp' keeps its name in America, where its plug wants a ground."""
    lamp = light("earth lamp", "wall outlet", protection_class="I", cord=cord(cores=2))
    (hit,) = told("US", lamp)[28]
    assert hit.fact == (
        "The earth lamp is class I and must be grounded, but its cord has two cores."
    )


def test_facts_use_the_persons_own_names() -> None:
    """A fact speaks of 'the left nightstand strip', with the current and the label."""
    hits = told(
        "US",
        strip(name="left nightstand strip"),
        put("far outlet", "rating_a", 20),
        resistive(1400, "strip"),
    )
    assert hits[8][0].fact.startswith("The left nightstand strip carries 11.7 A of its 10 A label")
    assert hits[8][0].names == ("left nightstand strip",)


def test_unread_label_is_assumed_low_and_said_so() -> None:
    """Without a label the strip counts as 10 A, its overload says that this is assumed."""
    hits = told("US", strip(rating_a=None), resistive(1300, "strip"))
    assert "assumed 10 A" in hits[8][0].fact
    assert "10 A" in (hits[8][0].assumed or "")
    assert 10 in hits


def test_overload_on_unread_watts_says_so() -> None:
    """An overload that rests on usual watts names what nobody has read, three at most."""
    like = {"like": "laptop", "power_w": None, "continuous": False}
    dryer = supply("dryer", "appliance", "far outlet", like="hair dryer", label_read=False)
    (hit,) = told("US", dryer)[5]
    assert "usual watts, label not read: the dryer" in (hit.assumed or "")
    many = [supply(f"a{i}", "appliance", "strip", **like) for i in range(20)]
    (hit,) = told("US", strip(holes=20), *many)[8]
    assert "the a0, the a1, the a10 and 17 more" in (hit.assumed or "")


OVERLOADS = (1, 2, 3, 5, 6, 8, 9, 23, 24, 36, 42, 55)
RATINGS = [
    ("circuit", "breaker_a", 12.0),
    ("far outlet", "rating_a", 8.0),
    ("lead", "rating_a", 6.0),
    ("strip", "rating_a", 6.0),
    ("receiver", "rating_a", 4.0),
    ("driver", "rating_w", 40.0),
]


@settings(max_examples=25, deadline=None)
@given(
    rating=st.sampled_from(RATINGS),
    grown=st.floats(1.0, 4.0),
    watts=st.integers(0, 3000),
    region=st.sampled_from(["US", "UK", "EU", "AU", "JP", "IN"]),
)
def test_greater_rating_never_makes_an_overload_graver(
    rating: tuple[str, str, float], grown: float, watts: int, region: str
) -> None:
    """Whatever rating grows, nothing is overloaded that was not, nor more gravely than before."""
    node, field, least = rating
    commands = [
        supply("lead", "extension", "far outlet", rating_a=10, cord={"coiled": True}),
        strip(rating_a=10),
        receiver(into="far outlet"),
        driver(into="strip"),
        led_strip("tape", "driver", 3, 15),
        resistive(watts, "lead"),
        appliance("other", "strip", watts / 2),
        appliance("third", "receiver", watts / 3),
        put(node, field, least),
    ]

    def gravest(scenario: Scenario) -> dict[str, int]:
        ranks: dict[str, int] = {}
        for caution in found(scenario)[1]:
            if caution.rule in OVERLOADS:
                grave = ("advice", "warning", "danger").index(caution.severity)
                first = caution.objects[0]
                ranks[first] = max(ranks.get(first, 0), grave)
        return ranks

    before = gravest(plan(region, *commands))
    after = gravest(plan(region, *commands, put(node, field, round(least * grown, 3))))
    for item_id, grave in after.items():
        assert item_id in before
        assert grave <= before[item_id]


def test_raising_a_rating_never_adds_an_overload() -> None:
    """With a greater strip, outlet, breaker or driver rating the plan has no new overload."""
    base = [strip(), resistive(1300, "strip"), driver(), led_strip("tape", "driver", 3, 19)]
    overloads = (1, 2, 5, 7, 8, 9, 36)
    before = {(c.rule, c.objects) for c in found(plan("US", *base))[1] if c.rule in overloads}
    for change in (
        put("strip", "rating_a", 15),
        put("wall outlet", "rating_a", 20),
        put("circuit", "breaker_a", 20),
        put("driver", "rating_w", 96),
    ):
        after = {
            (c.rule, c.objects) for c in found(plan("US", *base, change))[1] if c.rule in overloads
        }
        if change["id"] != "circuit":  # a bigger breaker guards the outlet less: rule 7
            assert after <= before, (change, after - before)


def test_loads_of_one_fact_add_up() -> None:
    """The numbers shown with an overload add up to the current that it names."""
    hits = told("US", strip(), resistive(900, "strip"), appliance("more", "strip", 500))
    parts = [v for text, v, unit in hits[8][0].numbers if text in ("the load", "the more")]
    total = next(v for text, v, _ in hits[8][0].numbers if text == "current in all")
    assert sum(parts) == pytest.approx(total) == pytest.approx(1400 / 120)


def test_cautions_are_pure() -> None:
    """The same plan gives the same cautions, and asking does not change the plan."""
    scenario = plan("UK", strip(), resistive(2301, "strip"))
    drawn = electrics(scenario)
    first, second = cautions(scenario, drawn), cautions(scenario, drawn)
    assert first == second
    assert caution_json(first, scenario) == caution_json(second, scenario)


def test_danger_of_one_thing_does_not_hide_another() -> None:
    """Two strips over their labels are two cautions."""
    hits = raised(
        "US",
        strip(),
        strip("second", "far outlet"),
        resistive(1300, "strip"),
        appliance("other load", "second", 1300),
    )
    assert [c.objects[0] for c in hits[8]] == ["strip", "second"]


def test_conversion_ends_in_use_as_made_or_ask() -> None:
    """A conversion ends in use as made or ask; no remedy tells how to defeat the earth."""
    for number in (28, 32, 33, 48):
        remedy = rules()[number].remedy.lower()
        assert re.search(r"ask|electrician|competent|sold with a plug|never remove", remedy), remedy
    for rule, word in itertools.product(
        rules().values(), ("cut off", "remove the earth pin to", "bypass")
    ):
        assert word not in rule.remedy


def test_unknown_joint_of_a_conversion_is_asked_about() -> None:
    """A converted light whose joint nobody described is asked about, not stopped."""
    hits = told("US", light("lamp", "wall outlet", conversion="own", strain_relief=True))
    assert "whether its joint has a closed box" in hits[32][0].fact
    assert 33 not in hits


def test_fact_says_when_it_happens() -> None:
    """An overload of a timed day names the hour; one of a setup names the setup."""
    both = [
        heater("h", "wall outlet", 1000, on_from_h=6, hours_per_day=2),
        heater("d", "far outlet", 1300, on_from_h=7, hours_per_day=0.2),
    ]
    assert "at 07:00." in told("US", *both)[1][0].fact
    both[1] = heater("d", "far outlet", 1300, on_from_h=7, hours_per_day=0.2, season="winter")
    assert "at 07:00 on a winter day." in told("US", *both)[1][0].fact
    running = {"name": "set", "id": "evening", "args": {"field": "running", "value": ["h", "d"]}}
    assert "in 'Evening'." in told("US", *both, running)[1][0].fact


def test_every_caution_explains_itself(earned: Earned) -> None:
    """Line by line: what raises the rule, what feeds the thing, the sum, what is assumed."""
    for _, scenario, cautions_here in earned:
        fed = {
            item.id for item in (*scenario.supply, *scenario.lights) if hasattr(item, "fed_from")
        }
        for words in caution_words(cautions_here, scenario):
            data = words.to_json()
            lines = data["explain"]
            trigger = local(rules()[words.caution.rule].trigger, scenario.region)
            assert lines[0][0] == f"raised when {trigger}"
            assert lines[-1][0] == data["fact"]
            assert [line for line in lines if line[1] is not None] == data["numbers"]
            if words.assumed:
                assert [f"assumed: {words.assumed}", None, ""] in lines
            first = words.caution.objects[0]
            if first in fed and getattr(_item(scenario, first), "fed_from", None):
                assert any(text.startswith("fed through: ") for text, _, _ in lines)


def _item(scenario: Scenario, item_id: str) -> object:
    return next(x for x in (*scenario.supply, *scenario.lights) if x.id == item_id)


def test_overload_on_an_unread_breaker_or_outlet_says_so() -> None:
    """Rules that rest on the region's usual breaker or outlet name that as assumed."""
    hits = told("US", *spread(1400, 430))
    assert "15 A is assumed" in (hits[1][0].assumed or "")
    hits = told("JP", resistive(1520))
    assert hits[7][0].assumed == "rating of the outlet and the breaker: usual in the region"
    hits = told("US", heater("h", "wall outlet", 800), heater("i", "far outlet", 660))
    assert "breaker is assumed" in (hits[15][0].assumed or "")
    hits = told("US", resistive(920, "circuit", fixed=True))
    assert "breaker is assumed" in (hits[4][0].assumed or "")
    read = told("US", *spread(1400, 430), put("circuit", "breaker_a", 15))
    assert read[1][0].assumed is None


TRAPS = {
    "plain-pair": {(21, "warning"), (32, "warning"), (41, "warning")},
    "heater-one-outlet": {(6, "danger"), (7, "danger"), (14, "danger"), (21, "warning")},
    "alcove-two-sleep-times": {(17, "warning"), (36, "advice")},
    "attic-slope": {(51, "warning")},
    "l-room-dressing-nook": {(1, "danger"), (3, "warning"), (5, "danger")},
    "loft-over-bunk": {(51, "advice"), (53, "danger")},
    "no-drill-toddler": {(21, "warning"), (63, "danger")},
    "two-pin-no-earth": {(28, "danger"), (32, "warning"), (47, "danger"), (49, "advice")},
    "weak-supply": {(44, "advice")},
    "profiling-bed": {(21, "warning")},
    "parents-with-cot": {(52, "danger"), (52, "warning")},
    "dark-slats-older-reader": {(18, "danger")},
}


@pytest.mark.parametrize("room", TRAPS)
def test_example_rooms_raise_their_traps(room: str) -> None:
    """The rooms that come along raise what they were made to show."""
    scenario = load({file.stem: file for file in examples()}[room])
    got = {(caution.rule, caution.severity) for caution in found(scenario)[1]}
    assert got >= TRAPS[room]


def test_every_example_room_has_its_traps_told() -> None:
    """No room that comes along is left out above."""
    assert set(TRAPS) == {file.stem for file in examples()}


def test_slope_leaves_no_head_room_where_the_bed_stands() -> None:
    """The attic: a head at 1.35 m under 1.20 m of slope; 0.4 m off the wall two people fit."""
    scenario = load({file.stem: file for file in examples()}["attic-slope"])
    raised_here = found(scenario)[1]
    (hit,) = [w for w in caution_words(raised_here, scenario) if w.caution.rule == 51]
    lines = {text: value for text, value, _ in hit.numbers}
    assert lines["sitting eye"] == pytest.approx(1.23)
    # 0.95 + 0.30 tan 40 degrees
    assert lines["the slope there"] == pytest.approx(1.2017, abs=0.0001)
    assert lines["room left"] == pytest.approx(1.2017 - 1.35, abs=0.0001)
    moved = apply(scenario, put("mattress", "at_m", [2.1, 2.52, 0.33]))
    assert 51 not in {caution.rule for caution in found(moved)[1]}


def test_cot_clears_when_everything_is_far() -> None:
    """With the cot pushed into the far corner, 0.9 m from strip and cords, rule 52 is silent."""
    scenario = load({file.stem: file for file in examples()}["parents-with-cot"])
    moved = scenario
    for name in ("cot base", "cot mattress"):
        at = next(item.at_m for item in scenario.furniture if item.id == name)
        moved = apply(moved, put(name, "at_m", [0.6, 1.0, at[2]]))
    assert 52 not in {caution.rule for caution in found(moved)[1]}


def test_one_heater_too_big_for_its_outlet_is_not_told_to_spread_plugs() -> None:
    """1500 W at 120 V is 12.5 A of 12 A: what clears it is a lower setting or a circuit, in watts.

    12 A x 120 V = 1440 W (NFPA 70:2023, table 210.21(B)(2)).
    """
    plan = apply(
        load(examples()[0]),
        {
            "name": "add",
            "args": {
                "section": "supply",
                "item": {
                    "id": "heater",
                    "kind": "appliance",
                    "fed_from": "right outlet",
                    "like": "heater",
                    "power_w": 1500,
                },
            },
        },
    )
    raised_here = cautions(plan, electrics(plan))
    (words,) = [w for w in caution_words(raised_here, plan) if w.caution.rule == 5]
    assert "1440 W or less" in words.remedy
    assert "Spread" not in words.remedy


_WHERE = ("nightstand", "wardrobe", "chest", "shelf", "bed", "mattress", "other")


@given(
    kind=st.sampled_from(["appliance", "heater", "charger", "receiver", "light", "driver"]),
    where=st.sampled_from(_WHERE),
    watts=st.floats(20.0, 2000.0),
    region=st.sampled_from(REGIONS),
)
@settings(max_examples=150, deadline=None)
def test_nothing_with_watts_is_shut_in_without_a_word(
    kind: str, where: str, watts: float, region: str
) -> None:
    """Whatever gives off 20 W and more in furniture or the bed raises a caution that names it."""
    sizes = {"wardrobe": [1.0, 0.6, 2.0], "chest": [0.8, 0.4, 0.8], "shelf": [0.8, 0.3, 1.0]}
    piece = {"kind": where, "at_m": [3.4, 0.5, 0], "size_m": sizes.get(where, [0.5, 0.5, 0.5])}
    commands = (
        []
        if where in ("nightstand", "bed", "mattress")
        else [{"name": "add", "args": {"section": "furniture", "item": {"id": where, **piece}}}]
    )
    if kind == "receiver":
        commands.append(
            supply(
                "thing",
                "receiver",
                "far outlet",
                standby_w=min(watts, 150.0),
                inside=where,
                rating_a=10,
            )
        )
    elif kind == "driver":
        # 150 W of strip behind a driver of 150 / (150 + watts)
        share = max(0.31, 150.0 / (150.0 + watts))
        commands += [
            supply("thing", "driver", "far outlet", rating_w=200, efficiency=share, inside=where),
            led_strip("tape", "thing", 5, 30),
        ]
    elif kind == "light":
        if where not in ("wardrobe", "chest"):
            return
        at = [3.4, 0.5, 0.3]
        commands.append(light("thing", "far outlet", watts, mount="stand", mount_m=at))
    else:
        loss = {"charger": {"charges": True, "efficiency": 0.5}, "heater": {"heats": True}}
        commands.append(appliance("thing", "far outlet", watts, inside=where, **loss.get(kind, {})))
    named = {
        c.rule
        for hits in raised(region, *commands).values()
        for c in hits
        if "thing" in c.objects and c.rule in (40, 46, 80, 81)
    }
    assert named, (kind, where, watts)
