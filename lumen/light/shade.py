r"""A decorative shade from tape-measure numbers: where its light goes and what hides the lamp.

A shade is a convex body of revolution about the aim (drum, cone, tube, head, globe), cut into
rings. The lamp is a small even source on its axis. Light that meets the wall passes straight
through gaps, is scattered out through the wall, scattered back inside, or lost; what is scattered
back meets the wall again or leaves by an opening, and so on to the end::

        ---- top opening ----       gamma = 180
       /                     \
      /          o lamp       \     wall: gaps + transmittance + reflectance + loss = 1
     /                         \
     ------ bottom opening ------   gamma = 0
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lumen.errors import PhotometryError
from lumen.light.intensity import IntensityDistribution
from lumen.tables import table, usual_shape

__all__ = ["SHAPES", "Material", "ShadedLight", "Shares", "distribution_of_shade", "shade_material"]

Array = NDArray[np.float64]

SHAPES = ("drum", "cone", "globe", "cylinder", "head")

_LAMP_SPREAD = 0.03
"""Doubt left when a real lamp is not even all round: our own assumption, a share of the flux."""


@dataclass(frozen=True)
class Material:
    """What a wall does with the light that meets it, from inside; shares of that light.

    ``openness`` passes straight through, ``transmittance`` scattered; the rest is lost.

    Raises
    ------
    PhotometryError
        When a share is not within 0 to 1 or they add up to more than 1.
    """

    transmittance: float
    reflectance: float
    openness: float = 0.0

    def __post_init__(self) -> None:
        for name in ("transmittance", "reflectance", "openness"):
            value = getattr(self, name)
            if not 0.0 <= value <= 1.0:
                raise PhotometryError(f"material.{name}", "must be from 0 to 1", value)
        total = self.transmittance + self.reflectance + self.openness
        if total > 1.0 + 1e-9:
            raise PhotometryError("material", "shares must add up to 1 at most", total)

    @property
    def absorptance(self) -> float:
        """Share that is lost."""
        return max(0.0, 1.0 - self.transmittance - self.reflectance - self.openness)


@dataclass(frozen=True)
class Shares:
    """Where the lamp's flux ends, as shares of it; they add up to 1."""

    direct_down: float
    direct_up: float
    direct_through: float
    bounced_down: float
    bounced_up: float
    scattered_through: float
    absorbed: float

    @property
    def down(self) -> float:
        """Share out of the bottom opening."""
        return self.direct_down + self.bounced_down

    @property
    def up(self) -> float:
        """Share out of the top opening."""
        return self.direct_up + self.bounced_up

    @property
    def through(self) -> float:
        """Share out through the wall."""
        return self.direct_through + self.scattered_through

    @property
    def out(self) -> float:
        """Share that leaves the shade."""
        return self.down + self.up + self.through


@dataclass(frozen=True, eq=False)
class ShadedLight:
    """A shade with its lamp, seen from afar.

    Parameters
    ----------
    distribution, low, high
        Intensity with the material's middle values and with its darkest and lightest.
    shares
        Where the flux goes, with the middle values.
    cutoff_below, cutoff_above
        Angle from the aim (below) or from its opposite (above) at which the rim hides the middle of
        the lamp [rad]; 0 when that end is closed.
    hidden_below, hidden_above
        The same for the last bit of the lamp [rad].
    wall_luminance, inside_luminance
        Mean luminance of the wall seen from outside, and of its lit inside [cd/m^2].
    mouth_below, mouth_above
        Areas of the openings [m^2]; 0 when that end is closed.
    wall_areas
        Area of the wall that faces a far eye at each ``gamma`` of the distribution [m^2].
    spread
        Half the band of the flux that leaves, as a share of it.
    notes
        What was assumed.
    """

    distribution: IntensityDistribution
    low: IntensityDistribution
    high: IntensityDistribution
    shares: Shares
    cutoff_below: float
    cutoff_above: float
    hidden_below: float
    hidden_above: float
    wall_luminance: float
    inside_luminance: float
    mouth_below: float
    mouth_above: float
    wall_areas: Array
    spread: float
    notes: tuple[str, ...]

    def wall_area(self, gamma: ArrayLike) -> Array:
        """Area of the wall's outside that a far eye sees at ``gamma`` from the aim [m^2]."""
        at = np.asarray(gamma, dtype=float)
        return np.asarray(np.interp(at, self.distribution.gamma, self.wall_areas))


def shade_material(name: str) -> tuple[Material, Material, Material]:
    """Return a shade material by name: middle, darkest and lightest values of the table.

    Raises
    ------
    PhotometryError
        When the table holds no such material.

    Examples
    --------
    >>> shade_material("opal glass")[0].transmittance
    0.42
    """
    for row in table("materials"):
        if row["material"] == name:
            gap = float(row["openness"])
            middle, low, high = (
                Material(float(row[f"transmittance{end}"]), float(row[f"reflectance{end}"]), gap)
                for end in ("", "_low", "_high")
            )
            return middle, low, high
    known = "; ".join(row["material"] for row in table("materials"))
    raise PhotometryError("shade.material", f"must be one of {known}", name)


def distribution_of_shade(
    flux_lm: float,
    *,
    shape: str,
    bottom_diameter_m: float,
    height_m: float,
    top_diameter_m: float | None = None,
    lamp_height_m: float | None = None,
    material: str | Material = "fabric, light",
    open_top: bool = True,
    open_bottom: bool = True,
    lamp_diameter_m: float = 0.060,
) -> ShadedLight:
    """A shade of given sizes and material sends its lamp's flux up, down, through, or loses it.

    Parameters
    ----------
    flux_lm
        Flux of the bare lamp [lm].
    shape
        ``drum``, ``cone``, ``cylinder`` (a tube), ``head`` (closed at its top) or ``globe``
        (closed; an ellipsoid when height and diameter differ).
    bottom_diameter_m, top_diameter_m, height_m
        Sizes of the shade [m]; top None means as the bottom, or for a cone a share of it (table
        ``usual_shapes``).
    lamp_height_m
        Lamp's middle above the lower edge [m]; None means half-way (the same table).
    material
        A name of the materials table, or shares of one's own (then without a band).
    open_top, open_bottom
        Whether the ends are open; a closed end is of the wall's material.
    lamp_diameter_m
        Lamp's diameter [m]; it softens the cut-off.

    Raises
    ------
    PhotometryError
        When a size is not positive, the lamp stands outside, or the shape or material is unknown.

    Notes
    -----
    Direct light leaves by solid angle. The wall is cut into rings; flux between rings follows from
    coaxial discs, G = (pi/2) (s - sqrt(s^2 - 4 r1^2 r2^2)), s = r1^2 + r2^2 + h^2, so that the
    multiple reflection inside is solved, not guessed, and all shares add up to 1. The wall scatters
    by Lambert's law on both sides. Seen from afar only; nearer than about five diameters the shade
    is wide against the distance. Mirror-like insides, finials and lamp sockets are left out.

    Source: coaxial discs as catalogued by Howell (C-41), number from memory.

    Examples
    --------
    A black opaque drum lets out only the two cones of direct light:

    >>> light = distribution_of_shade(
    ...     1000.0, shape="drum", bottom_diameter_m=0.3, height_m=0.3, material=Material(0, 0)
    ... )
    >>> round(light.shares.down, 4), round(light.shares.out, 4)
    (0.1464, 0.2929)
    """
    notes: list[str] = []
    for name, value in (
        ("bottom_diameter_m", bottom_diameter_m),
        ("top_diameter_m", 1.0 if top_diameter_m is None else top_diameter_m),
        ("height_m", height_m),
    ):
        if not 0.0 < value < 10.0:
            raise PhotometryError(f"shade.{name}", "must be more than 0 and below 10", value)
    if shape not in SHAPES:
        raise PhotometryError("shade.shape", f"must be one of {', '.join(SHAPES)}", shape)
    if lamp_height_m is None:
        lamp_height_m = usual_shape("lamp over shade height") * height_m
        notes.append("lamp half-way up the shade")
    closed_ends = shape == "globe"
    if not 0.0 <= lamp_height_m <= height_m or (closed_ends and lamp_height_m in (0.0, height_m)):
        raise PhotometryError(
            "shade.lamp_height_m", f"must be inside the shade, 0 to {height_m:g}", lamp_height_m
        )
    profile = _profile(
        shape, bottom_diameter_m, top_diameter_m, height_m, (open_bottom, open_top), notes
    )
    inside = not (
        (profile[0][0] == 0 and lamp_height_m == 0)
        or (profile[-1][0] == 0 and lamp_height_m == height_m)
    )
    if not inside:
        raise PhotometryError("shade.lamp_height_m", "must not touch a closed end", lamp_height_m)
    middle, low, high = (
        (material, material, material)
        if isinstance(material, Material)
        else shade_material(material)
    )
    cavity = _Cavity(np.array(profile), lamp_height_m, lamp_diameter_m / 2)
    best, least, most = (cavity.light(wall) for wall in (middle, low, high))
    out = best.shares.out
    band = (most.shares.out - least.shares.out) / (2 * out) if out > 0 else 0.0
    below, above = cavity.cutoffs
    return ShadedLight(
        distribution=best.distribution.scaled_to(flux_lm * out),
        low=least.distribution.scaled_to(flux_lm * least.shares.out),
        high=most.distribution.scaled_to(flux_lm * most.shares.out),
        shares=best.shares,
        cutoff_below=below[0],
        cutoff_above=above[0],
        hidden_below=sum(below),
        hidden_above=sum(above),
        wall_luminance=flux_lm * best.wall_luminance,
        inside_luminance=flux_lm * best.inside_luminance,
        mouth_below=cavity.mouths[0],
        mouth_above=cavity.mouths[1],
        wall_areas=cavity.wall_areas,
        spread=math.hypot(band, _LAMP_SPREAD),
        notes=(*notes, "lamp taken as small and even all round, wall as perfectly diffusing"),
    )


def _profile(
    shape: str,
    bottom: float,
    top: float | None,
    height: float,
    open_ends: tuple[bool, bool],
    notes: list[str],
) -> list[tuple[float, float]]:
    """Outline (radius, height) [m] from the bottom to the top."""
    if shape == "globe":
        angle = np.linspace(0.0, math.pi, 41)
        radius, rise = bottom / 2 * np.sin(angle), height / 2 * (1 - np.cos(angle))
        radius[0] = radius[-1] = 0.0
        return [(float(r), float(z)) for r, z in zip(radius, rise, strict=True)]
    if top is None:
        top = usual_shape(f"{shape} top over bottom") * bottom
        if shape == "cone":
            notes.append(f"top of the cone {top / bottom:g} of its bottom")
    r0, r1 = bottom / 2, top / 2
    share = np.linspace(0.0, 1.0, 25)
    wall = [(float(r0 + (r1 - r0) * s), float(height * s)) for s in share]
    rings = np.linspace(0.0, 1.0, 7)[:-1]
    open_bottom, open_top = open_ends[0] or shape == "head", open_ends[1] and shape != "head"
    start = [] if open_bottom else [(float(r0 * s), 0.0) for s in rings]
    end = [] if open_top else [(float(r1 * s), height) for s in rings[::-1]]
    return [*start, *wall, *end]


@dataclass(frozen=True, eq=False)
class _Light:
    """What one lumen of the lamp becomes."""

    distribution: IntensityDistribution
    shares: Shares
    wall_luminance: float
    inside_luminance: float


class _Cavity:
    """The inside of a convex body of revolution with a small lamp on its axis."""

    def __init__(self, profile: Array, lamp_height: float, lamp_radius: float) -> None:
        self._lights: dict[Material, _Light] = {}
        self.r, self.z = profile[:, 0], profile[:, 1]
        dr, dz = np.diff(self.r), np.diff(self.z)
        slant = np.hypot(dr, dz)
        self.area = math.pi * (self.r[:-1] + self.r[1:]) * slant
        self.normal = dz / slant, -dr / slant  # outward: (across, up)
        self.middle = (self.r[:-1] + self.r[1:]) / 2, (self.z[:-1] + self.z[1:]) / 2
        theta = np.arctan2(self.r, lamp_height - self.z)  # from straight down
        cosine = np.cos(theta)
        self.first_hit = -np.diff(cosine) / 2
        self.direct = float(1 - cosine[0]) / 2, float(1 + cosine[-1]) / 2
        self.cutoffs = (
            self._cutoff(float(theta[0]), 0, lamp_height, lamp_radius),
            self._cutoff(math.pi - float(theta[-1]), -1, lamp_height, lamp_radius),
        )
        self.mouths = math.pi * float(self.r[0]) ** 2, math.pi * float(self.r[-1]) ** 2
        self._exchange()
        steps = np.radians(np.arange(0.0, 181.0, 2.0))
        (below, soft_b), (above, soft_a) = self.cutoffs
        edges = [below - soft_b, below + soft_b, math.pi - above - soft_a, math.pi - above + soft_a]
        extra = [e for e in edges if 0.0 < e < math.pi]
        gamma = np.unique(np.round(np.concatenate([steps, np.array(extra)]), 9))
        gamma[-1] = math.pi
        self.gamma = gamma
        self._facing = self._facing_share()
        self.wall_areas = self.area @ self._facing

    def _cutoff(
        self, angle: float, end: int, lamp_height: float, lamp_radius: float
    ) -> tuple[float, float]:
        """Angle that hides the lamp's middle, and half the width of the edge [rad]."""
        if self.r[end] == 0.0:
            return 0.0, 0.0
        reach = math.hypot(float(self.r[end]), float(self.z[end]) - lamp_height)
        soft = math.asin(min(lamp_radius / reach, 0.9))
        return angle, max(1e-4, min(soft, angle, math.pi - angle))

    def _exchange(self) -> None:
        """Shares of the light leaving each ring that reach each ring and both openings."""
        a, b = self.r[:, None] ** 2, self.r[None, :] ** 2
        s = a + b + (self.z[:, None] - self.z[None, :]) ** 2
        g = math.pi / 2 * (s - np.sqrt(np.maximum(s * s - 4 * a * b, 0.0)))
        # from ring i to the disc at station k above it: what crosses its upper disc less its lower
        to_disc = np.abs(g[1:, :] - g[:-1, :])
        rings = len(self.area)
        to_ring = np.abs(to_disc[:, :-1] - to_disc[:, 1:])
        own = np.arange(rings)
        to_ring[own, own] = self.area - to_disc[own, own] - to_disc[own, own + 1]
        self.to_ring = np.maximum(to_ring, 0.0) / self.area[:, None]
        self.to_bottom, self.to_top = to_disc[:, 0] / self.area, to_disc[:, -1] / self.area

    def light(self, wall: Material) -> _Light:
        """Where each lumen of the lamp goes with a wall material; reckoned once for each."""
        if wall not in self._lights:
            self._lights[wall] = self._solve(wall)
        return self._lights[wall]

    def _solve(self, wall: Material) -> _Light:
        rho, rings = wall.reflectance, len(self.area)
        incident = np.linalg.solve(np.eye(rings) - rho * self.to_ring.T, self.first_hit)
        later = incident - self.first_hit
        gap = wall.openness
        scattered = wall.transmittance * incident + gap * later
        bounced = rho * incident
        shares = Shares(
            direct_down=self.direct[0],
            direct_up=self.direct[1],
            direct_through=gap * float(self.first_hit.sum()),
            bounced_down=float(bounced @ self.to_bottom),
            bounced_up=float(bounced @ self.to_top),
            scattered_through=float(scattered.sum()),
            absorbed=wall.absorptance * float(incident.sum()),
        )
        total = self._direct(gap, shares)
        total = total + self._normed(self._outside(scattered), shares.scattered_through)
        total = total + self._normed(self._opening(bounced, down=True), shares.bounced_down)
        total = total + self._normed(self._opening(bounced, down=False), shares.bounced_up)
        shape = IntensityDistribution(self.gamma, np.zeros(1), total[None, :])
        per_area = 1.0 / (math.pi * float(self.area.sum()))
        return _Light(
            distribution=shape.scaled_to(shares.out),
            shares=shares,
            wall_luminance=float(scattered.sum()) * per_area,
            inside_luminance=float(bounced.sum()) * per_area,
        )

    def _normed(self, curve: Array, share: float) -> Array:
        flux = IntensityDistribution(self.gamma, np.zeros(1), curve[None, :]).flux_lm
        return curve * (share / flux) if flux > 0 else np.zeros_like(curve)

    def _direct(self, gap: float, shares: Shares) -> Array:
        """The lamp itself through the openings and the gaps of the wall."""
        (below, soft_b), (above, soft_a) = self.cutoffs
        down = np.zeros_like(self.gamma)
        up = np.zeros_like(self.gamma)
        if soft_b:
            down = np.clip((below + soft_b - self.gamma) / (2 * soft_b), 0.0, 1.0)
        if soft_a:
            up = np.clip((above + soft_a - (math.pi - self.gamma)) / (2 * soft_a), 0.0, 1.0)
        through = np.clip(1 - down - up, 0.0, 1.0) if gap else np.zeros_like(down)
        return (
            self._normed(down, shares.direct_down)
            + self._normed(up, shares.direct_up)
            + self._normed(through, shares.direct_through)
        )

    def _facing_share(self) -> Array:
        """Share of each ring's outside that faces a far eye, times its mean cosine (rings, g)."""
        across = self.normal[0][:, None] * np.sin(self.gamma)
        along = -self.normal[1][:, None] * np.cos(self.gamma)
        with np.errstate(divide="ignore", invalid="ignore"):
            edge = np.where(across > 1e-12, -along / across, np.where(along > 0, -1.0, 1.0))
        phi = np.arccos(np.clip(edge, -1.0, 1.0))
        seen = across * np.sin(phi) + along * phi  # integral of max(n.d, 0) over half the ring
        return np.asarray(np.maximum(seen, 0.0) / math.pi)

    def _outside(self, flux: Array) -> Array:
        """Curve of light scattered out of the wall, ring by ring (any scale)."""
        return np.asarray(flux @ self._facing)

    def _opening(self, flux: Array, *, down: bool) -> Array:
        """Curve of light that rings scatter out through an opening (any scale)."""
        end = 0 if down else -1
        rim = float(self.r[end])
        curve = np.zeros_like(self.gamma)
        if rim == 0.0:
            return curve
        angle = self.gamma if down else math.pi - self.gamma
        lit = angle < math.pi / 2 - 1e-6
        r, depth = self.middle[0][:, None], np.abs(self.middle[1] - self.z[end])[:, None]
        tilt = self.normal[1] if not down else -self.normal[1]
        shift = depth * np.tan(angle[lit])
        with np.errstate(divide="ignore", invalid="ignore"):
            edge = (rim**2 - r**2 - shift**2) / (2 * r * shift)
        edge = np.where(shift > 1e-12, edge, np.where(r < rim, 1.0, -1.0))
        phi = np.arccos(np.clip(edge, -1.0, 1.0))
        across = self.normal[0][:, None] * np.sin(angle[lit])
        along = tilt[:, None] * np.cos(angle[lit])
        seen = across * np.sin(phi) - along * (math.pi - phi)
        curve[lit] = flux @ np.maximum(seen, 0.0)
        return curve
