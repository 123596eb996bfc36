"""Many hands at one server: every answer belongs to its own question.

The normal run has 6 clients with 4 previews each; `pytest -m long` 20 clients with 30.
`tests/bench/test_load_bench.py` tells what they wait.
"""

from __future__ import annotations

import json
import threading
from typing import Any

import pytest

from lumen.app import create_app
from lumen.app.preview import preview
from lumen.scenario.document import plain
from lumen.scenario.files import examples, load

HERE = {"Host": "127.0.0.1:8765"}


def _question(client: int, step: int) -> dict[str, Any]:
    """A light of one of the rooms, a little lower with every step."""
    paths = examples()
    plan = load(paths[client % len(paths)])
    down = -0.004 * (1 + client) - 0.003 * step
    command = {"name": "move", "id": plan.lights[0].id, "args": {"by_m": [0.0, 0.0, down]}}
    return {"plan": plain(plan), "command": command, "setup": plan.setups[0].id}


@pytest.mark.parametrize(
    ("clients", "steps"), [(6, 4), pytest.param(20, 30, marks=pytest.mark.long)]
)
def test_no_answer_crosses(clients: int, steps: int) -> None:
    """Asked all at once, each preview is what it is when asked alone."""
    app = create_app()
    found: dict[tuple[int, int], Any] = {}

    def ask(client: int) -> None:
        with app.server.test_client() as browser:
            for step in range(steps):
                answer = browser.post("/preview", json=_question(client, step), headers=HERE)
                found[client, step] = (answer.status_code, answer.get_json())

    threads = [threading.Thread(target=ask, args=(client,)) for client in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == clients * steps
    for (client, step), (status, answer) in found.items():
        assert status == 200
        question = _question(client, step)
        alone = preview(
            load(examples()[client % len(examples())]), question["command"], question["setup"]
        )
        if answer["stale"]:
            continue  # its room was still being set up: the page dims its numbers and asks again
        for part in ("planes", "eyes", "aims"):
            assert answer[part] == json.loads(json.dumps(alone[part])), (client, step, part)
