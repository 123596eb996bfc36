"""What twenty hands at one server wait, beside what one waits, in one run.

Run on a quiet machine: python -m pytest tests/bench/test_load_bench.py -s -p no:cacheprovider
"""

from __future__ import annotations

import statistics
import threading
import time

from lumen.app import create_app
from lumen.scenario.document import dump
from lumen.scenario.files import examples, load

HERE = {"Host": "127.0.0.1:8765"}
STEPS = 20


def _waits(clients: int) -> list[float]:
    """Seconds that each preview takes while so many clients drag one light each."""
    app = create_app()
    plan = load(examples()[0])
    text, setup = dump(plan), plan.setups[0].id
    waits: list[float] = []

    def drag(client: int) -> None:
        with app.server.test_client() as browser:
            for step in range(STEPS):
                by = [0.0, 0.0, 0.001 * (1 + client + clients * step)]
                command = {"name": "move", "id": plan.lights[0].id, "args": {"by_m": by}}
                begin = time.perf_counter()
                body = {"plan": text, "command": command, "setup": setup, "surfaces": ["wall"]}
                answer = browser.post("/preview", json=body, headers=HERE)
                waits.append(time.perf_counter() - begin)
                assert answer.status_code == 200
                time.sleep(0.1)  # a hand asks again once the answer is drawn

    threads = [threading.Thread(target=drag, args=(client,)) for client in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return waits


def test_twenty_hands() -> None:
    """Median and 95 % of the waits of one and of twenty, and their ratios."""
    _waits(1)  # the room is set up
    one, many = _waits(1), _waits(20)

    def late(waits: list[float]) -> float:
        return statistics.quantiles(waits, n=20)[-1]

    print(f"\none: median {statistics.median(one) * 1e3:.0f} ms, 95 % {late(one) * 1e3:.0f} ms")
    print(f"twenty: median {statistics.median(many) * 1e3:.0f} ms, 95 % {late(many) * 1e3:.0f} ms")
    print(f"ratio of medians {statistics.median(many) / statistics.median(one):.1f}")
