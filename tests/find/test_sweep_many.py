"""The worked example of the sweep, on two processes and on a local cluster: the same to the bit.

A few rows in each run; 500 lamp x place variants of one room and 200 random rooms on demand
(``-m ""``), the cluster where the extra ``cluster`` is installed.
"""

from __future__ import annotations

import os
import signal
import threading
import time
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import lumen
from lumen.errors import LumenError
from lumen.scenario.edits import apply
from lumen.study.study import study

from .many_rooms import lamp_places, random_rooms

PLAN = lumen.load(next(p for p in lumen.examples() if p.stem == "two-pin-no-earth"))
BOTH = "left light + right light"


@pytest.fixture(scope="module")
def client() -> Iterator[Any]:
    """A local cluster of two workers with a bound on the memory of each."""
    distributed = pytest.importorskip("distributed")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with (
            distributed.LocalCluster(
                n_workers=2, threads_per_worker=1, dashboard_address=None, memory_limit="1.5GB"
            ) as cluster,
            distributed.Client(cluster) as found,
        ):
            yield found


def test_a_row_sets_one_coordinate() -> None:
    """Heights by themselves: ``mount_m.2`` moves both lights up and leaves the rest."""
    found = lumen.sweep(PLAN, [{"id": BOTH, "mount_m.2": 1.25}])
    plan = PLAN
    for light in PLAN.lights[:2]:
        x, y, _ = light.mount_m
        plan = apply(plan, {"name": "move", "id": light.id, "args": {"to_m": [x, y, 1.25]}})
    for result in study(plan).aims:
        assert found.loc[0, f"{result.id} / {result.setup}"] == result.value


def test_a_cluster_gives_the_same_and_a_lost_worker_loses_nothing(client: Any) -> None:
    """Rows by two workers, one of which is killed in the midst, equal those made here."""
    rows = lamp_places(BOTH, 500)[::20]
    here = lumen.sweep(PLAN, rows)
    pids = list(client.run(os.getpid).values())

    def kill() -> None:
        time.sleep(1.0)
        os.kill(pids[0], signal.SIGKILL)

    thread = threading.Thread(target=kill)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        thread.start()
        found = lumen.sweep(PLAN, rows, executor=client.get_executor())
        thread.join()
    pd.testing.assert_frame_equal(found, here, check_exact=True)


def test_random_rooms_are_rooms() -> None:
    """Each is a plan by itself, no two alike, and its study gives every wish a value."""
    rooms = random_rooms(4)
    found = lumen.sweep(rooms)
    assert list(found["title"]) == [room.title for room in rooms]
    assert found["left page / left reads"].nunique() == 4
    assert (found["left page / left reads"] > 5.0).all()


@pytest.mark.long
def test_500_variants_and_200_rooms(client: Any) -> None:
    """The worked example: by the cluster as here, and what the best lamp is."""
    began = time.monotonic()
    found = lumen.sweep(PLAN, lamp_places(BOTH, 500), executor=client.get_executor())
    print(f"500 variants of one room: {time.monotonic() - began:.0f} s on two workers")
    best = found.sort_values(["met_after_years", "met"], ascending=False).iloc[0]
    columns = [c for c in found.columns if c.startswith("lamp.")]
    print(best[[*columns, "mount_m.2", "met", "of"]].to_string())
    some = list(range(0, 500, 50))
    rows = lamp_places(BOTH, 500)
    again = lumen.sweep(PLAN, [rows[i] for i in some])
    pd.testing.assert_frame_equal(found.iloc[some].reset_index(drop=True), again, check_exact=True)
    began = time.monotonic()
    rooms = random_rooms(200)
    found = lumen.sweep(rooms, executor=client.get_executor())
    print(f"200 random rooms: {time.monotonic() - began:.0f} s on two workers")
    again = lumen.sweep(rooms[:3])
    pd.testing.assert_frame_equal(found.iloc[:3], again, check_exact=True)
    with pytest.raises(LumenError, match="must come with one plan"):
        lumen.sweep(rooms, [{}])


def test_memory_of_a_worker_is_bounded(client: Any) -> None:
    """After many rooms a worker keeps no more than its budget and what its libraries take."""
    lumen.sweep(random_rooms(12, seed=3), executor=client.get_executor())
    used = client.run(_resident_bytes)
    assert max(used.values()) < 1_200_000_000


def _resident_bytes() -> int:
    with Path("/proc/self/status").open(encoding="ascii") as status:
        line = next(line for line in status if line.startswith("VmRSS"))
    return 1024 * int(line.split()[1])
