"""Killed at any moment of saving and keeping, the newest acknowledged version opens.

The normal run kills 6 times; `pytest -m long tests/proof/test_kills.py` 200 times.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from lumen.scenario.files import examples, history, load
from lumen.scenario.kept import kept, load_kept

# Saves and keeps without end; says the number of each round once it is on disk.
_WRITER = """
import sys
from lumen.scenario.files import load, save
from lumen.scenario.kept import keep
plan, file = load(sys.argv[1]), sys.argv[2]
plan = plan.model_copy(update={"identity": "0123456789abcdef", "note": "x" * 3900})
based_on = None
for number in range(10**9):
    plan = plan.model_copy(update={"title": f"round {number:09d}"})
    save(plan, file)
    based_on = keep(plan, based_on=based_on).version
    print(number, flush=True)
"""

_TIMES = [*range(6), *(pytest.param(each, marks=pytest.mark.long) for each in range(6, 200))]


@pytest.mark.parametrize("number", _TIMES)
def test_a_kill_loses_nothing_that_was_acknowledged(
    number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """File, kept plan and every version of both are whole, and as new as was said."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    file = tmp_path / "plan.json"
    with subprocess.Popen(
        [sys.executable, "-c", _WRITER, str(examples()[0]), str(file)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "XDG_DATA_HOME": str(tmp_path / "data")},
    ) as writer:
        assert writer.stdout is not None
        said = int(writer.stdout.readline())
        time.sleep(random.Random(number).uniform(0.0, 0.15))
        writer.send_signal(signal.SIGKILL)
        said = max([said, *(int(line) for line in writer.stdout.read().split())])
    assert load(file).title >= f"round {said:09d}"
    (latest,) = [one for one in kept() if one.latest]
    assert latest.trouble is None
    assert load_kept(latest.mark).title >= f"round {said:09d}"
    for version in history(file):
        assert load(version).title.startswith("round ")
    folders = list(tmp_path.rglob("*.new"))
    assert len(folders) <= 1  # what the kill itself left; the next save clears it
