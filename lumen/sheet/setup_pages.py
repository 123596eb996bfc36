"""What is on in each setup, and what no button switches."""

from __future__ import annotations

from dataclasses import dataclass

from lumen.scenario.document import Scenario
from lumen.study.scene.levels import given_levels

__all__ = ["Lit", "SetupPage", "Unswitched", "setup_pages", "unswitched"]


@dataclass(frozen=True)
class Lit:
    """A light or strip that is on, and how far up."""

    name: str
    level: float


@dataclass(frozen=True)
class SetupPage:
    """One setup: what is lit, what runs beside it, when and how long."""

    setup: str
    levels: tuple[Lit, ...]
    running: tuple[str, ...]
    hours_per_day: float
    from_h: float | None


@dataclass(frozen=True)
class Unswitched:
    """A light or strip on no button: whether it has a switch in its cord, whether it has a plug."""

    name: str
    inline: bool
    plugged: bool


def setup_pages(plan: Scenario) -> tuple[SetupPage, ...]:
    """Return what is on in each setup, light by light, and what runs beside them."""
    names = {source.id: source.name or source.id for source in plan.sources}
    names |= {item.id: item.name or item.id for item in plan.supply}
    return tuple(
        SetupPage(
            setup=setup.name or setup.id,
            levels=tuple(
                Lit(names[source], level)
                for source, level in given_levels(plan, setup.id).items()
                if level > 0.0
            ),
            running=tuple(names[item] for item in setup.running),
            hours_per_day=setup.hours_per_day,
            from_h=setup.from_h,
        )
        for setup in plan.setups
    )


def unswitched(plan: Scenario) -> tuple[Unswitched, ...]:
    """Return the lights and strips that no receiver switches: their switch must be found out."""
    receivers = {item.id for item in plan.supply if item.kind == "receiver"}
    parents = {item.id: getattr(item, "fed_from", None) for item in plan.supply}

    def switched(at: str | None) -> bool:
        while at is not None:
            if at in receivers:
                return True
            at = parents.get(at)
        return False

    return tuple(
        Unswitched(
            name=source.name or source.id,
            inline=bool(getattr(source, "inline_switch", False)),
            plugged=source.fed_from is not None,
        )
        for source in plan.sources
        if not switched(source.fed_from)
    )
