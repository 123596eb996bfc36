"""A reader's own head and shoulders, which stand between some lights and the page.

They shade that reader's page from direct light only; what a body takes from the light that bounces
about, and the hands, are left out.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.geometry import Box
from lumen.light.visibility import Blocker
from lumen.scenario.document import Scenario
from lumen.scenario.people import Person
from lumen.scenario.room import Furniture
from lumen.study.scene.targets import (
    READING,
    Posture,
    bed_axes,
    bed_of,
    lying_eye,
    mattress_of,
    page_id,
    side_page_frame,
    sitting_eye,
    slouched_eye,
)

__all__ = ["ball", "body_of", "own_shadow"]

Array = NDArray[np.floating[Any]]

HEAD_RADIUS_M = 0.095
HEAD_BEHIND_EYE_M = 0.09
SHOULDERS_BELOW_EYE_M = 0.20
SHOULDER_WIDTH_M = 0.44
CHEST_DEPTH_M = 0.22
CHEST_BEHIND_EYE_M = 0.12
TRUNK_M = 0.50
"""A middling adult: head 190 mm through, shoulders 440 mm wide and 200 mm below the eye; from
memory of body-size tables (ISO 7250-2), rounded."""


def own_shadow(scenario: Scenario, target: str) -> tuple[Blocker, ...]:
    """Return what of the reader's own body stands before a target: nothing but for one's page."""
    held = ((p, how) for p in scenario.people for how in READING if page_id(p.id, how) == target)
    person, posture = next(held, (None, None))
    bed = None if person is None else bed_of(scenario, person) or mattress_of(scenario)
    if person is None or bed is None or not person.body_shadow:
        return ()
    if posture is Posture.SLOUCHED:
        return body_of(bed, person, slouched_eye(bed, person))
    if posture is Posture.ON_THE_SIDE:
        return _lying_body(scenario, bed, person)
    return body_of(bed, person)


def _lying_body(scenario: Scenario, bed: Furniture, person: Person) -> tuple[Blocker, ...]:
    """Head and trunk of somebody who lies on the side: a ball, and a box as high as shoulders."""
    frame = side_page_frame(scenario, bed, person)
    if frame is None:
        return ()
    _, headward, up = bed_axes(bed)
    eye, back = lying_eye(bed, person), frame[3] - (frame[3] @ up) * up
    back = back / np.linalg.norm(back)
    foot = SHOULDERS_BELOW_EYE_M + TRUNK_M / 2
    middle = _on_bed(bed, eye) + CHEST_BEHIND_EYE_M * back - foot * headward
    middle = middle + SHOULDER_WIDTH_M / 2 * up
    size = np.array([CHEST_DEPTH_M, TRUNK_M, SHOULDER_WIDTH_M]) / 2
    trunk = Box(middle, size, np.array([back, headward, np.cross(back, headward)]))
    return ball(eye + HEAD_BEHIND_EYE_M * back, HEAD_RADIUS_M), Blocker.of_box(trunk)


def body_of(mattress: Furniture, person: Person, at: Array | None = None) -> tuple[Blocker, ...]:
    """Return head and shoulders of somebody who sits up in bed, as convex solids.

    The head is a ball behind the eye, the shoulders a box from the mattress to 20 cm below the eye.
    """
    right, headward, up = bed_axes(mattress)
    eye = sitting_eye(mattress, person) if at is None else at
    head = ball(eye + HEAD_BEHIND_EYE_M * headward, HEAD_RADIUS_M)
    top = eye - SHOULDERS_BELOW_EYE_M * up
    height = float((top - _on_bed(mattress, eye)) @ up)
    if height <= 0.05:
        return (head,)
    middle = top + CHEST_BEHIND_EYE_M * headward - height / 2 * up
    size = np.array([SHOULDER_WIDTH_M, CHEST_DEPTH_M, height]) / 2
    return head, Blocker.of_box(Box(middle, size, np.array([right, headward, up])))


def _on_bed(mattress: Furniture, eye: Array) -> Array:
    at = np.array(eye, dtype=float)
    at[2] = mattress.at_m[2] + mattress.size_m[2]
    return at


def ball(centre: Array, radius: float) -> Blocker:
    """Return a ball as the convex solid of 26 faces with the same volume.

    Examples
    --------
    >>> solid = ball(np.zeros(3), 0.1)
    >>> len(solid.normals), round(float(solid.high.max()), 4)
    (13, 0.0957)
    """
    ways = [
        way for way in itertools.product((-1, 0, 1), repeat=3) if way > (0, 0, 0)
    ]  # 3 axes, 6 edges, 4 corners of a cube: one of each pair
    normals = np.array([np.array(way) / math.sqrt(sum(c * c for c in way)) for way in ways])
    middle = normals @ centre
    return Blocker(normals, middle - _INSCRIBED * radius, middle + _INSCRIBED * radius)


_INSCRIBED = 0.9571
"""Inscribed radius of that solid over the radius of the ball of the same volume: its volume is
4.7773 for an inscribed radius of 1 (see the tests)."""
