"""Many studies as a table: the same by hand, by threads and by processes, a lost worker or not."""

from __future__ import annotations

import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import pandas as pd
import pytest

import lumen
from lumen.errors import LumenError
from lumen.scenario.edits import apply
from lumen.study.study import study

PLAN = lumen.load(next(p for p in lumen.examples() if p.stem == "two-pin-no-earth"))
TABLE = [
    {"id": "left light + right light", "lamp.flux_lm": lm, "mount_m": None} for lm in (200, 400)
] + [{"id": "left light", "lamp.flux_lm": 300, "mount_m": (0.75, 3.1, 1.2)}]


def test_a_row_is_the_study_of_the_changed_plan() -> None:
    """Each value is that of the study after the row's edits; empty cells change nothing."""
    found = lumen.sweep(PLAN, TABLE)
    plan = PLAN
    for name in ("left light", "right light"):
        plan = apply(
            plan, {"name": "set", "id": name, "args": {"field": "lamp.flux_lm", "value": 400}}
        )
    for result in study(plan).aims:
        assert found.loc[1, f"{result.id} / {result.setup}"] == result.value
    moved = apply(PLAN, {"name": "move", "id": "left light", "args": {"to_m": [0.75, 3.1, 1.2]}})
    moved = apply(
        moved, {"name": "set", "id": "left light", "args": {"field": "lamp.flux_lm", "value": 300}}
    )
    result = study(moved).aims[0]
    assert found.loc[2, f"{result.id} / {result.setup}"] == result.value
    assert list(found["lamp.flux_lm"]) == [200, 400, 300]


def test_processes_and_threads_give_the_same_bit_for_bit() -> None:
    """Two processes, two threads and none: equal tables, rows in order."""
    here = lumen.sweep(PLAN, pd.DataFrame(TABLE))
    with ThreadPoolExecutor(2) as threads:
        pd.testing.assert_frame_equal(
            lumen.sweep(PLAN, TABLE, executor=threads), here, check_exact=True
        )
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(2, mp_context=context) as processes:
        pd.testing.assert_frame_equal(
            lumen.sweep(PLAN, TABLE, executor=processes), here, check_exact=True
        )


def _dies() -> None:
    os._exit(1)


def test_a_lost_worker_loses_nothing() -> None:
    """The pool breaks before it has done anything: the rows come all the same."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=context) as processes:
        lost = processes.submit(_dies)
        found = lumen.sweep([PLAN, PLAN], executor=processes)
        assert lost.exception() is not None
    assert len(found) == 2
    assert found.loc[0].equals(found.loc[1])


def test_what_cannot_be_swept_is_refused() -> None:
    """A table with several plans, and a row that breaks a rule, by its number."""
    with pytest.raises(LumenError, match="must come with one plan"):
        lumen.sweep([PLAN], TABLE)
    with pytest.raises(LumenError) as refused:
        lumen.sweep(
            PLAN,
            [{"id": "left light", "lamp.flux_lm": 100}, {"id": "left light", "lamp.flux_lm": -5}],
        )
    assert refused.value.fault.field.startswith("row 1: ")
