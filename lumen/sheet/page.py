"""The whole sheet as one HTML file: no network, no script, for A4 and Letter, for a phone."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, Literal, get_args

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from lumen.errors import LumenError
from lumen.sheet.contents import contents
from lumen.sheet.elevation import elevation
from lumen.sheet.figures import FILTERS, Figure, Trail
from lumen.sheet.svg import Drawing
from lumen.sheet.true_size import LANES_A_PAGE, lane_page, tile_page
from lumen.study.study import Study

__all__ = ["PAPERS", "Paper", "sheet", "usual_paper"]

Paper = Literal["a4", "letter"]
PAPERS: tuple[str, ...] = get_args(Paper)


def usual_paper(region: str) -> Paper:
    """Return the paper that a region prints on.

    Examples
    --------
    >>> usual_paper("US"), usual_paper("JP")
    ('letter', 'a4')
    """
    return "letter" if region in ("US", "CA") else "a4"


def sheet(study: Study, *, paper: str | None = None) -> str:
    """Return the sheet of a plan as one HTML text.

    Every number carries its exact value and its place in the study or in the sheet's own
    contents: ``<data value="1.22" data-sheet="walls.0.marks.0.height_m">``. All drawings fit
    both papers at true size; ``paper`` only says which one the file asks the printer for.

    Parameters
    ----------
    study
        The study of the plan.
    paper
        ``"a4"`` or ``"letter"``; left out, what the plan's region prints on.

    Raises
    ------
    LumenError
        For another paper.
    """
    chosen = usual_paper(study.scenario.region) if paper is None else paper
    if chosen not in PAPERS:
        raise LumenError("paper", f"must be one of {', '.join(PAPERS)}", paper)
    data = study.to_json()
    held = contents(study, data)
    return render(data, held, chosen, note=study.scenario.note)


def render(data: dict[str, Any], held: dict[str, Any], paper: str, *, note: str | None) -> str:
    """Return the HTML of a study's JSON and the sheet's contents."""
    found = Trail(data, "study")
    mine = Trail(held, "sheet")
    template = _environment().get_template("sheet.html.jinja")
    return template.render(study=found, sheet=mine, paper=paper, note=note)


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("lumen.sheet"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(FILTERS)
    environment.tests["number_like"] = lambda value: isinstance(value, Figure)
    drawings: dict[str, Callable[..., Any]] = {
        "elevation": elevation,
        "tile_page": tile_page,
        "lane_page": lane_page,
        "lane_pages": _lane_pages,
        "ruler": _ruler,
        "flag": _flag,
    }
    environment.globals.update(drawings)
    return environment


def _lane_pages(lanes: Trail) -> list[list[Trail]]:
    every = list(lanes)
    return [every[i : i + LANES_A_PAGE] for i in range(0, len(every), LANES_A_PAGE)]


def _ruler() -> Markup:
    picture = Drawing(186.0, 20.0, "A ruler of 100 mm and 4 in, to check the printer", "true-size")
    picture.ruler(2.0, 6.0)
    return picture.svg()


def _flag(level: str) -> Markup:
    """A shape for a caution's level, told apart without colour: octagon, diamond, ring."""
    shapes = {
        "stop": '<polygon points="3,0.4 7,0.4 9.6,3 9.6,7 7,9.6 3,9.6 0.4,7 0.4,3" fill="#000"/>',
        "ask": '<polygon points="5,0.3 9.7,5 5,9.7 0.3,5" fill="none" stroke="#000"/>',
        "note": '<circle cx="5" cy="5" r="4.4" fill="none" stroke="#000" stroke-width="0.8"/>',
    }
    return Markup('<svg class="flag" viewBox="0 0 10 10" aria-hidden="true">{}</svg>').format(
        Markup(shapes[level])
    )
