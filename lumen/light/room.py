"""The room as the light engine sees it: flat surfaces around, solid boxes inside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lumen.errors import GeometryError
from lumen.light.geometry import Box, Floats, Surface

__all__ = ["Room"]


@dataclass(frozen=True, eq=False)
class Room:
    """Surfaces that close the room, and the boxes that stand in it.

    Parameters
    ----------
    surfaces : tuple of Surface
        Floor, walls and ceilings; together they close the room, lit sides inward.
    surface_names : tuple of str
        One name a surface.
    boxes : tuple of Box
        Furniture; may touch the shell and one another.
    box_names : tuple of str
        One name a box.
    box_reflectances : tuple
        One entry a box: a number, three (red, green, blue), six (one a face, in the order
        -x +x -y +y -z +z of the box's own axes) or (6, 3); at least 0 and less than 1.

    Raises
    ------
    GeometryError
        When counts differ, a reflectance is out of range, or the surfaces do not close.
    """

    surfaces: tuple[Surface, ...]
    surface_names: tuple[str, ...]
    boxes: tuple[Box, ...] = ()
    box_names: tuple[str, ...] = ()
    box_reflectances: tuple[object, ...] = ()

    def __post_init__(self) -> None:
        if len(self.surfaces) != len(self.surface_names):
            raise GeometryError(
                "room.surface_names", "must name every surface once", len(self.surface_names)
            )
        if not len(self.boxes) == len(self.box_names) == len(self.box_reflectances):
            raise GeometryError(
                "room.boxes",
                "must have one name and one reflectance each",
                (len(self.boxes), len(self.box_names), len(self.box_reflectances)),
            )
        for name, value in zip(self.box_names, self.box_reflectances, strict=True):
            self._check_reflectance(name, value)
        gap = np.sum([s.normal * s.area_m2 for s in self.surfaces], axis=0)
        total = float(np.sum([s.area_m2 for s in self.surfaces]))
        if np.linalg.norm(gap) > 2e-3 * total:
            raise GeometryError(
                "room.surfaces",
                "must close the room (the area vectors of all surfaces must add up to zero)",
                np.round(gap, 4).tolist(),
            )

    @staticmethod
    def _check_reflectance(name: str, value: object) -> None:
        array = np.asarray(value, dtype=float)
        if array.shape not in ((), (3,), (6,), (6, 3)):
            raise GeometryError(
                f"reflectance of box {name}", "must be 1, 3, 6 or 6 x 3 numbers", array.shape
            )
        if not (np.isfinite(array).all() and (array >= 0.0).all() and (array < 1.0).all()):
            raise GeometryError(
                f"reflectance of box {name}", "must be at least 0 and less than 1", array.tolist()
            )

    @property
    def coloured(self) -> bool:
        """Whether any surface has three reflectances instead of one."""
        return any(s.reflectance.shape == (3,) for s in self.surfaces) or any(
            np.asarray(value, dtype=float).shape in ((3,), (6, 3))
            for value in self.box_reflectances
        )

    def box_face_reflectance(self, index: int) -> Floats:
        """Reflectance of the six faces of one box: (6, 3) when coloured, else (6, 1)."""
        array = np.asarray(self.box_reflectances[index], dtype=float)
        if array.shape in ((), (6,)):
            array = np.broadcast_to(array.reshape(-1, 1), (6, 1))
        channels = 3 if self.coloured else 1
        return np.array(np.broadcast_to(array, (6, channels)))

    def surface_reflectance(self, index: int) -> Floats:
        """Reflectance of one surface: (3,) when coloured, else (1,)."""
        channels = 3 if self.coloured else 1
        return np.array(np.broadcast_to(self.surfaces[index].reflectance, (channels,)))
