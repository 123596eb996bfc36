"""The fields of one thing of the plan, as a form shows them.

Everything about a field comes from the document's own models: what it is called, its unit, the
heading it stands under, what can be chosen and one sentence of help. A field that the document
learns appears in the form by itself. Lengths are shown and read in centimetres or in feet and
inches.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from lumen.app.declared import holds, members_of
from lumen.app.measures import MEASURES
from lumen.scenario.base import CLOCK, LENGTH, SHARE, Part, Rows, Shown, shown_of
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light
from lumen.scenario.outline import bed_wall_of, wall_normal
from lumen.scenario.people import Person
from lumen.scenario.references import TargetRef, kinds_of, ref_of, sections_of
from lumen.study.scene.media import medium_of
from lumen.tables import table
from lumen.units import show_feet_inches

__all__ = [
    "IN_THE_ROOM",
    "NEW_FORM",
    "SECTIONS",
    "Field",
    "clock_text",
    "fields_of",
    "item_of",
    "length_text",
    "name_of",
    "number_text",
    "wall_name",
]

Json = dict[str, Any]

_SPREAD = "Shade and beam"
_DECLARED = "__annotations__"

SECTIONS = ("lights", "strips", "furniture", "people", "supply")
IN_THE_ROOM = ("openings", "slopes")
"""Sections that a form is told, since their ids are not told apart from those of things."""

NEW_FORM: dict[str, Json] = {
    model.model_fields["form"].default: {"form": model.model_fields["form"].default, **model.fresh}
    for model in members_of(Light, "distribution")
    if all(name in model.fresh for name, info in model.model_fields.items() if info.is_required())
}
"""A new distribution of each form that can be begun with nothing at hand."""


Kind = Literal[
    "length", "lengths", "number", "choice", "choices", "flag", "reference", "colour", "text"
]


@dataclass(frozen=True)
class Field:
    """One field of a form: where it lives, what it is called, what it holds as text.

    ``options`` are value and words of what can be chosen, ``choices`` the values as the document
    spells them; ``needed`` says that it cannot be left open. ``first`` are those that decide,
    ``short`` is the label on the short card of those that are on it; ``key`` tells the model, the
    field and, of a point, the axis.
    """

    path: str
    label: str
    kind: Kind
    text: str = ""
    unit: str = ""
    options: tuple[tuple[str, str], ...] = ()
    assumed: str | None = None
    group: str = ""
    choices: tuple[Any, ...] = ()
    needed: bool = False
    help: str = ""
    first: bool = False
    short: str = ""
    key: str = ""


def item_of(scenario: Scenario, name: str, section: str = "") -> tuple[str, Any] | None:
    """Return section and item of an id, or None.

    Setups are found by their ``section`` only, openings and slopes after all that can be dragged.
    """
    if section == "setups":
        return next((("setups", one) for one in scenario.setups if one.id == name), None)
    if name == "room":
        return "room", scenario.room
    if name == "plan":
        return "plan", scenario
    known, every = sections_of(type(scenario)), (*SECTIONS, *IN_THE_ROOM)
    for key in (section,) if section in every else every:
        for item in known[key].items(scenario):
            if item.id == name:
                return key, item
    return None


def name_of(item: Any) -> str:
    """Return what an item is called on screen."""
    name = getattr(item, "name", None) or item.id
    return str(name[:1].upper() + name[1:])


def length_text(length_m: float, system: str) -> str:
    r"""Return a length as a form shows it: to a millimetre, or to a sixteenth of an inch.

    Examples
    --------
    >>> length_text(0.025, "cm"), length_text(1.22, "cm"), length_text(0.3048, "ft-in")
    ('2.5 cm', '122 cm', '1\' 0"')
    """
    if system == "ft-in":
        return show_feet_inches(length_m)
    return f"{number_text(round(length_m * 100, 1))} cm"


def number_text(value: Any) -> str:
    """Return a number, or a range of two, without needless zeros.

    Examples
    --------
    >>> number_text(470.0), number_text((30.0, 60.0))
    ('470', '30-60')
    """
    if isinstance(value, tuple):
        return "-".join(map(number_text, value))
    return f"{float(value):.6g}"


def clock_text(hour: float) -> str:
    """Return an hour of the day as a clock shows it.

    Examples
    --------
    >>> clock_text(21.5), clock_text(7)
    ('21:30', '07:00')
    """
    minutes = round(60 * hour)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def fields_of(scenario: Scenario, name: str, system: str, section: str = "") -> tuple[Field, ...]:
    """Return every field of a thing, in the order of the document."""
    located = item_of(scenario, name, section)
    if located is None:
        return ()
    _, item = located
    if isinstance(item, Person):
        item = _with_its_page(item)
    return tuple(_walk(scenario, item, "", "", system))


def _with_its_page(person: Person) -> Person:
    """A person with the page's size as it is taken where none is written: that of a phone, say."""
    medium, written = medium_of(person), person.page.model_fields_set
    page = person.page.model_copy()
    for field in ("width_m", "height_m"):
        if field not in written:
            page = page.model_copy(update={field: getattr(medium, field)})
    return person.model_copy(update={"page": page})


def _walk(scenario: Scenario, part: Part, path: str, group: str, system: str) -> Iterator[Field]:
    for name, info in type(part).model_fields.items():
        shown = shown_of(type(part), name)
        if shown is None:
            continue
        extra = info.json_schema_extra
        why = str(extra["assumed"]) if isinstance(extra, dict) and "assumed" in extra else None
        spot = Spot(
            part=part,
            path=f"{path}.{name}" if path else name,
            name=name,
            shown=shown,
            why=None if name in part.model_fields_set else why,
            group=group,
            required=info.is_required(),
        )
        yield from _fields(scenario, spot, system)


@dataclass(frozen=True)
class Spot:
    """One field of the document on its way to the form."""

    part: Part
    path: str
    name: str
    shown: Shown
    why: str | None
    group: str
    required: bool

    @property
    def value(self) -> Any:
        """What stands there."""
        return getattr(self.part, self.name)

    @property
    def key(self) -> str:
        """The model that declares it, and its name there."""
        own = (one for one in type(self.part).__mro__ if self.name in vars(one).get(_DECLARED, ()))
        return f"{next(own, type(self.part)).__name__}.{self.name}"

    def field(self, kind: Kind, text: str, **more: Any) -> Field:
        """Return it as one field of the form."""
        shown = self.shown
        fresh = {
            "label": shown.label,
            "assumed": self.why,
            "group": shown.group or self.group,
            "help": shown.help,
            "first": shown.first,
            "short": shown.short if isinstance(shown.short, str) else "",
            "needed": self.required,
            "key": self.key,
        }
        return Field(**{"path": self.path, "kind": kind, "text": text, **fresh, **more})


def _fields(scenario: Scenario, spot: Spot, system: str) -> Iterator[Field]:
    value, held = spot.value, holds(type(spot.part), spot.name)
    if held.kind == "part" or isinstance(value, Part):
        yield from _parts(scenario, spot, system)
    elif (choice := _walls(scenario, spot)) is not None:
        yield choice
    elif (options := _references(scenario, spot)) is not None:
        yield spot.field("reference", value or "", options=options)
    elif held.kind == "choice":
        if value is None or value in held.choices:  # a direction may also be a point: not shown
            texts = tuple((str(one), _in_words(spot, one)) for one in held.choices)
            needed = spot.required or value is not None
            text = _plain(value)
            yield spot.field("choice", text, options=texts, choices=held.choices, needed=needed)
    elif held.kind == "choices":
        options = tuple((str(one), _in_words(spot, one)) for one in held.choices)
        yield spot.field("choices", ", ".join(value or ()), options=options)
    elif held.kind == "flag":
        text = "" if value is None else "yes" if value else "no"
        needed = value is not None
        yield spot.field("flag", text, options=(("yes", "yes"), ("no", "no")), needed=needed)
    elif held.kind == "path":
        for corner, point in enumerate(value):
            yield from _point(spot, point, f"{spot.path}.{corner}", f"Corner {corner + 1} ", system)
    elif held.kind == "point":
        if value is not None:
            yield from _point(spot, value, spot.path, "", system)
        else:  # one length alone is no point: all are typed as one
            axes = " x ".join(axis.lower() for axis in spot.shown.axes)
            yield spot.field("lengths", "", label=f"{spot.shown.label}: {axes}")
    elif held.kind == "number":
        yield _number(spot, system)
    elif held.kind in ("colour", "text"):
        yield spot.field("colour" if held.kind == "colour" else "text", value or "")


def _number(spot: Spot, system: str) -> Field:
    value, unit = spot.value, spot.shown.unit
    if unit == LENGTH:
        return spot.field("length", "" if value is None else _lengths(value, system))
    if value is None:
        return spot.field("number", "", unit=unit)
    if unit == SHARE:
        return spot.field("number", number_text(100 * value), unit=unit)
    return spot.field(
        "number", clock_text(value) if unit == CLOCK else number_text(value), unit=unit
    )


def _in_words(spot: Spot, choice: Any) -> str:
    return spot.shown.words.get(str(choice), str(choice))


def _parts(scenario: Scenario, spot: Spot, system: str) -> Iterator[Field]:
    """The fields of a part in a group of their own; one that may be left open has empty ones."""
    part, heading = spot.value, spot.shown.label
    members = members_of(type(spot.part), spot.name)
    if len(members) > 1:
        words = {model.model_fields["form"].default: model.in_words for model in members}
        known = {key: words[key] for key in words if key in NEW_FORM or key == part.form}
        yield spot.field(
            "reference",
            part.form,
            path=f"{spot.path}.form",
            options=tuple(known.items()),
            group="",
            first=True,
            needed=True,
        )
        heading = _SPREAD
    if part is None and not any(info.is_required() for info in members[0].model_fields.values()):
        part = members[0]()
    if part is not None:
        yield from _walk(scenario, part, spot.path, heading, system)


def _point(
    spot: Spot, point: tuple[float, ...], path: str, words: str, system: str
) -> Iterator[Field]:
    """One length for each axis."""
    shown = spot.shown
    for axis, value in enumerate(point):
        label = f"{words}{shown.axes[axis].lower()}" if words else shown.axes[axis]
        key = f"{spot.key}.{axis}"
        group = shown.label if words or shown.first else shown.group or spot.group or shown.label
        yield spot.field(
            "length",
            length_text(value, system),
            path=f"{path}.{axis}",
            label=label,
            group=group,
            short=shown.short[axis] if isinstance(shown.short, tuple) else "",
            help=shown.help if axis == 0 or key in MEASURES else "",
            key=key,
        )


def _lengths(value: Any, system: str) -> str:
    if isinstance(value, tuple):
        return " to ".join(length_text(part, system) for part in value)
    return length_text(value, system)


def _plain(value: Any) -> str:
    return "" if value is None else str(value)


def _walls(scenario: Scenario, spot: Spot) -> Field | None:
    """A choice among the walls of the room, for a field that names one."""
    ref = ref_of(type(spot.part), spot.name)
    if ref is None or ref.to != ("walls",):
        return None
    numbers = tuple(range(len(scenario.room.outline_m)))
    options = tuple((str(wall), wall_name(scenario, wall)) for wall in numbers)
    return spot.field("choice", _plain(spot.value), options=options, choices=numbers)


def wall_name(scenario: Scenario, wall: int) -> str:
    """Return a wall as one calls it who faces the bed wall: by its side, and its length."""
    room = scenario.room
    bed = bed_wall_of(room.outline_m) if room.bed_wall is None else room.bed_wall
    (x, y), (bx, by) = (wall_normal(room.outline_m, one) for one in (wall, bed))
    ahead, right = bx * x + by * y, by * x - bx * y
    if wall == bed:
        side = "the bed wall"
    elif abs(ahead) >= abs(right):
        side = "on the bed's side" if ahead > 0 else "across from the bed"
    else:
        side = "on the right" if right > 0 else "on the left"
    start, end = room.outline_m[wall], room.outline_m[(wall + 1) % len(room.outline_m)]
    return f"{side}, {math.dist(start, end):.2f} m"


def _references(scenario: Scenario, spot: Spot) -> tuple[tuple[str, str], ...] | None:
    """Return the things of the plan, or rows of a table, that a field may name; else None."""
    info = type(spot.part).model_fields[spot.name]
    rows = next((one for one in info.metadata if isinstance(one, Rows)), None)
    if rows is not None:
        return _rows(rows, spot.value)
    ref = ref_of(type(spot.part), spot.name)
    if ref is None:
        return None
    if isinstance(ref, TargetRef):
        pages = tuple((f"page:{p.id}", f"{name_of(p)}'s page") for p in scenario.people if p.reads)
        named = (("mattress", "the bed"), ("floor", "the floor"), *pages)
        other = spot.value not in (None, *(key for key, _ in named))
        return (*named, (spot.value, spot.value)) if other else named
    kinds, known = kinds_of(ref, spot.part), sections_of(type(scenario))
    items = [item for section in ref.to for item in known[section].items(scenario)]
    fitting = [item for item in items if not kinds or item.kind in kinds]
    return tuple((item.id, name_of(item)) for item in fitting if item is not spot.part)


def _rows(rows: Rows, now: str | None) -> tuple[tuple[str, str], ...]:
    """Return the rows of a table as values and words, and what stands there though it is none."""
    known = {row[rows.key]: row[rows.words] for row in table(rows.table)}
    other = {now: now} if now is not None and now not in known else {}
    return tuple((other | known).items())
