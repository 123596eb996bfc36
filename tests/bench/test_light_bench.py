"""How long the light engine takes, as ratios to a path tracer measured in the same run.

Run: ``python tests/bench/test_light_bench.py`` (prints a table), or through pytest. The rooms and
the tracer are those of ``tests/light/test_path_tracer.py``. The tracer's time is what it needs for
a standard error of 1 % at 38 of the same 40 sensors, from its error at a fixed number of
particles; compiling its kernels is left out. A naive way is timed where there is no tracer:
the whole room solved again.
"""

from __future__ import annotations

import importlib.util
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np

from lumen.light.interreflection import Transport, illuminance_map
from lumen.light.sources import StripSource


def _rooms() -> ModuleType:
    path = Path(__file__).parents[1] / "light" / "test_path_tracer.py"
    spec = importlib.util.spec_from_file_location("bench_rooms", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["bench_rooms"] = module
    spec.loader.exec_module(module)
    return module


def _best(work: Callable[[], object], repeats: int = 5) -> float:
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times)


def measure() -> list[tuple[str, float, str]]:
    """Every step: name, seconds, and its ratio in words."""
    rooms = _rooms()
    cases = rooms.cases()
    table: list[tuple[str, float, str]] = []
    tracer: dict[str, float] = {}
    try:
        mi = rooms._renderer()
    except BaseException as reason:  # pytest's skip: no vectorised renderer here
        print(f"no path tracer: {reason}")
        mi = None
    if mi is not None:
        for name in ("pendant", "panel", "to wall 40"):
            room, source, (points, normals) = cases[name]
            light = rooms.Tracer(mi, room)
            light.bounced(source, points, normals, 8000, 1)
            begin = time.perf_counter()
            runs = [light.bounced(source, points, normals, 8000, 2 * k + 3) for k in range(8)]
            spent = time.perf_counter() - begin
            total = light.direct(source, points, normals) + np.mean(runs, axis=0)
            error = np.percentile(np.std(runs, axis=0, ddof=1) / np.sqrt(8) / total, 95)
            tracer[name] = spent * float(error / 0.01) ** 2
            table.append((f"path tracer, {name}, 1 %", tracer[name], "1"))

    def against(name: str, seconds: float) -> str:
        return f"{tracer[name] / seconds:.2g} x faster" if name in tracer else "no tracer"

    room, pendant, (points, normals) = cases["pendant"]
    panel, strip = cases["panel"][1], cases["to wall 40"][1]
    assert isinstance(strip, StripSource)
    setup = _best(lambda: Transport.from_room(room), 3)
    transport = Transport.from_room(room)
    gather = _best(lambda: transport.sensors(points, normals), 3)
    sensors = transport.sensors(points, normals)
    table.append(
        ("room set-up with 40 sensors", setup + gather, against("pendant", setup + gather))
    )
    for name, source, key in (("point", pendant, "pendant"), ("panel", panel, "panel")):
        seconds = _best(lambda s=source: illuminance_map(transport, sensors, s))  # type: ignore[misc]
        table.append((f"{name} moved", seconds, against(key, seconds)))
    for detail in ("full", "drag"):
        seconds = _best(
            lambda d=detail: illuminance_map(transport, sensors, strip, detail=d),
            3,  # type: ignore[misc]
        )
        naive = (setup + gather) / seconds
        words = f"{against('to wall 40', seconds)}; {naive:.2g} x the room again"
        table.append((f"hidden strip moved, {detail}", seconds, words))
    maps = np.stack(
        [illuminance_map(transport, sensors, s).total for s in (pendant, panel, strip)], axis=1
    )
    level = np.array([0.3, 0.7, 1.0])
    begin = time.perf_counter()
    for _ in range(1000):
        maps @ level
    seconds = (time.perf_counter() - begin) / 1000
    table.append(("level changed", seconds, against("pendant", seconds)))
    grid = np.random.default_rng(0).uniform([0.7, 0.6, 0.6], [3.9, 3.3, 2.4], (300, 3))
    plane = transport.sensors(grid, np.tile([0.0, 0.0, 1.0], (300, 1)))
    seconds = _best(lambda: illuminance_map(transport, plane, pendant))
    table.append(("point moved, 300 sensors", seconds, against("pendant", seconds)))
    megabytes = (transport.nbytes + plane.nbytes) / 1e6
    table.append(
        (f"memory, {len(transport.patches)} patches, 300 sensors", 0.0, f"{megabytes:.0f} MB")
    )
    return table


def show(table: list[tuple[str, float, str]]) -> None:
    """Print the table."""
    print()
    for name, seconds, words in table:
        print(f"{name:42s} {1000 * seconds:10.2f} ms   {words}")


def test_light_engine_bench() -> None:
    """Every step runs and a moved point costs less than setting up the room."""
    table = measure()
    show(table)
    seconds = {name: s for name, s, _ in table}

    assert seconds["point moved"] < seconds["room set-up with 40 sensors"]


if __name__ == "__main__":
    show(measure())
