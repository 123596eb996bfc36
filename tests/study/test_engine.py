"""The engine: computes what is asked, keeps to its budget, gives the same numbers anywhere."""

from __future__ import annotations

import ast
import pickle
import subprocess
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import pytest

import lumen
from lumen.scenario.document import dump
from lumen.scenario.edits import apply
from lumen.scenario.files import loads
from lumen.study import engine as engine_module
from lumen.study.cache import current
from lumen.study.document import comfort_json
from lumen.study.engine import Engine
from lumen.study.report import looked_at, report
from lumen.study.study import study

PAIR = lumen.load(lumen.examples()[0])
BARE = apply(PAIR, {"name": "remove", "id": "glow strip"})
LIT = {"transport", "sensors", "surface light", "target light"}


@pytest.fixture
def made_in_process() -> dict[str, int]:
    """What the process's own cache has made so far."""
    return dict(current().made)


def test_load_alone_asks_for_no_light(monkeypatch: pytest.MonkeyPatch) -> None:
    """Load and cautions need no room, no sensors and no map."""
    engine = Engine()
    monkeypatch.setattr(engine_module, "lighting", None)
    result = engine.evaluate(PAIR, want=["load", "cautions"])
    assert result.load is not None
    assert {c.rule for c in result.cautions or ()} == {c.rule for c in lumen.study(PAIR).cautions}
    assert (result.pages, result.eyes, result.wishes) == (None, None, None)
    assert not engine.made


def test_light_alone_asks_for_no_load(monkeypatch: pytest.MonkeyPatch) -> None:
    """What pages get needs neither supply, nor glare, nor the points of floor and eyes."""
    engine = Engine()
    monkeypatch.setattr(engine_module, "electrics", None)
    monkeypatch.setattr(engine_module, "comfort", None)
    result = engine.evaluate(BARE, want=["pages"])
    whole = lumen.study(BARE)
    for page in result.pages or ():
        expected = whole.lighting.answer(page.target, page.setup).average_lx
        assert page.average_lx == pytest.approx(expected, rel=1e-5, abs=1e-6)
    assert {page.target.partition(":")[0] for page in result.pages or ()} == {
        "page", "page slouched", "page on the side"}  # fmt: skip
    assert (result.planes, result.eyes, result.load) == (None, None, None)
    assert engine.made["sensors"] == 1
    assert not {"sightings", "glow light", "grid light"} & set(engine.made)
    few = next(iter(engine._kept[key].value for key in engine._kept if key.startswith("sensors ")))
    assert len(few) < len(whole.lighting.direct[0]) / 2


def test_what_was_asked_before_is_not_computed_again() -> None:
    """Eyes after pages find the room and what each light leaves on its surfaces."""
    engine = Engine()
    engine.evaluate(BARE, want=["pages"])
    before = engine.made.copy()
    engine.evaluate(BARE, want=["eyes"])
    for kind in ("targets", "transport", "surface light"):
        assert engine.made[kind] == before[kind]
    after = engine.made.copy()
    engine.evaluate(BARE, want=["eyes"])
    assert engine.made == after


def test_everything_is_what_the_study_says() -> None:
    """All that can be asked for, asked for at once, is the study."""
    engine = Engine()
    result, whole = engine.evaluate(PAIR), engine.study(PAIR)
    assert result.wishes == whole.aims
    assert result.cautions is not None
    assert len(result.cautions) == len(whole.cautions)
    asked = [*(result.pages or ()), *(result.planes or ()), *(result.eyes or ())]
    assert {(a.target, a.setup) for a in asked} == {(a.target, a.setup) for a in whole.answers}
    assert result.comfort is not None
    assert comfort_json(result.comfort) == comfort_json(whole.comfort)
    with pytest.raises(lumen.LumenError, match="want must be of pages, planes"):
        engine.evaluate(PAIR, want=["colour"])  # type: ignore[list-item]


def test_what_is_not_printed_is_not_computed_and_the_text_is_the_same() -> None:
    """``lumen check`` looks at what it tells of: a quarter fewer points, and no other word."""
    few, every = Engine(), Engine()
    told = study(BARE, only=looked_at(BARE), engine=few)
    whole = study(BARE, engine=every)
    assert report(told) == report(whole)
    assert told.lighting.direct.shape[1] < 0.8 * whole.lighting.direct.shape[1]


def test_one_s_own_engine_is_the_only_one_that_works(made_in_process: dict[str, int]) -> None:
    """Nothing that is asked with an engine is made or kept by that of the process."""
    engine = Engine()
    found = lumen.study(BARE, engine=engine)
    found.to_json()
    lumen.illuminance_at(BARE, [1.5, 1.5, 0.8], [0, 0, 1], setup="read left", engine=engine)
    lumen.sweep(BARE, [{"id": "left light", "lamp.flux_lm": 200}], engine=engine)
    assert set(engine.made) >= LIT
    assert dict(current().made) == made_in_process


def _numbers(engine: Engine, text: str) -> list[float]:
    """What another process says of a plan with the engine it was sent."""
    assert engine.count == 0
    return [answer.average_lx for answer in engine.study(loads(text)).answers]


def test_two_processes_say_the_same() -> None:
    """An engine that was pickled for two other processes gives them the numbers it gives here."""
    engine = Engine(cache_bytes=123_456_789)
    here = [answer.average_lx for answer in engine.study(BARE).answers]
    with ProcessPoolExecutor(2) as pool:
        there = list(pool.map(_numbers, [engine, engine], [dump(BARE)] * 2))
    for numbers in there:
        np.testing.assert_allclose(numbers, here, rtol=1e-9)
    assert pickle.loads(pickle.dumps(engine)).limit_bytes == 123_456_789


def test_a_budget_smaller_than_the_room_holds_and_the_numbers_are_the_same() -> None:
    """However little may be kept, the answers stay; the books never say more than the budget."""
    engine = Engine(cache_bytes=500_000)
    little = [answer.average_lx for answer in engine.study(BARE).answers]
    assert engine.held_bytes <= 500_000
    plenty = Engine()
    much = [answer.average_lx for answer in plenty.study(BARE).answers]
    assert little == much
    assert plenty.held_bytes > 5_000_000
    plenty.clear()
    assert (plenty.held_bytes, plenty.count) == (0, 0)


_TWELVE = """
import os, sys
os.environ["OPENBLAS_NUM_THREADS"] = "1"
import lumen
engine = lumen.Engine(cache_bytes=int(sys.argv[1]))
for path in lumen.examples():
    lumen.study(lumen.load(path), engine=engine).to_json()
    assert engine.held_bytes <= engine.limit_bytes
with open("/proc/self/status") as lines:
    resident = next(line for line in lines if line.startswith("VmRSS"))
print(int(resident.split()[1]) * 1024, engine.held_bytes)
"""


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="no /proc to read memory from")
@pytest.mark.parametrize("budget", [50_000_000, 300_000_000])
def test_memory_after_twelve_rooms(budget: int) -> None:
    """A process that studied all twelve rooms holds its engine's budget and 250 MB at most."""
    run = subprocess.run(
        [sys.executable, "-c", _TWELVE, str(budget)], capture_output=True, text=True, check=True
    )
    resident, held = map(int, run.stdout.split())
    print(f"\nresident {resident / 1e6:.0f} MB, engine {held / 1e6:.0f} of {budget / 1e6:.0f} MB")
    assert held <= budget
    assert resident <= budget + 250e6


ROOT = Path(lumen.__file__).parent
STORES = {
    "study/cache.py _PROCESS": "the cache of whoever names no engine",
    "scenario/files.py _UPGRADES": "filled once while the module is read: how old plans are read",
    "study/cautions/registry.py PREDICATES": "filled once while the modules are read: the rules",
}


def stores(source: str) -> set[str]:
    """Names at the top of a module that may hold on to what was computed for some plan.

    A function marked ``cache`` is none if it takes nothing but names and types: what it keeps is a
    table of the package or the shape of a model, and there are only so many.
    """
    found = set()
    for node in ast.parse(source).body:
        if isinstance(node, ast.FunctionDef):
            marks = [ast.unparse(mark).split("(")[0] for mark in node.decorator_list]
            kinds = [ast.unparse(arg.annotation or arg) for arg in node.args.args]
            few = all(kind in ("str", "bool") or kind.startswith("type[") for kind in kinds)
            if any(m.endswith("lru_cache") or (m.endswith("cache") and not few) for m in marks):
                found.add(node.name)
        elif isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            (target,) = node.targets if isinstance(node, ast.Assign) else (node.target,)
            value = node.value
            name = ast.unparse(value.func) if isinstance(value, ast.Call) else ""
            made = name.endswith(("Cache", "Dict", "dict", "Dictionary", "Searches", "Engine"))
            empty = ast.unparse(value) in ("{}", "[]", "set()", "list()")
            if made or empty:
                found.add(ast.unparse(target))
    return found


def test_nothing_else_in_the_process_keeps_what_was_computed() -> None:
    """Outside the cache no module holds on to what some plan made it compute."""
    found = {
        f"{file.relative_to(ROOT).as_posix()} {name}"
        for file in ROOT.rglob("*.py")
        for name in stores(file.read_text(encoding="utf-8"))
    }
    assert found == set(STORES)


@pytest.mark.parametrize(
    "source",
    [
        "_kept: dict[str, int] = {}",
        "_jobs = []",
        "_rooms = OrderedDict()",
        "_mine = Cache(4)",
        "@lru_cache(maxsize=4)\ndef read(text: str) -> int: ...",
        "@functools.cache\ndef map_of(plan: Scenario) -> int: ...",
    ],
)
def test_a_planted_store_is_found(source: str) -> None:
    """The reader of stores finds each kind when one is planted, and lets tables pass."""
    assert stores(source)
    assert not stores("@cache\ndef table(name: str, of: type[Part]) -> int: ...\nLIMITS = {'a': 1}")
