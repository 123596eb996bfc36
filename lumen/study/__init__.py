"""The study joins the written plan with light and power; every face reads it.

``lumen.study(plan)`` calls the package itself: the folder and the thing it makes share a name.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

    from lumen.scenario.document import Scenario
    from lumen.study.cache import Cache
    from lumen.study.study import Study


class _CallablePackage(ModuleType):
    def __call__(
        self,
        scenario: Scenario,
        *,
        detail: str = "full",
        only: Collection[str] | None = None,
        engine: Cache | None = None,
    ) -> Study:
        """As :func:`lumen.study.study.study`."""
        from lumen.study.study import study

        return study(scenario, detail=detail, only=only, engine=engine)


sys.modules[__name__].__class__ = _CallablePackage
