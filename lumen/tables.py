"""Tables of ``lumen/data``: every row says where its value comes from and how we know it.

A table is a CSV file. The columns ``source``, ``locator`` and ``how`` are required in each:

* ``source``: the standard, textbook or public body (or ``common practice, no source``);
* ``locator``: section, table or page (and edition), may be empty only for our own assumptions;
* ``how``: ``read`` (seen in the source or a page that reproduces it), ``memory`` or ``assumed``.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType

from lumen.errors import LumenError

__all__ = ["HOW", "PROVENANCE", "names", "table", "usual_shape"]

HOW = ("read", "memory", "assumed")
PROVENANCE = ("source", "locator", "how")


def names() -> tuple[str, ...]:
    """Return the names of all tables, sorted.

    Examples
    --------
    >>> "reflectance" in names()
    True
    """
    folder = resources.files("lumen") / "data"
    return tuple(sorted(f.name[:-4] for f in folder.iterdir() if f.name.endswith(".csv")))


@cache
def table(name: str) -> tuple[Mapping[str, str], ...]:
    """Return the rows of ``lumen/data/<name>.csv`` as read-only mappings of text.

    Raises
    ------
    LumenError
        When the table does not exist or a row lacks its provenance.
    """
    path = resources.files("lumen") / "data" / f"{name}.csv"
    if not path.is_file():
        raise LumenError("table", f"must be one of {', '.join(names())}", name)
    rows = []
    with path.open(encoding="utf-8") as stream:
        for number, row in enumerate(csv.DictReader(stream), start=2):
            if None in row or any(row.get(key) is None for key in PROVENANCE):
                raise LumenError(f"{name}.csv line {number}", "must fill every column", dict(row))
            if row["how"] not in HOW or not row["source"]:
                raise LumenError(
                    f"{name}.csv line {number}",
                    f"needs source, how={'|'.join(HOW)}",
                    dict(row),
                )
            rows.append(MappingProxyType(dict(row)))
    return tuple(rows)


@cache
def usual_shape(name: str) -> float:
    """Return a ratio of the table ``usual_shapes``: what is taken where a plan gives no size.

    Examples
    --------
    >>> usual_shape("cone top over bottom")
    0.6
    """
    return next(float(row["value"]) for row in table("usual_shapes") if row["name"] == name)
