"""The answers of a setup as cards: a number, how sure, and how it fares, read off the study."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from lumen.study.lighting.maps import Answer
from lumen.study.scene.targets import Target, eye_id
from lumen.study.study import Study
from lumen.study.wishes.verdicts import WORST_FIRST, AimResult
from lumen.words.answers import (
    answer_name,
    at_most_words,
    bright_things,
    clock_words,
    edge_words,
    eyes_name,
    glow_name,
    limits_of_answer,
    share_words,
    spread_words,
    views_words,
    wish_words,
    wishes_met,
)
from lumen.words.doubts import measure_next
from lumen.words.figures import amount, watts
from lumen.words.glow import glow_words
from lumen.words.sentences import capital
from lumen.words.sight import seen_at
from lumen.words.wishes import verdict_words

__all__ = [
    "AnswerCard",
    "SeenCard",
    "SetupCard",
    "SharePart",
    "answer_cards",
    "seen_cards",
    "setup_cards",
]


@dataclass(frozen=True)
class SharePart:
    """What one source gives a target: name and words, and shares of the longest bar."""

    id: str
    name: str
    words: str
    direct_share: float
    bounced_share: float


@dataclass(frozen=True)
class AnswerCard:
    """One line of the answers column with everything its drawer tells.

    ``live`` is the name by which numbers follow a dragging hand: a target, or somebody's eyes in
    whatever lying posture is worst. ``aim`` is the wish that fares worst there, if any.
    """

    target: Target
    live: str
    name: str
    number: str
    band: str
    aim: AimResult | None
    beside: str
    wish: str
    source: str
    extra: str
    parts: tuple[SharePart, ...]
    limits: tuple[str, ...]
    assumed: tuple[str, ...]
    measure: tuple[str, ...]
    clock: str = ""
    clock_wish: str = ""

    @property
    def first(self) -> bool:
        """Whether it stands among the first: pages, eyes, and what is wished for."""
        return self.aim is not None or self.target.is_page or self.target.is_eye


def answer_cards(study: Study, setup: str) -> tuple[AnswerCard, ...]:
    """Return the answers of one setup: pages, eyes of those who lie, bed, floor."""
    return tuple(_cards(study, setup)) if setup in study.setups else ()


def _cards(study: Study, setup: str) -> Iterator[AnswerCard]:
    lit, planes = study.lighting, [t for t in study.lighting.targets if not t.is_eye]
    for target in (one for one in planes if one.is_page):
        yield _plane(study, target, setup)
    for person in study.scenario.people:
        eyes = [t for t in lit.targets if t.is_eye and t.person == person.id]
        looks = [(eye, lit.answer(eye.id, setup)) for eye in eyes]
        lying = [look for look in looks if look[0].lies]
        if lying:
            yield _eyes(study, *max(lying, key=lambda look: look[1].average_lx), looks)
    for target in (one for one in planes if not one.is_page):
        yield _plane(study, target, setup)


def _plane(study: Study, target: Target, setup: str) -> AnswerCard:
    answer = study.lighting.answer(target.id, setup)
    aim = _worst(a for a in study.aims if (a.of, a.setup) == (target.id, setup))
    return _card(study, target, answer, answer_name(target), spread_words(answer), aim)


def _eyes(
    study: Study, target: Target, answer: Answer, looks: list[tuple[Target, Answer]]
) -> AnswerCard:
    """One person's eyes in the lying posture that gets most."""
    body = clock_words(answer)
    own = {eye.id for eye, _ in looks}
    aim = _worst(a for a in study.aims if a.setup == answer.setup and a.of in own)
    name, extra = eyes_name(study.scenario, target), views_words(body, looks)
    card = _card(study, target, answer, name, extra, aim)
    card = replace(card, live=eye_id(target.person or ""))
    if aim is None or aim.measure != "melanopic_edi_lx" or aim.at_most is None:
        return card
    return replace(card, clock=body, clock_wish=at_most_words(aim))


def _worst(aims: Iterator[AimResult]) -> AimResult | None:
    return min(aims, key=lambda aim: WORST_FIRST.index(aim.state), default=None)


def _card(
    study: Study, target: Target, answer: Answer, name: str, extra: str, aim: AimResult | None
) -> AnswerCard:
    wish, source = wish_words(aim)
    dark = answer.high_lx < 0.1
    return AnswerCard(
        target=target,
        live=target.id,
        name=name,
        number="under 0.1" if dark else amount(answer.average_lx),
        band="" if dark else f"{amount(answer.low_lx)}-{amount(answer.high_lx)}",
        aim=aim,
        beside=verdict_words(aim) if aim else "",
        wish=wish,
        source=source,
        extra=extra,
        parts=_parts(study, answer),
        limits=tuple(limits_of_answer(study.scenario, answer, answer.average_lx, aim)),
        assumed=_assumed(study, target, answer),
        measure=measure_next(study.lighting, target.id, answer.setup),
    )


def _parts(study: Study, answer: Answer) -> tuple[SharePart, ...]:
    names = {item.id: item.name or item.id for item in study.scenario.sources}
    shares = sorted(answer.by_source, key=lambda s: s.direct_lx + s.bounced_lx, reverse=True)
    total = answer.direct_lx + answer.bounced_lx or 1.0
    return tuple(
        SharePart(
            share.id,
            names.get(share.id, share.id),
            share_words(share),
            share.direct_lx / total,
            share.bounced_lx / total,
        )
        for share in shares
        if share.direct_lx + share.bounced_lx > 0.005 * total
    )


def _assumed(study: Study, target: Target, answer: Answer) -> tuple[str, ...]:
    """The assumptions that bear on an answer: of its sources, its person, its room."""
    scenario, sources = study.scenario, {share.id for share in answer.by_source}
    whose = target.person or target.opening
    near = {f"lights[{i}]": one.id for i, one in enumerate(scenario.lights) if one.id in sources}
    near |= {f"strips[{i}]": one.id for i, one in enumerate(scenario.strips) if one.id in sources}
    near |= {f"people[{i}]": one.id for i, one in enumerate(scenario.people) if one.id == whose}
    lines = []
    for item in study.assumptions:
        head = item.field.partition(".")[0]
        if head in near:
            lines.append(f"{near[head]}: {item.why}")
        elif item.field.startswith("room."):
            lines.append(f"room: {item.why}")
    return tuple(dict.fromkeys(lines))


@dataclass(frozen=True)
class SeenCard:
    """An answer that is no number: what it says, in a few words and in full.

    ``board`` is the headboard whose glow it tells of, None for bright things in sight.
    """

    name: str
    value: str
    glares: bool
    lines: tuple[str, ...]
    board: str | None = None


def seen_cards(study: Study, setup: str) -> tuple[SeenCard, ...]:
    """Return whether a lamp glares in somebody's eyes, and how the glow on the wall looks."""
    if setup not in study.setups:
        return ()
    comfort, scenario = study.comfort, study.scenario
    level, harsh = comfort.levels(setup), comfort.harsh(setup)
    lines = [capital(seen_at(scenario, seen, level[seen.light])) + "." for seen in harsh]
    places = len({seen.eye for seen in harsh if seen.glares(level[seen.light])})
    name, value = bright_things(places, beside=bool(lines))
    return (
        SeenCard(name, value, places > 0, tuple(lines)),
        *(
            SeenCard(
                glow_name(edge.board), glow_words(edge), False, (edge_words(edge),), edge.board
            )
            for edge in comfort.edge_glow(setup)
        ),
    )


@dataclass(frozen=True)
class SetupCard:
    """One setup of the bar along the bottom."""

    id: str
    name: str
    watts: str
    wishes: str


def setup_cards(study: Study) -> tuple[SetupCard, ...]:
    """Return every setup with its watts and how its wishes fare."""
    return tuple(
        SetupCard(
            setup.id,
            setup.name or setup.id,
            watts(study.electrics.total(setup.id).total_w),
            wishes_met([aim for aim in study.aims if aim.setup == setup.id]),
        )
        for setup in study.scenario.setups
    )
