"""The server: this computer only, nothing from outside, faults told as 400."""

from __future__ import annotations

import json
import re
import socket
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from waitress.server import create_server

from lumen.app import create_app, scripts, server
from lumen.app.server import assets_folder
from lumen.errors import ScenarioError
from lumen.scenario.document import dump
from lumen.scenario.files import examples, history, load, save, version_of

HERE = {"Host": "127.0.0.1:8765"}


@pytest.fixture(scope="module")
def client() -> Iterator[FlaskClient]:
    """A client of the page's server, without a socket."""
    with create_app().server.test_client() as found:
        yield found


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1.evil.example", "192.168.1.7:8765", "[::1]"]
)
def test_a_foreign_host_is_refused(client: FlaskClient, host: str) -> None:
    """A request that names another host gets 403 and no page: no foreign name leads here."""
    for path in ("/", "/_dash-layout", "/assets/page.js"):
        answer = client.get(path, headers={"Host": host})
        assert answer.status_code == 403
        assert b"lumen" not in answer.data


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8765", "localhost:1"])
def test_this_computer_is_served(client: FlaskClient, host: str) -> None:
    """The page answers to this computer's own names."""
    assert client.get("/", headers={"Host": host}).status_code == 200


def test_another_page_may_not_ask_here(client: FlaskClient) -> None:
    """A request that another site's page makes is refused by its origin."""
    headers = {**HERE, "Origin": "https://evil.example"}
    answer = client.post("/file", json={"plan": {}}, headers=headers)
    assert answer.status_code == 403


def test_the_policy_allows_nothing_from_outside(client: FlaskClient) -> None:
    """The policy names no other host, and no address in the page leads off this computer."""
    answer = client.get("/", headers=HERE)
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "http" not in policy
    assert "unsafe-eval" not in policy
    script = next(part for part in policy.split("; ") if part.startswith("script-src"))
    assert "unsafe-inline" not in script
    loaded = re.findall(r'(?:src|href)="([^"]+)"', answer.get_data(as_text=True))
    assert loaded
    assert all(address.startswith("/") and not address.startswith("//") for address in loaded)


def test_every_module_of_the_page_is_served_as_one_and_kept(client: FlaskClient) -> None:
    """Each script stands in the page once, as a module that a browser may keep for good."""
    page = client.get("/", headers=HERE).get_data(as_text=True)
    loaded = re.findall(r'<link rel="modulepreload" href="([^"]+)">', page)
    names = sorted(path.name for path in assets_folder().glob("*.js"))
    assert [address.rsplit("/", 1)[1] for address in loaded] == names
    first = re.search(r'<script id="_dash-renderer" type="module" src="([^"]+)">', page)
    assert first is not None
    assert first[1] in loaded
    for address in loaded:
        with client.get(address, headers=HERE) as answer:
            assert answer.mimetype == "text/javascript"
            assert "immutable" in answer.headers["Cache-Control"]


def test_a_changed_module_is_a_new_address_for_all(tmp_path: Path) -> None:
    """No browser runs an old script after an upgrade; an old address is served, but not kept."""
    for name in ("begin.js", "page.js"):
        (tmp_path / name).write_text("export {};\n", "utf-8")
    server = Flask("modules")
    scripts.add_route(server, tmp_path)
    old = re.findall(r'href="([^"]+)"', scripts.preloads(tmp_path))
    (tmp_path / "page.js").write_text("export { };\n", "utf-8")
    new = re.findall(r'href="([^"]+)"', scripts.preloads(tmp_path))
    assert set(old).isdisjoint(new)
    client = server.test_client()
    for address, kept in ((old[1], False), (new[1], True)):
        with client.get(address) as answer:
            assert answer.data == b"export { };\n"
            assert ("immutable" in answer.headers["Cache-Control"]) is kept
    assert client.get(f"{new[1]}/../../../pyproject.toml").status_code == 404


def test_debug_is_off(client: FlaskClient) -> None:
    """Neither the server nor Dash's developer tools run in debug mode."""
    config = json.loads(
        re.search(
            r'id="_dash-config"[^>]*>(.*?)</script>',
            client.get("/", headers=HERE).get_data(as_text=True),
        ).group(1)  # type: ignore[union-attr]
    )
    assert config["ui"] is False
    assert client.application.debug is False


def test_the_file_is_the_canonical_text(client: FlaskClient) -> None:
    """What the browser saves is byte for byte what the project writes."""
    plan = load(examples()[0])
    answer = client.post("/file", json={"plan": json.loads(dump(plan))}, headers=HERE)
    assert answer.get_data(as_text=True) == dump(plan)


@pytest.mark.parametrize(
    "body",
    [{}, {"plan": {"format": "lumen-plan/1"}}, [], "text"],
    ids=["none", "part", "list", "text"],
)
def test_bad_input_is_400_with_its_faults(client: FlaskClient, body: Any) -> None:
    """What is no plan gets 400 and a list of field, rule and value."""
    for path in ("/preview", "/file"):
        answer = client.post(path, json=body, headers=HERE)
        assert answer.status_code == 400
        fault = answer.get_json()["faults"][0]
        assert set(fault) == {"field", "rule", "value"}


def test_an_oversized_body_is_refused(client: FlaskClient) -> None:
    """More than the limit is refused before it is read as a plan."""
    answer = client.post(
        "/preview",
        data=b" " * (server.LARGEST_BYTES + 1),
        headers={**HERE, "Content-Type": "application/json"},
    )
    assert answer.status_code in (400, 413)


def test_save_writes_only_the_opened_file(client: FlaskClient, tmp_path: Path) -> None:
    """Without an opened file nothing is written; with one, that file and no other name."""
    plan = json.loads(dump(load(examples()[0])))
    assert client.post("/save", json={"plan": plan}, headers=HERE).status_code == 400
    file = tmp_path / "mine.json"
    file.write_bytes(examples()[0].read_bytes())
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
        plan["title"] = "Mine now"
        body = {"plan": plan, "path": "/etc/x", "based_on": version_of(file)}
        with create_app(file).server.test_client() as own:
            answer = own.post("/save", json=body, headers=HERE)
    assert answer.get_json() == {"saved": "mine.json", "version": version_of(file)}
    assert load(file).title == "Mine now"


def test_a_file_changed_meanwhile_is_not_written_over_unasked(tmp_path: Path) -> None:
    """Saving over what somebody else wrote asks first; told to, it writes; the file is shown."""
    file = tmp_path / "mine.json"
    file.write_bytes(examples()[0].read_bytes())
    opened_as = version_of(file)
    plan = json.loads(dump(load(file)))
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
        with create_app(file).server.test_client() as own:
            save(load(examples()[1]), file)
            theirs = file.read_bytes()
            body = {"plan": {**plan, "title": "Mine now"}, "based_on": opened_as}
            asked = own.post("/save", json=body, headers=HERE)
            assert set(asked.get_json()) == {"changed", "file"}
            assert file.read_bytes() == theirs
            shown = own.get("/opened", headers=HERE).get_json()
            assert shown["plan"]["title"] == load(examples()[1]).title
            done = own.post("/save", json={**body, "over": True}, headers=HERE)
            assert done.get_json()["saved"] == "mine.json"
            assert load(file).title == "Mine now"
            again = own.post("/save", json=body, headers=HERE)  # its answer was lost on the way
            assert again.get_json() == done.get_json()
        assert history(file)[0].read_bytes() == theirs


def test_malformed_requests_are_told_and_never_an_error_of_ours(client: FlaskClient) -> None:
    """Wrong ways of asking and bodies answer 4xx with a sentence."""
    json_type = {**HERE, "Content-Type": "application/json"}
    answers = [
        client.delete("/keep", headers=HERE),
        client.post("/keep", data=b"{", headers=json_type),
        client.post("/keep", data=b"[]", headers=json_type),
        client.post("/keep", data=b"\xff\xfe", headers=json_type),
        client.post("/preview", json={"plan": 5, "command": []}, headers=HERE),
        client.post("/save", json={"plan": None}, headers=HERE),
        client.post("/sheet", data={}, headers=HERE),
    ]
    for answer in answers:
        assert 400 <= answer.status_code < 500, answer.request.path
        assert answer.get_json()["faults"][0]["rule"]


def test_the_file_as_it_is_now_is_shown_at_each_load(tmp_path: Path) -> None:
    """A page loaded again starts with the present file; a broken one leaves the last good plan."""
    file = tmp_path / "mine.json"
    file.write_bytes(examples()[0].read_bytes())
    app = create_app(file)

    def title() -> str:
        found = json.dumps(app.server.test_client().get("/_dash-layout", headers=HERE).get_json())
        return re.search(r'"title": "([^"]*)", "note"', found).group(1)  # type: ignore[union-attr]

    assert title() == load(examples()[0]).title
    save(load(examples()[1]), file)
    assert title() == load(examples()[1]).title
    file.write_text("{")
    assert title() == load(examples()[0]).title


def test_a_folder_that_takes_nothing_is_told(client: FlaskClient, tmp_path: Path) -> None:
    """Keeping that fails answers with the reason."""
    plan = json.loads(dump(load(examples()[0])))
    (tmp_path / "lumen").write_text("a file where the folder should be")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path))
        answer = client.post("/keep", json={"plan": plan}, headers=HERE)
    assert answer.status_code == 400
    assert "cannot be written" in answer.get_json()["faults"][0]["rule"]


def test_the_page_that_runs_already_is_known(tmp_path: Path) -> None:
    """A port with our page on it is told from one with a stranger's, and by the plan it shows."""
    file = tmp_path / "mine.json"
    file.write_bytes(examples()[0].read_bytes())
    waiting = create_server(create_app(file).server, host="127.0.0.1", port=0)
    thread = threading.Thread(target=waiting.run, daemon=True)
    thread.start()
    try:
        assert server._ours(int(waiting.effective_port)) == str(file.resolve())
        assert server._free(int(waiting.effective_port)) == 0
    finally:
        waiting.task_dispatcher.shutdown()
        waiting.close()
    with socket.socket() as stranger:
        stranger.bind(("127.0.0.1", 0))
        stranger.listen()
        stranger.settimeout(0.1)
        assert server._ours(stranger.getsockname()[1]) is None


def test_plans_are_kept_and_come_back(client: FlaskClient, tmp_path: Path) -> None:
    """A plan sent to be kept is listed and read back; a mark that is not listed is refused."""
    plan = json.loads(dump(load(examples()[0])))
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path))
        assert client.post("/keep", json={"plan": plan}, headers=HERE).status_code == 200
        (one,) = client.get("/kept", headers=HERE).get_json()["kept"]
        assert one["title"] == plan["title"]
        again = client.get(f"/kept/{one['mark']}", headers=HERE).get_json()
        assert again == plan
        assert client.get("/kept/../../x", headers=HERE).status_code in (400, 404)
        assert client.get("/kept/nothing", headers=HERE).status_code == 400


def test_a_broken_file_does_not_open(tmp_path: Path) -> None:
    """A plan that cannot be read stops the start with its faults."""
    file = tmp_path / "broken.json"
    file.write_text('{"format": "lumen-plan/1"}')
    with pytest.raises(ScenarioError):
        create_app(file)


def test_each_example_has_a_picture_and_a_plan(client: FlaskClient) -> None:
    """The shelf's plans and drawings can be fetched; a name that is not there is refused."""
    for path in examples():
        assert client.get(f"/picture/{path.stem}", headers=HERE).data.startswith(b"<svg")
        text = client.get(f"/example/{path.stem}", headers=HERE).get_data(as_text=True)
        assert text == dump(load(path))
    assert client.get("/example/nothing", headers=HERE).status_code == 400


def test_the_sheet_is_one_click_away(client: FlaskClient) -> None:
    """The sheet comes as a page of its own, with the plan's title, and bad plans are refused."""
    plan = load(examples()[0])
    answer = client.post("/sheet", data={"plan": dump(plan)}, headers=HERE)
    assert answer.status_code == 200
    assert answer.mimetype == "text/html"
    assert plan.title in answer.get_data(as_text=True)
    assert client.post("/sheet", data={"plan": "{"}, headers=HERE).status_code == 400
