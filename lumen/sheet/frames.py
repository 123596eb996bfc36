"""A plan's whole answer as tidy tables: what the study has, and what is bought."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lumen.scenario.document import Scenario
from lumen.sheet.cuts import strip_cuts
from lumen.sheet.shopping import shopping
from lumen.study.frames import Row, frame
from lumen.study.load.cord_runs import cord_runs
from lumen.study.study import Study, study

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Frames", "frames", "parts_frame"]


@dataclass(frozen=True, eq=False)
class Frames:
    """Tables of one plan, a row an observation, a unit in every column's name.

    ``planes`` and ``eyes`` have a row a target and setup, ``wishes`` a row a wish and setup,
    ``load`` a row a node of the supply tree and setup, and one with everything on (no setup),
    ``cautions`` a row a thing that a caution is about, ``parts`` a row a property that a part to
    buy has to have.
    """

    planes: pd.DataFrame
    eyes: pd.DataFrame
    wishes: pd.DataFrame
    load: pd.DataFrame
    cautions: pd.DataFrame
    parts: pd.DataFrame


def frames(plan: Scenario | Study) -> Frames:
    """Return a plan's light, wishes, load, cautions and parts to buy as tables.

    Parameters
    ----------
    plan
        A plan, or its study where that is at hand.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> found = frames(load(examples()[0]))
    >>> found.wishes["state"].value_counts().to_dict()
    {'short': 6, 'too much': 2}
    """
    found = plan if isinstance(plan, Study) else study(plan)
    return Frames(
        planes=found.to_frame("planes"),
        eyes=found.to_frame("eyes"),
        wishes=found.to_frame("wishes"),
        load=found.to_frame("load"),
        cautions=found.to_frame("cautions"),
        parts=parts_frame(found),
    )


_PARTS = {
    **dict.fromkeys(("part", "name", "kind"), "string"),
    "count": "Int64",
    "property": "string",
    **dict.fromkeys(("low", "high"), "Float64"),
    **dict.fromkeys(("unit", "words"), "string"),
    **dict.fromkeys(("price_low", "price_high"), "Float64"),
}


def parts_frame(found: Study) -> pd.DataFrame:
    """Return what a plan needs bought: a row a property, with the limits it has to keep."""
    return frame(_PARTS, _parts(found))


def _parts(found: Study) -> Iterator[Row]:
    plan = found.scenario
    wanted = {item.id for item in (*plan.sources, *plan.supply)}
    for item in shopping(found, cord_runs(plan), strip_cuts(plan), only=wanted):
        for spec in item.specs or (None,):
            yield {
                "part": item.id,
                "name": item.name,
                "kind": item.kind,
                "count": item.count,
                "property": None if spec is None else spec.what,
                "low": None if spec is None else spec.low,
                "high": None if spec is None else spec.high,
                "unit": (spec.unit or None) if spec is not None else None,
                "words": None if spec is None else spec.words,
                "price_low": item.price_low,
                "price_high": item.price_high,
            }
