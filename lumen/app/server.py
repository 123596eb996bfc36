"""The page served to this computer only: routes beside Dash's own, and the guard before all."""

from __future__ import annotations

import socket
import sys
import threading
import webbrowser
from dataclasses import asdict
from functools import lru_cache
from pathlib import Path
from typing import Any

import dash
from flask import Flask, Response, jsonify, request
from waitress.server import create_server

from lumen.app.sketch import wall_svg
from lumen.errors import LumenError, ScenarioError
from lumen.scenario.document import Scenario, dump, parse
from lumen.scenario.files import examples, load, loads, save
from lumen.scenario.kept import keep, kept, load_kept
from lumen.sheet import sheet
from lumen.study.live import preview
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
    policy = _policy(app)

    @server.before_request
    def refuse() -> Response | None:
        if not _is_here(request.host):
            return Response("This page is for this computer only.\n", 403, mimetype="text/plain")
        origin = request.headers.get("Origin")
        if origin is not None and not _is_here(origin.partition("://")[2]):
            return Response("Other pages may not ask here.\n", 403, mimetype="text/plain")
        return None

    @server.after_request
    def answer(response: Response) -> Response:
        response.headers["Content-Security-Policy"] = policy
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers["Referrer-Policy"] = "same-origin"  # a form must say whence it comes
        return response


def _is_here(host: str) -> bool:
    name, _, port = host.partition(":")
    return name in _HOSTS and (port == "" or port.isdigit())


def _policy(app: dash.Dash) -> str:
    """Nothing from outside; scripts of our own plus Dash's one starting line, by its hash."""
    scripts = " ".join(["'self'", *app.csp_hashes()])
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

    @server.post("/preview")
    def preview_route() -> Any:
        body = _body()
        command, setup, surfaces = body.get("command"), body.get("setup"), body.get("surfaces")
        return jsonify(preview(_held(body.get("plan")), command or {}, setup, surfaces))

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
        """Write the plan to the file that the server was started with, and nowhere else."""
        if plan_path is None:
            raise LumenError("file", "must be chosen in the browser: no file was opened", None)
        save(parse(_body().get("plan")), plan_path)
        return jsonify({"saved": plan_path.name})

    @server.post("/keep")
    def keep_route() -> Any:
        """Keep the plan in the person's own folder, a moment after each change."""
        return jsonify({"kept": keep(parse(_body().get("plan"))).stem})

    @server.get("/kept")
    def kept_route() -> Any:
        """What is kept, newest first."""
        return jsonify({"kept": [{**asdict(one), "when": one.when.isoformat()} for one in kept()]})

    @server.get("/kept/<path:mark>")
    def kept_plan_route(mark: str) -> Any:
        return Response(dump(load_kept(mark)), mimetype="application/json")

    @server.get("/alive")
    def alive_route() -> Any:
        return jsonify({"alive": True})

    @server.get("/example/<name>")
    def example_route(name: str) -> Any:
        return Response(dump(load(_example(name))), mimetype="application/json")

    @server.get("/picture/<name>")
    def picture_route(name: str) -> Any:
        return Response(wall_svg(load(_example(name))), mimetype="image/svg+xml")

    @server.errorhandler(LumenError)
    def refused(error: LumenError) -> Any:
        faults = error.faults if isinstance(error, ScenarioError) else [error.fault]
        told = [{"field": f.field, "rule": f.rule, "value": repr(f.value)} for f in faults]
        return jsonify({"faults": told}), 400


def _held(plan: object) -> Scenario:
    """A plan as sent: as an object, or as one text, which stays the same while a hand moves."""
    return _read(plan) if isinstance(plan, str) else parse(plan)


@lru_cache(maxsize=4)
def _read(text: str) -> Scenario:
    return loads(text)


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
        Port to listen on; 0 takes any free one, as does a port that is taken already.
    open_browser
        Whether to show the page in the person's browser.

    Raises
    ------
    ScenarioError
        When the plan cannot be read; nothing is served then.
    """
    from lumen.app import commands, create_app

    app = create_app(path)
    first, _ = starting_plan(path)
    threading.Thread(target=commands.ahead, args=(first,), daemon=True).start()
    waiting = create_server(app.server, host="127.0.0.1", port=_free(port), threads=6)
    address = f"http://127.0.0.1:{waiting.effective_port}/"
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


def example_shelf() -> list[tuple[str, str, str]]:
    """Return key, title and note of every example."""
    shelf = []
    for path in examples():
        scenario = load(path)
        shelf.append((path.stem, scenario.title, scenario.note or ""))
    return shelf


def starting_plan(plan_path: Path | None) -> tuple[Any, dict[str, Any]]:
    """Return the plan to start with and what the page should know of where it comes from."""
    if plan_path is not None:
        return load(plan_path), {"file": plan_path.name, "key": str(plan_path.resolve())}
    return load(examples()[0]), {"file": None, "key": ""}


def assets_folder() -> Path:
    """Return where the page's scripts and styles lie: the checkout, or inside the package."""
    package = Path(__file__).parent
    inside = package / "assets"
    return inside if inside.is_dir() else package.parents[1] / "assets"
