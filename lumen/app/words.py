"""What the study found, as words for people: a number, how sure, and how it fares."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from lumen.app.doubt_words import measure_next
from lumen.scenario.base import middle
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light, Strip
from lumen.study.scene.levels import given_levels
from lumen.study.words import about, amount, amperes, watts

__all__ = [
    "LEVELS",
    "Answer",
    "Part",
    "SetupWords",
    "SightWords",
    "answers",
    "caution_line",
    "power_answer",
    "setup_words",
    "sight_words",
]

Json = dict[str, Any]

LEVELS = {"stop": "Stop", "ask": "Ask", "note": "Note"}

_LYING = ("lying back", "lying left", "lying right")


@dataclass(frozen=True)
class Part:
    """What one source gives a target: name and words, and shares of the longest bar."""

    id: str
    name: str
    words: str
    direct_share: float
    bounced_share: float


@dataclass(frozen=True)
class Answer:
    """One line of the answers column with everything its drawer tells."""

    target: str
    live: str
    first: bool
    name: str
    number: str
    band: str
    state: str | None
    aim: str
    beside: str
    wish: str
    source: str
    extra: str
    parts: tuple[Part, ...]
    limits: tuple[str, ...]
    assumed: tuple[str, ...]
    measure: tuple[str, ...] = ()
    clock: str = ""
    clock_wish: str = ""


def answers(
    scenario: Scenario,
    data: Mapping[str, Any],
    setup: str,
    doubts: Mapping[str, Json] | None = None,
) -> tuple[Answer, ...]:
    """Return the answers of one setup: pages, eyes of those who lie, bed, floor.

    ``doubts`` says what makes each unsure (:func:`lumen.study.lighting.doubts.doubts_json`).
    """
    known = doubts or {}
    return tuple(
        replace(one, measure=measure_next(scenario, known.get(one.target)))
        for one in _answers(scenario, data, setup)
    )


def _answers(scenario: Scenario, data: Mapping[str, Any], setup: str) -> Iterator[Answer]:
    names = {target["id"]: target["name"] for target in data["targets"]}
    planes = [plane for plane in data["planes"] if plane["setup"] == setup]
    pages = [plane for plane in planes if plane["target"].startswith("page:")]
    rest = [plane for plane in planes if not plane["target"].startswith("page:")]
    for plane in pages:
        yield _plane(scenario, data, plane, names[plane["target"]])
    for person in scenario.people:
        eyes = [e for e in data["eyes"] if e["setup"] == setup and e["person"] == person.id]
        lying = [e for e in eyes if e["posture"] in _LYING]
        if lying:
            worst = max(lying, key=lambda eye: eye["illuminance_lx"])
            yield _eye(scenario, data, worst, eyes, person.name or person.id)
    words = {"mattress": "On the bed", "floor": "On the floor, night path"}
    for plane in rest:
        target = plane["target"]
        yield _plane(scenario, data, plane, words.get(target, names[target]))


def _plane(scenario: Scenario, data: Mapping[str, Any], plane: Json, name: str) -> Answer:
    low, high = amount(plane["minimum_lx"]), amount(plane["maximum_lx"])
    extra = f"darkest point {low} lx, brightest {high} lx"
    return _answer(scenario, data, plane, name, plane["average_lx"], extra, (plane["target"],))


def _eye(
    scenario: Scenario, data: Mapping[str, Any], worst: Json, eyes: list[Json], who: str
) -> Answer:
    body = about(worst["melanopic_edi_lx"], worst["melanopic_low_lx"], worst["melanopic_high_lx"])
    views = "; ".join(
        f"{eye['posture']} {amount(eye['illuminance_lx'])} lx"
        for eye in eyes
        if eye["posture"] is not None
    )
    extra = f"What the body clock sees (melanopic): {body}. {views[:1].upper()}{views[1:]}."
    name = f"In {who[:1].upper()}{who[1:]}'s eyes, {worst['posture']}"
    person = worst["person"]
    aim_ids = (f"eye:{person}", worst["target"])
    answer = _answer(scenario, data, worst, name, worst["illuminance_lx"], extra, aim_ids)
    aim = _aim(data, worst["setup"], aim_ids)
    if aim is None or aim["measure"] != "melanopic_edi_lx" or aim["at_most"] is None:
        return answer
    return replace(answer, clock=body, clock_wish=f"wished at most {aim['at_most']:g}")


def _answer(
    scenario: Scenario,
    data: Mapping[str, Any],
    found: Json,
    name: str,
    value: float,
    extra: str,
    aim_of: tuple[str, ...],
) -> Answer:
    aim = _aim(data, found["setup"], aim_of)
    wish, source = _wish(aim)
    dark = found["high_lx"] < 0.1
    return Answer(
        target=found["target"],
        live=aim_of[0],
        first=aim is not None or aim_of[0].startswith(("page:", "eye:")),
        name=name,
        number="under 0.1" if dark else amount(value),
        band="" if dark else f"{amount(found['low_lx'])}-{amount(found['high_lx'])}",
        state=aim["state"] if aim else None,
        aim=aim["id"] if aim else "",
        beside=aim["words"] if aim else "",
        wish=wish,
        source=source,
        extra=extra,
        parts=_parts(scenario, found),
        limits=tuple(_limits(scenario, found, value, aim)),
        assumed=_assumed(scenario, data, found),
    )


def _aim(data: Mapping[str, Any], setup: str, targets: tuple[str, ...]) -> Json | None:
    """The wish for a target in a setup, the one that fares worst when there are several."""
    known = [a for a in data["aims"] if a["setup"] == setup and _of(a, targets)]
    return min(known, key=lambda a: _WORST_FIRST.index(a["state"]), default=None)


_WORST_FIRST = ("short", "too much", "met while new", "met")


def _of(aim: Json, targets: tuple[str, ...]) -> bool:
    if aim["of"] in targets:
        return True
    person = targets[0].partition(":")[2]
    return targets[0].startswith("eye:") and f"{aim['of']}:".startswith(f"eye:{person}:")


def _wish(aim: Json | None) -> tuple[str, str]:
    if aim is None:
        return "", ""
    unit = {"uniformity": "", "melanopic_edi_lx": " lx melanopic"}.get(aim["measure"], " lx")
    low, high = aim["at_least"], aim["at_most"]
    if low is not None and high is not None:
        words = f"Wished: {low:g} to {high:g}{unit}"
    elif low is not None:
        words = f"Wished: at least {low:g}{unit}"
    else:
        words = f"Wished: at most {high:g}{unit}"
    if aim["measure"] != "illuminance_lx":
        words += f", is about {amount(aim['value'])}{unit}"
    even = aim["evenness"]
    if even is not None:
        words += f"; least over average at least {even['at_least']:g}, is {even['value']:.2f}"
    sources = (aim["source"], even["source"] if even else "")
    return f"{words}.", "; ".join(filter(None, sources))


def _parts(scenario: Scenario, found: Json) -> tuple[Part, ...]:
    sources: tuple[Light | Strip, ...] = (*scenario.lights, *scenario.strips)
    names = {item.id: item.name or item.id for item in sources}
    shares = sorted(
        found["by_source"], key=lambda s: s["direct_lx"] + s["bounced_lx"], reverse=True
    )
    total = found["direct_lx"] + found["bounced_lx"] or 1.0
    return tuple(
        Part(
            share["id"],
            names.get(share["id"], share["id"]),
            f"{amount(share['direct_lx'])} lx straight, {amount(share['bounced_lx'])} lx by bounce",
            share["direct_lx"] / total,
            share["bounced_lx"] / total,
        )
        for share in shares
        if share["direct_lx"] + share["bounced_lx"] > 0.005 * total
    )


def _limits(scenario: Scenario, found: Json, value: float, aim: Json | None) -> Iterator[str]:
    """What holds the number where it is, and what would change it, from the study's own parts."""
    shares = {s["id"]: s["direct_lx"] + s["bounced_lx"] for s in found["by_source"]}
    if not shares or value <= 0:
        yield "Nothing that is on in this setup reaches it."
        return
    main = max(shares, key=lambda name: shares[name])
    light = next((one for one in scenario.lights if one.id == main), None)
    bounce = found["bounced_lx"] / (found["direct_lx"] + found["bounced_lx"])
    yield (
        f"{amount(100 * bounce)} % of it has bounced off walls, ceiling or furniture; "
        f"most comes from {main}."
    )
    level = given_levels(scenario, found["setup"]).get(main, 0.0)
    even = aim["evenness"] if aim else None
    if even is not None and even["shadow"]:
        yield _capital(even["shadow"])
    short = aim is not None and aim["level_state"] in ("short", "met while new")
    if aim and short and aim["measure"] == "illuminance_lx":
        left = aim["after_years"] / aim["value"]
        missing = aim["at_least"] - aim["after_years"]
        times = 1 + missing / (shares[main] * left)
        yield (
            f"To get there and stay there for years {main} alone would have to give "
            f"{amount(times)} times as much light."
        )
        if level < 1 and times <= 1 / level:
            yield f"It is dimmed here: at {100 * level * times:.0f} % it would do."
        elif light is not None and light.lamps == 1:
            flux = middle(light.lamp.flux_lm) * times / (1 / level if level else 1)
            yield f"That is a bulb of about {amount(flux)} lm, if the light may carry it."
    if aim and aim["level_state"] == "too much":
        most = aim["at_most"] / aim["new"]
        yield f"Everything here turned down to {amount(100 * most)} % would meet the wish."


def _assumed(scenario: Scenario, data: Mapping[str, Any], found: Json) -> tuple[str, ...]:
    """The assumptions that bear on an answer: of its sources, its person, its room."""
    sources = {share["id"] for share in found["by_source"]}
    person = found.get("person") or found["target"].partition(":")[2].partition(":")[0]
    near = {f"lights[{i}]": one.id for i, one in enumerate(scenario.lights) if one.id in sources}
    near |= {f"strips[{i}]": one.id for i, one in enumerate(scenario.strips) if one.id in sources}
    near |= {f"people[{i}]": one.id for i, one in enumerate(scenario.people) if one.id == person}
    lines = []
    for item in data["assumptions"]:
        head = item["field"].partition(".")[0]
        if head in near:
            lines.append(f"{near[head]}: {item['why']}")
        elif item["field"].startswith("room."):
            lines.append(f"room: {item['why']}")
    return tuple(dict.fromkeys(lines))


@dataclass(frozen=True)
class SightWords:
    """An answer that is no number: what it says, in a few words and in full."""

    key: str
    name: str
    value: str
    state: str | None
    lines: tuple[str, ...]


def sight_words(data: Mapping[str, Any], setup: str) -> tuple[SightWords, ...]:
    """Return whether a lamp glares in somebody's eyes, and how the glow on the wall looks."""
    setups = data.get("comfort", {}).get("setups", ())
    found = next((one for one in setups if one["setup"] == setup), None)
    if found is None:
        return ()
    lines = tuple(_capital(seen["told"]) for seen in found["harsh"])
    glares = len({seen["eye"] for seen in found["harsh"] if seen["glares"]})
    beside = "only beside the line of view" if lines else "none"
    value = beside if not glares else f"from {glares} place{'s' if glares > 1 else ''}"
    words = [SightWords("sight", "Glaring bulb", value, "glaring" if glares else None, lines)]
    for glow in found["glow"]:
        line = (
            f"Along the top of the {glow['board']} the wall shows {amount(glow['least'])} to "
            f"{amount(glow['most'])} cd/m2, on average {amount(glow['mean'])}."
        )
        name = f"Glow above the {glow['board']}"
        words.append(SightWords("glow", name, glow["words"], None, (line,)))
    return tuple(words)


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


@dataclass(frozen=True)
class PowerWords:
    """The power line of the answers column."""

    value: str
    band: str
    over: bool


def power_answer(data: Mapping[str, Any], setup: str) -> PowerWords:
    """Return what a setup draws, and where it is nearest to a limit."""
    total = next((s for s in data["setups"] if s["id"] == setup), {"total_w": 0.0, "total_a": 0.0})
    fullest = _fullest(data, setup)
    value = f"{watts(total['total_w'])}, {amperes(total['total_a'])}"
    if fullest is None:
        return PowerWords(value, "no rating is known for anything it is plugged into", False)
    share, node = fullest
    drawn = node["by_setup"].get(setup, node["everything_on"])["amperes"]
    words = f"{node['name']}: {amperes(drawn)} of {amperes(node['rating_a'])}"
    return PowerWords(value, f"fullest is {words}", share > 1)


def _fullest(data: Mapping[str, Any], setup: str) -> tuple[float, Json] | None:
    shares = [
        (draw["share"], node)
        for node in data["power"]["nodes"]
        if node["rating_a"] and (draw := node["by_setup"].get(setup)) and draw["share"] is not None
    ]
    return max(shares, key=lambda pair: pair[0], default=None)


@dataclass(frozen=True)
class SetupWords:
    """One setup of the bar along the bottom."""

    id: str
    name: str
    watts: str
    wishes: str
    state: str | None
    levels: tuple[tuple[str, str, float], ...]


def setup_words(scenario: Scenario, data: Mapping[str, Any]) -> tuple[SetupWords, ...]:
    """Return every setup with its watts, how its wishes fare, and its levels."""
    sources: tuple[Light | Strip, ...] = (*scenario.lights, *scenario.strips)
    draws = [(item.id, item.name or item.id) for item in sources]
    totals = {s["id"]: s for s in data.get("setups", ())}
    found = []
    for setup in scenario.setups:
        aims = [aim for aim in data.get("aims", ()) if aim["setup"] == setup.id]
        states = [aim["state"] for aim in aims]
        wishes = "" if not aims else _of_wishes(states.count("met"), len(aims))
        state = min(states, key=_WORST_FIRST.index, default=None)
        total = totals.get(setup.id)
        found.append(
            SetupWords(
                setup.id,
                setup.name or setup.id,
                watts(total["total_w"]) if total else "",
                wishes,
                state,
                tuple((key, name, setup.levels.get(key, 0.0)) for key, name in draws),
            )
        )
    return tuple(found)


def _of_wishes(met: int, all_of_them: int) -> str:
    return f"{met}/{all_of_them} wish{'es' if all_of_them > 1 else ''} met"


def caution_line(cautions: list[Json]) -> str:
    """Return how many cautions stand, in words.

    Examples
    --------
    >>> caution_line([{"level": "stop"}, {"level": "note"}, {"level": "note"}])
    '1 stop, 2 notes'
    >>> caution_line([])
    'no caution raised'
    """
    counts = {level: sum(c["level"] == level for c in cautions) for level in LEVELS}
    plural = {"stop": "stops", "ask": "to ask", "note": "notes"}
    parts = [
        f"{n} {plural[level] if n > 1 or level == 'ask' else level}"
        for level, n in counts.items()
        if n
    ]
    return ", ".join(parts) or "no caution raised"
