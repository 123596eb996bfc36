"""The page: one screen, a drawing one can take in the hand, and answers in plain words."""

from __future__ import annotations

from pathlib import Path

import dash

__all__ = ["create_app"]


def create_app(plan_path: Path | None = None) -> dash.Dash:
    """Return the Dash app with a plan in it; composition only.

    Raises
    ------
    ScenarioError
        When the plan at ``plan_path`` cannot be read.
    """
    from lumen.app import callbacks, commands, layout, server

    scenario, opened = server.starting_plan(plan_path)
    app = dash.Dash(
        "lumen",
        title="lumen",
        assets_folder=str(server.assets_folder()),
        serve_locally=True,
        update_title="",
        index_string=layout.INDEX,
        add_log_handler=False,
    )
    app.layout = layout.page(commands.document_of(scenario), opened, server.example_shelf())
    callbacks.register(app)
    server.add_routes(app, plan_path)
    server.guard(app)
    return app
