"""What the power line and the caution line of the answers column say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lumen.words.figures import amperes, watts

__all__ = ["LEVELS", "PowerWords", "caution_line", "power_answer"]

Json = dict[str, Any]

LEVELS = {"stop": "Stop", "ask": "Ask", "note": "Note"}


@dataclass(frozen=True)
class PowerWords:
    """The power line of the answers column."""

    value: str
    band: str
    over: bool


def power_answer(data: Mapping[str, Any], setup: str) -> PowerWords:
    """Return what a setup draws, and where it is nearest to a limit."""
    total = next((s for s in data["setups"] if s["id"] == setup), {"total_w": 0.0, "total_a": 0.0})
    fullest = _fullest(data, setup)
    value = f"{watts(total['total_w'])}, {amperes(total['total_a'])}"
    if fullest is None:
        return PowerWords(value, "no rating is known for anything it is plugged into", False)
    share, node = fullest
    drawn = node["by_setup"].get(setup, node["everything_on"])["amperes"]
    words = f"{node['name']}: {amperes(drawn)} of {amperes(node['rating_a'])}"
    return PowerWords(value, f"fullest is {words}", share > 1)


def _fullest(data: Mapping[str, Any], setup: str) -> tuple[float, Json] | None:
    shares = [
        (draw["share"], node)
        for node in data["power"]["nodes"]
        if node["rating_a"] and (draw := node["by_setup"].get(setup)) and draw["share"] is not None
    ]
    return max(shares, key=lambda pair: pair[0], default=None)


def caution_line(cautions: list[Json]) -> str:
    """Return how many cautions stand, in words.

    Examples
    --------
    >>> caution_line([{"level": "stop"}, {"level": "note"}, {"level": "note"}])
    '1 stop, 2 notes'
    >>> caution_line([])
    'no caution raised'
    """
    counts = {level: sum(c["level"] == level for c in cautions) for level in LEVELS}
    plural = {"stop": "stops", "ask": "to ask", "note": "notes"}
    parts = [
        f"{n} {plural[level] if n > 1 or level == 'ask' else level}"
        for level, n in counts.items()
        if n
    ]
    return ", ".join(parts) or "no caution raised"
