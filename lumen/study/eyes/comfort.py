"""Comfort: what glares, what wakes a sleeper, which white meets which, how the wall glows.

Everything here is read from the maps of `lumen.study.lighting.maps`; nothing is asked anew of the
evaluation but the wall along a headboard's edge and what a reader sees round the page.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from lumen.light.colour import (
    Mismatch,
    White,
    mixed_white,
    tint_of_white,
    white_mismatch,
    xy_of_rgb,
)
from lumen.light.glare import GlareRating, glare_rating, luminance_of_surface
from lumen.study.eyes.sight import HARSH_CD_M2, Sighting, sightings
from lumen.study.lighting.glow import Dots, EdgeGlow, Glow, dots_of_strips, glows
from lumen.study.lighting.hues import hues_at
from lumen.study.lighting.maps import Lighting
from lumen.study.lighting.seen import SeenSurfaces, seen_surfaces
from lumen.study.scene.media import medium_of
from lumen.study.scene.targets import STANDING, Kind, Posture, Target
from lumen.tables import table

__all__ = [
    "AroundPage",
    "Budget",
    "Comfort",
    "Contrast",
    "Glare",
    "Night",
    "NightLight",
    "PageAgainst",
    "PageWhite",
    "Sleeper",
    "Tint",
    "Warmth",
    "Way",
    "WayLight",
    "comfort",
    "floor_limits",
    "night_light",
    "night_limits",
]

Array = NDArray[np.floating[Any]]

NEAR_RATIO, FAR_RATIO = 3.0, 10.0
"""Page over what lies around it: 3 to 1 near by, 10 to 1 at most; common practice, from memory (the
second also as NBR 5413:1992, 5.3.65: the rest of the room at least a tenth of the task)."""

NightLight = Literal["sleep", "evening", "more"]
PageAgainst = Literal["dark", "in keeping", "brighter", "tiring"]
WayLight = Literal["dark", "dark in places", "enough", "brighter"]
Warmth = Literal["warm", "neutral", "cold"]
Tint = Literal["greenish", "pinkish"]

_UGR_POSTURES = (Posture.SITTING, Posture.SLOUCHED, *STANDING)
_AROUND = 1.5  # how far beyond the page one looks, in pages
_ROUND = 12


@dataclass(frozen=True)
class Glare:
    """UGR of one eye in one setup, with every bound of its validity that is left.

    ``looks_down`` is whether the gaze is on a page, where UGR means a level one.
    """

    eye: str
    setup: str
    rating: GlareRating
    background: float
    looks_down: bool


@dataclass(frozen=True)
class Contrast:
    """Luminance of a page over that of what one sees around it [cd/m2]."""

    target: str
    person: str
    setup: str
    page: float
    surround: float
    ratio: float | None

    @property
    def verdict(self) -> PageAgainst:
        """How the page stands to what lies around it."""
        return _page_against(self.page, self.ratio)


@dataclass(frozen=True, eq=False)
class AroundPage:
    """The surfaces that a reader sees round a page."""

    target: str
    person: str
    surfaces: SeenSurfaces


@dataclass(frozen=True)
class Budget:
    """How many lamp lumens of one light give a sleeper 1 melanopic lux, in the worst posture.

    ``low_lm`` and ``high_lm`` are its band: every doubt of the light at that eye, the lamp's ratio
    among them. ``has_lm`` is what the plan's lamp has. None when none of its light arrives.
    """

    light: str
    posture: str
    lumens: float | None
    low_lm: float | None
    high_lm: float | None
    has_lm: float
    bounced_share: float

    @property
    def over(self) -> bool:
        """Whether the plan's lamp has more."""
        return self.lumens is not None and self.has_lm > self.lumens


@dataclass(frozen=True)
class Night:
    """What a sleeper's eyes get in one setup in their worst posture [melanopic lx], with band."""

    setup: str
    target: str
    melanopic_edi_lx: float
    low_lx: float
    high_lx: float

    @property
    def verdict(self) -> NightLight:
        """How much that is for somebody who sleeps."""
        return night_light(self.melanopic_edi_lx)


@dataclass(frozen=True)
class Sleeper:
    """One person asleep: the budget of each light, and what each setup gives."""

    person: str
    name: str
    budgets: tuple[Budget, ...]
    by_setup: tuple[Night, ...]


@dataclass(frozen=True)
class Way:
    """Light on the floor from a bed's side to the door in one setup [lx]."""

    target: str
    setup: str
    average: float
    minimum: float

    @property
    def verdict(self) -> WayLight:
        """Whether it is enough to walk by."""
        return _way_light(self.minimum, self.average)


@dataclass(frozen=True)
class PageWhite:
    """White of the light on one page in one setup: CCT [K] and distance from the locus."""

    target: str
    setup: str
    white: White

    @property
    def warmth(self) -> Warmth:
        """How the white is called in the trade."""
        return (
            "warm" if self.white.cct_k < 3300 else "neutral" if self.white.cct_k < 5300 else "cold"
        )

    @property
    def tint(self) -> Tint | None:
        """Whether it is off white; by more than the bins of ANSI C78.377 are wide, from memory."""
        if abs(self.white.duv) <= 0.006:
            return None
        return "greenish" if self.white.duv > 0 else "pinkish"


@dataclass(frozen=True, eq=False)
class Comfort:
    """Comfort of a plan; each part is reckoned when it is asked for."""

    lighting: Lighting

    @cached_property
    def sight(self) -> tuple[Sighting, ...]:
        """What each eye sees of each light, at full output."""
        return sightings(self.lighting)

    @cached_property
    def glow(self) -> tuple[Glow, ...]:
        """The wall above each headboard."""
        return glows(self.lighting)

    @cached_property
    def dots(self) -> tuple[Dots, ...]:
        """How each strip's LEDs show."""
        return dots_of_strips(self.lighting)

    # ---- glare ----------------------------------------------------------------------------------

    def harsh(self, setup: str) -> tuple[Sighting, ...]:
        """Return what is seen over 1000 cd/m2 in a setup: what glares first, then the brightest.

        Each place from which one looks is told once for each light: one who lies turns over.
        """
        level = self.levels(setup)
        bright = [
            seen
            for seen in self.sight
            if seen.in_view and seen.luminance * level[seen.light] > HARSH_CD_M2
        ]
        bright.sort(
            key=lambda seen: (
                not seen.glares(level[seen.light]),
                -seen.luminance * level[seen.light],
            )
        )
        first: dict[object, Sighting] = {}
        for seen in bright:
            first.setdefault((seen.place, seen.light, seen.mirror), seen)
        return tuple(first.values())

    def glare(self, setup: str) -> tuple[Glare, ...]:
        """Return the UGR of every eye that sits or stands and has something bright in view.

        Notes
        -----
        The background is the bounced light on the plane square to the gaze over pi; CIE 117 means a
        level gaze, so a reader who looks down is outside its letter. Those who lie get no rating.
        """
        level = self.levels(setup)
        found = []
        for target in self.lighting.targets:
            if not target.is_eye or target.posture not in _UGR_POSTURES:
                continue
            sources = [
                source
                for seen in self.sight
                if seen.eye == target.id and seen.in_view and level[seen.light] > 0
                for source in seen.glare_sources(level[seen.light])
            ]
            background = self.lighting.answer(target.id, setup).bounced_lx / math.pi
            if sources and background > 0:
                rating = glare_rating(sources, background)
                down = bool(target.normals[0, 2] < -0.1)
                found.append(Glare(target.id, setup, rating, background, down))
        return tuple(found)

    def contrast(self, setup: str) -> tuple[Contrast, ...]:
        """Return page over surround for every reader: what the eye meets round the page's edge."""
        weights, read = self.lighting.weights(setup), self.read_in(setup)
        reads = self.lighting.reading.get(setup, ())
        people = {person.id: person for person in self.lighting.scenario.people}
        found = []
        for page in self.around_pages:
            medium = medium_of(people[page.person])
            lux = self.lighting.answer(page.target, setup).average_lx
            luminance = luminance_of_surface(lux, medium.reflectance)
            luminance += medium.luminance if page.person in reads else 0.0
            seen = page.surfaces.at(weights, read)
            around = float(seen.mean()) if len(seen) else 0.0
            ratio = luminance / around if around > 1e-9 else None
            found.append(Contrast(page.target, page.person, setup, luminance, around, ratio))
        return tuple(found)

    @cached_property
    def around_pages(self) -> tuple[AroundPage, ...]:
        """What each reader sees round the page: one and a half times its size."""
        sitting = [t for t in self.lighting.targets if t.is_eye and t.posture is Posture.SITTING]
        eyes = {t.person: t.points[0] for t in sitting}
        found = []
        for target in self.lighting.targets:
            if target.is_page and target.person is not None and target.person in eyes:
                rays = _ring(target) - eyes[target.person]
                rays /= np.linalg.norm(rays, axis=1, keepdims=True)
                seen = seen_surfaces(self.lighting, eyes[target.person], rays)
                found.append(AroundPage(target.id, target.person, seen))
        return tuple(found)

    # ---- sleep ----------------------------------------------------------------------------------

    @cached_property
    def sleepers(self) -> tuple[Sleeper, ...]:
        """Return everyone who lies, with the budget of each light and the light of each setup.

        Notes
        -----
        Linear: lumens for 1 melanopic lx = lamp lumens / melanopic lux at full output, in the lying
        posture where that light gives most; the band of the one is the band of the other.

        Source: T. M. Brown et al., PLoS Biology 20(3) e3001571 (2022): 1 lx asleep, 10 lx from
        three hours before bed and for tasks that cannot wait.
        """
        people = {p.id: p for p in self.lighting.scenario.people}
        return tuple(
            Sleeper(who, person.name or who, self._budgets(eyes), self._nights(eyes))
            for who, person in people.items()
            if (eyes := [t for t in self.lighting.targets if t.person == who and t.lies])
        )

    def _budgets(self, eyes: list[Target]) -> tuple[Budget, ...]:
        lit, found = self.lighting, []
        written = {item.id for item in lit.scenario.sources}  # nobody buys a screen for its lumens
        for emitter in (e for e in lit.emitters if e.id in written):
            answers = [lit.alone(eye.id, emitter.id) for eye in eyes]
            worst = max(range(len(eyes)), key=lambda i: answers[i].average_lx)
            answer = answers[worst]
            lit_up = answer.average_lx > 1e-9
            lumens = [
                emitter.lamp_flux_lm / melanopic if lit_up and melanopic > 0 else None
                for melanopic in (
                    answer.melanopic_lx,
                    answer.melanopic_high_lx,
                    answer.melanopic_low_lx,
                )
            ]
            found.append(
                Budget(
                    light=emitter.id,
                    posture=eyes[worst].posture or "",
                    lumens=lumens[0],
                    low_lm=lumens[1],
                    high_lm=lumens[2],
                    has_lm=emitter.lamp_flux_lm,
                    bounced_share=answer.bounced_lx / answer.average_lx if lit_up else 0.0,
                )
            )
        return tuple(found)

    def _nights(self, eyes: Sequence[Target]) -> tuple[Night, ...]:
        found = []
        for setup in self.lighting.scenario.setups:
            answers = [self.lighting.answer(eye.id, setup.id) for eye in eyes]
            worst = max(answers, key=lambda a: a.melanopic_lx)
            found.append(
                Night(
                    setup.id,
                    worst.target,
                    worst.melanopic_lx,
                    worst.melanopic_low_lx,
                    worst.melanopic_high_lx,
                )
            )
        return tuple(found)

    # ---- white ----------------------------------------------------------------------------------

    def whites(self, setup: str) -> tuple[PageWhite, ...]:
        """Return the white of the light on each page, mixed by tristimulus values.

        In a room with coloured surfaces bounced light comes in the colour that they give it.
        """
        cct = {emitter.id: emitter.cct_k for emitter in self.lighting.emitters}
        found = []
        for target in self.lighting.targets:
            if not target.is_page:
                continue
            shares = self.lighting.answer(target.id, setup).by_source
            tinted = self._tinted.get(target.id, cct)
            parts: list[tuple[float, float | tuple[float, float]]] = []
            for s in shares:
                parts += [(s.direct_lx, cct[s.id]), (s.bounced_lx, tinted[s.id])]
            if sum(lux for lux, _ in parts) > 0.01:
                found.append(PageWhite(target.id, setup, mixed_white(parts)))
        return tuple(found)

    @cached_property
    def _tinted(self) -> dict[str, dict[str, tuple[float, float]]]:
        """Chromaticity of each source's bounced light on each page; nothing in a grey room."""
        found = {}
        for target in self.lighting.targets:
            if target.is_page:
                hues = hues_at(self.lighting, target.points, target.normals)
                if hues is not None:
                    found[target.id] = {
                        e.id: xy_of_rgb(hue * np.array(tint_of_white(e.cct_k, None)))
                        for e, hue in zip(self.lighting.emitters, hues, strict=True)
                    }
        return found

    def mismatches(self, setup: str) -> tuple[tuple[str, str, Mismatch], ...]:
        """Return the pairs of lights and strips, on together, whose whites can be told apart."""
        level = self.levels(setup)
        written = {item.id for item in self.lighting.scenario.sources}  # screens are no lamps
        lit = [e for e in self.lighting.emitters if e.id in written and level[e.id] > 0]
        pairs = ((a, b, white_mismatch(a.cct_k, b.cct_k)) for a, b in combinations(lit, 2))
        return tuple((a.id, b.id, found) for a, b, found in pairs if found.verdict != "alike")

    def ways(self, setup: str) -> tuple[Way, ...]:
        """Return how each way to the door is lit: least and average on the floor."""
        found = []
        for target in self.lighting.targets:
            if target.kind is Kind.WAY:
                answer = self.lighting.answer(target.id, setup)
                found.append(Way(target.id, setup, answer.average_lx, answer.minimum_lx))
        return tuple(found)

    def edge_glow(self, setup: str) -> tuple[EdgeGlow, ...]:
        """Return the strips' glow above each headboard in a setup; nothing when no strip is on."""
        weights = self.lighting.weights(setup)
        return tuple(
            glow.in_setup(setup, weights, self.read_in(setup))
            for glow in self.glow
            if (weights * glow.strips).max(initial=0.0) > 0
        )

    def read_in(self, setup: str) -> NDArray[np.bool_]:
        """Return which of the lighting's pages are read in a setup (pages,)."""
        read = self.lighting.pages_read(setup)
        return np.array([page in read for page in self.lighting.pages], dtype=bool)

    # ---- all of it ------------------------------------------------------------------------------

    def levels(self, setup: str) -> dict[str, float]:
        """Return each source's level in a setup, by id."""
        weights = self.lighting.weights(setup)
        return {e.id: float(w) for e, w in zip(self.lighting.emitters, weights, strict=True)}


def comfort(lighting: Lighting) -> Comfort:
    """Return the comfort of a plan from its light.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.lighting.maps import lighting
    >>> plan = next(p for p in map(load, examples()) if p.title == "Plain pair")
    >>> found = comfort(lighting(plan))
    >>> found.sleepers[0].budgets[0].light
    'left light'
    """
    return Comfort(lighting)


def night_light(melanopic_lx: float) -> NightLight:
    """Return how much light that is for somebody who sleeps.

    Examples
    --------
    >>> night_light(0.4), night_light(4.0), night_light(40.0)
    ('sleep', 'evening', 'more')
    """
    asleep, evening = night_limits()
    if melanopic_lx <= asleep:
        return "sleep"
    return "evening" if melanopic_lx <= evening else "more"


def night_limits() -> tuple[float, float]:
    """Return what eyes may get asleep, and in an evening [melanopic lx]: Brown et al. 2022."""
    limits = {row["what"]: float(row["value"] or 0) for row in table("glare_limits")}
    return limits["melanopic edi asleep"], limits["melanopic edi in the evening"]


def floor_limits() -> tuple[float, float, float]:
    """Return low, usual and high of a night light on the floor [lx]: ours, table ``aims``."""
    (row,) = (r for r in table("aims") if r["use"] == "night" and r["region"] == "default")
    return float(row["low_lx"]), float(row["lx"]), float(row["high_lx"])


def _way_light(minimum: float, average: float) -> WayLight:
    low, _, high = floor_limits()
    if average <= 0.0:
        return "dark"
    if minimum < low:
        return "dark in places"
    return "enough" if average <= high else "brighter"


def _page_against(page: float, ratio: float | None) -> PageAgainst:
    if page < 1.0 or ratio is None:
        return "dark"
    if ratio > FAR_RATIO:
        return "tiring"
    return "brighter" if ratio > NEAR_RATIO else "in keeping"


def _ring(page: Target) -> Array:
    """Points round a page: the ellipse through the corners of a page half as large again."""
    first = page.points - page.points[0]
    step = first[1]  # the grid of middles of cells runs across the page first
    columns = 1 + round(float((first @ step).max() / (step @ step)))
    rows = len(first) // columns
    rise = first[columns]
    half = columns / 2 * step, rows / 2 * rise
    centre = page.points.mean(axis=0)
    angle = np.arange(_ROUND) / _ROUND * math.tau
    return np.asarray(
        centre
        + _AROUND * math.sqrt(2) * np.cos(angle)[:, None] * half[0]
        + _AROUND * math.sqrt(2) * np.sin(angle)[:, None] * half[1]
    )
