"""The page served to this computer only: routes beside Dash's own, and the guard before all."""

from __future__ import annotations

import hashlib
import json
import logging
import socket
import sys
import threading
import urllib.error
import urllib.request
import webbrowser
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import dash
from flask import Flask, Response, jsonify, request
from waitress.server import create_server
from werkzeug.exceptions import HTTPException

from lumen.app import panels
from lumen.app.commands import BROKEN
from lumen.app.jobs import Searches
from lumen.app.markup import markup
from lumen.app.preview import preview
from lumen.app.sketch import wall_svg
from lumen.app.typed import length
from lumen.errors import LumenError, ScenarioError
from lumen.scenario.document import Scenario, dump, identified, parse, plain
from lumen.scenario.files import examples, load, loads, save, version_of, version_of_text
from lumen.scenario.kept import KeptPlan, keep, kept, latest_kept, load_kept
from lumen.sheet import script_hash, sheet
from lumen.study.cache import current
from lumen.study.scene.surfaces import bed_wall
from lumen.study.study import study

__all__ = ["LARGEST_BYTES", "add_routes", "guard", "serve"]

LARGEST_BYTES = 8_000_000
"""A plan with photometric files in it and a study beside it; more is refused."""

_HOSTS = ("127.0.0.1", "localhost")


def guard(app: dash.Dash) -> None:
    """Refuse foreign hosts and origins and oversized bodies; send the policy with every answer."""
    server: Flask = app.server
    server.config["MAX_CONTENT_LENGTH"] = LARGEST_BYTES
    server.config["MAX_FORM_MEMORY_SIZE"] = LARGEST_BYTES
    policy = _policy()

    @server.before_request
    def refuse() -> Response | None:
        if not _is_here(request.host):
            return Response("This page is for this computer only.\n", 403, mimetype="text/plain")
        origin = request.headers.get("Origin")
        if origin is not None and not _is_here(origin.partition("://")[2]):
            return Response("Other pages may not ask here.\n", 403, mimetype="text/plain")
        if request.path == "/_dash-update-component" and not _is_known(app):
            return Response("This is not what the page asks.\n", 400, mimetype="text/plain")
        return None

    @server.after_request
    def answer(response: Response) -> Response:
        response.headers["Content-Security-Policy"] = policy
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers["Referrer-Policy"] = "same-origin"  # a form must say whence it comes
        return response


def _is_known(app: dash.Dash) -> bool:
    """Whether Dash can read what the page's stores ask; else it would answer 500."""
    body = request.get_json(silent=True) if request.is_json else None
    if not isinstance(body, dict) or body.get("output") not in app.callback_map:
        return False
    parts = (body.get("inputs"), body.get("state", []), body.get("outputs", []))
    return all(isinstance(part, list | dict) for part in parts)


def _is_here(host: str) -> bool:
    name, _, port = host.partition(":")
    return name in _HOSTS and (port == "" or port.isdigit())


def _policy() -> str:
    """Nothing from outside; our own scripts, and the sheet's by hash."""
    scripts = f"'self' '{script_hash()}'"
    parts = (
        "default-src 'none'",
        f"script-src {scripts}",
        "style-src 'self' 'unsafe-inline'",  # the form controls write their sizes into style tags
        "img-src 'self' data: blob:",
        "font-src 'self' data:",
        "connect-src 'self'",
        "worker-src 'self' blob:",
        "base-uri 'none'",
        "form-action 'self'",  # the sheet opens by a form, in a tab of its own
        "frame-ancestors 'none'",
    )
    return "; ".join(parts)


def add_routes(app: dash.Dash, plan_path: Path | None) -> None:
    """Add what the page asks for beside Dash's own routes."""
    server: Flask = app.server
    searches = Searches()

    @server.post("/preview")
    def preview_route() -> Any:
        body = _body()
        command, setup, surfaces = body.get("command"), body.get("setup"), body.get("surfaces")
        setup = setup if isinstance(setup, str) else None
        with searches.answering():
            found = preview(_held(body.get("plan")), command or {}, setup, _names(surfaces))
        return jsonify(found)

    @server.post("/patch")
    def patch_route() -> Any:
        """Where a light works: cells on its wall, wishes that hold, and what breaks beyond."""
        from lumen.find.patch import patch  # with the search behind it: not before it is asked for

        body = _body()
        with searches.answering():
            return jsonify(patch(_held(body.get("plan")), str(body.get("light"))).to_json())

    @server.post("/file")
    def file_route() -> Any:
        """The plan's canonical text, for the browser to put on disk."""
        text = dump(parse(_body().get("plan")))
        return Response(text, mimetype="application/json")

    @server.post("/sheet")
    def sheet_route() -> Any:
        """The printed sheet of the plan that a form sent, as a page of its own."""
        found = study(loads(request.form.get("plan", "")))
        return Response(sheet(found), mimetype="text/html")

    @server.post("/save")
    def save_route() -> Any:
        """Write the plan to the file that the server was started with, and nowhere else.

        A file that somebody else has changed meanwhile is written over only when told to.
        """
        if plan_path is None:
            raise LumenError("file", "must be chosen in the browser: no file was opened", None)
        body = _body()
        plan, present = parse(body.get("plan")), version_of(plan_path)
        if present == version_of_text(dump(plan)):  # written, but the answer was lost on its way
            return jsonify({"saved": plan_path.name, "version": present})
        if present not in (None, body.get("based_on")) and not body.get("over"):
            changed = datetime.fromtimestamp(plan_path.stat().st_mtime, UTC)
            return jsonify({"changed": changed.isoformat(), "file": plan_path.name})
        save(plan, plan_path)
        return jsonify({"saved": plan_path.name, "version": version_of(plan_path)})

    @server.get("/opened")
    def opened_route() -> Any:
        """The plan that is in the file now."""
        if plan_path is None:
            raise LumenError("file", "must be chosen in the browser: no file was opened", None)
        version = version_of(plan_path)
        return jsonify({"plan": plain(load(plan_path)), "version": version})

    @server.post("/keep")
    def keep_route() -> Any:
        """Keep the plan in the person's own folder, a moment after each change."""
        body = _body()
        based_on = body.get("based_on")
        found = keep(
            parse(body.get("plan")), based_on=based_on if isinstance(based_on, str) else None
        )
        other = None if found.other is None else _kept_json(found.other)
        return jsonify({"kept": found.mark, "version": found.version, "other": other})

    @server.post("/find")
    def find_route() -> Any:
        """Begin to look for plans that meet the wishes."""
        body = _body()
        scenario, strip = parse(body.get("plan")), body.get("strip")
        if isinstance(strip, str):
            return jsonify(searches.start_strips(scenario, strip).told())
        return jsonify(searches.start(scenario, _may_change(scenario, body)).told())

    @server.get("/find/<name>")
    def finding_route(name: str) -> Any:
        """How far the search is; once it is done, what was found, as HTML."""
        job = searches.job_of(name)
        told = job.told()
        if job.finding is not None:
            shown = panels.strips_panel if "strip" in job.asked else panels.found_panel
            told["html"] = markup(shown(job.finding))
        return jsonify(told)

    @server.post("/find/<name>/stop")
    def stop_route(name: str) -> Any:
        return jsonify(searches.stop(name).told())

    @server.get("/kept")
    def kept_route() -> Any:
        """What is kept, newest first."""
        return jsonify({"kept": [_kept_json(one) for one in kept()]})

    @server.get("/kept/<path:mark>")
    def kept_plan_route(mark: str) -> Any:
        return Response(dump(load_kept(mark)), mimetype="application/json")

    @server.get("/alive")
    def alive_route() -> Any:
        return jsonify({"alive": "lumen", "file": "" if plan_path is None else _key(plan_path)})

    @server.get("/example/<name>")
    def example_route(name: str) -> Any:
        return Response(dump(load(_example(name))), mimetype="application/json")

    @server.get("/picture/<name>")
    def picture_route(name: str) -> Any:
        return Response(wall_svg(load(_example(name))), mimetype="image/svg+xml")

    @server.errorhandler(HTTPException)
    def wrong(error: HTTPException) -> Any:
        """What the web itself refuses: a wrong address or way of asking, a torn or large body."""
        told = [{"field": "request", "rule": error.description or error.name, "value": ""}]
        return jsonify({"faults": told}), error.code or 400

    @server.errorhandler(LumenError)
    def refused(error: LumenError) -> Any:
        faults = error.faults if isinstance(error, ScenarioError) else [error.fault]
        told = [{"field": f.field, "rule": f.rule, "value": repr(f.value)} for f in faults]
        return jsonify({"faults": told}), 400

    @server.errorhandler(Exception)
    def broken(error: Exception) -> Any:
        """Whatever else goes wrong: a sentence for the person, the story for the log."""
        logging.getLogger("lumen").error("%s failed", request.path, exc_info=error)
        return jsonify({"faults": [{"field": "", "rule": BROKEN, "value": ""}]}), 500


def _may_change(scenario: Scenario, body: dict[str, Any]) -> dict[str, Any]:
    """What may change, as the drawer's boxes say; a box that says nothing allows."""
    allow = body.get("allow")
    found: dict[str, Any] = {"pairs": body.get("pairs") is not False}
    if isinstance(allow, dict):
        found["allow"] = {str(name): _names(parts) or [] for name, parts in allow.items()}
    walls = body.get("no_drill")
    if isinstance(walls, list):
        found["no_drill"] = [wall for wall in walls if isinstance(wall, int)]
    system = "ft-in" if body.get("system") == "ft-in" else "cm"
    area = [str(text) for text in body.get("area") or [] if str(text).strip()]
    if area:
        if len(area) != 4:
            rule = "needs all four: from, to, and how high from and to"
            raise LumenError("The part without holes", rule, area)
        sides = [_one_length(text, system, "The part without holes") for text in area]
        found["areas"] = [(bed_wall(scenario.room), *sides)]
    found["lamps"] = _listed(body.get("lamps"))
    cords = _listed(body.get("cords"))
    found["cords_m"] = [_one_length(text, system, "A cord that you have") for text in cords]
    return found


def _listed(text: object) -> list[str]:
    """What somebody typed with commas between."""
    return [part.strip() for part in str(text or "").replace(";", ",").split(",") if part.strip()]


def _one_length(text: str, system: str, label: str) -> float:
    found = length(text, system, label)
    return float(found[0] if isinstance(found, list) else found)


def _names(given: object) -> list[str] | None:
    """A list of names as sent, or None where there is none."""
    return [str(name) for name in given] if isinstance(given, list) else None


def _kept_json(one: KeptPlan) -> dict[str, Any]:
    return {**asdict(one), "when": one.when.isoformat()}


def _key(path: Path) -> str:
    return str(path.resolve())


def _held(plan: object) -> Scenario:
    """A plan as sent: as an object, or as one text, which stays the same while a hand moves."""
    if not isinstance(plan, str):
        return parse(plan)
    return current().get("parsed plan", lambda: loads(plan), text=plan)


def _example(name: str) -> Path:
    found = {path.stem: path for path in examples()}.get(name)
    if found is None:
        raise LumenError("example", "must be one of the shelf", name)
    return found


def _body() -> dict[str, Any]:
    if not request.is_json:
        raise LumenError("request", "must be JSON", request.content_type)
    body = request.get_json(silent=True)
    if not isinstance(body, dict):
        raise LumenError("request", "must be a JSON object", str(body)[:60])
    return body


def serve(path: Path | None = None, *, port: int = 0, open_browser: bool = True) -> None:
    """Serve the page on 127.0.0.1 until interrupted.

    Parameters
    ----------
    path
        A plan to open; without it the last one of this browser, or an example room.
    port
        Port to listen on; 0 takes any free one. When it is taken by a page of ours that shows the
        same plan, that page is opened and nothing more is served; else any free one is taken, and
        without a file the plan that was kept last is shown: what a browser keeps, it keeps by port.
    open_browser
        Whether to show the page in the person's browser.

    Raises
    ------
    LumenError
        When the port is none, or the plan cannot be read; nothing is served then.
    """
    from lumen.app import commands, create_app

    if not 0 <= port <= 65535:
        raise LumenError("--port", "must be 0 to 65535", port)
    free = _free(port)
    if port and not free and _ours(port) == ("" if path is None else _key(path)):
        address = f"http://127.0.0.1:{port}/"
        print(f"The page is already at {address}", file=sys.stderr, flush=True)
        if open_browser:
            webbrowser.open(address)
        return
    last = latest_kept() if path is None and port and not free else None
    app = create_app(path, last)
    first, _ = starting_plan(path, last)
    threading.Thread(target=commands.ahead, args=(first,), daemon=True).start()
    _quiet()
    waiting = create_server(
        app.server,
        host="127.0.0.1",
        port=free,
        threads=6,
        connection_limit=200,
        channel_timeout=30,  # an idle connection gives its place back
        cleanup_interval=10,
    )
    address = f"http://127.0.0.1:{waiting.effective_port}/"
    if port and not free:
        print(
            f"Port {port} is taken; this page has a browser memory of its own. Plans kept on this "
            "computer are under Open.",
            file=sys.stderr,
        )
    print(f"The page is at {address} (Ctrl+C ends it)", file=sys.stderr, flush=True)
    if open_browser:
        threading.Timer(0.3, webbrowser.open, (address,)).start()
    try:
        waiting.run()
    except KeyboardInterrupt:
        pass
    finally:
        waiting.close()


def _free(port: int) -> int:
    """Return the port if nobody listens there, else 0."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError:
            return 0
    return port


def _ours(port: int) -> str | None:
    """Return the file that a page of ours at a port shows, "" without one, None for a stranger."""
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/alive", timeout=2) as answer:
            found = json.loads(answer.read(10_000))
    except (OSError, ValueError):
        return None
    known = isinstance(found, dict) and found.get("alive") == "lumen"
    return str(found.get("file", "")) if known else None


def _quiet() -> None:
    """The terminal shows the page's address and real trouble, not the server's chatter."""
    for name in ("waitress", "waitress.queue", "werkzeug"):
        logging.getLogger(name).setLevel(logging.ERROR)


def example_shelf() -> list[tuple[str, str, str]]:
    """Return key, title and note of every example."""
    shelf = []
    for path in examples():
        scenario = load(path)
        shelf.append((path.stem, scenario.title, scenario.note or ""))
    return shelf


def starting_plan(
    plan_path: Path | None, last: Scenario | None = None
) -> tuple[Scenario, dict[str, Any]]:
    """Return the plan to start with and what the page should know of where it comes from.

    That is the file as it is now, else the ``last`` one kept, else an example. Each has an
    identity: its own, one that goes with the file's place, or a new one.
    """
    if plan_path is not None:
        version, key = version_of(plan_path), _key(plan_path)
        place = hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()[:16]
        opened = {"file": plan_path.name, "key": key, "version": version}
        return identified(load(plan_path), place), opened
    return identified(last or load(examples()[0])), {"file": None, "key": ""}


def assets_folder() -> Path:
    """Return where the page's scripts and styles lie: the checkout, or inside the package."""
    package = Path(__file__).parent
    inside = package / "assets"
    return inside if inside.is_dir() else package.parents[1] / "assets"
