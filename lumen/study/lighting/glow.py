"""The glow on the wall: brightness along a headboard's top edge, and whether it shows dots.

The wall is looked at just above the board, where the light of a strip behind it comes out; an even
run reads as a calm halo, ends and corners and single LEDs as faults.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from lumen.light.dots import distance_for_contrast, dot_contrast
from lumen.light.geometry import Box
from lumen.light.sources import StripSource
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Strip
from lumen.study.lighting.evaluation import Spread, between
from lumen.study.lighting.fields import Grid, grids
from lumen.study.lighting.hues import hue_of, hues_at, paint
from lumen.study.lighting.maps import Lighting
from lumen.study.lighting.seen import while_read
from lumen.study.scene.emitters import Emitter
from lumen.study.scene.surfaces import ceiling_height_m, furniture_box, reflectance
from lumen.study.scene.view import first_patch

__all__ = [
    "DARK_CD_M2",
    "DOTS_SEEN",
    "EVEN",
    "Dots",
    "DotsShow",
    "EdgeGlow",
    "Glow",
    "dots_of_strips",
    "dots_show",
    "glows",
]

Array = NDArray[np.floating[Any]]

ABOVE_EDGE_M = 0.02
DOTS_FAINT, DOTS_SEEN = 0.01, 0.05
"""Contrast at which dots are faint, and plain: our own limits. The second agrees with a light-box
test that calls 15 mm even at a pitch of 16.7 mm, where the contrast is 4.8 %."""

EVEN = 0.7
"""Least over mean that reads as even: common practice, no source."""

BRIGHT_CORNER = 1.3
"""An end this much brighter than the middle reads as a bright corner: our own limit."""

DARK_CD_M2 = 0.1
"""Below this a wall in an evening room does not read as lit: our own limit."""

DotsShow = Literal["no dots", "faint dots", "dots"]

_STEP_M = 0.01
_SIDE = 0.15  # share of the run that counts as an end
_COARSE = 25


@dataclass(frozen=True)
class Dots:
    """How a strip's single LEDs show on what it faces.

    ``stand_off_m`` is the distance to the first surface it faces, ``contrast`` the Michelson
    contrast there without a cover, ``melts_at_m`` the distance where it falls to 5 %.
    """

    strip: str
    pitch_m: float
    stand_off_m: float | None
    contrast: float | None
    melts_at_m: float
    cover: str


@dataclass(frozen=True)
class EdgeGlow:
    """What the strips give along an edge in a setup: luminances [cd/m2], shares and dots.

    ``left_end`` and ``right_end`` are the ends over the middle, ``bright_ends`` and ``fading_ends``
    whether each (left, right) reads as a bright corner or as fading. ``dots`` is their contrast;
    ``others`` is the mean that lights and lamps add.
    """

    board: str
    setup: str
    mean: float
    least: float
    most: float
    evenness: float
    left_end: float
    right_end: float
    dots: float
    others: float
    bright_ends: tuple[bool, bool]
    fading_ends: tuple[bool, bool]

    @property
    def lit(self) -> bool:
        """Whether it reads as lit at all."""
        return self.mean >= DARK_CD_M2

    @property
    def even(self) -> bool:
        """Whether least over mean reads as even."""
        return self.least / self.mean >= EVEN if self.mean > 0 else False


@dataclass(frozen=True, eq=False)
class Glow:
    """Luminance of the wall along a headboard's top edge, source by source at full output.

    ``along`` (n,) runs from the wall's left end [m]; ``luminance`` is (sources, n) [cd/m2];
    ``ripple`` (sources,) is the contrast that each strip's dots have there; ``strips`` (sources,)
    tells strips from lights. ``hue`` (sources, 3) is the colour that the wall gives each source's
    light there, in linear red, green, blue of luminance 1, the source itself taken as white.
    ``by_page`` (pages, sources, n) is what each page that is read adds to each source's.
    """

    board: str
    along: Array
    height_m: float
    luminance: Array
    ripple: Array
    strips: NDArray[np.bool_]
    hue: Array = field(default_factory=lambda: np.ones((1, 3)))
    by_page: Array = field(default_factory=lambda: np.ones((0, 1, 1)))

    def profile(self, weights: Array, read: NDArray[np.bool_] | None = None) -> Array:
        """Return the luminance along the edge (n,) [cd/m2] with the sources at some levels.

        ``read`` (pages,) says which pages are read; without it none is.
        """
        found = weights @ self.luminance
        return np.asarray(found if read is None else found + weights @ self.by_page[read].sum(0))

    def in_setup(
        self, setup: str, weights: Array, read: NDArray[np.bool_] | None = None
    ) -> EdgeGlow:
        """Return what the strips give in a setup.

        Examples
        --------
        >>> one = np.ones(1, dtype=bool)
        >>> flat = Glow("b", np.arange(9.0), 1.0, np.full((1, 9), 5.0), np.zeros(1), one)
        >>> edge = flat.in_setup("evening", np.ones(1))
        >>> edge.even, edge.mean, edge.bright_ends
        (True, 5.0, (False, False))
        """
        lit = np.where(self.strips, weights, 0.0)
        line = self.profile(lit)
        mean = float(line.mean())
        side = max(1, round(_SIDE * len(line)))
        middle = float(np.median(line[side:-side])) or 1e-12
        ends = [float(line[:side].max()) / middle, float(line[-side:].max()) / middle]
        tips = [float(line[0]) / middle, float(line[-1]) / middle]
        each = (lit[:, None] * self.luminance).mean(axis=1)
        ripple = float((each * self.ripple).sum() / mean) if mean > 0 else 0.0
        return EdgeGlow(
            board=self.board,
            setup=setup,
            mean=mean,
            least=float(line.min()),
            most=float(line.max()),
            evenness=float(line.min()) / mean if mean > 0 else 0.0,
            left_end=ends[0] if ends[0] > BRIGHT_CORNER else tips[0],
            right_end=ends[1] if ends[1] > BRIGHT_CORNER else tips[1],
            dots=ripple,
            others=float(self.profile(weights, read).mean()) - mean,
            bright_ends=(ends[0] > BRIGHT_CORNER, ends[1] > BRIGHT_CORNER),
            fading_ends=(tips[0] < 1 / BRIGHT_CORNER, tips[1] < 1 / BRIGHT_CORNER),
        )


def dots_show(contrast: float) -> DotsShow:
    """Return how dots of a Michelson contrast show."""
    if contrast > DOTS_SEEN:
        return "dots"
    return "faint dots" if contrast > DOTS_FAINT else "no dots"


def glows(lighting: Lighting) -> tuple[Glow, ...]:
    """Return the glow above every headboard that stands at the bed wall.

    Notes
    -----
    Looked at 20 mm above the board's top edge, over the board's width, every 10 mm; direct light
    by closed forms with shadows, bounced light from the strip's own near field there and from the
    room's patches, drawn out between 25 places. L = rho E / pi.
    """
    scenario = lighting.scenario
    boards = [item for item in scenario.furniture if item.kind == "headboard"]
    if not boards or not scenario.strips:
        return ()
    wall = next(grid for grid in grids(scenario) if grid.id == "wall")
    found = (_glow(lighting, wall, board.id, furniture_box(board)) for board in boards)
    return tuple(glow for glow in found if glow is not None)


def _glow(lighting: Lighting, wall: Grid, board: str, box: Box) -> Glow | None:
    signs = np.array([(a, b, c) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)])
    corners = box.centre + signs * box.half_size @ box.axes
    off = (corners - wall.corner) @ wall.normal
    across = (corners - wall.corner) @ wall.u
    left, right = max(0.0, float(across.min())), min(wall.size_m[0], float(across.max()))
    height = float(corners[:, 2].max()) + ABOVE_EDGE_M
    if off.min() > 0.6 or right - left < 5 * _STEP_M:
        return None  # it stands away from the wall, or along another one
    along = np.arange(left + _STEP_M / 2, right, _STEP_M)
    points = _on_wall(wall, along, height)
    ceiling = min(ceiling_height_m(lighting.scenario.room, *points[k, :2]) for k in (0, -1))
    if height > ceiling - 0.01:
        return None
    normals = np.tile(wall.normal, (len(points), 1))
    light = lighting.evaluation
    coarse = np.linspace(left + 0.02, right - 0.02, _COARSE)
    edge = _on_wall(wall, coarse, height)
    few = light.sensors(edge, np.tile(wall.normal, (_COARSE, 1)))
    places = (along - coarse[0]) / (coarse[1] - coarse[0])
    spread = Spread(points, normals, few, between(places, _COARSE))

    def given(emitter: Emitter) -> tuple[Array, Array]:
        return light.direct(emitter, points, normals), light.bounced_over(emitter, spread)

    share = reflectance(wall.finish) / np.pi
    rows, ripple, hue = [], [], []
    bounced_hues = hues_at(lighting, edge, np.tile(wall.normal, (_COARSE, 1)))
    for k, emitter in enumerate(lighting.emitters):
        direct, bounced = light.cache.get(
            "glow light",
            partial(given, emitter),
            transport=lighting.room,
            points=points,
            normals=normals,
            source=emitter.content,
            detail=light.detail_of(emitter),
        )
        rows.append(share * (direct + bounced))
        mixed = direct.mean() * np.ones(3)
        mixed += bounced.mean() * (1.0 if bounced_hues is None else bounced_hues[k])
        hue.append(hue_of(paint(wall.finish) * mixed))
        contrast = _ripple(lighting.scenario, emitter.id, emitter.source, points, direct)
        ripple.append(contrast * float(direct.sum() / max((direct + bounced).sum(), 1e-12)))
    by_page = [share * while_read(lighting, page, spread) for page in lighting.pages]
    strips = np.array([isinstance(e.source, StripSource) for e in lighting.emitters])
    return Glow(
        board,
        along,
        height,
        np.array(rows),
        np.array(ripple),
        strips,
        np.array(hue).reshape(-1, 3),
        np.array(by_page).reshape(-1, len(lighting.emitters), len(points)),
    )


def _on_wall(wall: Grid, along: Array, height: float) -> Array:
    up = np.array([0.0, 0.0, height]) + 0.002 * wall.normal
    return np.asarray(wall.corner + along[:, None] * wall.u + up)


def _ripple(scenario: Scenario, name: str, source: object, points: Array, direct: Array) -> float:
    """Contrast of a strip's dots on a line, at its nearest lit place."""
    if not isinstance(source, StripSource) or direct.max() <= 0.0:
        return 0.0
    strip = next(item for item in scenario.strips if item.id == name)
    if strip.cover in ("frosted", "opal"):
        return 0.0
    a, b = source.path[:-1], source.path[1:]
    length = np.linalg.norm(b - a, axis=1)
    u = (b - a) / length[:, None]
    t = np.clip(np.einsum("nkc,kc->nk", points[:, None] - a[None], u), 0.0, length)
    gap = np.linalg.norm(points[:, None] - a[None] - t[..., None] * u[None], axis=2).min(axis=1)
    return dot_contrast(max(float(gap[direct > 0].min()), 1e-3), 1 / strip.leds_per_m)


def dots_of_strips(lighting: Lighting) -> tuple[Dots, ...]:
    """Return how each strip's LEDs show on the first surface it faces, from its middle."""
    found = []
    written = {strip.id: strip for strip in lighting.scenario.strips}
    for emitter in lighting.emitters:
        source = emitter.source
        if isinstance(source, StripSource):
            found.append(_dots(lighting, written[emitter.id], source))
    return tuple(found)


def _dots(lighting: Lighting, strip: Strip, source: StripSource) -> Dots:
    starts, ends, facings, _ = source.pieces()
    longest = int(np.argmax(np.linalg.norm(ends - starts, axis=1)))
    middle = (starts[longest] + ends[longest]) / 2
    _, off = first_patch(lighting.transport.patches, middle, facings[longest][None])
    near = float(off[0]) if np.isfinite(off[0]) and off[0] > 1e-3 else None
    pitch = 1 / strip.leds_per_m
    return Dots(
        strip=strip.id,
        pitch_m=pitch,
        stand_off_m=near,
        contrast=None if near is None else dot_contrast(near, pitch),
        melts_at_m=distance_for_contrast(DOTS_SEEN, pitch),
        cover=strip.cover,
    )
