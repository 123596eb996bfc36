"""Answers while a hand moves something: only what the gesture changes is reckoned anew."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.study.electrics import strip_profiles
from lumen.study.fields import fields, packed
from lumen.study.lighting import Lighting, lighting, room_is_ready
from lumen.study.study import answers_json

__all__ = ["preview"]


def preview(
    scenario: Scenario,
    command: Mapping[str, Any],
    setup: str | None = None,
    surfaces: Iterable[str] | None = None,
) -> dict[str, Any]:
    """Return planes, eyes and the moved sources' maps for a command that is not yet made.

    ``setup`` limits the answers, and ``surfaces`` the maps, to what is being looked at.

    Moving furniture changes the room itself, which takes longer than a hand waits: then the
    answer is ``{"stale": True}`` and the page dims its numbers until the command is made.

    Raises
    ------
    ScenarioError
        When the command would break the plan.
    """
    moved = apply(scenario, dict(command))
    if not room_is_ready(moved):
        return {"stale": True}
    lit = lighting(moved, strip_profiles(moved), detail="drag")
    maps = packed(fields(lit, _changed(scenario, lit), surfaces, detail="drag"))
    return {"stale": False, **answers_json(lit, setup), "fields": maps}


def _changed(before: Scenario, lit: Lighting) -> list[str]:
    old = {item.id: item for item in before.sources}
    new = {item.id: item for item in lit.scenario.sources}
    return [name for name, item in new.items() if old.get(name) != item]
