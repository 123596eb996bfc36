"""Answers while a hand moves something, before any command is made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.study.document import aims_json, answers_json
from lumen.study.lighting.evaluation import room_is_ready, room_key
from lumen.study.lighting.fields import fields, packed
from lumen.study.lighting.maps import Lighting, lighting
from lumen.study.load.electrics import strip_profiles
from lumen.study.wishes.verdicts import aim_results

__all__ = ["preview"]


def preview(
    scenario: Scenario,
    command: Mapping[str, Any],
    setup: str | None = None,
    surfaces: Iterable[str] | None = None,
) -> dict[str, Any]:
    """Return planes, eyes, wishes and the moved sources' maps for a command that is not yet made.

    ``setup`` limits the answers, and ``surfaces`` the maps, to what is being looked at.

    Moving furniture changes the room itself, which takes longer than a hand waits: then the
    answer is ``{"stale": True}`` and the page dims its numbers until the command is made.

    Raises
    ------
    ScenarioError
        When the command would break the plan.
    """
    moved = apply(scenario, command)
    # A room that was let go of meanwhile is set up again once; else no number would ever follow.
    if not room_is_ready(moved) and room_key(moved) != room_key(scenario):
        return {"stale": True}
    lit = lighting(moved, strip_profiles(moved), detail="drag", setup=setup)
    aims = aims_json(aim_results(lit, setup, shadows=False), {t.id: t.name for t in lit.targets})
    maps = packed(fields(lit, _changed(scenario, lit), surfaces, detail="drag"))
    return {"stale": False, **answers_json(lit, setup), "aims": aims, "fields": maps}


def _changed(before: Scenario, lit: Lighting) -> list[str]:
    old = {item.id: item for item in before.sources}
    new = {item.id: item for item in lit.scenario.sources}
    return [name for name, item in new.items() if old.get(name) != item]
