"""What a plan means where it says nothing, for the drawings: written out as ``assets/usual.js``.

The document's own models and the tables ``usual_shapes`` and ``reading`` are the only places where
these values stand. ``python -m lumen.app.usual > assets/usual.js`` writes the script anew; a test
compares.
"""

from __future__ import annotations

import json
from typing import Any

from lumen.light.shade import SHAPES
from lumen.scenario.base import Part
from lumen.scenario.document import plain
from lumen.scenario.lights import Aim, Lamp, Light, Shade, Strip
from lumen.scenario.people import Page, Person
from lumen.scenario.room import Finish, Furniture, Opening
from lumen.scenario.supply import Adapter, Outlet, PowerStrip
from lumen.study.cautions.cords import PLUG_DEPTH_M
from lumen.tables import table, usual_shape

__all__ = ["script", "usual"]

_MODELS: dict[str, type[Part]] = {
    "light": Light,
    "lamp": Lamp,
    "aim": Aim,
    "strip": Strip,
    "furniture": Furniture,
    "finish": Finish,
    "opening": Opening,
    "person": Person,
    "page": Page,
    "outlet": Outlet,
    "power strip": PowerStrip,
    "adapter": Adapter,
}


def usual() -> dict[str, dict[str, Any]]:
    """Return every number that the document takes where a plan has none, by kind of part.

    Examples
    --------
    >>> usual()["light"]["projection_m"], usual()["shade"]["top_share"]["cone"]
    (0.12, 0.6)
    """
    found = {name: _numbers(model) for name, model in _MODELS.items()}
    found["furniture"]["finish"] = plain(Furniture.model_fields["finish"].default)
    found["reads from"] = {
        str(row["reads_from"]): {size: float(row[size]) for size in ("width_m", "height_m")}
        for row in table("reading")
    }
    found["plug"] = {"depth_m": PLUG_DEPTH_M}
    found["shade"] = {
        "shape": Shade.model_fields["shape"].default,
        "top_share": {shape: usual_shape(f"{shape} top over bottom") for shape in SHAPES},
        "lamp_share": usual_shape("lamp over shade height"),
    }
    return found


def _numbers(model: type[Part]) -> dict[str, Any]:
    return {
        name: info.default
        for name, info in model.model_fields.items()
        if isinstance(info.default, int | float) and not isinstance(info.default, bool)
    }


def script() -> str:
    """Return the text of ``assets/usual.js``."""
    return (
        "/* usual: what a plan means where it says nothing.\n"
        " * Written by `python -m lumen.app.usual` from the document's models; not by hand. */\n"
        f"export const usual = {json.dumps(usual(), indent=2)};\n"
    )


if __name__ == "__main__":
    print(script(), end="")
