"""What the box says, put into the fields of a light or strip, and told beside each of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lumen.app.inspect import length_text, number_text
from lumen.scenario.box import FOR_LIGHTS, FOR_STRIPS, Read, read_box
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Beam, Cosine, Light, Strip
from lumen.scenario.quality import quality_facts

__all__ = ["BOX", "Note", "box_command", "box_notes", "places_of", "quality_notes"]

BOX = "box_says"

Json = dict[str, Any]


@dataclass(frozen=True)
class Note:
    """What stands beside a field: words, and how they are marked."""

    words: str
    state: str


def places_of(item: Any) -> Mapping[str, str]:
    """Return what a light or strip takes from its box, and where each belongs; else nothing."""
    if isinstance(item, Light):
        return FOR_LIGHTS
    return FOR_STRIPS if isinstance(item, Strip) else {}


def box_command(scenario: Scenario, section: str, name: str, text: str) -> Json:
    """Return the command that keeps a pasted text and fills the fields: one step to undo."""
    item = next(one for one in getattr(scenario, section) if one.id == name)
    values: dict[str, Any] = {BOX: text or None}
    for field, one in read_box(text).items():
        path = places_of(item).get(field)
        if path is None or (field == "beam_deg" and not _takes_beam(item)):
            continue
        value = list(one.value) if isinstance(one.value, tuple) else one.value
        if field == "beam_deg" and not isinstance(item.distribution, Beam | Cosine):
            path, value = "distribution", {"form": "beam", "beam_deg": value}
        values[path] = value
    commands = [
        {"name": "set", "id": name, "args": {"field": path, "value": value, "section": section}}
        for path, value in values.items()
    ]
    return {"name": "several", "args": {"commands": commands}}


def _takes_beam(item: Any) -> bool:
    """Whether a beam angle tells how a light spreads: a spot, or one of which nothing is known."""
    known = "distribution" in item.model_fields_set
    return isinstance(item.distribution, Beam | Cosine) or not known


def box_notes(item: Any, system: str) -> dict[str, Note]:
    """Return what the kept text of the box says of each field that could stand on it, by path."""
    if getattr(item, BOX, None) is None:
        return {}
    by_field = read_box(item.box_says)
    notes = {}
    for field, path in places_of(item).items():
        one = by_field.get(field)
        if one is None:
            notes[path] = Note("not found on the box", "missed")
            continue
        written = item.box_says[one.start : one.end].strip()
        now: Any = item
        for step in path.split("."):
            now = getattr(now, step, None)
        if now == one.value:
            notes[path] = Note(f"read on the box: {written}", "read")
        elif field == "beam_deg" and not _takes_beam(item):
            words = f"the box says {written}; how this light spreads is told by its own measures"
            notes["distribution.form"] = Note(words, "other")
        else:
            notes[path] = Note(f"the box says {_shown(one, system)}", "other")
    return notes


def _shown(one: Read, system: str) -> str:
    if isinstance(one.value, bool):
        return "yes" if one.value else "no"
    if isinstance(one.value, str):
        return one.value
    return length_text(one.value, system) if one.field.endswith("_m") else number_text(one.value)


def quality_notes(item: Any) -> dict[str, Note]:
    """Return how the figures of colour and flicker stand against what is asked, by path."""
    if not isinstance(item, Light | Strip):
        return {}
    lamp, head = (item.lamp, "lamp.") if isinstance(item, Light) else (item, "")
    notes = {}
    for fact in quality_facts(lamp):
        limit = (
            f"at least {fact.at_least:g}" if fact.at_most is None else f"at most {fact.at_most:g}"
        )
        state = "met" if fact.met else "not met"
        memory = ", from memory" if fact.how == "memory" else ""
        words = f"{limit}, {fact.source}{memory}: {state}"
        notes[f"{head}{fact.field}"] = Note(words, "read" if fact.met else "short")
    return notes
