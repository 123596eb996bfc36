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


def test_a_search_is_known_only_where_it_began_and_all_else_everywhere() -> None:
    """Two servers side by side: edits and previews need no memory of before, a search does."""
    plan = plain(load(examples()[0]))
    first, second = (create_app().server.test_client() for _ in range(2))
    began = first.post("/find", json={"plan": plan, "allow": {}}, headers=HERE).get_json()
    address = f"/find/{began['job']}"
    assert first.post(f"{address}/stop", json={}, headers=HERE).status_code == 200
    elsewhere = second.get(address, headers=HERE)
    assert elsewhere.status_code == 400
    assert elsewhere.get_json()["faults"][0]["field"] == "search"
    for path, body in (("/file", {"plan": plan}), ("/preview", _question(0, 1))):
        answers = [client.post(path, json=body, headers=HERE) for client in (first, second)]
        assert [answer.status_code for answer in answers] == [200, 200]
