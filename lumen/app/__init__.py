"""The page: one screen, a drawing one can take in the hand, and answers in plain words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import dash

from lumen.errors import ScenarioError
from lumen.scenario.document import Scenario

__all__ = ["create_app"]


def create_app(plan_path: Path | None = None, last: Scenario | None = None) -> dash.Dash:
    """Return the Dash app with a plan in it; composition only.

    Each time the page is loaded it starts with the file as it is then. ``last`` is what to show
    without a file.

    Raises
    ------
    ScenarioError
        When the plan at ``plan_path`` cannot be read.
    """
    from lumen.app import callbacks, commands, layout, scripts, server

    first = server.starting_plan(plan_path, last)
    app = _Page(
        "lumen",
        title="lumen",
        assets_folder=str(server.assets_folder()),
        assets_ignore=r"\.js$",  # modules: see scripts.py
        serve_locally=True,
        update_title="",
        index_string=layout.INDEX,
        add_log_handler=False,
        on_error=_said,
    )

    def page() -> Any:
        try:
            scenario, opened = server.starting_plan(plan_path, last)
        except ScenarioError:  # the file was broken or taken away meanwhile: Save would ask
            scenario, opened = first
        return layout.page(commands.document_of(scenario), opened, server.example_shelf())

    app.layout = page
    callbacks.register(app)
    server.add_routes(app, plan_path)
    scripts.add_route(app.server, server.assets_folder())
    server.guard(app)
    return app


class _Page(dash.Dash):
    """Dash, begun by a module of ours once all modules are there."""

    def interpolate_index(self, *args: Any, **parts: Any) -> Any:
        from lumen.app import scripts, server

        folder = server.assets_folder()
        parts["css"] = f"{parts.get('css', '')}\n{scripts.preloads(folder)}"
        parts["renderer"] = scripts.script_tag(folder)
        filled: Any = super().interpolate_index
        return filled(*args, **parts)


def _said(error: Exception) -> None:
    """A callback that raises says so on the page and leaves what it would have shown."""
    from lumen.app import callbacks

    callbacks.broken(error)
