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
        "cuts": [_edge(cut, edge) for cut in held["cuts"] for edge in cut["edges"]],
        "boards": held["boards"],
        "cords": [{k: v for k, v in cord.items() if k not in ("corners_m", "explain")}
                  for cord in held["cords"]],
        "shopping": [{"item": item["name"], "kind": item["kind"], "count": item["count"], **spec,
                      "price_low": item["price_low"], "price_high": item["price_high"]}
                     for item in held["shopping"] for spec in item["specs"]],
        "changes": [{"item": item["name"], **change}
                    for item in held["shopping"] for change in item["near"]],
        "plugs": [_plug(data["power"]["nodes"], row) for row in held["plugs"]],
        "buttons": [{**row, "switches": _joined(row["switches"]), "on_in": _joined(row["on_in"])}
                    for row in held["buttons"]],
        "levels": [{"setup": s["setup"], **level} for s in held["levels"] for level in s["levels"]],
        "night": held["night"],
        "answers": [{k: v for k, v in row.items() if k != "by_source"}
                    for row in (*data["planes"], *data["eyes"])],
        "cautions": [{k: _flat(v) for k, v in row.items() if k not in ("fix", "numbers")}
                     for row in data["cautions"]],
        "assumptions": [{**row, "value": _flat(row["value"])} for row in data["assumptions"]],
    }  # fmt: skip
    return {name: pd.DataFrame(found) for name, found in rows.items()}


def _mark(wall: Json, mark: Json) -> Json:
    return {"wall_name": wall["name"], **mark}


def _edge(cut: Json, edge: Json) -> Json:
    return {
        "strip": cut["name"],
        "cut_m": cut["cut_m"],
        **edge,
        "feed": _joined(cut["feed_points"]),
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


def _joined(found: Any) -> str:
    return ", ".join(str(item) for item in found)


def _flat(value: Any) -> Any:
    return _joined(value) if isinstance(value, list) else value
