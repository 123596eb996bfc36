"""The whole sheet as one HTML file: no network, for A4 and Letter, for a phone.

Four kinds of core pages always print: order of work, walls, shopping, plugs. The rest is there and
prints when its box at the top is ticked (:data:`PARTS`). One short script keeps the checks that a
person sets; without it they hold as long as the page is open.
"""

from __future__ import annotations

import base64
import datetime
import hashlib
from collections.abc import Callable, Collection
from functools import cache
from importlib import resources
from typing import Any, Literal, get_args

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from lumen.errors import LumenError
from lumen.sheet.contents import Contents, contents
from lumen.sheet.elevation import elevation
from lumen.sheet.figures import FILTERS, Figure, Trail, both_units, finished
from lumen.sheet.true_size import LANES_A_PAGE, lane_page, tile_page
from lumen.study.study import Study

__all__ = ["PAPERS", "PARTS", "Paper", "script_hash", "sheet", "usual_paper"]

Paper = Literal["a4", "letter"]
PAPERS: tuple[str, ...] = get_args(Paper)

PARTS: dict[str, str] = {
    "templates": "True-size templates",
    "tests": "Heat, smell and night test",
    "questions": "Questions and undo list",
    "light": "Assumptions and light tables",
}
"""What prints on demand beside the core pages, with its words on the page."""

_TITLE_LETTERS = 70  # of a title in the foot of each page


def usual_paper(region: str) -> Paper:
    """Return the paper that a region prints on.

    Examples
    --------
    >>> usual_paper("US"), usual_paper("JP")
    ('letter', 'a4')
    """
    return "letter" if region in ("US", "CA") else "a4"


def sheet(
    study: Study,
    *,
    paper: str | None = None,
    include: Collection[str] = (),
    date: datetime.date | None = None,
) -> str:
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
    include
        Which of :data:`PARTS` print beside the core pages; the page lets one change it.
    date
        Printed at the foot of each page; left out, today.

    Raises
    ------
    LumenError
        For another paper or part.
    """
    chosen = usual_paper(study.scenario.region) if paper is None else paper
    if chosen not in PAPERS:
        raise LumenError("paper", f"must be one of {', '.join(PAPERS)}", paper)
    for part in include:
        if part not in PARTS:
            raise LumenError("include", f"must be of {', '.join(PARTS)}", part)
    return render(study.to_json(), contents(study), chosen, include=include, date=date)


def render(
    data: dict[str, Any],
    held: Contents,
    paper: str,
    *,
    include: Collection[str] = (),
    date: datetime.date | None = None,
) -> str:
    """Return the HTML of a study's JSON and the sheet's contents."""
    printed = (date or datetime.date.today()).isoformat()
    title = data["plan"]["title"]
    short = title if len(title) <= _TITLE_LETTERS else title[: _TITLE_LETTERS - 1] + "…"
    units = "both" if both_units(data["plan"]["region"]) else "metric"
    template = _environment().get_template("sheet.html.jinja")
    return template.render(
        study=Trail(data, "study", units=units),
        sheet=Trail(held, "sheet", units=units),
        both_units=units == "both",
        paper=paper,
        printed=printed,
        chosen=include,
        parts_of=list(PARTS.items()),
        foot_left=_css_text(short),
        foot_right=_css_text(f"plan {data['plan']['hash'][:12]}, {printed},"),
        script=Markup(_script()),
        script_hash=script_hash(),
    )


def _css_text(words: str) -> Markup:
    """A text inside a CSS string: what is no plain letter or digit goes in by its number."""
    return Markup(
        "".join(c if c.isascii() and (c.isalnum() or c == " ") else f"\\{ord(c):x} " for c in words)
    )


@cache
def _script() -> str:
    return resources.files("lumen.sheet").joinpath("templates/sheet.js").read_text("utf-8")


def script_hash() -> str:
    """Return the hash by which a content security policy lets the sheet's own script run."""
    digest = hashlib.sha256(_script().encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode()}"


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("lumen.sheet"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=finished,
    )
    environment.filters.update(FILTERS)
    environment.tests["number_like"] = lambda value: isinstance(value, Figure)
    drawings: dict[str, Callable[..., Any]] = {
        "elevation": elevation,
        "tile_page": tile_page,
        "lane_page": lane_page,
        "lane_pages": _lane_pages,
        "flag": _flag,
    }
    environment.globals.update(drawings)
    return environment


def _lane_pages(lanes: Trail) -> list[list[Trail]]:
    every = list(lanes)
    return [every[i : i + LANES_A_PAGE] for i in range(0, len(every), LANES_A_PAGE)]


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
