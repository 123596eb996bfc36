"""A study as tables: tidy, whole in all rooms, and with the JSON's own numbers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from lumen.errors import LumenError
from lumen.scenario.document import parse, plain
from lumen.sheet.frames import Frames, frames
from lumen.study.study import Study
from tests.sheet.printing import EXAMPLES, study_of

KEYS = {
    "planes": ["target", "setup"],
    "eyes": ["target", "setup"],
    "wishes": ["wish", "setup"],
    "load": ["node", "setup"],
    "cautions": ["number", "object"],
}
"""What tells the rows of each table apart."""


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda path: path.stem)
def found(request: pytest.FixtureRequest) -> Study:
    """The study of each room that comes with the project."""
    path: Path = request.param
    return study_of(path)


@pytest.fixture(scope="module")
def tables(found: Study) -> Frames:
    """Its tables."""
    return frames(found)


def same(column: pd.Series[Any], values: list[float | None]) -> None:
    """A column holds the numbers of the JSON, which has six digits."""
    wanted = [np.nan if value is None else value for value in values]
    np.testing.assert_allclose(column.to_numpy(dtype=float, na_value=np.nan), wanted, rtol=5e-6)


def test_tables_are_tidy(tables: Frames) -> None:
    """A row an observation, told apart by its key; plain cells; numbers where a unit is named."""
    for name in ("planes", "eyes", "wishes", "load", "cautions", "parts"):
        table: pd.DataFrame = getattr(tables, name)
        if name in KEYS:
            assert not table.duplicated(KEYS[name]).any(), name
        for column, kind in table.dtypes.items():
            assert str(kind) in {"string", "Float64", "Int64", "boolean"}, (name, column)
            if str(column).endswith(("_lx", "_a", "_w", "_va")):
                assert str(kind) == "Float64", (name, column)
        numbers = table.select_dtypes("Float64").to_numpy(dtype=float, na_value=np.nan)
        assert not np.isinf(numbers).any(), name


def test_light_is_that_of_the_json(found: Study, tables: Frames) -> None:
    """Planes and eyes have the same rows in the same order, and the same numbers."""
    data = found.to_json()
    for name, table in (("planes", tables.planes), ("eyes", tables.eyes)):
        rows = data[name]
        assert table["target"].tolist() == [row["target"] for row in rows]
        assert table["setup"].tolist() == [row["setup"] for row in rows]
        for column in table.columns:
            if column in rows[0] and str(column).endswith("_lx"):
                same(table[column], [row[column] for row in rows])
    known = {target["id"]: target for target in data["targets"]}
    for table in (tables.planes, tables.eyes):
        for target, person in zip(table["target"], table["person"], strict=True):
            assert known[target]["person"] == (None if pd.isna(person) else person)


def test_wishes_are_those_of_the_json(found: Study, tables: Frames) -> None:
    """Each wish in each of its setups: value, limits and verdict."""
    rows, table = found.to_json()["aims"], tables.wishes
    assert table["wish"].tolist() == [row["id"] for row in rows]
    assert table["state"].tolist() == [row["state"] for row in rows]
    assert table["sure"].tolist() == [row["sure"] for row in rows]
    for column in ("value", "low", "high", "new", "after_years", "at_least", "at_most"):
        same(table[column], [row[column] for row in rows])


def test_load_is_that_of_the_json(found: Study, tables: Frames) -> None:
    """Each node in each setup and with everything on: watts, amperes, its tightest limit."""
    table = tables.load.set_index(["node", "setup"])
    for node in found.to_json()["power"]["nodes"]:
        cases = [*node["by_setup"].items(), (pd.NA, node["everything_on"])]
        rows = table.loc[[(node["id"], setup) for setup, _ in cases]]
        for column, key in (
            ("watts_w", "watts"),
            ("amperes_a", "amperes"),
            ("limit_a", "limit_a"),
            ("share", "share"),
        ):
            same(rows[column], [load[key] for _, load in cases])


def test_cautions_and_parts_are_all_there(found: Study, tables: Frames) -> None:
    """Each caution with each thing it is about; each light, strip and thing of the supply once."""
    told = [(c.rule, c.level, thing) for c in found.cautions for thing in c.objects]
    table = tables.cautions
    assert list(zip(table["rule"], table["level"], table["object"], strict=True)) == told
    plan = found.scenario
    sources = {item.id for item in plan.sources}
    assert sources <= set(tables.parts["part"])
    assert set(tables.parts["part"]) <= sources | {item.id for item in plan.supply}


def test_one_table_at_a_time(found: Study, tables: Frames) -> None:
    """A study gives each of its own tables by name, planes and eyes also as one."""
    assert len(found.to_frame()) == len(tables.planes) + len(tables.eyes)
    pd.testing.assert_frame_equal(found.to_frame("eyes"), tables.eyes)
    with pytest.raises(LumenError, match="of must be one of answers, planes, eyes"):
        found.to_frame("tables")  # type: ignore[arg-type]


def test_a_plan_without_anything_has_empty_tables() -> None:
    """No lights, no people, no supply, no setups: the same columns, no rows."""
    whole = plain(study_of(EXAMPLES[0]).scenario)
    kept = {key: whole[key] for key in ("format", "title", "room", "region") if key in whole}
    bare, full = frames(parse(kept)), frames(study_of(EXAMPLES[0]))
    for name in ("planes", "eyes", "wishes", "load", "cautions", "parts"):
        assert getattr(bare, name).empty, name
        pd.testing.assert_series_equal(getattr(bare, name).dtypes, getattr(full, name).dtypes)
