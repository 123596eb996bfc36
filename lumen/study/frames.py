"""A study as tidy tables: a row an observation, a unit in every column's name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, Literal, get_args

from lumen.errors import LumenError
from lumen.study.cautions import Caution
from lumen.study.lighting.maps import Answer, Lighting
from lumen.study.load.electrics import EVERYTHING, Electrics
from lumen.study.wishes.verdicts import AimResult

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["FrameName", "Row", "frame", "frame_of"]

FrameName = Literal["answers", "planes", "eyes", "wishes", "load", "cautions"]
Row = dict[str, Any]


def frame(columns: Mapping[str, str], rows: Iterable[Row]) -> pd.DataFrame:
    """Return rows as a frame with the columns and types that are asked, also of no rows at all.

    Types are pandas' own, ``string``, ``Float64``, ``Int64`` and ``boolean``, with ``<NA>`` where
    there is nothing to say.
    """
    import pandas as pd  # slow to import, and neither page nor command line needs it

    found = pd.DataFrame([[row[name] for name in columns] for row in rows], columns=list(columns))
    return found.astype(dict(columns))


def frame_of(
    of: str,
    lit: Lighting,
    drawn: Electrics,
    aims: Iterable[AimResult],
    cautions: Iterable[Caution],
) -> pd.DataFrame:
    """Return one table of a study's parts; `Study.to_frame` says which there are.

    Raises
    ------
    LumenError
        When there is no such table.
    """
    if of == "answers":
        return frame(_ANSWERS, _answers(lit, eyes=None))
    if of == "planes":
        return frame(_PLANES, _answers(lit, eyes=False))
    if of == "eyes":
        return frame(_EYES, _answers(lit, eyes=True))
    if of == "wishes":
        return frame(_WISHES, map(_wish, aims))
    if of == "load":
        return frame(_LOAD, _load(drawn))
    if of == "cautions":
        return frame(_CAUTIONS, _cautions(cautions))
    raise LumenError("of", f"must be one of {', '.join(get_args(FrameName))}", of)


_TEXT, _NUMBER, _WHOLE, _FLAG = "string", "Float64", "Int64", "boolean"
_TARGET = {"target": _TEXT, "of": _TEXT, "person": _TEXT, "posture": _TEXT, "setup": _TEXT}
_LIGHT = dict.fromkeys(
    (
        "average_lx", "minimum_lx", "maximum_lx", "uniformity", "low_lx", "high_lx",
        "after_years_lx", "direct_lx", "bounced_lx",
    ),
    _NUMBER,
)  # fmt: skip
_BODY = dict.fromkeys(
    ("melanopic_edi_lx", "melanopic_low_lx", "melanopic_high_lx", "melanopic_after_years_lx"),
    _NUMBER,
)
_ANSWERS = {**_TARGET, **_LIGHT, **_BODY}
_PLANES = {**_TARGET, **_LIGHT}
_EYES = {
    **{name: kind for name, kind in _TARGET.items() if name != "of"},
    **dict.fromkeys(
        ("illuminance_lx", "low_lx", "high_lx", "after_years_lx", "direct_lx", "bounced_lx"),
        _NUMBER,
    ),
    **_BODY,
}


def _answers(lit: Lighting, *, eyes: bool | None) -> Iterator[Row]:
    """Every target in every setup: eyes, planes, or both."""
    for setup in lit.scenario.setups:
        for target in lit.targets:
            if eyes is None or target.is_eye is eyes:
                yield {
                    "target": target.id,
                    "of": target.kind.value,
                    "person": target.person,
                    "posture": None if target.posture is None else target.posture.value,
                    "setup": setup.id,
                    **_answer(lit.answer(target.id, setup.id)),
                }


def _answer(answer: Answer) -> Row:
    return {
        "average_lx": answer.average_lx,
        "illuminance_lx": answer.average_lx,
        "minimum_lx": answer.minimum_lx,
        "maximum_lx": answer.maximum_lx,
        "uniformity": answer.uniformity,
        "low_lx": answer.low_lx,
        "high_lx": answer.high_lx,
        "after_years_lx": answer.after_years_lx,
        "direct_lx": answer.direct_lx,
        "bounced_lx": answer.bounced_lx,
        "melanopic_edi_lx": answer.melanopic_lx,
        "melanopic_low_lx": answer.melanopic_low_lx,
        "melanopic_high_lx": answer.melanopic_high_lx,
        "melanopic_after_years_lx": answer.melanopic_after_years_lx,
    }


_WISHES = {
    **dict.fromkeys(("wish", "target", "person", "setup", "measure"), _TEXT),
    **dict.fromkeys(("value", "low", "high", "new", "after_years", "at_least", "at_most"), _NUMBER),
    **dict.fromkeys(("state", "level_state", "doubt"), _TEXT),
    "sure": _FLAG,
    **dict.fromkeys(("evenness", "evenness_at_least"), _NUMBER),
    "source": _TEXT,
}


def _wish(aim: AimResult) -> Row:
    even = aim.evenness
    return {
        "wish": aim.id,
        "target": aim.of,
        "person": aim.person,
        "setup": aim.setup,
        "measure": aim.measure,
        "value": aim.value,
        "low": aim.low,
        "high": aim.high,
        "new": aim.new,
        "after_years": aim.after_years,
        "at_least": aim.at_least,
        "at_most": aim.at_most,
        "state": aim.state,
        "level_state": aim.level_state,
        "doubt": aim.doubt,
        "sure": aim.sure,
        "evenness": None if even is None else even.value,
        "evenness_at_least": None if even is None else even.at_least,
        "source": aim.source or None,
    }


_LOAD = {
    **dict.fromkeys(("node", "name", "kind", "fed_from", "setup"), _TEXT),
    **dict.fromkeys(("watts_w", "apparent_va", "amperes_a", "limit_a", "share"), _NUMBER),
    "limit_assumed": _FLAG,
}


def _load(drawn: Electrics) -> Iterator[Row]:
    """Every node of the supply tree in every setup, and with everything on (no setup)."""
    for setup, tree in drawn.trees.items():
        for node in drawn.wiring.nodes:
            load, limit = tree[node.id], drawn.tightest(tree, node.id)
            yield {
                "node": node.id,
                "name": drawn.name(node.id),
                "kind": drawn.kind(node.id),
                "fed_from": load.node.parent,
                "setup": None if setup == EVERYTHING else setup,
                "watts_w": load.watts_in,
                "apparent_va": load.va,
                "amperes_a": load.amperes,
                "limit_a": None if limit is None else limit.limit.amperes,
                "share": None if limit is None else limit.share,
                "limit_assumed": None if limit is None else limit.limit.assumed,
            }


_CAUTIONS = {"number": _WHOLE, "rule": _WHOLE, "key": _TEXT, "level": _TEXT, "object": _TEXT}


def _cautions(cautions: Iterable[Caution]) -> Iterator[Row]:
    """A row for each thing that a caution is about, the one that carries the mark first."""
    for number, caution in enumerate(cautions):
        for thing in caution.objects:
            yield {
                "number": number,
                "rule": caution.rule,
                "key": caution.key,
                "level": caution.level,
                "object": thing,
            }
