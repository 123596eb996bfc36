"""Comfort: what glares, what wakes a sleeper, which white meets which, how the wall glows.

Everything here is read from the maps of `lumen.study.lighting.maps`; nothing is lit anew but the
wall along a headboard's edge.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from functools import cached_property
from itertools import combinations
from typing import Any

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
from lumen.study.eyes.sight import GLARE_FIELD_DEG, HARSH_CD_M2, Sighting, sightings
from lumen.study.lighting.glow import DARK_CD_M2, Dots, Glow, GlowWords, dots_of_strips, glows
from lumen.study.lighting.hues import hues_at
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.media import medium_of
from lumen.study.scene.targets import LYING, Target
from lumen.study.scene.view import first_patch
from lumen.study.words import amount
from lumen.tables import table

__all__ = [
    "Budget",
    "Comfort",
    "Contrast",
    "Glare",
    "PageWhite",
    "Sleeper",
    "Way",
    "comfort",
]

Array = NDArray[np.floating[Any]]

NEAR_RATIO, FAR_RATIO = 3.0, 10.0
"""Page over what lies around it: 3 to 1 near by, 10 to 1 at most; common practice, from memory (the
second also as NBR 5413:1992, 5.3.65: the rest of the room at least a tenth of the task)."""

_UGR_POSTURES = ("sitting", "slouched", "foot", "door")
_AROUND = 1.5  # how far beyond the page one looks, in pages
_ROUND = 12


@dataclass(frozen=True)
class Glare:
    """UGR of one eye in one setup, with every bound of its validity that is left."""

    eye: str
    setup: str
    rating: GlareRating
    background: float


@dataclass(frozen=True)
class Contrast:
    """Luminance of a page over that of what one sees around it [cd/m2]."""

    target: str
    setup: str
    page: float
    surround: float
    ratio: float | None
    words: str


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


@dataclass(frozen=True)
class Sleeper:
    """One person asleep: the budget of each light, and what each setup gives."""

    person: str
    name: str
    budgets: tuple[Budget, ...]
    by_setup: tuple[dict[str, Any], ...]


@dataclass(frozen=True)
class Way:
    """Light on the floor from a bed's side to the door in one setup [lx]."""

    target: str
    setup: str
    average: float
    minimum: float
    words: str


@dataclass(frozen=True)
class PageWhite:
    """White of the light on one page in one setup: CCT [K] and distance from the locus."""

    target: str
    setup: str
    white: White
    words: str


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
        level = self._levels(setup)
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
        first: dict[tuple[str, str, str | None], Sighting] = {}
        for seen in bright:
            first.setdefault((_place(seen.eye), seen.light, seen.mirror), seen)
        return tuple(first.values())

    def glare(self, setup: str) -> tuple[Glare, ...]:
        """Return the UGR of every eye that sits or stands and has something bright in view.

        Notes
        -----
        The background is the bounced light on the plane square to the gaze over pi; CIE 117 means a
        level gaze, so a reader who looks down is outside its letter. Those who lie get no rating.
        """
        level = self._levels(setup)
        found = []
        for target in self.lighting.targets:
            if target.kind != "eye" or target.posture not in _UGR_POSTURES:
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
                if target.normals[0, 2] < -0.1:
                    down = "the gaze is on the page, UGR means a level one"
                    rating = GlareRating(rating.value, rating.small_source, (*rating.limits, down))
                found.append(Glare(target.id, setup, rating, background))
        return tuple(found)

    def contrast(self, setup: str) -> tuple[Contrast, ...]:
        """Return page over surround for every reader: what the eye meets round the page's edge."""
        exitance = self._exitance(setup)
        reads = self.lighting.reading.get(setup, ())
        media = {f"page:{p.id}": (p.id, medium_of(p)) for p in self.lighting.scenario.people}
        found = []
        for target, patch in self._around.items():
            person, medium = media[target]
            lux = self.lighting.answer(target, setup).average_lx
            page = luminance_of_surface(lux, medium.reflectance)
            page += medium.luminance if person in reads else 0.0
            seen = patch[patch >= 0]
            around = float(exitance[seen].mean()) / math.pi if len(seen) else 0.0
            ratio = page / around if around > 1e-9 else None
            found.append(Contrast(target, setup, page, around, ratio, _contrast_words(page, ratio)))
        return tuple(found)

    @cached_property
    def _around(self) -> dict[str, NDArray[np.intp]]:
        """The patches that each reader sees round the page."""
        eyes = {t.person: t.points[0] for t in self.lighting.targets if t.posture == "sitting"}
        found = {}
        for target in self.lighting.targets:
            if target.id.startswith("page:") and target.person in eyes:
                rays = _ring(target) - eyes[target.person]
                rays /= np.linalg.norm(rays, axis=1, keepdims=True)
                patches = self.lighting.transport.patches
                found[target.id] = first_patch(patches, eyes[target.person], rays)[0]
        return found

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
            if (
                eyes := [t for t in self.lighting.targets if t.person == who and t.posture in LYING]
            )
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

    def _nights(self, eyes: list[Target]) -> tuple[dict[str, Any], ...]:
        found = []
        for setup in self.lighting.scenario.setups:
            answers = [self.lighting.answer(eye.id, setup.id) for eye in eyes]
            worst = max(answers, key=lambda a: a.melanopic_lx)
            found.append(
                {
                    "setup": setup.id,
                    "target": worst.target,
                    "melanopic_edi_lx": worst.melanopic_lx,
                    "low_lx": worst.melanopic_low_lx,
                    "high_lx": worst.melanopic_high_lx,
                    "words": night_words(worst.melanopic_lx),
                }
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
            if not target.id.startswith("page:"):
                continue
            shares = self.lighting.answer(target.id, setup).by_source
            tinted = self._tinted.get(target.id, cct)
            parts: list[tuple[float, float | tuple[float, float]]] = []
            for s in shares:
                parts += [(s.direct_lx, cct[s.id]), (s.bounced_lx, tinted[s.id])]
            if sum(lux for lux, _ in parts) > 0.01:
                white = mixed_white(parts)
                found.append(PageWhite(target.id, setup, white, _white_words(white)))
        return tuple(found)

    @cached_property
    def _tinted(self) -> dict[str, dict[str, tuple[float, float]]]:
        """Chromaticity of each source's bounced light on each page; nothing in a grey room."""
        found = {}
        for target in self.lighting.targets:
            if target.id.startswith("page:"):
                hues = hues_at(self.lighting, target.points, target.normals)
                if hues is not None:
                    found[target.id] = {
                        e.id: xy_of_rgb(hue * np.array(tint_of_white(e.cct_k, None)))
                        for e, hue in zip(self.lighting.emitters, hues, strict=True)
                    }
        return found

    def mismatches(self, setup: str) -> tuple[tuple[str, str, Mismatch], ...]:
        """Return the pairs of lights and strips, on together, whose whites can be told apart."""
        level = self._levels(setup)
        written = {item.id for item in self.lighting.scenario.sources}  # screens are no lamps
        lit = [e for e in self.lighting.emitters if e.id in written and level[e.id] > 0]
        pairs = ((a, b, white_mismatch(a.cct_k, b.cct_k)) for a, b in combinations(lit, 2))
        return tuple((a.id, b.id, found) for a, b, found in pairs if found.verdict != "alike")

    def ways(self, setup: str) -> tuple[Way, ...]:
        """Return how each way to the door is lit: least and average on the floor."""
        found = []
        for target in self.lighting.targets:
            if target.id.startswith("path:"):
                answer = self.lighting.answer(target.id, setup)
                words = _way_words(answer.minimum_lx, answer.average_lx)
                found.append(Way(target.id, setup, answer.average_lx, answer.minimum_lx, words))
        return tuple(found)

    def glow_words(self, setup: str) -> tuple[GlowWords, ...]:
        """Return how the strips' glow reads in a setup; nothing when no strip is on."""
        weights = self.lighting.weights(setup)
        return tuple(
            glow.in_words(setup, weights, self.read_in(setup))
            for glow in self.glow
            if (weights * glow.strips).max(initial=0.0) > 0
        )

    def read_in(self, setup: str) -> NDArray[np.bool_]:
        """Return which of the lighting's pages are read in a setup (pages,)."""
        read = self.lighting.pages_read(setup)
        return np.array([page in read for page in self.lighting.pages], dtype=bool)

    # ---- all of it ------------------------------------------------------------------------------

    def _levels(self, setup: str) -> dict[str, float]:
        weights = self.lighting.weights(setup)
        return {e.id: float(w) for e, w in zip(self.lighting.emitters, weights, strict=True)}

    def _exitance(self, setup: str) -> Array:
        total = np.zeros(len(self.lighting.transport.patches))
        for weight, found in zip(self.lighting.weights(setup), self.lighting.maps, strict=True):
            total += weight * found.patch_exitance
        for found, factors in self.lighting.page_maps(setup):
            total += factors.sum() * found.patch_exitance
        return total

    def to_json(self) -> dict[str, Any]:
        """Return comfort as plain data: the study's ``comfort``."""
        setups = [setup.id for setup in self.lighting.scenario.setups]
        return {
            "sight": [_sighting(seen) for seen in self.sight],
            "glow": [
                {
                    "board": glow.board,
                    "height_m": _short(glow.height_m),
                    "along_m": [_short(x) for x in glow.along],
                    "luminance_cd_m2": {
                        emitter.id: [_short(x) for x in row]
                        for emitter, row in zip(self.lighting.emitters, glow.luminance, strict=True)
                    },
                    "hue": {
                        emitter.id: [_short(x) for x in row]
                        for emitter, row in zip(self.lighting.emitters, glow.hue, strict=True)
                    },
                    "while_read_cd_m2": {
                        page.emitter.id: {
                            emitter.id: [_short(x) for x in row]
                            for emitter, row in zip(self.lighting.emitters, rows, strict=True)
                        }
                        for page, rows in zip(self.lighting.pages, glow.by_page, strict=True)
                    },
                }
                for glow in self.glow
            ],
            "dots": [{**_rounded(asdict(dots)), "words": dots.words} for dots in self.dots],
            "sleepers": [_rounded(asdict(sleeper)) for sleeper in self.sleepers],
            "setups": [self._setup(setup) for setup in setups],
        }

    def _setup(self, setup: str) -> dict[str, Any]:
        level = self._levels(setup)
        return {
            "setup": setup,
            "harsh": [
                {
                    "eye": s.eye,
                    "light": s.light,
                    "words": s.words,
                    "glares": s.glares(level[s.light]),
                    "luminance_cd_m2": _short(s.luminance * level[s.light]),
                    "from_gaze_deg": _short(math.degrees(s.beta)),
                    "told": s.told(level[s.light]),
                }
                for s in self.harsh(setup)
            ],
            "glare": [_glare(found) for found in self.glare(setup)],
            "contrast": [_rounded(asdict(found)) for found in self.contrast(setup)],
            "white": [
                {
                    "target": w.target,
                    "cct_k": _short(w.white.cct_k),
                    "duv": _short(w.white.duv),
                    "words": w.words,
                }
                for w in self.whites(setup)
            ],
            "mismatch": [
                {"first": a, "second": b, **_rounded(asdict(found))}
                for a, b, found in self.mismatches(setup)
            ],
            "glow": [_rounded(asdict(found)) for found in self.glow_words(setup)],
            "ways": [_rounded(asdict(found)) for found in self.ways(setup)],
            "lines": list(self.lines(setup)),
        }

    def lines(self, setup: str) -> Iterator[str]:
        """Yield what matters in a setup as short sentences; none when nothing does."""
        level = self._levels(setup)
        glaring = [seen for seen in self.harsh(setup) if seen.glares(level[seen.light])]
        yield from (f"Glaring: {seen.told(level[seen.light])}" for seen in glaring[:_MOST_LINES])
        more = len(glaring) - _MOST_LINES
        if more > 0:
            yield f"{more} more such lines of sight"
        beside = len(self.harsh(setup)) - len(glaring)
        if beside:
            yield (
                f"{beside} more bright thing{'s' if beside > 1 else ''} in sight, over "
                f"{GLARE_FIELD_DEG:.0f} degrees off the line of view"
            )
        names = {e.id: e.name for e in self.lighting.emitters}
        for glow in self.glow_words(setup):
            if glow.mean >= DARK_CD_M2:
                yield f"Glow above the {glow.board}: {glow.words}, about {amount(glow.mean)} cd/m2"
        for first, second, found in self.mismatches(setup):
            yield (
                f"The whites of {names[first]} and {names[second]} are "
                f"{found.verdict} ({found.mired:.0f} mired apart)"
            )
        for way in self.ways(setup):
            if 0.0 < way.average < _night_light()[2]:
                name = next(t.name for t in self.lighting.targets if t.id == way.target)
                yield (
                    f"{name}: {way.words}, least {amount(way.minimum)} lx, "
                    f"average {amount(way.average)} lx"
                )
        for contrast in self.contrast(setup):
            if contrast.ratio is not None and contrast.ratio > FAR_RATIO and contrast.page > 1:
                yield f"{_capital(contrast.target.partition(':')[2])}'s page: {contrast.words}"


_MOST_LINES = 4


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


def night_words(melanopic_lx: float) -> str:
    """Return how much light that is for somebody who sleeps.

    Examples
    --------
    >>> night_words(0.4), night_words(4.0)
    ('within the 1 lx for sleep', 'over the 1 lx for sleep, within the 10 lx of an evening')
    """
    limits = {row["what"]: float(row["value"] or 0) for row in table("glare_limits")}
    asleep, evening = limits["melanopic edi asleep"], limits["melanopic edi in the evening"]
    if melanopic_lx <= asleep:
        return f"within the {asleep:g} lx for sleep"
    if melanopic_lx <= evening:
        return f"over the {asleep:g} lx for sleep, within the {evening:g} lx of an evening"
    return f"over the {evening:g} lx of an evening"


def _place(eye: str) -> str:
    """One pillow is one place; so are the foot of the bed and the door, whoever stands there."""
    _, person, posture = eye.split(":")
    if posture in LYING:
        return f"{person}:lying"
    return posture if posture in ("foot", "door") else f"{person}:seat"


def _night_light() -> tuple[float, float, float]:
    """Low, usual and high of a night light on the floor [lx]: our synthesis, table ``aims``."""
    (row,) = (r for r in table("aims") if r["use"] == "night" and r["region"] == "default")
    return float(row["low_lx"]), float(row["lx"]), float(row["high_lx"])


def _way_words(minimum: float, average: float) -> str:
    low, _, high = _night_light()
    if average <= 0.0:
        return "dark"
    if minimum < low:
        return "dark in places"
    return "enough to walk by" if average <= high else "brighter than a walk at night needs"


def _contrast_words(page: float, ratio: float | None) -> str:
    if page < 1.0 or ratio is None:
        return "too dark to tell"
    if ratio > FAR_RATIO:
        return f"{ratio:.0f} times as bright as what lies around it: tiring"
    if ratio > NEAR_RATIO:
        return f"{ratio:.0f} times as bright as what lies around it"
    return "in keeping with what lies around it"


def _white_words(white: White) -> str:
    warmth = "warm" if white.cct_k < 3300 else "neutral" if white.cct_k < 5300 else "cold"
    tint = ""
    if abs(white.duv) > 0.006:  # the width of the bins of ANSI C78.377, from memory
        tint = ", greenish" if white.duv > 0 else ", pinkish"
    return f"{warmth} white{tint}"


def _ring(page: Target) -> Array:
    """Points round a page at one and a half times its size."""
    centre = page.points.mean(axis=0)
    across, up = page.points[4] - page.points[0], page.points[-1] - page.points[4]
    angle = np.arange(_ROUND) / _ROUND * math.tau
    # the grid of middles spans 4/5 across and 3/4 up the page
    half = across / 2 / 0.8, up / 2 / 0.75
    return np.asarray(
        centre
        + _AROUND * math.sqrt(2) * np.cos(angle)[:, None] * half[0]
        + _AROUND * math.sqrt(2) * np.sin(angle)[:, None] * half[1]
    )


def _sighting(seen: Sighting) -> dict[str, Any]:
    return {
        "eye": seen.eye,
        "light": seen.light,
        "mirror": seen.mirror,
        "look": seen.look,
        "in_view": seen.in_view,
        "harsh": seen.harsh,
        "glares": seen.glares(1.0),
        "luminance_cd_m2": _short(seen.luminance),
        "low_cd_m2": _short(seen.low),
        "high_cd_m2": _short(seen.high),
        "from_gaze_deg": _short(math.degrees(seen.beta)),
        "distance_m": _short(seen.distance_m),
        "shielding_deg": None if seen.shielding_deg is None else _short(seen.shielding_deg),
        "shielding_asked_deg": _short(seen.needed_deg),
        "shielding_limit": None if seen.applies else _BELOW,
        "changes": [{"raise_m": c.by_m, "newly_seen_by": list(c.newly)} for c in seen.changes],
        "deeper_shade_m": seen.deeper_shade_m,
        "words": seen.words,
    }


_BELOW = "EN 12464-1 speaks of lights above eye height only: a guide here"


def _glare(found: Glare) -> dict[str, Any]:
    value = found.rating.value
    return {
        "eye": found.eye,
        "ugr": None if value is None else _short(value),
        "background_cd_m2": _short(found.background),
        "small_source": found.rating.small_source,
        "limits": list(found.rating.limits),
    }


def _rounded(value: Any) -> Any:
    """Plain data with every number at five significant digits."""
    if isinstance(value, float):
        return _short(value)
    if isinstance(value, dict):
        return {key: _rounded(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(item) for item in value]
    return value


def _short(value: float) -> float:
    return float(f"{value:.5g}")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
