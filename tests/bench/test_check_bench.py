"""How long ``lumen check`` takes from a cold process, against importing what it must import.

Run: python -m pytest tests/bench -s -p no:cacheprovider
"""

import statistics
import subprocess
import sys
import time

import lumen


def seconds(*command):
    """Wall time of a whole process, the middle of five runs after one to warm the disk."""
    runs = []
    for _ in range(6):
        start = time.perf_counter()
        subprocess.run([sys.executable, *command], check=False, capture_output=True)
        runs.append(time.perf_counter() - start)
    return statistics.median(runs[1:])


def test_check_from_a_cold_process():
    """Prints the ratio of ``lumen check`` to ``import numpy, pydantic`` (must 12, aim 5)."""
    imports = seconds("-c", "import numpy, pydantic")
    check = seconds("-m", "lumen", "check", str(lumen.examples()[0]))
    print(f"\ncheck {check:.2f} s, imports {imports:.2f} s, ratio {check / imports:.1f}")
    assert check > imports
