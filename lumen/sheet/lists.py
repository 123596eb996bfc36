"""Every list of the sheet as a table, and as CSV files for a spreadsheet."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lumen.scenario.files import write_whole
from lumen.sheet.contents import Contents, CutPage, contents
from lumen.sheet.cuts import Edge
from lumen.sheet.plugs import PlugRow
from lumen.sheet.shopping import Group, Spec
from lumen.sheet.wall_pages import HeldMark, WallPage
from lumen.sheet.walls import Mark
from lumen.study.digits import figure
from lumen.study.document import answers_json
from lumen.study.load.electrics import Electrics
from lumen.study.study import Study

if TYPE_CHECKING:
    import pandas as pd
    from _typeshed import DataclassInstance

__all__ = ["lists", "write_lists"]

Row = dict[str, Any]


def lists(study: Study) -> dict[str, pd.DataFrame]:
    """Return the sheet's lists by name; columns carry their units.

    ``marks``, ``pairs``, ``bands``, ``cuts``, ``boards``, ``cords``, ``shopping``, ``changes``,
    ``plugs``, ``buttons``, ``levels``, ``night``, ``answers``, ``cautions``, ``assumptions``.
    """
    import pandas as pd  # slow to import: only who wants tables pays

    return {
        name: pd.DataFrame([{k: _cell(v) for k, v in row.items()} for row in rows])
        for name, rows in _rows(study, contents(study)).items()
    }


def write_lists(study: Study, folder: Path) -> tuple[Path, ...]:
    """Write each list that holds something as CSV (UTF-8) into a folder; return the files."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, frame in lists(study).items():
        if len(frame):
            path = folder / f"{name}.csv"
            write_whole(path, frame.to_csv(index=False).encode("utf-8"))
            written.append(path)
    return tuple(written)


def _rows(study: Study, held: Contents) -> dict[str, list[Row]]:
    answers = answers_json(study.lighting)
    return {
        "marks": [
            _mark(wall, mark) for wall in held.walls for mark in (*wall.marks, *wall.outlets)
        ],
        "board_marks": [_row(mark) for mark in held.board],
        "ceiling_marks": [_row(mark) for mark in held.ceiling],
        "pairs": [_row(pair) for pair in held.pairs],
        "bands": [{"wall": wall.name, **_row(band)} for wall in held.walls for band in wall.bands],
        "strip_places": [
            {"strip": place.name, "board": place.board, "side": place.side, **_row(corner)}
            for place in held.places
            for corner in place.corners
        ],
        "cuts": [_edge(cut, edge) for cut in held.cuts for edge in cut.edges],
        "boards": [{"for": board.items, **_row(board, "items")} for board in held.boards],
        "cords": [_row(cord, "corners_m", "explain") for cord in held.cords],
        "shopping": [_specified(item, spec) for item in held.shopping for spec in item.specs],
        "changes": [
            {"item": item.names, **_row(change)} for item in held.shopping for change in item.near
        ],
        "plugs": [_plug(study.electrics, row) for row in held.plugs],
        "buttons": [_row(button) for button in held.buttons],
        "levels": [
            {"setup": setup.setup, **_row(lit)} for setup in held.levels for lit in setup.levels
        ],
        "night": [_row(row, "setup_id", "without") for row in held.night],
        "answers": [_without(row, "by_source") for rows in answers.values() for row in rows],
        "cautions": [
            _without(words.to_json(), "fix", "numbers", "explain")
            for words in study.caution_words
        ],
        "assumptions": [
            {"of": words.of, "what": words.words, "value": item.value, "unit": words.unit,
             "why": item.why}
            for item, words in zip(study.assumptions, held.assumed, strict=True)
        ],
    }  # fmt: skip


def _row(item: DataclassInstance, *but: str) -> Row:
    """The fields of a dataclass by name, except some."""
    return {f.name: getattr(item, f.name) for f in fields(item) if f.name not in but}


def _without(row: Row, *keys: str) -> Row:
    return {key: value for key, value in row.items() if key not in keys}


def _cell(value: Any) -> Any:
    """One cell of a spreadsheet: plain words, and numbers without the dust of binary fractions."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return float(f"{value:.9g}")
    if isinstance(value, list | tuple):
        return ", ".join(str(_cell(item)) for item in value)
    if isinstance(value, dict):
        given = {key: item for key, item in value.items() if item is not None}
        return ", ".join(f"{key.replace('_', ' ')} {_cell(item)}" for key, item in given.items())
    return value


def _mark(wall: WallPage, mark: Mark) -> Row:
    own = _row(mark, "on", "carrier")
    held = {"on": mark.on, "carrier": mark.carrier} if isinstance(mark, HeldMark) else {}
    corner = {"nearest": mark.nearest, "from_nearest_m": mark.from_nearest_m}
    return {"wall_name": wall.name, **own, **corner, **held}


def _edge(cut: CutPage, edge: Edge) -> Row:
    return {"strip": cut.name, "cut_m": cut.cut_m, **_row(edge), "feed": cut.feed_points}


def _specified(item: Group, spec: Spec) -> Row:
    return {
        "item": item.names,
        "kind": item.kind,
        "count": item.count,
        **_row(spec),
        "price_low": item.price_low,
        "price_high": item.price_high,
    }


def _plug(drawn: Electrics, row: PlugRow) -> Row:
    load = drawn.everything[row.id]
    tightest = drawn.tightest(drawn.everything, row.id)
    return {
        "name": row.name,
        "kind": row.kind,
        "depth": row.depth,
        "plugged_into": row.plugged_into,
        "inside": row.inside,
        "everything_on_w": figure(load.watts_in),
        "everything_on_a": figure(load.amperes),
        "limit_a": None if tightest is None else figure(tightest.limit.amperes),
        "limit_reason": None if tightest is None else tightest.limit.reason,
        "limit_assumed": bool(tightest and tightest.limit.assumed),
        "share": None if tightest is None else figure(tightest.share),
    }
