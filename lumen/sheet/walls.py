"""Walls as one sees them from inside the room, and every mark that goes on them.

Along a wall, ``along_m`` runs from its left corner to its right one as one faces it; heights are
from the finished floor. The bed centre line is the middle of the first mattress.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light
from lumen.scenario.outline import wall_normal
from lumen.scenario.room import Furniture
from lumen.scenario.supply import Outlet
from lumen.study.scene.surfaces import bed_wall, ceiling_height_m, furniture_box
from lumen.study.scene.targets import mattress_of

__all__ = [
    "BoardMark",
    "CeilingMark",
    "Fixed",
    "Mark",
    "Pair",
    "Wall",
    "board_marks",
    "box_on_wall",
    "ceiling_marks",
    "fixed_on",
    "hung_on",
    "marks_on",
    "nearest_wall",
    "outlets_on",
    "pairs_of",
    "wall_of",
    "walls_that_carry",
]

Point = Sequence[float]

_AT_WALL_M = 0.03  # a box this near a wall touches it
_HUNG_FROM_M = 0.15  # a box whose underside is higher than this hangs
_NEVER_HUNG = ("bed frame", "mattress", "curtain", "cot", "chair")
_PROFILE_STEP_M = 0.02


@dataclass(frozen=True)
class Wall:
    """One wall faced from inside: its left corner, the way to its right one, its upper edge.

    Parameters
    ----------
    number, name
        Its number in the plan and what we call it.
    length_m
        From corner to corner [m].
    left, right_way, inward
        Left corner on the floor, unit way along to the right, unit way into the room.
    top
        Upper edge as (along, height) corners from left to right [m].
    bed_line_m
        Where the bed centre line meets it, along from the left corner; ``None`` when it does not.
    """

    number: int
    name: str
    length_m: float
    left: tuple[float, float]
    right_way: tuple[float, float]
    inward: tuple[float, float]
    top: tuple[tuple[float, float], ...]
    bed_line_m: float | None

    @property
    def height_m(self) -> float:
        """Its greatest height [m]."""
        return max(height for _, height in self.top)

    def place(self, point: Point) -> tuple[float, float, float]:
        """Return along, height and distance off the wall of a point of the room [m]."""
        dx, dy = point[0] - self.left[0], point[1] - self.left[1]
        along = dx * self.right_way[0] + dy * self.right_way[1]
        off = dx * self.inward[0] + dy * self.inward[1]
        return along, (point[2] if len(point) > 2 else 0.0), off

    def top_at(self, along_m: float) -> float:
        """Return the height of the upper edge [m] at a place along the wall."""
        for (a, za), (b, zb) in itertools.pairwise(self.top):
            if along_m <= b + 1e-9:
                share = (along_m - a) / (b - a) if b > a else 0.0
                return za + (zb - za) * min(1.0, max(0.0, share))
        return self.top[-1][1]


@dataclass(frozen=True)
class Mark:
    """A place on a wall, from both datums.

    ``from_bed_line_m`` counts to the right; ``from_left_m`` and ``from_right_m`` are from the
    wall's corners, ``from_nearest_m`` from the nearer one.
    """

    id: str
    name: str
    kind: str
    wall: int
    along_m: float
    height_m: float
    from_bed_line_m: float | None
    from_left_m: float
    from_right_m: float
    below_top_m: float
    letter: str = ""

    @property
    def nearest(self) -> str:
        """Which corner is nearer."""
        return "left" if self.from_left_m <= self.from_right_m else "right"

    @property
    def from_nearest_m(self) -> float:
        """Distance from the nearer corner [m]."""
        return min(self.from_left_m, self.from_right_m)


@dataclass(frozen=True)
class Fixed:
    """The outline of something fixed to a wall: along it and above the floor [m].

    A light is a point here: its bracket is not in the plan.
    """

    id: str
    name: str
    kind: str
    letter: str
    left_m: float
    right_m: float
    low_m: float
    high_m: float


@dataclass(frozen=True)
class CeilingMark:
    """A place on the ceiling: from the bed centre line and, facing as to the bed wall, from the
    walls ahead and on the left that one meets from there.
    """

    id: str
    name: str
    height_m: float
    from_bed_line_m: float | None
    from_ahead_m: float
    from_left_m: float
    letter: str = ""


@dataclass(frozen=True)
class BoardMark:
    """A place on the headboard: from the floor, its top, its nearer edge and the bed line."""

    id: str
    name: str
    board: str
    height_m: float
    below_board_top_m: float
    from_board_edge_m: float
    edge: str
    from_bed_line_m: float | None
    letter: str = ""


@dataclass(frozen=True)
class Pair:
    """Two lights left and right of the bed: what to measure between them when both are marked.

    ``between_m`` is the straight way from mark to mark; ``uneven_m`` by how much one stands
    further from the bed centre line than the other; ``level_m`` the difference of heights.
    """

    left: str
    right: str
    left_name: str
    right_name: str
    between_m: float
    uneven_m: float
    level_m: float


def wall_of(scenario: Scenario, number: int) -> Wall:
    """Return a wall as one faces it.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> wall = wall_of(load(examples()[0]), 2)
    >>> wall.name, wall.length_m, wall.bed_line_m
    ('Bed wall', 3.6, 1.8)
    """
    room = scenario.room
    outline = room.outline_m
    right, left = outline[number], outline[(number + 1) % len(outline)]
    length = math.dist(left, right)
    way = ((right[0] - left[0]) / length, (right[1] - left[1]) / length)
    return Wall(
        number=number,
        name=_wall_name(scenario, number),
        length_m=length,
        left=(left[0], left[1]),
        right_way=way,
        inward=wall_normal(outline, number),
        top=_upper_edge(scenario, (left[0], left[1]), way, length),
        bed_line_m=_bed_line_on(scenario, (left[0], left[1]), way, length),
    )


def _wall_name(scenario: Scenario, number: int) -> str:
    outline = scenario.room.outline_m
    if number == bed_wall(scenario.room):
        return "Bed wall"
    nx, ny = wall_normal(outline, number)
    if abs(nx) >= abs(ny):
        side = "left" if nx > 0 else "right"
    else:
        side = "facing" if ny > 0 else "beside the bed wall"
    words = {"left": "Left wall", "right": "Right wall", "facing": "Wall across from the bed"}
    return f"{words.get(side, 'Wall set back')} (wall {number})"


def _bed_line_on(
    scenario: Scenario, left: tuple[float, float], way: tuple[float, float], length: float
) -> float | None:
    bed = mattress_of(scenario)
    if bed is None or abs(way[0]) < 0.5:
        return None
    along = (bed.at_m[0] - left[0]) / way[0]
    return along if -1e-9 <= along <= length + 1e-9 else None


def _upper_edge(
    scenario: Scenario, left: tuple[float, float], way: tuple[float, float], length: float
) -> tuple[tuple[float, float], ...]:
    """The ceiling along a wall, corners only."""
    steps = max(2, math.ceil(length / _PROFILE_STEP_M))
    points = []
    for i in range(steps + 1):
        s = length * i / steps
        x, y = left[0] + way[0] * s, left[1] + way[1] * s
        points.append((s, ceiling_height_m(scenario.room, x, y)))
    kept = [points[0]]
    for here, there in itertools.pairwise(points[1:]):
        before = kept[-1]
        cross = (here[0] - before[0]) * (there[1] - before[1])
        cross -= (here[1] - before[1]) * (there[0] - before[0])
        if abs(cross) > 1e-6:
            kept.append(here)
    return (*kept, points[-1])


def nearest_wall(scenario: Scenario, point: Point) -> int:
    """Return the number of the wall that a point stands nearest to."""
    outline = scenario.room.outline_m

    def distance(number: int) -> float:
        a, b = outline[number], outline[(number + 1) % len(outline)]
        dx, dy = b[0] - a[0], b[1] - a[1]
        share = ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / (dx * dx + dy * dy)
        share = min(1.0, max(0.0, share))
        return math.hypot(point[0] - a[0] - share * dx, point[1] - a[1] - share * dy)

    return min(range(len(outline)), key=distance)


def walls_that_carry(scenario: Scenario) -> tuple[Wall, ...]:
    """Return the bed wall, and each other wall with a light, an outlet or something hung on it.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> [wall.name for wall in walls_that_carry(load(examples()[0]))]
    ['Bed wall']
    """
    first = bed_wall(scenario.room)
    numbers = {first}
    numbers |= {_light_wall(scenario, light) for light in scenario.lights if light.mount == "wall"}
    numbers |= {_outlet_wall(scenario, o) for o in _placed_outlets(scenario)}
    walls = {n: wall_of(scenario, n) for n in range(len(scenario.room.outline_m))}
    numbers |= {n for n, wall in walls.items() if any(hung_on(scenario, wall))}
    return tuple(walls[n] for n in sorted(numbers, key=lambda n: (n != first, n)))


def _light_wall(scenario: Scenario, light: Light) -> int:
    return bed_wall(scenario.room) if light.wall is None else light.wall


def _placed_outlets(scenario: Scenario) -> Iterator[Outlet]:
    for item in scenario.supply:
        if isinstance(item, Outlet) and item.at_m is not None:
            yield item


def _outlet_wall(scenario: Scenario, outlet: Outlet) -> int:
    assert outlet.at_m is not None
    return nearest_wall(scenario, outlet.at_m) if outlet.wall is None else outlet.wall


def outlets_on(scenario: Scenario, wall: Wall) -> tuple[Mark, ...]:
    """Return the outlets of a wall, as the plan places them."""
    return tuple(
        _mark(wall, outlet.id, outlet.name or outlet.id, "outlet", outlet.at_m)
        for outlet in _placed_outlets(scenario)
        if _outlet_wall(scenario, outlet) == wall.number and outlet.at_m is not None
    )


def marks_on(scenario: Scenario, wall: Wall) -> tuple[Mark, ...]:
    """Return the drill marks of a wall: its lights, then the corners of what hangs on it.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> first = marks_on(plan, wall_of(plan, 2))[0]
    >>> first.name, first.height_m, first.from_bed_line_m, first.nearest, first.from_nearest_m
    ('left light', 1.22, -0.915, 'left', 0.885)
    """
    marks = [
        _mark(wall, light.id, light.name or light.id, "light", light.mount_m)
        for light in scenario.lights
        if light.mount == "wall" and _light_wall(scenario, light) == wall.number
    ]
    for item in hung_on(scenario, wall):
        low, high, _, top = box_on_wall(wall, item)
        for side, along in (("left", low), ("right", high)):
            name = f"{item.name or item.id}, upper {side} corner"
            marks.append(_place(wall, item.id, name, "hung", along, top))
    prefix = "" if wall.number == bed_wall(scenario.room) else str(wall.number)
    return tuple(_lettered(marks, prefix))


def fixed_on(scenario: Scenario, wall: Wall) -> tuple[Fixed, ...]:
    """Return the outlines of everything fixed to a wall: its lights, and the backs of what hangs.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> stand = fixed_on(plan, wall_of(plan, 2))[2]
    >>> stand.letter, stand.left_m, stand.right_m, stand.low_m, stand.high_m
    ('C-D', 0.525, 0.975, 0.44, 0.62)
    """
    marks = marks_on(scenario, wall)
    fixed = [
        Fixed(m.id, m.name, "light", m.letter, m.along_m, m.along_m, m.height_m, m.height_m)
        for m in marks
        if m.kind == "light"
    ]
    for item in hung_on(scenario, wall):
        low, high, under, top = (_micro(value) for value in box_on_wall(wall, item))
        letters = "-".join(m.letter for m in marks if m.id == item.id and m.kind == "hung")
        fixed.append(Fixed(item.id, item.name or item.id, "hung", letters, low, high, under, top))
    return tuple(fixed)


def _lettered(marks: Sequence[Mark], prefix: str) -> Iterator[Mark]:
    """Letters that no other wall has: the bed wall's are bare, others bear the wall's number."""
    for number, mark in enumerate(marks):
        letter = prefix + chr(ord("A") + number % 26) * (number // 26 + 1)
        yield Mark(**{**mark.__dict__, "letter": letter})


def _mark(wall: Wall, item_id: str, name: str, kind: str, point: Point | None) -> Mark:
    assert point is not None
    along, height, _ = wall.place(point)
    return _place(wall, item_id, name, kind, along, height)


def _place(wall: Wall, item_id: str, name: str, kind: str, along: float, height: float) -> Mark:
    line = wall.bed_line_m
    return Mark(
        id=item_id,
        name=name,
        kind=kind,
        wall=wall.number,
        along_m=_micro(along),
        height_m=_micro(height),
        from_bed_line_m=None if line is None else _micro(along - line),
        from_left_m=_micro(along),
        from_right_m=_micro(wall.length_m - along),
        below_top_m=_micro(wall.top_at(along) - height),
    )


def hung_on(scenario: Scenario, wall: Wall) -> Iterator[Furniture]:
    """Yield what hangs on a wall: boxes off the floor whose back touches it."""
    for item in scenario.furniture:
        if item.kind in _NEVER_HUNG or item.at_m[2] < _HUNG_FROM_M or _stands_on(scenario, item):
            continue
        low, high, _, _ = box_on_wall(wall, item)
        offs = [wall.place(corner)[2] for corner in _footprint(item)]
        inside = low > -_AT_WALL_M and high < wall.length_m + _AT_WALL_M
        wide = high - low > max(offs) - min(offs)
        if inside and wide and -_AT_WALL_M < min(offs) < _AT_WALL_M:
            yield item


def _stands_on(scenario: Scenario, item: Furniture) -> bool:
    """Whether something under the box carries it."""
    for other in scenario.furniture:
        top = other.at_m[2] + other.size_m[2]
        near = all(
            abs(item.at_m[k] - other.at_m[k]) < (item.size_m[k] + other.size_m[k]) / 2
            for k in (0, 1)
        )
        if other.id != item.id and near and abs(top - item.at_m[2]) < 0.02:
            return True
    return False


def _footprint(item: Furniture) -> list[list[float]]:
    box = furniture_box(item)
    return [
        [float(v) for v in box.centre + a * box.half_size[0] * box.axes[0]
         + b * box.half_size[1] * box.axes[1]]
        for a in (-1, 1)
        for b in (-1, 1)
    ]  # fmt: skip


def box_on_wall(wall: Wall, item: Furniture) -> tuple[float, float, float, float]:
    """Return left, right, underside and top of a box as seen on a wall [m]."""
    alongs = [wall.place(corner)[0] for corner in _footprint(item)]
    return min(alongs), max(alongs), item.at_m[2], item.at_m[2] + item.size_m[2]


def ceiling_marks(scenario: Scenario) -> tuple[CeilingMark, ...]:
    """Return the marks of ceiling lights, from the bed line and the walls ahead and on the left."""
    wall, bed = wall_of(scenario, bed_wall(scenario.room)), mattress_of(scenario)
    marks = []
    for number, light in enumerate(x for x in scenario.lights if x.mount == "ceiling"):
        x, y, height = light.mount_m
        ahead = (-wall.inward[0], -wall.inward[1])
        left = (-wall.right_way[0], -wall.right_way[1])
        marks.append(
            CeilingMark(
                id=light.id,
                name=light.name or light.id,
                height_m=_micro(height),
                from_bed_line_m=None if bed is None else _micro(light.mount_m[0] - bed.at_m[0]),
                from_ahead_m=_micro(_to_outline(scenario, (x, y), ahead)),
                from_left_m=_micro(_to_outline(scenario, (x, y), left)),
                letter=f"C{number + 1}",
            )
        )
    return tuple(marks)


def _to_outline(scenario: Scenario, start: tuple[float, float], way: tuple[float, float]) -> float:
    """Distance from a point of the floor to the wall that one meets going one way."""
    outline, ways = scenario.room.outline_m, []
    for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True):
        across = way[0] * (y1 - y0) - way[1] * (x1 - x0)
        if abs(across) < 1e-12:
            continue
        dx, dy = x0 - start[0], y0 - start[1]
        away = (dx * (y1 - y0) - dy * (x1 - x0)) / across
        share = (dx * way[1] - dy * way[0]) / across
        if away >= -1e-9 and -1e-9 <= share <= 1 + 1e-9:
            ways.append(away)
    return min(ways, default=0.0)


def board_marks(scenario: Scenario) -> tuple[BoardMark, ...]:
    """Return the marks of lights on the headboard, also from its top and its nearer edge."""
    boards = [item for item in scenario.furniture if item.kind == "headboard"]
    bed = mattress_of(scenario)
    marks = []
    for number, light in enumerate(x for x in scenario.lights if x.mount == "headboard"):
        x, _, z = light.mount_m
        board = min(boards, key=lambda b: abs(b.at_m[0] - x), default=None)
        if board is None:
            continue
        left, right = (board.at_m[0] + side * board.size_m[0] / 2 for side in (-1, 1))
        marks.append(
            BoardMark(
                id=light.id,
                name=light.name or light.id,
                board=board.name or board.id,
                height_m=_micro(z),
                below_board_top_m=_micro(board.at_m[2] + board.size_m[2] - z),
                from_board_edge_m=_micro(min(x - left, right - x)),
                edge="left" if x - left <= right - x else "right",
                from_bed_line_m=None if bed is None else _micro(x - bed.at_m[0]),
                letter=f"H{number + 1}",
            )
        )
    return tuple(marks)


def pairs_of(scenario: Scenario) -> tuple[Pair, ...]:
    """Return the pairs of lights left and right of the bed, each light at most once.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> pair = pairs_of(load(examples()[0]))[0]
    >>> pair.between_m, pair.uneven_m, pair.level_m
    (1.83, 0.0, 0.0)
    """
    bed = mattress_of(scenario)
    if bed is None:
        return ()
    line = bed.at_m[0]
    lights = [x for x in scenario.lights if x.mount in ("wall", "headboard")]
    rights = [x for x in lights if x.mount_m[0] > line]
    pairs = []
    for left in (x for x in lights if x.mount_m[0] < line):
        same = [r for r in rights if r.mount == left.mount]
        twin = (2 * line - left.mount_m[0], *left.mount_m[1:])
        right = min(same, key=lambda r: math.dist(r.mount_m, twin), default=None)
        if right is None or math.dist(right.mount_m, twin) > 0.5:
            continue
        rights.remove(right)
        pairs.append(
            Pair(
                left=left.id,
                right=right.id,
                left_name=left.name or left.id,
                right_name=right.name or right.id,
                between_m=_micro(math.dist(left.mount_m, right.mount_m)),
                uneven_m=_micro(abs((line - left.mount_m[0]) - (right.mount_m[0] - line))),
                level_m=_micro(abs(left.mount_m[2] - right.mount_m[2])),
            )
        )
    return tuple(pairs)


def _micro(value: float) -> float:
    """To the micrometre: what differences of floats leave behind is not a length."""
    return round(value, 6) + 0.0
