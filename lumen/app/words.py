"""What the power line and the caution line of the answers column say."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from lumen.power.load import LimitShare
from lumen.study.cautions import Level
from lumen.study.load.electrics import Electrics
from lumen.words.figures import amperes, watts

__all__ = ["LEVELS", "PowerWords", "caution_line", "power_answer"]

LEVELS: Mapping[Level, str] = {"stop": "Stop", "ask": "Ask", "note": "Note"}

_NO_RATING = "no rating is known for anything it is plugged into"


@dataclass(frozen=True)
class PowerWords:
    """The power line of the answers column."""

    value: str
    band: str
    over: bool


def power_answer(electrics: Electrics, setup: str) -> PowerWords:
    """Return what a setup draws, and where it is nearest to a limit."""
    if setup not in electrics.setups:
        return PowerWords(f"{watts(0.0)}, {amperes(0.0)}", _NO_RATING, False)
    total = electrics.total(setup)
    value = f"{watts(total.total_w)}, {amperes(total.total_a)}"
    tree, fullest = electrics.trees[setup], _fullest(electrics, setup)
    if fullest is None:
        return PowerWords(value, _NO_RATING, False)
    node_id, share = fullest
    rated = electrics.tightest(electrics.everything, node_id)
    drawn = amperes(tree[node_id].amperes)
    most = share.limit if rated is None else rated.limit
    words = f"{electrics.name(node_id)}: {drawn} of {amperes(most.amperes)}"
    return PowerWords(value, f"fullest is {words}", share.share > 1)


def _fullest(electrics: Electrics, setup: str) -> tuple[str, LimitShare] | None:
    tree = electrics.trees[setup]
    shares = [
        (node.id, share)
        for node in electrics.wiring.nodes
        if (share := electrics.tightest(tree, node.id)) is not None
    ]
    return max(shares, key=lambda pair: pair[1].share, default=None)


def caution_line(levels: Collection[Level]) -> str:
    """Return how many cautions stand, in words, by their levels.

    Examples
    --------
    >>> caution_line(["stop", "note", "note"])
    '1 stop, 2 notes'
    >>> caution_line([])
    'no caution raised'
    """
    counts = {level: sum(each == level for each in levels) for level in LEVELS}
    plural = {"stop": "stops", "ask": "to ask", "note": "notes"}
    parts = [
        f"{n} {plural[level] if n > 1 or level == 'ask' else level}"
        for level, n in counts.items()
        if n
    ]
    return ", ".join(parts) or "no caution raised"
