"""Who reads in which setup, and the light of what they read from.

A page that is read is a surface of the scene: it gives back what falls on it, by Lambert's law and
evenly at its average, to every eye and into the room; one bounce, after which the page itself takes
no part any more. It keeps the direct light of lights and panels from what lies behind it, not the
light that bounces about, nor a strip's; what falls on its back is lost. What glows by itself is a
source of its own, taken as a Lambert emitter too (a real screen gives less to the side).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from lumen.light.geometry import Box
from lumen.light.sources import PanelSource
from lumen.light.visibility import Blocker
from lumen.scenario.aims import Setup
from lumen.scenario.assumptions import Assumption
from lumen.scenario.document import Scenario
from lumen.scenario.people import Person
from lumen.study.cache import light_content
from lumen.study.scene.emitters import Emitter, light_centre
from lumen.study.scene.levels import given_levels
from lumen.study.scene.media import Medium, medium_of
from lumen.study.scene.targets import (
    READING,
    Posture,
    Target,
    bed_of,
    eye_id,
    mattress_of,
    page_frame,
    page_id,
)

__all__ = [
    "READ_BY_LEVEL",
    "lit_pages",
    "other_pages",
    "own_lights",
    "page_slabs",
    "reading_assumptions",
    "reading_of",
    "screens",
]

Array = NDArray[np.float64]

READ_BY_LEVEL = 0.5
"""Somebody whose own light gives at least this share of its full output reads by it: ours."""

_THICK_M = 0.002
_BEHIND_M = 0.0001  # the page's light starts behind its own sensors, which then do not see it


def other_pages(person: str) -> tuple[str, ...]:
    """Return the targets where a person's page would lie in another posture than sitting up."""
    return tuple(page_id(person, how) for how in READING if how is not Posture.SITTING)


def own_lights(scenario: Scenario, asked: Mapping[str, Target]) -> dict[str, str | None]:
    """Return everybody's own light: the one nearest to their eye as they sit up; by person.

    ``asked`` are the plan's targets by id.
    """
    found: dict[str, str | None] = {}
    for person in scenario.people:
        eye = asked.get(eye_id(person.id, Posture.SITTING))
        away = {
            light.id: float(np.linalg.norm(light_centre(scenario, light) - eye.points[0]))
            for light in scenario.lights
            if eye is not None
        }
        found[person.id] = min(away, key=lambda name: away[name], default=None)
    return found


def reading_of(scenario: Scenario, asked: Mapping[str, Target]) -> dict[str, tuple[str, ...]]:
    """Return who reads in each setup, by its id.

    Whoever the setup names; where it names nobody, not even an empty list, those whose page is
    wished for in it and those whose own light is on.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.scene.targets import targets
    >>> plan = next(p for p in map(load, examples()) if p.title == "Plain pair")
    >>> found = reading_of(plan, {t.id: t for t in targets(plan)})
    >>> found["read left"], found["read both"], found["night"]
    (('left',), ('left', 'right'), ())
    """
    own = own_lights(scenario, asked)
    able = [p for p in scenario.people if p.reads and page_id(p.id) in asked]
    return {
        setup.id: tuple(p.id for p in able if _reads(scenario, setup, p, own[p.id]))
        for setup in scenario.setups
    }


def _reads(scenario: Scenario, setup: Setup, person: Person, own: str | None) -> bool:
    if setup.reading is not None:
        return person.id in setup.reading
    pages = (page_id(person.id), *other_pages(person.id))
    wished = any(
        setup.id in (aim.setups or (setup.id,)) and aim.of in pages for aim in scenario.aims
    )
    return wished or given_levels(scenario, setup.id).get(own or "", 0.0) >= READ_BY_LEVEL


def lit_pages(scenario: Scenario) -> tuple[tuple[str, Emitter], ...]:
    """Return every reader's page as it gives back one lux on its average; by person.

    Its flux is reflectance times area [lm for 1 lx]: none for a screen.
    """
    return tuple(
        (person.id, _emitter(person, panel, medium, medium.reflectance, glows=False))
        for person, medium, panel in _pages(scenario)
    )


def page_slabs(scenario: Scenario) -> dict[str, Blocker]:
    """Return every reader's page as a thin solid just behind its lit side; by person."""
    return {person.id: _slab(corners) for person, _, corners in _pages(scenario)}


def _slab(corners: Array) -> Blocker:
    across, up = corners[1] - corners[0], corners[3] - corners[0]
    size = np.array([np.linalg.norm(across), np.linalg.norm(up), _THICK_M])
    axes = np.array([across / size[0], up / size[1], np.cross(across, up) / (size[0] * size[1])])
    middle = corners.mean(axis=0) - _THICK_M * axes[2]
    return Blocker.of_box(Box(middle, size / 2, axes))


def screens(scenario: Scenario) -> tuple[tuple[str, Emitter], ...]:
    """Return every reader's page that glows by itself, as a source; by person.

    Its exitance is pi times its luminance; its band is that of the table or of what was typed.
    """
    return tuple(
        (person.id, _emitter(person, panel, medium, np.pi * medium.luminance, glows=True))
        for person, medium, panel in _pages(scenario)
        if medium.luminance > 0.0
    )


def _pages(scenario: Scenario) -> Iterator[tuple[Person, Medium, Array]]:
    """Every reader with what they read from and the corners (4, 3) [m] of its lit side."""
    first = mattress_of(scenario)
    if first is None:
        return
    for person in scenario.people:
        if person.reads:
            medium = medium_of(person)
            centre, across, up, normal = page_frame(bed_of(scenario, person) or first, person)
            x, y = medium.width_m / 2 * across, medium.height_m / 2 * up
            if np.cross(across, up) @ normal < 0:
                x = -x  # corners run counter-clockwise as the reader sees them
            middle = centre - _BEHIND_M * normal
            yield (
                person,
                medium,
                np.array([middle - x - y, middle + x - y, middle + x + y, middle - x + y]),
            )


def _emitter(
    person: Person, corners: Array, medium: Medium, exitance: float, *, glows: bool
) -> Emitter:
    flux = float(exitance * medium.area_m2)
    who = person.name or person.id
    middle = medium.luminance if glows else 1.0
    return Emitter(
        id=f"screen:{person.id}" if glows else page_id(person.id),
        name=f"{who[:1].upper()}{who[1:]}'s {medium.name if glows else 'page'}",
        source=PanelSource(corners, flux),
        flux_lm=flux,
        flux_low=medium.low / middle if glows else 1.0,
        flux_high=medium.high / middle if glows else 1.0,
        cct_k=medium.cct_k or 6500.0,
        lamp_flux_lm=flux,
        written=light_content(person),
    )


def reading_assumptions(
    scenario: Scenario, reading: Mapping[str, Sequence[str]]
) -> tuple[Assumption, ...]:
    """Return who was taken to read in a setup that does not say, and how bright a screen glows."""
    found = []
    names = {person.id: person.name or person.id for person in scenario.people}
    for number, setup in enumerate(scenario.setups):
        who = reading.get(setup.id, ())
        if setup.reading is None and who:
            said = " and ".join(names[one] for one in who)
            why = f"{said} read{'s' if len(who) == 1 else ''} in {setup.name or setup.id}: a page "
            why += "wished for or an own light on"
            found.append(Assumption(f"setups[{number}].reading", list(who), why))
    for number, person in enumerate(scenario.people):
        medium = medium_of(person)
        if person.reads and medium.assumed:
            why = (
                f"the white of a {medium.name} in the evening: {medium.luminance:g} cd/m2 "
                f"({medium.low:g}-{medium.high:g})"
            )
            field = f"people[{number}].page.luminance_cd_m2"
            found.append(Assumption(field, medium.luminance, why))
    return tuple(found)
