"""Who sees which bright thing, in words: from where, what of it, how bright, what clears it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from lumen.scenario.document import Scenario
from lumen.study.eyes.sight import Change, Sighting
from lumen.study.scene.targets import LYING, Posture
from lumen.words.figures import amount
from lumen.words.sentences import Sentences

__all__ = ["seen_at", "seen_from", "shielding_limit", "sight_words"]

_say = Sentences(
    "sight",
    {
        "lamp": "you see the bare bulb of the {light}",
        "opening": "you look into the lit opening of the {light}",
        "inside": "you see the bright inside of the shade of the {light}",
        "gaps": "the bulb of the {light} shows through the gaps of its shade",
        "shade": "you see the glowing shade of the {light}",
        "strip": "you see the bare {light}",
        "straight": "{place}, {what}",
        "mirror": "{place}, in the {mirror} {what}",
        "pillow": "from the {side}pillow{bed}, {posture}",
        "foot": "standing at the foot of the {bed}",
        "door": "coming in at the door",
        "seat": "{posture} on the {side}{bed}",
        "seat in the middle": "{posture} in bed{bed}",
        "of the bed": " of the {bed}",
        "bed": "bed",
        "left": "left",
        "right": "right",
        "sitting": "sitting up",
        "slouched": "slouched",
        "on the side": "on the side",
        "lying back": "lying on the back",
        "lying left": "lying with the face to the left",
        "lying right": "lying with the face to the right",
        "bright": "{words}: about {luminance} cd/m2, {off} degrees off the line of view",
        "clears": "{words}; to clear it {ways}",
        "raise": "raise it by {by} mm",
        "lower": "lower it by {by} mm",
        "raise, others": "raise it by {by} mm, though others would then see it",
        "lower, others": "lower it by {by} mm, though others would then see it",
        "deeper": "take a shade {by} mm deeper",
        "below": "EN 12464-1 speaks of lights above eye height only: a guide here",
    },
)


def seen_from(scenario: Scenario, person: str, posture: Posture) -> str:
    """Return where an eye is, in words: "from the right pillow, lying on the back"."""
    someone = next(p for p in scenario.people if p.id == person)
    side = "" if someone.side == "middle" else _say(someone.side)
    bed = _say("of the bed", bed=someone.bed) if someone.bed else ""
    if posture in LYING:
        return _say("pillow", side=f"{side} " if side else "", bed=bed, posture=_say(posture))
    if posture is Posture.FOOT:
        return _say("foot", bed=someone.bed or _say("bed"))
    if posture is Posture.DOOR:
        return _say("door")
    if side:
        return _say("seat", posture=_say(posture), side=side, bed=bed)
    return _say("seat in the middle", posture=_say(posture), bed=bed)


def sight_words(scenario: Scenario, seen: Sighting) -> str:
    """Return what somebody sees of a light, and what clears it."""
    return _cleared(_what(scenario, seen), seen)


def seen_at(scenario: Scenario, seen: Sighting, level: float) -> str:
    """Return the same with its luminance at a level and how far off the line of view it is."""
    words = _say(
        "bright",
        words=_what(scenario, seen),
        luminance=amount(seen.luminance * level),
        off=f"{math.degrees(seen.beta):.0f}",
    )
    return _cleared(words, seen)


def _what(scenario: Scenario, seen: Sighting) -> str:
    item = next(one for one in scenario.sources if one.id == seen.light)
    what = _say(seen.look, light=item.name or item.id)
    place = seen_from(scenario, seen.person, seen.posture)
    if seen.mirror is None:
        return _say("straight", place=place, what=what)
    return _say("mirror", place=place, what=what, mirror=seen.mirror)


def _cleared(words: str, seen: Sighting) -> str:
    ways = [*_moves(seen.changes)]
    if seen.deeper_shade_m is not None:
        ways.append(_say("deeper", by=f"{seen.deeper_shade_m * 1000:.0f}"))
    return _say("clears", words=words, ways=" or ".join(ways)) if ways else words


def _moves(changes: Sequence[Change]) -> list[str]:
    if not changes:
        return []
    best = changes[0]
    verb = "raise" if best.by_m > 0 else "lower"
    others = ", others" if best.newly else ""
    return [_say(f"{verb}{others}", by=f"{abs(best.by_m) * 1000:.0f}")]


def shielding_limit(seen: Sighting) -> str | None:
    """Return why the shielding angle of a light is only a guide, where it is."""
    return None if seen.applies else _say("below")
