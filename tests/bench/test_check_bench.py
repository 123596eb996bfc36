"""How long ``lumen check`` takes from a cold process, against importing what it must import.

Run: python -m pytest tests/bench -s -p no:cacheprovider
"""

import os
import statistics
import subprocess
import sys
import time

import pytest

import lumen


@pytest.fixture
def seconds(tmp_path):
    """Wall and processor time of a whole process: the middle of five runs after one to warm up.

    Modules are compiled beforehand, as they are once the package is installed.
    """
    compiled = {"PYTHONPYCACHEPREFIX": str(tmp_path), "PYTHONDONTWRITEBYTECODE": ""}

    def measured(*command):
        runs = []
        for _ in range(6):
            start, spent = time.perf_counter(), os.times()
            subprocess.run(
                [sys.executable, *command],
                check=False,
                capture_output=True,
                env={**os.environ, **compiled},
            )
            after = os.times()
            processor = sum(after[2:4]) - sum(spent[2:4])
            runs.append((time.perf_counter() - start, processor))
        return [statistics.median(each) for each in zip(*runs[1:], strict=True)]

    return measured


def test_check_from_a_cold_process(seconds):
    """Prints the ratio of ``lumen check`` to ``import numpy, pydantic`` (must 10, aim 6)."""
    imports = seconds("-c", "import numpy, pydantic")
    parts = seconds("-c", "import lumen.study.report, lumen.command")
    check = seconds("-m", "lumen", "check", str(lumen.examples()[0]))
    for name, unit in enumerate(("s", "s of processor")):
        print(
            f"\ncheck {check[name]:.2f} {unit}, its imports {parts[name]:.2f}, numpy and pydantic "
            f"{imports[name]:.2f}: ratio {check[name] / imports[name]:.1f}"
        )
    assert check > imports
