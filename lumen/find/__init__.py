"""What would meet the wishes: places, lamps and levels, searched and then studied anew.

::

    Reciprocity --Guide--> candidates --Judge--> a few, by the study itself --> plans, relaxations

``lumen.find(plan)`` calls the package itself: the folder and the thing it does share a name.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

from lumen.find.finding import FORMAT, Finding, Progress, find
from lumen.find.patch import Patch, patch
from lumen.find.plans import Plan
from lumen.find.strip_choices import StripChoice, strip_choices

if TYPE_CHECKING:
    from lumen.scenario.document import Scenario

__all__ = [
    "FORMAT",
    "Finding",
    "Patch",
    "Plan",
    "Progress",
    "StripChoice",
    "find",
    "patch",
    "strip_choices",
]


class _CallablePackage(ModuleType):
    def __call__(self, scenario: Scenario, **asked: Any) -> Finding:
        return find(scenario, **asked)


sys.modules[__name__].__class__ = _CallablePackage
