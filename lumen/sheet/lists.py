"""Every list of the sheet as a table, and as CSV files for a spreadsheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from lumen.scenario.files import write_whole
from lumen.sheet.contents import contents
from lumen.study.study import Study

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["lists", "write_lists"]

Json = dict[str, Any]


def lists(study: Study) -> dict[str, pd.DataFrame]:
    """Return the sheet's lists by name; columns carry their units.

    ``marks``, ``pairs``, ``bands``, ``cuts``, ``boards``, ``cords``, ``shopping``, ``changes``,
    ``plugs``, ``buttons``, ``levels``, ``night``, ``answers``, ``cautions``, ``assumptions``.
    """
    data = study.to_json()
    return _frames(data, contents(study, data))


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


def _frames(data: Json, held: Json) -> dict[str, pd.DataFrame]:
    import pandas as pd  # slow to import: only who wants tables pays

    rows: dict[str, list[Json]] = {
        "marks": [_mark(wall, m) for wall in held["walls"] for m in (*wall["marks"],
                  *wall["outlets"])],
        "board_marks": held["board"],
        "ceiling_marks": held["ceiling"],
        "pairs": held["pairs"],
        "bands": [{"wall": w["name"], **band} for w in held["walls"] for band in w["bands"]],
        "strip_places": [{"strip": p["name"], "board": p["board"], "side": p["side"], **corner}
                         for p in held["places"] for corner in p["corners"]],
        "cuts": [_edge(cut, edge) for cut in held["cuts"] for edge in cut["edges"]],
        "boards": [{"for": board["items"], **_without(board, "items")} for board in held["boards"]],
        "cords": [_without(cord, "corners_m", "explain") for cord in held["cords"]],
        "shopping": [{"item": item["names"], "kind": item["kind"], "count": item["count"], **spec,
                      "price_low": item["price_low"], "price_high": item["price_high"]}
                     for item in held["shopping"] for spec in item["specs"]],
        "changes": [{"item": item["names"], **change}
                    for item in held["shopping"] for change in item["near"]],
        "plugs": [_plug(data["power"]["nodes"], row) for row in held["plugs"]],
        "buttons": held["buttons"],
        "levels": [{"setup": s["setup"], **level} for s in held["levels"] for level in s["levels"]],
        "night": [_without(row, "setup_id", "without") for row in held["night"]],
        "answers": [_without(row, "by_source") for row in (*data["planes"], *data["eyes"])],
        "cautions": [_without(row, "fix", "numbers", "explain") for row in data["cautions"]],
        "assumptions": [{"of": words["of"], "what": words["words"], "value": item["value"],
                         "unit": words["unit"], "why": item["why"]}
                        for item, words in zip(data["assumptions"], held["assumed"], strict=True)],
    }  # fmt: skip
    return {
        name: pd.DataFrame([{k: _cell(v) for k, v in row.items()} for row in found])
        for name, found in rows.items()
    }


def _without(row: Json, *keys: str) -> Json:
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


def _mark(wall: Json, mark: Json) -> Json:
    return {"wall_name": wall["name"], **mark}


def _edge(cut: Json, edge: Json) -> Json:
    return {
        "strip": cut["name"],
        "cut_m": cut["cut_m"],
        **edge,
        "feed": cut["feed_points"],
    }


def _plug(nodes: list[Json], row: Json) -> Json:
    node = nodes[row["node"]]
    most = node["everything_on"]
    return {
        "name": row["name"],
        "kind": row["kind"],
        "depth": row["depth"],
        "plugged_into": row["plugged_into"],
        "inside": row["inside"],
        "everything_on_w": most["watts"],
        "everything_on_a": most["amperes"],
        "limit_a": node["rating_a"],
        "limit_reason": node["rating_reason"],
        "limit_assumed": node["assumed"],
        "share": most["share"],
    }
