"""The study as plain text for a terminal: planes, eyes, wishes, load tree, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lumen.study.study import Study
from lumen.study.words import about, amount, amperes, watts

__all__ = ["report"]


def report(study: Study) -> str:
    """Return the text that ``lumen check`` prints: the same numbers as the page shows."""
    data = study.to_json()
    return "\n".join(_lines(study, data)) + "\n"


def _lines(study: Study, data: dict[str, Any]) -> Iterator[str]:
    names = {target["id"]: target["name"] for target in data["targets"]}
    setups = {setup["id"]: setup for setup in data["setups"]}
    wished = {aim["of"] for aim in data["aims"]}
    yield data["plan"]["title"]
    yield "Left and right are as you face the bed wall. Numbers are about right, not exact."
    yield from _age_words(study)
    for setup in setups.values():
        yield ""
        yield f"== {setup['name']}: {watts(setup['total_w'])}, {amperes(setup['total_a'])}"
        for plane in data["planes"]:
            if plane["setup"] == setup["id"] and _told(plane["target"], wished):
                yield f"  {names[plane['target']]:<34}{_plane_words(plane)}"
        for eye in data["eyes"]:
            if eye["setup"] == setup["id"] and _told(eye["target"], wished):
                light = about(eye["illuminance_lx"], eye["low_lx"], eye["high_lx"])
                body = amount(eye["melanopic_edi_lx"])
                yield f"  {names[eye['target']]:<34}{light}, melanopic {body} lx"
        for aim in data["aims"]:
            if aim["setup"] == setup["id"]:
                yield f"  {_aim_words(aim)}"
                if aim["evenness"] is not None and aim["evenness"]["shadow"]:
                    yield f"      {aim['evenness']['shadow']}"
        for found in data["comfort"]["setups"]:
            if found["setup"] == setup["id"]:
                yield from (f"  - {line}" for line in found["lines"])
    yield from _sleepers(data["comfort"]["sleepers"])
    yield ""
    yield "== Load tree"
    yield from _tree(study, data["power"])
    yield ""
    yield "== Cautions"
    yield from _cautions(data["cautions"])
    if data["assumptions"]:
        yield ""
        yield "== Assumed, because the plan does not say"
        for item in data["assumptions"]:
            yield f"  {item['field']}: {item['why']}"
    yield from _notes(data)


def _notes(data: dict[str, Any]) -> Iterator[str]:
    """What files, shades and size made us put right, take as given or reckon coarsely."""
    if data["notes"]:
        yield ""
        yield "== How lights and room are taken"
        for item in data["notes"]:
            yield f"  {item['of']}: {item['note']}"


def _age_words(study: Study) -> Iterator[str]:
    ageing = study.scenario.ageing
    yield (
        "They are for lamps after years of use and dust; a band runs from then back to new lamps."
        if ageing.counted
        else "They are for new lamps; a band runs from years of use and dust up to new lamps."
    )
    yield (
        f"What is left then: {ageing.maintenance_factor:g} of the light, "
        f"{ageing.dusty_maintenance_factor:g} from fabric shades, light thrown up and strips."
    )


def _told(target: str, wished: set[str]) -> bool:
    """Test planes and in-between postures are told only to those who wish something of them."""
    quiet = target.startswith(
        ("bedside:", "page slouched:", "page on the side:")
    ) or target.endswith(":slouched")
    return target in wished or not quiet


def _sleepers(sleepers: list[dict[str, Any]]) -> Iterator[str]:
    """How many lumens of each light a sleeper bears, where the plan's lamps have more."""
    over = [
        (sleeper, budget)
        for sleeper in sleepers
        for budget in sleeper["budgets"]
        if budget["lumens"] is not None and budget["has_lm"] > budget["lumens"]
    ]
    if over:
        yield ""
        yield "== Asleep: lamp lumens for 1 melanopic lx in the worst posture (Brown et al. 2022)"
    for sleeper, budget in over:
        low, high = budget["low_lm"], budget["high_lm"]
        band = (
            about(budget["lumens"], low, high, "lm")
            if high is not None
            else f"about {amount(budget['lumens'])} lm (from {amount(low)})"
        )
        yield f"  {sleeper['name']}, {budget['light']}: {band}; it has {amount(budget['has_lm'])}"


def _plane_words(plane: dict[str, Any]) -> str:
    words = about(plane["average_lx"], plane["low_lx"], plane["high_lx"])
    spread = f"least {amount(plane['minimum_lx'])}, most {amount(plane['maximum_lx'])}"
    even = "" if plane["uniformity"] is None else f", uniformity {plane['uniformity']:.2f}"
    return f"{words}; {spread}{even}"


def _aim_words(aim: dict[str, Any]) -> str:
    limits = [
        f"at least {aim['at_least']:g}" if aim["at_least"] is not None else "",
        f"at most {aim['at_most']:g}" if aim["at_most"] is not None else "",
    ]
    wish = " and ".join(filter(None, limits))
    unit = "" if aim["measure"] == "uniformity" else " lx"
    kind = " melanopic" if aim["measure"] == "melanopic_edi_lx" else ""
    beside = f" ({aim['words']})" if aim["words"] else ""
    return (
        f"[{aim['state']}] {aim['name']}: {amount(aim['value'])}{unit}{kind}, "
        f"wished {wish}{unit}{beside}; {aim['source']}"
    )


def _tree(study: Study, power: dict[str, Any]) -> Iterator[str]:
    nodes = power["nodes"]
    children: dict[str | None, list[dict[str, Any]]] = {}
    known = {node["id"] for node in nodes}
    for node in nodes:
        parent = node["fed_from"] if node["fed_from"] in known else None
        children.setdefault(parent, []).append(node)

    def walk(parent: str | None, depth: int) -> Iterator[str]:
        for node in children.get(parent, []):
            most = node["everything_on"]
            rating = node["rating_a"]
            limit = f" of {amperes(rating)} ({node['rating_reason']})" if rating else ""
            name = "  " * depth + node["name"]
            yield f"  {name:<40}{watts(most['watts']):>8} {amperes(most['amperes']):>8}{limit}"
            yield from walk(node["id"], depth + 1)

    yield "  everything on:"
    yield from walk(None, 0)
    energy = power["energy"]
    yield (
        f"  in a year about {amount(energy['kwh_year'])} kWh, of which standby "
        f"{amount(energy['standby_kwh_year'])} kWh; about {amount(energy['cost_year'])} "
        f"{energy['currency']} at {energy['tariff']:g} a kWh"
    )


def _cautions(cautions: list[dict[str, Any]]) -> Iterator[str]:
    if not cautions:
        yield "  no caution raised"
    for caution in cautions:
        yield f"  [{caution['level']}] {caution['title']}: {caution['fact']}"
        yield f"      rule {caution['rule']}: {caution['rule_text']}"
        yield f"      source: {caution['source']}, {caution['edition']} ({caution['how']})"
        yield f"      clears it: {caution['remedy']}"
    yield "  Check your local code and labels; ask a licensed electrician if unsure."
