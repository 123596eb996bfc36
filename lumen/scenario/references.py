"""References between parts of a plan: declared once, at the field that names another thing.

A field says what it names: ``fed_from: Annotated[Id, Ref(("supply",), ...)]``. Checking, renaming,
removing, copying, mirroring and "what hangs on this" all ask :func:`mentions`, so that a model that
learns a reference needs nothing else.
"""

from __future__ import annotations

import typing
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal

from lumen.scenario.base import Part

__all__ = [
    "TARGETS",
    "Mention",
    "Named",
    "Ref",
    "Section",
    "TargetRef",
    "hanging_on",
    "item_model",
    "kinds_of",
    "lists_of",
    "mentions",
    "mentions_of_plan",
    "models_of",
    "parts_of",
    "ref_of",
    "room_model",
    "sections_of",
]


@dataclass(frozen=True)
class Named:
    """One name that a reference holds, and the sections where such a thing may stand."""

    name: str
    to: tuple[str, ...]
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True)
class Ref:
    """What a field names: an item, a list of items, or items as the keys of a table.

    Parameters
    ----------
    to
        Sections of the plan where the named thing stands; ``walls`` are counted, not written.
    words
        What it is called in a refusal: "must name {words} (those that there are)".
    kinds
        The kinds it may be, where not all.
    kinds_if
        A flag of the same part, and the kinds that are allowed besides where it is set.
    wrong
        The rule told when the thing is there but of another kind; else the same as when it is not.
    gone
        What becomes of this when the named thing is removed: the mention is left out, its item goes
        along, the removal is refused, or the mention passes to what the removed thing names itself
        in a field of the same name (refused or left out where that does not fit).
    emptied
        The same for a list whose last name goes.
    heirs
        The kinds that such a mention may pass to.
    refusal
        Why the removal is refused; ``{who}`` stands for the id of the item that names it.
    copied
        Whether a copy of the named thing is named here too.
    """

    to: tuple[str, ...]
    words: str
    kinds: tuple[str, ...] = ()
    kinds_if: tuple[str, tuple[str, ...]] | None = None
    wrong: str = ""
    gone: Literal["left out", "item goes", "refused", "passes on"] = "left out"
    emptied: Literal["stays", "item goes"] = "stays"
    heirs: tuple[str, ...] = ()
    refusal: str = ""
    copied: bool = False

    def named(self, value: Any) -> Iterator[Named]:
        """Yield every name in a value of the field."""
        for name in _listed(value):
            yield Named(str(name), self.to, self.kinds)

    def renamed(self, value: Any, old: str, to: str) -> Any:
        """Return the value with one name for another."""
        if isinstance(value, Mapping):
            return {to if key == old else key: each for key, each in value.items()}
        if isinstance(value, list | tuple):
            return [to if name == old else name for name in value]
        return to if value == old else value


@dataclass(frozen=True)
class Head:
    """What stands before the colon of a target: whose it is, and what may follow the name."""

    to: str | None = None
    kinds: tuple[str, ...] = ()
    tails: tuple[str, ...] = ()


POSTURES = ("sitting", "slouched", "lying back", "lying left", "lying right", "foot", "door")
TARGETS: Mapping[str, Head] = {
    "mattress": Head(),
    "floor": Head(),
    "page": Head("people"),
    "page slouched": Head("people"),
    "page on the side": Head("people"),
    "path": Head("people"),
    "bedside": Head("people"),
    "eye": Head("people", tails=POSTURES),
    "mirror": Head("openings", kinds=("mirror",)),
}
"""How a target is spelled: a plane, or ``head:name`` with the posture of an eye behind it."""


@dataclass(frozen=True)
class TargetRef(Ref):
    """A target (table :data:`TARGETS`): a plane, or one that belongs to a person or a mirror."""

    to: tuple[str, ...] = ("people", "openings")
    words: str = "a target"

    def named(self, value: Any) -> Iterator[Named]:
        """Yield whom or what the target belongs to, where it does."""
        head, *rest = str(value or "").split(":")
        known = TARGETS.get(head)
        if known is not None and known.to is not None and rest:
            yield Named(rest[0], (known.to,), known.kinds)

    def renamed(self, value: Any, old: str, to: str) -> Any:
        """Return the target of the same kind with one name for another."""
        head, *rest = value.split(":")
        return ":".join([head, to if rest[0] == old else rest[0], *rest[1:]]) if rest else value


@dataclass(frozen=True)
class Mention:
    """A field that names something, where it stands in a plan.

    ``owner`` is the part that holds it, written or as a model; ``item`` the item of a section that
    it belongs to, None for the room's or the plan's own fields.
    """

    path: str
    ref: Ref
    field: str
    owner: Any
    section: str = ""
    item: Any = None
    required: bool = False

    @property
    def value(self) -> Any:
        """What stands there."""
        return _get(self.owner, self.field)

    def names(self, name: str, section: str) -> bool:
        """Whether it names a thing of a section."""
        return any(one.name == name and section in one.to for one in self.ref.named(self.value))


@dataclass(frozen=True)
class Section:
    """A list of the plan whose items have ids: its key, its item's type, whether in the room.

    Items of sections with ``own_names`` (so says their model) only differ among themselves; all
    others share one name space.
    """

    key: str
    model: Any
    in_room: bool
    own_names: bool

    def items(self, plan: Any) -> Sequence[Any]:
        """The items in a plan, written or as a model."""
        listed: Sequence[Any] = _get(_get(plan, "room") if self.in_room else plan, self.key) or ()
        return listed


@cache
def sections_of(form: type[Part]) -> Mapping[str, Section]:
    """Return the sections of a document by their keys, those of its room last.

    Examples
    --------
    >>> from lumen.scenario.document import Scenario
    >>> list(sections_of(Scenario))
    ['furniture', 'people', 'lights', 'strips', 'supply', 'setups', 'aims', 'slopes', 'openings']
    """
    return {**lists_of(form), **lists_of(room_model(form), in_room=True)}


def room_model(form: type[Part]) -> type[Part]:
    """Return the model of a document's room."""
    return _inner(form.model_fields["room"].annotation)[0][0]


def lists_of(holder: type[Part], *, in_room: bool = False) -> Mapping[str, Section]:
    """Return the lists of a part whose items have ids, by their keys."""
    return _lists(holder, in_room)


@cache
def _lists(holder: type[Part], in_room: bool) -> Mapping[str, Section]:
    sections = {}
    for key, info in holder.model_fields.items():
        models, many = _inner(info.annotation)
        if many == "list" and models and all("id" in model.model_fields for model in models):
            own = any(getattr(model, "own_names", False) for model in models)
            sections[key] = Section(key, _item_type(info.annotation), in_room, own)
    return sections


def models_of(section: Section) -> tuple[type[Part], ...]:
    """Return the models that an item of a section may be of."""
    return _inner(section.model)[0]


def item_model(section: Section, item: Any) -> type[Part]:
    """Return the model of an item of a section, told by its tag where there are several."""
    models, _ = _inner(section.model)
    return _chosen(models, item)


def mentions_of_plan(form: type[Part], plan: Any) -> Iterator[Mention]:
    """Yield every field of a plan, written or as a model, that names another part of it."""
    sections = sections_of(form)
    for key, section in sections.items():
        prefix = f"room.{key}" if section.in_room else key
        for number, item in enumerate(section.items(plan)):
            model = item_model(section, item)
            yield from mentions(model, item, f"{prefix}[{number}]", key, item)
    leave = (*sections, "room")
    yield from mentions(form, plan, "", leave=leave)
    yield from mentions(room_model(form), _get(plan, "room"), "room", leave=leave)


def mentions(
    model: type[Part],
    value: Any,
    path: str,
    section: str = "",
    item: Any = None,
    leave: Collection[str] = (),
) -> Iterator[Mention]:
    """Yield every reference in a part, written or as a model, and in the parts within it."""
    for name, ref, inner, many, required in _referring(model):
        held = _get(value, name)
        if held is None or name in leave:
            continue
        here = f"{path}.{name}" if path else name
        if ref is not None:
            yield Mention(here, ref, name, value, section, item, required)
            continue
        if many == "list":
            parts = [(f"{here}[{n}]", one) for n, one in enumerate(held)]
        elif many == "table":
            parts = [(f"{here}.{key}", one) for key, one in held.items()]
        else:
            parts = [(here, held)]
        for where, one in parts:
            if isinstance(one, Part | Mapping):
                yield from mentions(_chosen(inner, one), one, where, section, item)


def hanging_on(plan: Part, section: str, name: str) -> list[Mention]:
    """Return every mention of a thing in a plan: what is plugged into it, lies in it, wants it.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> pair = load(next(file for file in examples() if file.stem == "plain-pair"))
    >>> [mention.path for mention in hanging_on(pair, "supply", "driver")]
    ['strips[0].fed_from']
    """
    return [one for one in mentions_of_plan(type(plan), plan) if one.names(name, section)]


def kinds_of(ref: Ref, owner: Any) -> tuple[str, ...]:
    """Return the kinds that a reference of a part may name; empty where all are right."""
    if ref.kinds_if is not None and _get(owner, ref.kinds_if[0]):
        return (*ref.kinds, *ref.kinds_if[1])
    return ref.kinds


def parts_of(model: type[Part], field: str) -> tuple[type[Part], ...]:
    """Return the models of the parts that a field holds."""
    return _inner(model.model_fields[field].annotation)[0]


def ref_of(model: type[Part], field: str) -> Ref | None:
    """Return what a field names, if anything."""
    metadata = model.model_fields[field].metadata
    return next((one for one in metadata if isinstance(one, Ref)), None)


_Referring = tuple[str, Ref | None, tuple[type[Part], ...], str, bool]


@cache
def _referring(model: type[Part]) -> tuple[_Referring, ...]:
    """Fields of a model that name something, or hold parts that do."""
    fields: list[_Referring] = []
    for name, info in model.model_fields.items():
        ref = ref_of(model, name)
        models, many = _inner(info.annotation)
        if ref is not None or any(_referring(one) for one in models):
            fields.append((name, ref, models, many, info.is_required()))
    return tuple(fields)


def _inner(annotation: Any) -> tuple[tuple[type[Part], ...], str]:
    """The parts that a type holds, and how: ``one``, a ``list`` or a ``table`` of them."""
    bare, origin, args = _opened(annotation)
    if isinstance(bare, type) and issubclass(bare, Part):
        return (bare,), "one"
    if origin is dict:
        return _inner(args[1])[0], "table"
    if origin is tuple:
        return _inner(args[0])[0], "list"
    if origin is not None and origin is not Literal:  # a union
        members = [_inner(one)[0] for one in args if one is not type(None)]
        return tuple(model for models in members for model in models), "one"
    return (), "one"


def _item_type(annotation: Any) -> Any:
    return _opened(annotation)[2][0]


def _opened(annotation: Any) -> tuple[Any, Any, tuple[Any, ...]]:
    while typing.get_origin(annotation) is Annotated:
        annotation = typing.get_args(annotation)[0]
    return annotation, typing.get_origin(annotation), typing.get_args(annotation)


def _chosen(models: Sequence[type[Part]], value: Any) -> type[Part]:
    """The member of a union that a value is of, by its ``kind`` or ``form``."""
    if isinstance(value, Part):
        return type(value)
    for model in models:
        for tag in ("kind", "form"):
            info = model.model_fields.get(tag)
            if len(models) > 1 and info is not None and value.get(tag) == info.default:
                return model
    return models[0]


def _get(owner: Any, field: str) -> Any:
    return owner.get(field) if isinstance(owner, Mapping) else getattr(owner, field, None)


def _listed(value: Any) -> Sequence[Any]:
    if value is None:
        return ()
    return list(value) if isinstance(value, list | tuple | Mapping) else [value]
