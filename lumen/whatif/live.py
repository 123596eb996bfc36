"""Answers that are reckoned before anybody asks."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable
from contextvars import copy_context

from lumen.scenario.document import Scenario
from lumen.study.lighting.fields import set_up
from lumen.study.lighting.maps import lighting
from lumen.study.load.electrics import strip_profiles

__all__ = ["ahead"]


def ahead(scenario: Scenario) -> None:
    """Reckon a plan's light in threads of their own; who asks meanwhile waits for the same answer.

    What goes wrong here goes wrong again for whoever asks, and is told then.
    """
    for part in (lambda: lighting(scenario, strip_profiles(scenario)), lambda: set_up(scenario)):
        context = copy_context()  # with the engine that was asked
        threading.Thread(target=context.run, args=(_untold, part), daemon=True).start()


def _untold(part: Callable[[], object]) -> None:
    with contextlib.suppress(Exception):
        part()
