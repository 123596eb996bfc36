"""Whatever comes in, out comes a result or a sentence: no traceback, no number that is none.

The normal run draws 2,300 inputs; `pytest -m long tests/proof` draws 115,000.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from lumen.app import commands, create_app
from lumen.command import main
from lumen.errors import LumenError, PhotometryError
from lumen.light.lm63 import read_lm63
from lumen.scenario.box import read_box
from lumen.scenario.document import dump, plain
from lumen.scenario.files import examples, load, loads
from lumen.study.report import report
from lumen.study.study import study

from . import fuzz

HERE = {"Host": "127.0.0.1:8765"}
SHORT, LONG = range(1), range(1, 50)  # rounds of inputs


def rounds(function: Any) -> Any:
    """Round 0 in the normal run, the others on demand."""
    cases = [*SHORT, *(pytest.param(each, marks=pytest.mark.long) for each in LONG)]
    return pytest.mark.parametrize("batch", cases)(function)


def _finite(value: Any, path: str = "") -> None:
    if isinstance(value, dict):
        for key, inside in value.items():
            _finite(inside, f"{path}.{key}")
    elif isinstance(value, list):
        for number, inside in enumerate(value):
            _finite(inside, f"{path}[{number}]")
    elif isinstance(value, float):
        assert math.isfinite(value), path


def _told(error: LumenError) -> None:
    assert str(error).strip()
    assert "Traceback" not in str(error)


@rounds
def test_plans(batch: int) -> None:
    """A spoiled plan is refused in sentences, or loads and dumps to itself; some are studied."""
    for seed in range(1000 * batch, 1000 * batch + 1000):
        try:
            plan = loads(fuzz.plan_text(seed))
        except LumenError as error:
            _told(error)
            continue
        assert dump(loads(dump(plan))) == dump(plan), seed
        if seed % 40 == 0:
            try:
                found = study(plan)
            except LumenError as error:
                _told(error)
                continue
            data = found.to_json()
            _finite(data)
            json.dumps(data, allow_nan=False)
            assert report(found)


@rounds
def test_photometric_files(batch: int) -> None:
    """A spoiled file is refused in a sentence, or gives intensities that are numbers."""
    for seed in range(400 * batch, 400 * batch + 400):
        try:
            found = read_lm63(fuzz.lm63_text(seed))
        except PhotometryError as error:
            _told(error)
            continue
        assert math.isfinite(found.distribution.flux_lm), seed
        assert found.distribution.flux_lm >= 0.0, seed


@rounds
def test_commands(batch: int) -> None:
    """A command leads to a plan that loads, or leaves the old one and says why."""
    first = load(examples()[batch % len(examples())])
    document = commands.document_of(first)
    for seed in range(300 * batch, 300 * batch + 300):
        outcome = commands.run(document, {**fuzz.command(seed, plain(first)), "stamp": seed})
        assert outcome.answered["stamp"] == seed
        if outcome.document is None:
            assert all(fault["text"].strip() for fault in outcome.answered["faults"])
        else:
            assert loads(json.dumps(outcome.document["plan"]))


@rounds
def test_labels(batch: int) -> None:
    """Of a pasted text is read what stands in it, in numbers; kept, it leads to a plan or a word.

    Letters that become two when small, torn ones and 400 digits are among them.
    """
    plan = load(examples()[batch % len(examples())])
    document = commands.document_of(plan)
    things = [*plan.lights, *plan.strips]
    for seed in range(300 * batch, 300 * batch + 300):
        text = fuzz.label(seed)
        for one in read_box(text).values():
            assert 0 <= one.start < one.end <= len(text), seed
            values = one.value if isinstance(one.value, tuple) else (one.value,)
            _finite(list(values), f"{seed} {one.field}")
            assert list(values) == sorted(values), seed
        if seed % 6:
            continue
        asked = {"field": "box_says", "text": text, "system": "cm"}
        command = {"name": "type", "id": things[seed % len(things)].id, "args": asked}
        outcome = commands.run(document, {**command, "stamp": seed})
        if outcome.document is None:
            assert outcome.answered["faults"] or not text.strip(), seed
            assert all(fault["text"].strip() for fault in outcome.answered["faults"])
            assert commands.BROKEN not in str(outcome.answered), seed
        else:
            assert loads(json.dumps(outcome.document["plan"]))


@rounds
def test_requests(batch: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that is asked of the server is an error of the server's own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    with create_app().server.test_client() as client:
        for seed in range(200 * batch, 200 * batch + 200):
            method, address, sent = fuzz.request(seed)
            answer = client.open(address, method=method, headers=HERE, **sent)
            assert answer.status_code < 500, (seed, address)


@rounds
def test_arguments(
    batch: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A command line ends with a status and words, never with a traceback."""
    monkeypatch.chdir(tmp_path)
    for seed in range(100 * batch, 100 * batch + 100):
        try:
            status = main(fuzz.argument(seed))
        except SystemExit as left:
            status = left.code if isinstance(left.code, int) else 2
        assert status in (0, 1, 2), seed
        assert "Traceback" not in capsys.readouterr().err
