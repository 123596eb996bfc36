"""What an LED strip may become: other lumens a metre, of the classes that are sold."""

from __future__ import annotations

from lumen.power.driver import FILL_PRACTICE
from lumen.scenario.base import middle
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Strip
from lumen.scenario.supply import Driver
from lumen.study.load.electrics import electrics
from lumen.tables import table

__all__ = ["drivers_for", "metre_fluxes", "strip_of"]


def metre_fluxes(strip: Strip) -> tuple[float, ...]:
    """Return lumens a metre that tape is sold with, and today's.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> metre_fluxes(load(examples()[0]).strips[0])
    (450.0, 900.0, 1450.0)
    """
    own = middle(strip.flux_lm_per_m)
    sold = [float(row["flux_lm_per_m"]) for row in table("strip_classes")]
    return tuple(sorted({own, *(flux for flux in sold if abs(flux / own - 1.0) > _ALIKE)}))


_ALIKE = 0.15  # a class this near today's is today's


def strip_of(strip: Strip, flux_lm_per_m: float) -> Strip:
    """Return a strip with other lumens a metre and the watts of its class."""
    own = middle(strip.flux_lm_per_m)
    if flux_lm_per_m == own:
        return strip
    sold = {float(r["flux_lm_per_m"]): float(r["power_w_per_m"]) for r in table("strip_classes")}
    watts = sold.get(flux_lm_per_m, round(middle(strip.power_w_per_m) * flux_lm_per_m / own, 1))
    return strip.model_copy(
        update={"flux_lm_per_m": flux_lm_per_m, "power_w_per_m": watts, "price": None}
    )


_SAME = 1.02  # no other driver for so little more than today; ours


def drivers_for(today: Scenario, plan: Scenario) -> dict[str, Driver]:
    """Return the drivers that a change of strips asks to be larger, in their next sold size.

    One that is loaded as today, or to four fifths of its rating at most, stays.
    """
    before = {fit.id: fit.load_w for fit in electrics(today).drivers}
    found = {}
    for fit in electrics(plan).drivers:
        if fit.fill <= FILL_PRACTICE + 1e-9 or fit.load_w <= _SAME * before.get(fit.id, 0.0):
            continue
        rating = None if fit.choice is None else fit.choice.rating_w
        if rating is not None and rating > fit.rating_w:
            node = next(n for n in plan.supply if n.id == fit.id)
            assert isinstance(node, Driver)
            outputs = max(node.outputs, fit.choice.outputs if fit.choice else 1)
            found[fit.id] = node.model_copy(
                update={"rating_w": rating, "outputs": outputs, "price": None}
            )
    return found
