"""Ready sets of wishes, by the people in the room and the country: taken with one press.

A set is a handful of ordinary wishes with their sources. Taking one adds what is missing and
changes what asks for the same of the same target; taking it again changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lumen.errors import LumenError
from lumen.scenario.aims import AimFor
from lumen.scenario.document import Scenario, plain
from lumen.scenario.edits import apply
from lumen.scenario.people import Person
from lumen.study.scene.levels import given_levels
from lumen.study.scene.media import medium_of
from lumen.study.scene.reading import own_lights, reading_of
from lumen.study.scene.targets import Kind, Posture, Target, eye_id, page_id, targets
from lumen.study.wishes.aims import output_of, usual_wish
from lumen.tables import table

__all__ = ["WishSet", "wish_sets", "with_set"]

Command = dict[str, Any]

_OLDER_YEARS = 65.0
_INFANT_YEARS = 3.0


@dataclass(frozen=True)
class WishSet:
    """A set: its ``key``, what it is for, why in a sentence, its wishes, the edits that take it.

    ``commands`` is empty where the plan has all of it already.
    """

    key: str
    title: str
    why: str
    aims: tuple[AimFor, ...]
    commands: tuple[Command, ...]


def wish_sets(scenario: Scenario) -> tuple[WishSet, ...]:
    """Return the sets that the plan's people, furniture and setups give a place to.

    Levels are those of the table ``aims`` for the plan's country, eyes' limits those of the body
    clock (T. M. Brown et al., PLoS Biology 20, 2022), and an older reader's page is raised by the
    table ``age_factors``.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = next(p for p in map(load, examples()) if p.title == "Plain pair")
    >>> [one.title for one in wish_sets(plan)][:2]
    ['Left reads beside a sleeper', 'Left reads with older eyes']
    """
    asked = {target.id: target for target in targets(scenario)}
    return tuple(
        WishSet(key, title, why, aims, tuple(_commands(scenario, aims)))
        for key, title, why, aims in _sets(scenario, asked)
        if aims
    )


def with_set(scenario: Scenario, name: str) -> Scenario:
    """Return the plan with a set of wishes taken, by its key or its title.

    Raises
    ------
    LumenError
        When the plan has no place for such a set; those it has one for are named.
    """
    sets = wish_sets(scenario)
    one = next((one for one in sets if name in (one.key, one.title)), None)
    if one is None:
        known = ", ".join(f"{one.title} ({one.key})" for one in sets) or "none for this plan"
        raise LumenError("wishes", f"must be one of {known}", name)
    for command in one.commands:
        scenario = apply(scenario, command)
    return scenario


def _sets(
    scenario: Scenario, asked: Mapping[str, Target]
) -> Iterator[tuple[str, str, str, tuple[AimFor, ...]]]:
    reading = reading_of(scenario, asked)
    own = own_lights(scenario, asked)
    scenario = scenario.model_copy(update={"aims": ()})  # ids as if there were no wish yet
    names = {person.id: person.name or person.id for person in scenario.people}
    for who in (p for p in scenario.people if _lit_page(p, asked)):
        reads = [name for name, readers in reading.items() if who.id in readers]
        aims: list[AimFor] = []
        for other in scenario.people:
            setups = [n for n in reads if _sleeps(scenario, other, n, reading, own)]
            if other.id != who.id and setups and eye_id(other.id, Posture.LYING_BACK) in asked:
                aims.append(usual_wish(scenario, eye_id(other.id), setups))
        if aims:
            aims = [*_page(scenario, who, reads), *aims]
            why = (
                "a page bright and even enough, and no more on the sleeper than a dark night gives"
            )
            yield f"beside:{who.id}", f"{names[who.id]} reads beside a sleeper", why, _all(aims)
        if reads:
            yield (
                f"older:{who.id}",
                f"{names[who.id]} reads with older eyes",
                f"over {_OLDER_YEARS:g} a page wants {_factor():g} times the light",
                _all([_for_age(aim) for aim in _page(scenario, who, reads)]),
            )
    for child in scenario.people:
        if _is_infant(scenario, child) and eye_id(child.id, Posture.LYING_BACK) in asked:
            setups = [s.id for s in scenario.setups if output_of(scenario, s) > 0.0]
            dim = _dimmest(scenario)
            ways = [f"path:{p.id}" for p in scenario.people if p.id != child.id]
            floor = [usual_wish(scenario, w, dim) for w in ways if w in asked and dim]
            eyes = [usual_wish(scenario, eye_id(child.id), setups)] if setups else []
            why = "the child's eyes stay in the dark, and who gets up sees the floor"
            yield (
                f"infant:{child.id}",
                f"{names[child.id]} sleeps in the room",
                why,
                _all([*eyes, *floor]),
            )
    bright = _brightest(scenario)
    mirrors = [name for name, target in asked.items() if target.kind is Kind.FACE]
    if bright:
        faces = [usual_wish(scenario, name, bright) for name in mirrors]
        floor = [usual_wish(scenario, "floor", bright)] if "floor" in asked else []
        why = "a face at the mirror and the room about it, in the brightest setup"
        yield "dressing", "Getting dressed", why, _all([*faces, *floor])


def _all(aims: Sequence[AimFor]) -> tuple[AimFor, ...]:
    """The wishes with ids that differ from each other."""
    taken: set[str] = set()
    found = []
    for aim in aims:
        ids = (aim.id, *(f"{aim.id[:57]} {n}" for n in range(2, 1000)))
        name = next(one for one in ids if one not in taken)
        taken.add(name)
        found.append(aim.model_copy(update={"id": name}))
    return tuple(found)


def _lit_page(person: Person, asked: Mapping[str, Target]) -> bool:
    return page_id(person.id) in asked and medium_of(person).luminance == 0.0


def _page(scenario: Scenario, who: Person, reads: Sequence[str]) -> list[AimFor]:
    return [usual_wish(scenario, page_id(who.id), reads)] if reads else []


def _sleeps(
    scenario: Scenario,
    person: Person,
    setup: str,
    reading: Mapping[str, Sequence[str]],
    own: Mapping[str, str | None],
) -> bool:
    """Whether somebody lies in the dark of their own light while another reads."""
    on = given_levels(scenario, setup).get(own[person.id] or "", 0.0)
    return person.id not in reading[setup] and on == 0.0


def _factor() -> float:
    row = next(r for r in table("age_factors") if float(r["from_years"]) == _OLDER_YEARS)
    return float(row["factor"])


def _for_age(aim: AimFor) -> AimFor:
    row = next(r for r in table("age_factors") if float(r["from_years"]) == _OLDER_YEARS)
    source = f"{aim.source}; times {_factor():g} over {_OLDER_YEARS:g} years ({row['source']})"
    least = None if aim.at_least is None else aim.at_least * _factor()
    return aim.model_copy(update={"at_least": least, "for_age": False, "source": source})


def _is_infant(scenario: Scenario, person: Person) -> bool:
    cots = {item.id for item in scenario.furniture if item.kind == "cot"}
    young = person.age is not None and person.age < _INFANT_YEARS
    return young or (bool(cots) and person.bed is not None and "cot" in person.bed)


def _lit(scenario: Scenario) -> list[tuple[float, str]]:
    return [(lm, s.id) for s in scenario.setups if (lm := output_of(scenario, s)) > 0.0]


def _dimmest(scenario: Scenario) -> tuple[str, ...]:
    lit = _lit(scenario)
    return (min(lit)[1],) if lit else ()


def _brightest(scenario: Scenario) -> tuple[str, ...]:
    lit = _lit(scenario)
    return (max(lit)[1],) if lit else ()


def _commands(scenario: Scenario, aims: Sequence[AimFor]) -> Iterator[Command]:
    """What is missing is added; a wish for the same of the same target is changed."""
    taken = {aim.id for aim in scenario.aims}
    for aim in aims:
        same = next((have for have in scenario.aims if _asks_alike(have, aim)), None)
        if same is None:
            ids = (aim.id, *(f"{aim.id[:57]} {n}" for n in range(2, 1000)))
            name = next(one for one in ids if one not in taken)
            taken.add(name)
            item = plain(aim.model_copy(update={"id": name}))
            yield {"name": "add", "args": {"section": "aims", "item": item}}
            continue
        setups = list(dict.fromkeys((*same.setups, *aim.setups))) if same.setups else []
        wanted = {
            "at_least": aim.at_least,
            "at_most": aim.at_most,
            "for_age": aim.for_age,
            "setups": setups,
            "source": aim.source,
        }
        have = plain(same) | {"for_age": same.for_age, "setups": list(same.setups)}
        decides = ("at_least", "at_most", "setups")
        if all(have.get(field) == wanted[field] for field in decides):
            continue
        for field, value in wanted.items():
            if have.get(field) != value:
                args = {"field": field, "value": value, "section": "aims"}
                yield {"name": "set", "id": same.id, "args": args}


def _asks_alike(have: AimFor, aim: AimFor) -> bool:
    """Whether two wishes bound the same of the same target the same way, in setups that meet."""
    meet = not have.setups or bool(set(have.setups) & set(aim.setups))
    sides = (have.at_least is None) == (aim.at_least is None)
    return meet and sides and (have.of, have.measure) == (aim.of, aim.measure)
