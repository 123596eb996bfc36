"""Wishes to start from: what pages, sleepers, the way to the door and mirrors should get.

Each is a row of the table ``aims`` for the plan's country, or our own synthesis where that country
has none; all are written into the plan as ordinary wishes, to be changed by the person.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from lumen.scenario.aims import AimFor, Setup
from lumen.scenario.document import Scenario
from lumen.scenario.people import Person
from lumen.study.scene.levels import given_levels
from lumen.study.scene.media import medium_of
from lumen.study.scene.reading import own_lights, reading_of
from lumen.study.scene.targets import (
    Kind,
    Posture,
    Subject,
    Target,
    eye_id,
    page_id,
    subjects,
    targets,
)
from lumen.tables import table

__all__ = ["EVENNESS", "AgeFactor", "age_factor", "output_of", "suggested_aims", "usual_wish"]

EVENNESS = 0.4
"""Least over average of a page. Less than desks get by EN 12464-1 (0.6, from memory) or beds by
NBR 5413 (no point under 0.7 of the mean): 0.4 is EN 12464-1's figure for rooms to rest in, as table
2.6 of a British code for lighting quotes it."""

_COUNTRIES = {
    "US": "USA",
    "UK": "UK",
    "EU": "Germany",
    "AU": "Australia and New Zealand",
    "JP": "Japan",
}
"""The EU's homes have no common table; Germany's stands for it and is named in the source."""

_ON = 0.5
_NIGHT = 0.15  # a night light gives no more of the brightest setup's lumens than this; ours


def suggested_aims(scenario: Scenario) -> tuple[AimFor, ...]:
    """Return wishes for a plan by its country, people, lights and setups.

    No wish has an upper limit but those of eyes: what a standard gives as a range of light for a
    room is no ceiling for a glow, nor for the page of somebody older.

    A page is to be lit in setups where its reader reads, if it does not glow by itself, and the
    reader's own eyes are to get no more than an evening's light of it all; a sleeper is to be
    spared where somebody else reads and the sleeper's own light is off; the way to the door to be
    seen in the dimmest setup without reading lights, if that is a night light next to the
    brightest; a face at a mirror in the brightest. Wishes without such a setup are left out.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = next(p for p in map(load, examples()) if p.title == "Plain pair")
    >>> [(aim.id, aim.at_least or aim.at_most) for aim in suggested_aims(plan)][:3]
    [('left page', 300.0), ('left evening', 10.0), ('left asleep', 1.0)]
    """
    asked = {target.id: target for target in targets(scenario)}
    return tuple(_suggested(scenario, asked))


def _suggested(scenario: Scenario, asked: Mapping[str, Target]) -> Iterator[AimFor]:
    own_light = own_lights(scenario, asked)
    reading, known = reading_of(scenario, asked), subjects(scenario)
    for person in scenario.people:
        reads = tuple(name for name, who in reading.items() if person.id in who)
        sleeps = tuple(
            setup.id
            for setup in scenario.setups
            if reading[setup.id]
            and setup.id not in reads
            and setup.levels.get(own_light[person.id] or "", 0.0) == 0.0
        )
        page, sitting = page_id(person.id), eye_id(person.id, Posture.SITTING)
        if page in asked and reads and medium_of(person).luminance == 0.0:
            yield _usual(scenario, known[page], reads)
        if sitting in asked and reads:
            yield _usual(scenario, known[sitting], reads)
        if eye_id(person.id, Posture.LYING_BACK) in asked and sleeps:
            yield _usual(scenario, known[eye_id(person.id)], sleeps)
    lit = [setup for setup in scenario.setups if output_of(scenario, setup) > 0]
    if not lit:
        return
    by_bed = {name for name in own_light.values() if name}
    calm = [s for s in lit if all(s.levels.get(name, 0.0) < _ON for name in by_bed)]
    dim = min(calm or lit, key=lambda setup: output_of(scenario, setup))
    bright = max(lit, key=lambda setup: output_of(scenario, setup))
    night = output_of(scenario, dim) <= _NIGHT * output_of(scenario, bright)
    for name, target in asked.items():
        if target.kind is Kind.WAY and calm and night:
            yield _usual(scenario, known[name], (dim.id,))
        if target.kind is Kind.FACE:
            yield _usual(scenario, known[name], (bright.id,))


_USES = {
    Kind.PAGE: "reading in bed",
    Kind.BEDSIDE: "reading in bed",
    Kind.WAY: "night",
    Kind.FACE: "mirror",
    Kind.BED: "relax",
    Kind.FLOOR: "general",
}
"""The use in the table ``aims`` that each kind of target serves."""

_ID_LENGTH = 60


def usual_wish(scenario: Scenario, of: str, setups: Sequence[str]) -> AimFor:
    """Return a wish to start from for one target: what its use gets by the plan's country.

    Eyes get the body clock's limit: of somebody who reads in all these setups that of the evening,
    sitting, else that asleep. The id is one that no wish of the plan has.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = next(p for p in map(load, examples()) if p.title == "Plain pair")
    >>> wish = usual_wish(plan, "eye:left", ("night",))
    >>> wish.measure, wish.at_most, wish.setups
    ('melanopic_edi_lx', 1.0, ('night',))
    """
    known = subjects(scenario)
    about = known[of]
    if about.kind is Kind.EYE and about.posture is None and about.person is not None:
        reading = reading_of(scenario, {target.id: target for target in targets(scenario)})
        if all(about.person in reading[name] for name in setups):
            about = known[eye_id(about.person, Posture.SITTING)]
    wish = _usual(scenario, about, setups)
    taken = {aim.id for aim in scenario.aims}
    ids = (wish.id if n == 1 else _joined(wish.id, str(n)) for n in range(1, 10_000))
    return wish.model_copy(update={"id": next(one for one in ids if one not in taken)})


def _usual(scenario: Scenario, about: Subject, setups: Sequence[str]) -> AimFor:
    who = about.person or about.opening or ""
    if about.kind is Kind.EYE:
        evening = about.posture is Posture.SITTING
        when = "3 h before bed" if evening else "asleep"
        return AimFor(
            id=_joined(who, "evening" if evening else "asleep"),
            of=about.id,
            measure="melanopic_edi_lx",
            at_most=_limit(f"melanopic edi {'in the evening' if evening else 'asleep'}"),
            setups=tuple(setups),
            source=f"T. M. Brown et al., PLoS Biology 20(3) e3001571 (2022): {when}",
        )
    word: str = about.kind
    if about.posture is not None and about.posture is not Posture.SITTING:
        word = f"{word} {about.posture}"
    lux, source = _level(scenario, _USES[about.kind], least=about.kind is Kind.WAY)
    return AimFor(
        id=_joined(who, word),
        of=about.id,
        at_least=lux,
        for_age=about.kind is Kind.PAGE,
        setups=tuple(setups),
        source=source,
    )


def _joined(who: str, word: str) -> str:
    """Whose wish and what for, as long as an id may be."""
    return f"{who[: _ID_LENGTH - 1 - len(word)]} {word}".strip()


def _level(scenario: Scenario, use: str, *, least: bool = False) -> tuple[float, str]:
    """Level [lx] and source for a use: the country's last row that speaks of homes, else ours.

    What only an old edition is known to have said is history, and no rule of today.
    """
    country = _COUNTRIES.get(scenario.region, "default")
    rows = [row for row in table("aims") if row["use"] == use]
    planes = {"reading in bed": "page", "mirror": "face", "night": "floor", "general": "floor"}
    plane = planes.get(use, "room")
    own = [
        row
        for row in rows
        if row["region"] == country
        and not any(word in row["note"] for word in ("not for dwellings", "historical"))
        and row["how"] == "read"
    ]
    own.sort(key=lambda row: row["plane"] == plane)  # stable: the last on the right plane wins
    row = next(iter(reversed(own)), None) if plane != "floor" else None
    if row is None:
        row = next(row for row in rows if row["region"] == "default")
    order = ("low_lx", "lx") if least else ("lx", "low_lx")
    value = next(float(row[key]) for key in order if row[key])
    if row["region"] == "default":
        return value, f"our assumption, {row['low_lx']} to {row['high_lx']} lx for {use}"
    return value, f"{row['source']} ({row['region']}), {row['locator']}"


@dataclass(frozen=True)
class AgeFactor:
    """How many times the usual light a person wants on a page.

    ``from_years`` and ``source`` are the table's, None and empty where the plan says it itself.
    """

    factor: float
    person: str
    from_years: float | None = None
    source: str = ""


def age_factor(person: Person) -> AgeFactor:
    """Return how much more light than usual a person wants on a page, and why.

    The person's own ``age_factor`` if it is written, else the table's for the age; 1 without
    either.

    Examples
    --------
    >>> age_factor(Person(id="a", side="left", age=70)).factor
    2.0
    >>> age_factor(Person(id="a", side="left", age=70, age_factor=1.5))
    AgeFactor(factor=1.5, person='a', from_years=None, source='')
    """
    if person.age_factor is not None:
        return AgeFactor(person.age_factor, person.id)
    rows = [row for row in table("age_factors") if float(row["from_years"]) < (person.age or 0.0)]
    if not rows:
        return AgeFactor(1.0, person.id)
    row = rows[-1]
    return AgeFactor(float(row["factor"]), person.id, float(row["from_years"]), row["source"])


def _limit(what: str) -> float:
    return next(float(row["value"]) for row in table("glare_limits") if row["what"] == what)


def output_of(scenario: Scenario, setup: Setup) -> float:
    """Return rough lamp lumens of a setup, to tell bright ones from dim ones."""
    flux = {}
    for light in scenario.lights:
        flux[light.id] = float(np.mean(light.lamp.flux_lm)) * light.lamps
    for strip in scenario.strips:
        path = np.array(strip.path_m)
        length = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
        flux[strip.id] = float(np.mean(strip.flux_lm_per_m)) * length
    levels = given_levels(scenario, setup.id)
    return sum(level * flux.get(name, 0.0) for name, level in levels.items())
