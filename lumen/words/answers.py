"""An answer's card in words: what it is called, what gives it, what holds it where it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from lumen.scenario.base import middle
from lumen.scenario.document import Scenario
from lumen.study.lighting.glow import EdgeGlow
from lumen.study.lighting.maps import Answer, Share
from lumen.study.scene.levels import given_levels
from lumen.study.scene.targets import Kind, Target, who
from lumen.study.wishes.verdicts import AimResult
from lumen.words.figures import about, amount
from lumen.words.sentences import Sentences, capital
from lumen.words.wishes import evenness_source, shadow_words, wish_source

__all__ = [
    "answer_name",
    "at_most_words",
    "bright_things",
    "clock_words",
    "edge_words",
    "eyes_name",
    "glow_name",
    "limits_of_answer",
    "places_words",
    "share_words",
    "spread_words",
    "views_words",
    "wish_words",
    "wishes_met",
]

_say = Sentences(
    "answers",
    {
        "bed": "On the bed",
        "floor": "On the floor, night path",
        "eyes": "In {who}'s eyes, {posture}",
        "spread": "darkest point {low} lx, brightest {high} lx",
        "views": "What the body clock sees (melanopic): {body}. {views}.",
        "view": "{posture} {lux} lx",
        "at most": "wished at most {at_most}",
        "between": "Wished: {at_least} to {at_most}{unit}",
        "least": "Wished: at least {at_least}{unit}",
        "most": "Wished: at most {at_most}{unit}",
        "is about": "{wish}, is about {value}{unit}",
        "even": "{wish}; least over average at least {at_least}, is {value}",
        "share": "{direct} lx straight, {bounced} lx by bounce",
        "nothing": "Nothing that is on in this setup reaches it.",
        "bounce": (
            "{share} % of it has bounced off walls, ceiling or furniture; most comes from {main}."
        ),
        "more light": (
            "To get there and stay there for years {main} alone would have to give {times} times "
            "as much light."
        ),
        "dimmed": "It is dimmed here: at {level} % it would do.",
        "bulb": "That is a bulb of about {flux} lm, if the light may carry it.",
        "turned down": "Everything here turned down to {level} % would meet the wish.",
        "sentence": "{words}.",
        "glow name": "Glow above the {board}",
        "glow": (
            "Along the top of the {board} the wall shows {least} to {most} cd/m2, on average "
            "{mean}."
        ),
        "glaring": "Glaring bulb",
        "nobody": "none",
        "beside": "only beside the line of view",
        "one place": "from 1 place",
        "places": "from {count} places",
        "one wish": "{met}/{count} wish met",
        "wishes": "{met}/{count} wishes met",
    },
)


def answer_name(target: Target) -> str:
    """Return what an answer's card is called."""
    if target.kind is Kind.BED:
        return _say("bed")
    return _say("floor") if target.kind is Kind.FLOOR else target.name


def eyes_name(scenario: Scenario, target: Target) -> str:
    """Return what the card of somebody's eyes is called: "In Left's eyes, lying back"."""
    person = next(one for one in scenario.people if one.id == target.person)
    return _say("eyes", who=who(person), posture=target.posture)


def spread_words(answer: Answer) -> str:
    """Return the least and the most of a plane."""
    low, high = amount(answer.minimum_lx), amount(answer.maximum_lx)
    return capital(_say("spread", low=low, high=high))


def views_words(body: str, looks: Iterable[tuple[Target, Answer]]) -> str:
    """Return what the body clock sees, and what each posture gets."""
    views = [
        _say("view", posture=target.posture, lux=amount(answer.average_lx))
        for target, answer in looks
    ]
    return _say("views", body=body, views=capital("; ".join(views)))


def at_most_words(aim: AimResult) -> str:
    """Return the limit that a sleeper's eyes are held against."""
    return _say("at most", at_most=f"{aim.at_most:g}")


def wish_words(aim: AimResult | None) -> tuple[str, str]:
    """Return what is wished, in a sentence, and who says so; both empty without a wish."""
    if aim is None:
        return "", ""
    unit = {"uniformity": "", "melanopic_edi_lx": " lx melanopic"}.get(aim.measure, " lx")
    key = "between" if aim.at_most is not None else "least"
    words = _say(
        "most" if aim.at_least is None else key,
        at_least="" if aim.at_least is None else f"{aim.at_least:g}",
        at_most="" if aim.at_most is None else f"{aim.at_most:g}",
        unit=unit,
    )
    if aim.measure != "illuminance_lx":
        words = _say("is about", wish=words, value=amount(aim.value), unit=unit)
    even, sources = aim.evenness, [wish_source(aim)]
    if even is not None:
        value = f"{even.value:.2f}"
        words = _say("even", wish=words, at_least=f"{even.at_least:g}", value=value)
        sources.append(evenness_source(even))
    return _say("sentence", words=words), "; ".join(filter(None, sources))


def share_words(share: Share) -> str:
    """Return what one source gives, straight and by bounce."""
    return _say("share", direct=amount(share.direct_lx), bounced=amount(share.bounced_lx))


def limits_of_answer(
    scenario: Scenario, answer: Answer, value: float, aim: AimResult | None
) -> Iterator[str]:
    """Yield what holds the number where it is, and what would change it, from its own parts."""
    shares = {one.id: one.direct_lx + one.bounced_lx for one in answer.by_source}
    if not shares or value <= 0:
        yield _say("nothing")
        return
    main = max(shares, key=lambda name: shares[name])
    bounce = answer.bounced_lx / (answer.direct_lx + answer.bounced_lx)
    yield _say("bounce", share=amount(100 * bounce), main=main)
    if aim is None:
        return
    if aim.evenness is not None and aim.evenness.shadow is not None:
        yield _say("sentence", words=capital(shadow_words(aim.evenness.shadow)))
    short = aim.level_state in ("short", "met while new") and aim.at_least is not None
    if short and aim.measure == "illuminance_lx":
        yield from _more_light(scenario, answer.setup, main, shares[main], aim)
    if aim.level_state == "too much" and aim.at_most is not None:
        yield _say("turned down", level=amount(100 * aim.at_most / aim.new))


def _more_light(
    scenario: Scenario, setup: str, main: str, its_lx: float, aim: AimResult
) -> Iterator[str]:
    assert aim.at_least is not None
    left = aim.after_years / aim.value
    times = 1 + (aim.at_least - aim.after_years) / (its_lx * left)
    yield _say("more light", main=main, times=amount(times))
    level = given_levels(scenario, setup).get(main, 0.0)
    light = next((one for one in scenario.lights if one.id == main), None)
    if level < 1 and times <= 1 / level:
        yield _say("dimmed", level=f"{100 * level * times:.0f}")
    elif light is not None and light.lamps == 1:
        flux = middle(light.lamp.flux_lm) * times / (1 / level if level else 1)
        yield _say("bulb", flux=amount(flux))


def bright_things(places: int, *, beside: bool) -> tuple[str, str]:
    """Return what the answer on glaring bulbs is called, and from how many places one glares."""
    return _say("glaring"), _say("beside") if beside and not places else places_words(places)


def places_words(places: int) -> str:
    """Return from how many places a bulb glares.

    Examples
    --------
    >>> places_words(0), places_words(1), places_words(3)
    ('none', 'from 1 place', 'from 3 places')
    """
    if not places:
        return _say("nobody")
    return _say("one place" if places == 1 else "places", count=places)


def glow_name(board: str) -> str:
    """Return what the answer on the glow above a headboard is called."""
    return _say("glow name", board=board)


def edge_words(edge: EdgeGlow) -> str:
    """Return the luminances along a headboard's top."""
    return _say(
        "glow",
        board=edge.board,
        least=amount(edge.least),
        most=amount(edge.most),
        mean=amount(edge.mean),
    )


def wishes_met(aims: Sequence[AimResult]) -> str:
    """Return how many wishes are met, of how many; nothing without any."""
    if not aims:
        return ""
    met = sum(aim.state == "met" for aim in aims)
    return _say("one wish" if len(aims) == 1 else "wishes", met=met, count=len(aims))


def clock_words(answer: Answer) -> str:
    """Return what the body clock sees, with its band."""
    return about(answer.melanopic_lx, answer.melanopic_low_lx, answer.melanopic_high_lx)
