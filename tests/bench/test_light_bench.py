"""How long the light engine takes, as ratios to a path tracer measured in the same run.

Run: ``python tests/bench/test_light_bench.py`` (prints a table), or through pytest. The rooms and
the tracer are those of ``tests/light``. The tracer's time is what it needs for
a standard error of 1 % at 38 of the same 40 sensors, from its error at a fixed number of
particles; compiling its kernels is left out. A naive way is timed where there is no tracer:
the whole room solved again.

``growth`` fits how each step grows with boxes, walls, patches, lights and sensors: the slope
of log time over log number, of processor time, so that it says little about other work beside it.
Peak memory is what tracemalloc sees.
"""

from __future__ import annotations

import itertools
import sys
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np

from lumen.light.geometry import Box
from lumen.light.interreflection import Transport, illuminance_map
from lumen.light.sources import PointSource, StripSource
from lumen.scenario.document import Scenario, parse
from lumen.study.eyes.comfort import comfort
from lumen.study.lighting.maps import lighting

sys.path.insert(0, str(Path(__file__).parents[2]))  # run as a script, tests are not found

from tests.light import bedrooms
from tests.light.tracer import Tracer, renderer


def _best(work: Callable[[], object], repeats: int = 5) -> float:
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times)


def measure() -> list[tuple[str, float, str]]:
    """Every step: name, seconds, and its ratio in words."""
    cases = bedrooms.cases()
    table: list[tuple[str, float, str]] = []
    tracer: dict[str, float] = {}
    try:
        mi = renderer()
    except BaseException as reason:  # pytest's skip: no vectorised renderer here
        print(f"no path tracer: {reason}")
        mi = None
    if mi is not None:
        for name in ("pendant", "panel", "to wall 40"):
            room, source, (points, normals) = cases[name]
            light = Tracer(mi, room)
            light.bounced(source, points, normals, 32_000, 1)
            begin = time.perf_counter()
            runs = [light.bounced(source, points, normals, 32_000, 2 * k + 3) for k in range(8)]
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


SIZES = {"boxes": (2, 4, 8, 16), "walls": (4, 8, 16, 32), "lights": (1, 2, 4, 8)}
SENSORS = (40, 3500)
EDGES = (0.6, 0.4, 0.3, 0.24)  # largest sides of patches [m]: 340 to 1,630 of them


def growth() -> dict[tuple[str, str], list[tuple[int, float]]]:
    """Seconds of processor time of every step at every size, by (step, what grows)."""
    found: dict[tuple[str, str], list[tuple[int, float]]] = {}

    def note(step: str, of: str, size: int, work: Callable[[], object], repeats: int = 2) -> None:
        found.setdefault((step, of), []).append((size, _cost(work, repeats)))

    pages = _points(SENSORS[0])
    for of in ("boxes", "walls"):
        for size in SIZES[of]:
            room = _furnished(size) if of == "boxes" else _many_walls(size)
            note("room set-up", of, size, lambda r=room: Transport.from_room(r))  # type: ignore[misc]
            transport = Transport.from_room(room)
            sensors = transport.sensors(*pages)
            lamp, strip = _lamp(), _strip()
            for step, source in (("point moved", lamp), ("strip moved", strip)):
                note(
                    step,
                    of,
                    size,
                    lambda t=transport, n=sensors, s=source: illuminance_map(t, n, s),
                )  # type: ignore[misc]
    room = bedrooms.cases()["pendant"][0]
    for edge in EDGES:
        count = len(Transport.from_room(room, edge_m=edge).patches)
        note(
            "room set-up", "patches", count, lambda e=edge, r=room: Transport.from_room(r, edge_m=e)
        )  # type: ignore[misc]
    for size in SIZES["lights"]:
        lit = lighting(_with_lights(size))  # the room itself is kept
        ever = itertools.count(1)
        note("all lights moved", "lights", size, lambda n=size, e=ever: _moved(n, next(e)))  # type: ignore[misc]
        note("comfort", "lights", size, lambda found=lit: comfort(found).to_json(), 1)  # type: ignore[misc]
    transport = Transport.from_room(_furnished(6))
    for size in SENSORS:
        points = _points(size)
        note("sensors set up", "sensors", size, lambda p=points: transport.sensors(*p))  # type: ignore[misc]
        sensors = transport.sensors(*points)
        for step, source in (("point moved", _lamp()), ("strip moved", _strip())):
            note(
                step, "sensors", size, lambda n=sensors, s=source: illuminance_map(transport, n, s)
            )  # type: ignore[misc]
    return found


def exponent(costs: list[tuple[int, float]]) -> float:
    """Slope of log cost over log size."""
    size, cost = np.log(np.array(costs)).T
    return float(np.polyfit(size, cost, 1)[0])


def memory() -> list[tuple[str, float]]:
    """Peak memory [MB] of setting up rooms of 2 and 16 boxes, and of 3500 sensors."""
    found = []
    for boxes in (2, 6, 16):
        room = _furnished(boxes)
        found.append((f"room set-up, {boxes} boxes", _peak(lambda r=room: Transport.from_room(r))))  # type: ignore[misc]
    transport = Transport.from_room(_furnished(6))
    points = _points(SENSORS[1])
    found.append(("3500 sensors set up, 6 boxes", _peak(lambda: transport.sensors(*points))))
    sensors = transport.sensors(*_points(SENSORS[0]))
    found.append(
        ("strip moved, 6 boxes", _peak(lambda: illuminance_map(transport, sensors, _strip())))
    )
    return found


def _cost(work: Callable[[], object], repeats: int) -> float:
    costs = []
    for _ in range(repeats):
        begin = time.process_time()
        work()
        costs.append(time.process_time() - begin)
    return max(min(costs), 1e-6)


def _peak(work: Callable[[], object]) -> float:
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1] / 1e6
    finally:
        tracemalloc.stop()


def _points(count: int) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(4)
    return rng.uniform([0.3, 0.3, 1.6], [4.2, 3.2, 2.2], (count, 3)), np.tile(
        [0.0, 0.0, 1.0], (count, 1)
    )


def _lamp() -> PointSource:
    return PointSource(np.array([2.1, 1.6, 2.3]), bedrooms.CosinePower(800.0, 1.0))


def _strip() -> StripSource:
    return StripSource(
        np.array([[1.4, 3.46, 1.05], [3.0, 3.46, 1.05]]), np.array([0, 1.0, 0]), 600.0
    )


def _furnished(boxes: int) -> object:
    """A plain room with a board before its strip, a bed, and small boxes up to a number."""
    solids = [
        bedrooms.aligned(1.3, 3.1, 3.40, 3.46, 0.0, 1.15),
        bedrooms.aligned(1.3, 3.1, 1.40, 3.40, 0.0, 0.5),
    ]
    for k in range(boxes - 2):
        x, y = 0.45 + 0.5 * (k % 8), 0.35 + 0.55 * (k // 8)
        solids.append(Box(np.array([x, y, 0.3]), np.array([0.15, 0.15, 0.3])))
    outline = np.array([[0, 0], [4.5, 0], [4.5, 3.5], [0, 3.5]], float)
    return bedrooms.furnish(bedrooms.prism(outline, 2.5, (0.2, 0.5, 0.8)), solids, [0.4] * boxes)


def _many_walls(walls: int) -> object:
    """The same room with its front wall folded into so many walls, none of them convex any more."""
    x = np.linspace(0.0, 4.5, walls - 2)
    front = np.stack([x, np.where(np.arange(len(x)) % 2, -0.3, 0.0)], axis=1)
    outline = np.concatenate([front, [[4.5, 3.5], [0.0, 3.5]]])
    solids = [
        bedrooms.aligned(1.3, 3.1, 3.40, 3.46, 0.0, 1.15),
        bedrooms.aligned(1.3, 3.1, 1.40, 3.40, 0.0, 0.5),
    ]
    return bedrooms.furnish(bedrooms.prism(outline, 2.5, (0.2, 0.5, 0.8)), solids, [0.4, 0.4])


def _moved(lights: int, times: int) -> object:
    return lighting(_with_lights(lights, times))


def _with_lights(lights: int, moved: int = 0) -> Scenario:
    """A bedroom for two with so many wall lights, each a little moved each time."""
    lamps = [
        {
            "id": f"light {k}",
            "mount_m": [0.4 + 3.4 * (k + 0.5) / lights, 3.5, 1.4 + 0.001 * (moved + 1)],
            "lamp": {"flux_lm": 300, "power_w": 4},
        }
        for k in range(lights)
    ]
    return parse(
        {
            "format": "lumen-plan/1",
            "title": "bench",
            "room": {"outline_m": [[0, 0], [4.2, 0], [4.2, 3.5], [0, 3.5]], "height_m": 2.5},
            "furniture": [
                {"id": "bed", "kind": "mattress", "at_m": [2.1, 2.4, 0], "size_m": [1.6, 2, 0.5]},
                {
                    "id": "board",
                    "kind": "headboard",
                    "at_m": [2.1, 3.45, 0],
                    "size_m": [1.7, 0.06, 1.1],
                },
            ],
            "people": [{"id": "left", "side": "left"}, {"id": "right", "side": "right"}],
            "lights": lamps,
            "setups": [{"id": "on", "levels": {lamp["id"]: 1 for lamp in lamps}}],
        }
    )


def show_growth() -> None:
    """Print costs, exponents and memory as one table."""
    print(f"\n{'step':20s}{'grows with':12s}{'exponent':>9s}   processor time at each size")
    for (step, of), costs in growth().items():
        sizes = ", ".join(f"{size}: {1000 * cost:.3g} ms" for size, cost in costs)
        print(f"{step:20s}{of:12s}{exponent(costs):9.2f}   {sizes}")
    for name, megabytes in memory():
        print(f"peak memory, {name:32s}{megabytes:8.0f} MB")


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


def test_growth() -> None:
    """No step grows faster than the square of what it grows with."""
    costs = growth()
    assert {of for _, of in costs} == {"boxes", "walls", "patches", "lights", "sensors"}
    for (step, of), at_sizes in costs.items():
        assert exponent(at_sizes) < 2.0, (step, of, at_sizes)


if __name__ == "__main__":
    if "growth" in sys.argv:
        show_growth()
    else:
        show(measure())
