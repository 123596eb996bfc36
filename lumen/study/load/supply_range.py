"""What the supply's own range does to the currents: a band, since volts are never quite nominal.

Loads behind electronics hold their power, so their current rises as the volts fall; heat makers
and plain motors hold, roughly, their resistance, so theirs rises with the volts. With a share of
each, the current at other volts is ``E V0 / V + R V / V0``; its greatest value lies at one end.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lumen.power.load import LoadTree
from lumen.study.digits import figure
from lumen.study.load.regions import RegionPack

__all__ = ["SupplyRange", "supply_range"]


@dataclass(frozen=True)
class SupplyRange:
    """The usual range of a region's supply [V] and the currents of each circuit over it [A].

    ``measured_v`` is what the person typed; it widens the range where it lies outside.
    """

    nominal_v: float
    low_v: float
    high_v: float
    measured_v: float | None
    source: str
    amperes: Mapping[str, tuple[float, float]]

    def to_json(self) -> dict[str, Any]:
        """Return the range as plain data, ``power.supply`` of the study."""
        return {
            "nominal_v": self.nominal_v,
            "low_v": self.low_v,
            "high_v": self.high_v,
            "measured_v": self.measured_v,
            "source": self.source,
            "amperes": {
                root: [figure(value) for value in band] for root, band in self.amperes.items()
            },
        }


def supply_range(tree: LoadTree, region: RegionPack, measured_v: float | None) -> SupplyRange:
    """Return the current of each circuit over the region's usual volts, low and high.

    A circuit at other volts than the region's (a 127 V twin) keeps the region's tolerance in
    percent, not its volts.

    Examples
    --------
    >>> from lumen.power.load import Node, solve_tree
    >>> from lumen.study.load.regions import region_pack
    >>> plan = [Node("c", None, "circuit", 230.0), Node("h", "c", "load", watts=2300.0)]
    >>> supply_range(solve_tree(plan), region_pack("EU"), None).amperes["c"]
    (9.0, 11.0)
    """
    nominal, low, high = region.volts, region.need("low_v"), region.need("high_v")
    bands = {}
    for root in tree.roots:
        load = tree[root]
        shares = [low / nominal, 1.0, high / nominal]
        if measured_v is not None:
            shares.append(measured_v / load.volts_in)
        steady = min(load.amperes, load.amperes_electronic)
        rest = load.amperes - steady
        band = [steady / share + rest * share for share in shares]
        bands[root] = (min(band), max(band))
    return SupplyRange(
        nominal,
        low,
        high,
        measured_v,
        f"{region.source('low_v')}; {region.source('high_v')}",
        bands,
    )
