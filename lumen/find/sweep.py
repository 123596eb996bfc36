"""Many rooms, many products: the same study of each, by any executor, as one table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future
from typing import TYPE_CHECKING, Any

from lumen.errors import LumenError
from lumen.find.judge import counts
from lumen.scenario.document import Scenario, dump
from lumen.scenario.edits import apply
from lumen.scenario.files import loads
from lumen.study.cache import Cache
from lumen.study.study import study

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["sweep"]

Row = dict[str, Any]

_TOGETHER = 16  # plans a worker takes at once: neighbours share a room, which is kept


def sweep(
    plans: Scenario | Iterable[Scenario],
    table: pd.DataFrame | Iterable[Mapping[str, Any]] | None = None,
    *,
    executor: Executor | None = None,
    engine: Cache | None = None,
) -> pd.DataFrame:
    """Return the study of many plans as a table, one row each, in the order given.

    Parameters
    ----------
    plans
        Plans; or one plan, to be changed by each row of a ``table``.
    table
        Changes of one plan: a column ``id`` (of a light, strip, piece of furniture ...) and columns
        named as the fields they set (``lamp.flux_lm``, ``distribution.beam_deg``, ``mount_m``,
        ``mount_m.2`` for a height).
        ``id`` may hold several ids with ``+`` between them; an empty cell leaves its field.
    executor
        Anything with ``submit``: threads, processes, a cluster's (``Client.get_executor()`` of the
        optional extra ``cluster``). Without one the plans are studied here, one after the other.
        What it does not give, because a worker was lost, is done here.
    engine
        An :class:`lumen.Engine` of one's own, which keeps what is dear; else that of the process.
        To processes its settings travel, not what it keeps.

    Returns
    -------
    pandas.DataFrame
        The columns of the table; ``title``, ``met``, ``of``, ``met_after_years``, ``sure``, how
        many cautions ask to ``stop``; and for each wish in each setup its value in a column of its
        own, ``wish / setup`` [lx], None where a plan has no such wish.

    Raises
    ------
    LumenError
        When a table comes with more than one plan, or a row breaks a rule of the plan; the row's
        number is named.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> frame = sweep(plan, [{"id": "left light", "lamp.flux_lm": lm} for lm in (100, 200)])
    >>> bool(frame["left page / read left"][1] > 1.9 * frame["left page / read left"][0])
    True
    """
    import pandas as pd  # slow to import

    one = isinstance(plans, Scenario)
    if table is not None and not one:
        raise LumenError("table", "must come with one plan", "several plans")
    changes = [{}] if table is None else list(_rows(table))
    if isinstance(plans, Scenario):
        texts = [dump(_changed(plans, row, number)) for number, row in enumerate(changes)]
    else:
        texts = [dump(plan) for plan in plans]
        changes = [{} for _ in texts]
    parts = [texts[i : i + _TOGETHER] for i in range(0, len(texts), _TOGETHER)]
    results = [row for rows in _studied(parts, executor, engine) for row in rows]
    return pd.DataFrame([{**a, **b} for a, b in zip(changes, results, strict=True)])


def _rows(table: Any) -> Iterator[Row]:
    rows = table.to_dict("records") if hasattr(table, "to_dict") else table
    for row in rows:
        yield {str(key): value for key, value in row.items()}


def _changed(plan: Scenario, row: Row, number: int) -> Scenario:
    names = [name.strip() for name in str(row.get("id", "")).split("+") if name.strip()]
    try:
        for field, value in row.items():
            if field == "id" or value is None or value != value:
                continue
            for name in names:
                value = list(value) if isinstance(value, tuple) else value
                args = {"field": field, "value": getattr(value, "item", lambda v=value: v)()}
                plan = apply(plan, {"name": "set", "id": name, "args": args})
    except LumenError as error:
        raise LumenError(
            f"row {number}: {error.fault.field}", error.fault.rule, error.fault.value
        ) from error
    return plan


def _studied(
    parts: Sequence[list[str]], executor: Executor | None, engine: Cache | None
) -> Iterator[list[Row]]:
    if executor is None:
        for part in parts:
            yield _study_of(part, engine)
        return
    futures: list[Future[list[Row]] | None] = []
    for part in parts:
        try:
            futures.append(executor.submit(_study_of, part, engine))
        except (BrokenExecutor, RuntimeError):
            futures.append(None)
    for part, future in zip(parts, futures, strict=True):
        try:
            yield _study_of(part, engine) if future is None else future.result()
        except LumenError:
            raise
        except Exception:  # a worker was lost, each executor in its own words: nothing of it is
            yield _study_of(part, engine)


def _study_of(texts: Sequence[str], engine: Cache | None) -> list[Row]:
    """What a worker does: plans as text, rows back; the same numbers wherever it runs."""
    rows = []
    for text in texts:
        result = study(loads(text), engine=engine)
        met, lasting, sure = counts(result.aims)
        row: Row = {
            "title": result.scenario.title,
            "met": met,
            "of": len(result.aims),
            "met_after_years": lasting,
            "sure": sure,
            "stop": sum(caution.level == "stop" for caution in result.cautions),
        }
        row.update({f"{r.id} / {r.setup}": r.value for r in result.aims})
        rows.append(row)
    return rows
