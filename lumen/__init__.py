"""A planner for the light and the power of one bedroom.

``load`` a plan, ``study`` it, ask for the ``illuminance_at`` any point; ``save`` it again. An
``Engine`` keeps what is dear between questions. The command ``lumen`` opens the page.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lumen.errors import LumenError, ScenarioError
    from lumen.find import find
    from lumen.find.sweep import sweep
    from lumen.scenario.document import Scenario, dump, parse
    from lumen.scenario.files import examples, load, save
    from lumen.sheet.frames import Frames, frames
    from lumen.study.anywhere import illuminance_at
    from lumen.study.engine import Engine
    from lumen.study.study import Study, study
    from lumen.study.wishes.sets import wish_sets

__all__ = [
    "Engine",
    "Frames",
    "LumenError",
    "Scenario",
    "ScenarioError",
    "Study",
    "dump",
    "examples",
    "find",
    "frames",
    "illuminance_at",
    "load",
    "parse",
    "save",
    "study",
    "sweep",
    "wish_sets",
]

__version__ = "0.1.0"

_HOMES = {
    "Engine": "lumen.study.engine",
    "Frames": "lumen.sheet.frames",
    "LumenError": "lumen.errors",
    "Scenario": "lumen.scenario.document",
    "ScenarioError": "lumen.errors",
    "dump": "lumen.scenario.document",
    "examples": "lumen.scenario.files",
    "frames": "lumen.sheet.frames",
    "illuminance_at": "lumen.study.anywhere",
    "load": "lumen.scenario.files",
    "parse": "lumen.scenario.document",
    "save": "lumen.scenario.files",
    "Study": "lumen.study.study",
    "sweep": "lumen.find.sweep",
    "wish_sets": "lumen.study.wishes.sets",
}


def __getattr__(name: str) -> Any:
    # Imported when first asked for: reading a plan should not wait for the light engine.
    if name in ("study", "find"):
        return import_module(f"lumen.{name}")
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'lumen' has no attribute {name!r}")
