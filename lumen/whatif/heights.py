"""One light at every height: what the page gets, what the other sleeper gets, who sees the lamp.

The same maps as the study's, one for each height, each in a few hundredths of a second. What other
lights of the setup give stays in the sums. Dimming is a straight line between the other lights
alone and this light at full, so that it needs two points only.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from lumen.errors import LumenError
from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.lights import Beam, Light, Shade
from lumen.study.cache import current
from lumen.study.eyes.sight import buried, sightings
from lumen.study.lighting.maps import Answer, Lighting, lighting
from lumen.study.load.electrics import strip_profiles
from lumen.study.scene.emitters import light_centre
from lumen.study.scene.levels import given_levels
from lumen.study.scene.targets import STANDING, Kind, mattress_of, page_id, subjects
from lumen.tables import table

__all__ = ["Advice", "HeightSweep", "Other", "Reach", "Step", "advice", "height_sweep", "reader_of"]

_STEP_M = 0.10
_LOWEST_M, _HIGHEST_M, _UNDER_CEILING_M = 0.50, 2.00, 0.15


@dataclass(frozen=True)
class Reach:
    """What a plane or an eye gets: middle, low and high of its band."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Step:
    """One height [m] above the floor of the light's fixing point, or one level of dimming.

    ``page`` is the reader's page [lx], ``eyes`` the other sleeper's eyes in their worst lying
    posture, as their wish counts them; ``None`` where there is no such person. ``sees`` holds the
    ids of the people into whose eyes the bare lamp shines from the bed; ``room`` is False where
    the light would stick in furniture.
    """

    height_m: float
    page: Reach | None
    eyes: Reach | None
    sees: tuple[str, ...]
    room: bool


@dataclass(frozen=True)
class Advice:
    """One rule of thumb about heights, as metres above this room's floor, and who gives it."""

    rule: str
    of: str
    low_m: float
    high_m: float
    source: str
    locator: str
    how: str


Instead = Literal["aimed spot", "aimed at the page", "metal shade"]


@dataclass(frozen=True)
class Other:
    """Another way to make the light in the same place, with the same lumens, and what it gives."""

    kind: Instead
    step: Step


@dataclass(frozen=True)
class HeightSweep:
    """One light of a setup at every height, and at every level where it hangs.

    ``reader`` and ``sleeper`` are ids of people or ``None``; ``measure`` says how the sleeper's
    eyes are counted (``illuminance_lx`` or ``melanopic_edi_lx``). ``page_at_least`` and
    ``eyes_at_most`` are the wishes of this setup, if any. ``here`` is the light as it hangs;
    ``without`` leaves it dark and ``full`` turns it up, the rest of the setup unchanged. ``others``
    hang where it hangs, at its level.
    """

    light: str
    setup: str
    level: float
    reader: str | None
    sleeper: str | None
    measure: str
    page_at_least: float | None
    eyes_at_most: float | None
    steps: tuple[Step, ...]
    here: Step
    without: Step
    full: Step
    others: tuple[Other, ...]
    advice: tuple[Advice, ...]


def height_sweep(scenario: Scenario, light: str, setup: str | None = None) -> HeightSweep:
    """Return what becomes of page and eyes as one light is hung at every height.

    Parameters
    ----------
    scenario
        The plan.
    light
        Id of a light. One that stands or hangs from the ceiling has no ``steps``: only ``here``,
        ``without`` and ``full``.
    setup
        The setup to sum in; one in which the light is dark is replaced by the one in which it is
        brightest.

    Raises
    ------
    LumenError
        When the plan has no such light, or no setup uses it.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> found = height_sweep(load(examples()[0]), "left light")
    >>> found.reader, found.sleeper, found.setup
    ('left', 'right', 'read left')
    >>> len(found.steps)
    16
    """
    item = next((one for one in scenario.lights if one.id == light), None)
    if item is None:
        names = ", ".join(one.id for one in scenario.lights) or "none yet"
        raise LumenError("light", f"must be a light of the plan ({names})", light)
    setup = _setup(scenario, light, setup)
    return current().get(
        "height sweep",
        lambda: _swept(scenario, item, setup),
        plan=scenario,
        light=light,
        setup=setup,
    )


def advice(scenario: Scenario) -> tuple[Advice, ...]:
    """Return what people are told about heights, in metres above this plan's floor.

    Rules that count from the mattress are left out where there is none.
    """
    mattress = mattress_of(scenario)
    top = None if mattress is None else mattress.at_m[2] + mattress.size_m[2]
    found = []
    for row in table("height_advice"):
        base = 0.0 if row["above"] == "floor" else top
        if base is not None:
            low, high = float(row["low_m"]) + base, float(row["high_m"]) + base
            parts = (row["source"], row["locator"], row["how"])
            found.append(Advice(row["rule"], row["of"], low, high, *parts))
    return tuple(found)


def _setup(scenario: Scenario, light: str, asked: str | None) -> str:
    levels = {one.id: _level(scenario, one.id, light) for one in scenario.setups}
    if asked is not None and levels.get(asked, 0.0) > 0:
        return asked
    best = max(levels, key=lambda name: levels[name], default=None)
    if best is None or levels[best] == 0:
        raise LumenError("setup", f"must light {light} in at least one setup", asked)
    return best


def _swept(scenario: Scenario, item: Light, setup: str) -> HeightSweep:
    profiles = strip_profiles(scenario)
    lit = lighting(scenario, profiles)
    reader = reader_of(lit, item.id)
    sleeper = next((p.id for p in scenario.people if p.id != reader), None)
    wishes = _wishes(scenario, setup, reader, sleeper)
    measure = wishes.measure
    level = float(_level(scenario, setup, item.id))

    def step(found: Lighting, height_m: float, room: bool = True) -> Step:
        page = found.answer(page_id(reader), setup) if reader else None
        return Step(
            height_m,
            None if page is None else Reach(page.average_lx, page.low_lx, page.high_lx),
            _eyes(found, sleeper, setup, measure),
            _sees(found, item.id, _level(found.scenario, setup, item.id)),
            room,
        )

    def dimmed(value: float) -> Step:
        args = {"setup": setup, "of": item.id, "value": value}
        plan = apply(scenario, {"name": "level", "args": args})
        return step(lighting(plan, profiles), item.mount_m[2])

    def hung(height_m: float) -> Step:
        to = [item.mount_m[0], item.mount_m[1], height_m]
        plan = apply(scenario, {"name": "move", "id": item.id, "args": {"to_m": to}})
        moved = next(one for one in plan.lights if one.id == item.id)
        found = lighting(plan, profiles)
        centre = light_centre(plan, moved)
        free = not bool(buried(centre[None], found.transport.blockers)[0])
        return step(found, height_m, free)

    def instead(kind: Instead, fields: Mapping[str, Any]) -> Other:
        plan = scenario
        for field, value in fields.items():
            args = {"field": field, "value": value}
            plan = apply(plan, {"name": "set", "id": item.id, "args": args})
        return Other(kind, step(lighting(plan, profiles), item.mount_m[2]))

    heights = _heights(scenario) if item.mount in ("wall", "headboard") else []
    return HeightSweep(
        light=item.id,
        setup=setup,
        level=level,
        reader=reader,
        sleeper=sleeper,
        measure=measure,
        page_at_least=wishes.page_at_least,
        eyes_at_most=wishes.eyes_at_most,
        steps=tuple(map(hung, heights)),
        here=step(lit, item.mount_m[2]),
        without=dimmed(0.0),
        full=dimmed(1.0),
        others=tuple(instead(*other) for other in _others(item, reader)),
        advice=advice(scenario),
    )


SPOT_DEG = 35.0
"""Beam of the spot that a light is held against, as reading spots usually have: common practice,
no source."""


def _others(item: Light, reader: str | None) -> Iterator[tuple[Instead, Mapping[str, Any]]]:
    """What else could shine from there: a tight beam at the page, a shade of metal."""
    form = item.distribution
    page = None if reader is None else page_id(reader)
    if page is not None and not isinstance(form, Beam):
        spot = {"form": "beam", "beam_deg": SPOT_DEG}
        yield "aimed spot", {"distribution": spot, "aim": {"at": page}}
    elif page is not None and item.aim.at != page:
        yield "aimed at the page", {"aim": {"at": page}}
    if isinstance(form, Shade) and not form.material.startswith("metal"):
        metal = {"distribution.material": "metal, white inside"}
        yield "metal shade", metal


def _heights(scenario: Scenario) -> list[float]:
    top = min(_HIGHEST_M, scenario.room.height_m - _UNDER_CEILING_M)
    count = int(np.floor((top - _LOWEST_M) / _STEP_M + 1e-9)) + 1
    return [round(_LOWEST_M + i * _STEP_M, 3) for i in range(max(count, 0))]


def _level(scenario: Scenario, setup: str, light: str) -> float:
    return given_levels(scenario, setup).get(light, 0.0)


def reader_of(lit: Lighting, light: str) -> str | None:
    """The person whose page gets most from this light by itself."""
    number = next(i for i, emitter in enumerate(lit.emitters) if emitter.id == light)
    alone = (lit.direct + lit.bounced)[number]
    pages = {
        target.person or "": float(alone[lit.slices[target.id]].mean())
        for target in lit.targets
        if target.is_page
    }
    return max(pages, key=lambda person: pages[person], default=None)


@dataclass(frozen=True)
class _Limits:
    """What is wished of the reader's page and of the sleeper's eyes, and how those are counted."""

    page_at_least: float | None
    eyes_at_most: float | None
    measure: str


def _wishes(scenario: Scenario, setup: str, reader: str | None, sleeper: str | None) -> _Limits:
    page = eyes = None
    measure, known = "illuminance_lx", subjects(scenario)
    for aim in scenario.aims:
        if aim.setups and setup not in aim.setups:
            continue
        if reader and aim.of == page_id(reader) and aim.measure == "illuminance_lx":
            page = aim.at_least if aim.at_least is not None else page
        about = known[aim.of]
        its_eyes = sleeper and about.kind is Kind.EYE and about.person == sleeper
        if its_eyes and aim.measure != "uniformity":
            eyes, measure = aim.at_most, aim.measure
    return _Limits(page, eyes, measure)


def _eyes(lit: Lighting, person: str | None, setup: str, measure: str) -> Reach | None:
    lying = [target for target in lit.targets if target.lies and target.person == person]
    found = [_reach(lit.answer(target.id, setup), measure) for target in lying]
    return max(found, key=lambda reach: reach.value, default=None)


def _reach(answer: Answer, measure: str) -> Reach:
    if measure == "melanopic_edi_lx":
        return Reach(answer.melanopic_lx, answer.melanopic_low_lx, answer.melanopic_high_lx)
    return Reach(answer.average_lx, answer.low_lx, answer.high_lx)


def _sees(lit: Lighting, light: str, level: float) -> tuple[str, ...]:
    """The people in bed in whose eyes this light glares."""
    people = (
        seen.person
        for seen in sightings(lit)
        if seen.light == light and seen.glares(level) and seen.posture not in STANDING
    )
    return tuple(dict.fromkeys(people))
