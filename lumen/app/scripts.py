"""The page's scripts: ES modules that the browser loads under a path which names their content.

Modules name each other by relative paths, so a new version of any of them is a new path for all:
nothing old can come out of a browser's cache, and what did not change need not be asked for again.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from flask import Flask, Response, send_from_directory

__all__ = ["FIRST", "add_route", "preloads", "script_tag"]

FIRST = "begin.js"
"""The module that joins the others to Dash and starts its renderer."""

_LASTING = "public, max-age=31536000, immutable"


def add_route(server: Flask, folder: Path) -> None:
    """Serve the modules in a folder."""

    @server.get("/scripts/<mark>/<path:name>")
    def script_route(mark: str, name: str) -> Response:
        answer = send_from_directory(folder, name, mimetype="text/javascript")
        # Whoever asks for another version gets what is here, but must not keep it under that name.
        answer.headers["Cache-Control"] = _LASTING if mark == _mark(folder) else "no-store"
        return answer


def preloads(folder: Path, prefix: str = "/") -> str:
    """Return the links by which the browser fetches all modules at once, not one after another."""
    base = _base(folder, prefix)
    return "\n".join(f'<link rel="modulepreload" href="{base}{p.name}">' for p in _files(folder))


def script_tag(folder: Path, prefix: str = "/") -> str:
    """Return the tag that runs the first module; Dash wants its id there."""
    source = f"{_base(folder, prefix)}{FIRST}"
    return f'<script id="_dash-renderer" type="module" src="{source}"></script>'


def _base(folder: Path, prefix: str) -> str:
    return f"{prefix}scripts/{_mark(folder)}/"


def _files(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.js"))


def _mark(folder: Path) -> str:
    """What the modules hold, as sixteen signs; read anew each time, as files may be edited."""
    digest = hashlib.sha256()
    for path in _files(folder):
        digest.update(path.name.encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:16]
