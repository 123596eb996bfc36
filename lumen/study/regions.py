"""What is usual in a region: volts, outlets, breakers, labels to assume, price of energy.

Nothing here is code text; it is what a plan falls back on when nobody has read a label. Every row
of ``regions.csv`` carries its source, and what is used unread is marked as assumed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from lumen.errors import LumenError
from lumen.tables import table

__all__ = ["Kind", "RegionPack", "appliance_like", "region_pack"]


@dataclass(frozen=True, slots=True)
class RegionPack:
    """One region's usual values.

    Parameters
    ----------
    code
        US, CA, UK, EU, AU, JP or IN.
    volts, low_v, high_v
        Nominal supply, and the limits between which it should stay [V].
    outlet_a, breaker_a
        Usual outlet and usual breaker of a bedroom circuit [A].
    shared_share
        Share of an outlet's rating that one plug may take where several outlets share the
        circuit; 1 where no such rule exists.
    plate_a, plate_warn_a
        What a twin outlet may carry in all, and from where it is worth a warning [A];
        ``None`` where only each hole counts.
    strip_a, adapter_a, extension_a
        Low values assumed for a label that nobody has read [A].
    receiver_a
        The same for a remote receiver [A].
    continuous_factor
        Loads of three hours and more count this many times against the breaker.
    plug_fuse_a
        Fuse in the plug, ``None`` where plugs have none [A].
    price_per_kwh, currency
        Usual price of energy, editable in the plan.
    """

    code: str
    volts: float
    low_v: float
    high_v: float
    outlet_a: float
    breaker_a: float
    shared_share: float
    plate_a: float | None
    plate_warn_a: float | None
    strip_a: float
    adapter_a: float
    extension_a: float
    receiver_a: float
    continuous_factor: float
    plug_fuse_a: float | None
    price_per_kwh: float
    currency: str
    source: str
