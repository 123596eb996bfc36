"""Searches that run while the page goes on: one at a time, told how far, stopped when asked."""

from __future__ import annotations

import logging
import secrets
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from lumen.errors import LumenError
from lumen.scenario.document import Scenario

__all__ = ["Job", "job_of", "start", "stop"]


@dataclass(eq=False)
class Job:
    """One search: how far it is, what it found, or why it failed."""

    name: str
    scenario: Scenario
    asked: Mapping[str, Any]
    stopped: threading.Event = field(default_factory=threading.Event)
    doing: str = "beginning"
    share: float = 0.0
    tried: int = 0
    met: int = 0
    of: int = 0
    found: Any = None
    trouble: str | None = None

    @property
    def done(self) -> bool:
        """Whether nothing more will come."""
        return self.found is not None or self.trouble is not None

    def told(self) -> dict[str, Any]:
        """Return how far it is, as plain data."""
        return {
            "job": self.name,
            "doing": self.doing,
            "share": round(self.share, 3),
            "tried": self.tried,
            "met": self.met,
            "of": self.of,
            "done": self.done,
            "trouble": self.trouble,
        }


_lock = threading.Lock()
_jobs: dict[str, Job] = {}
_KEPT = 4


def start(scenario: Scenario, asked: Mapping[str, Any]) -> Job:
    """Begin a search, and stop the one before.

    Parameters
    ----------
    scenario
        The plan.
    asked
        ``keep``, ``allow``, ``no_drill`` and ``pairs`` of :func:`lumen.find.find`.

    Raises
    ------
    LumenError
        When a name, part or wall is not in the plan.
    """
    from lumen.find.may import may_of  # with scipy behind it: not before somebody searches

    may_of(scenario, **asked)
    job = Job(secrets.token_urlsafe(9), scenario, asked)
    with _lock:
        for other in _jobs.values():
            other.stopped.set()
        for name in list(_jobs)[: max(0, len(_jobs) + 1 - _KEPT)]:
            del _jobs[name]
        _jobs[job.name] = job
    threading.Thread(target=_run, args=(job,), daemon=True).start()
    return job


def job_of(name: str) -> Job:
    """Return a search by its name.

    Raises
    ------
    LumenError
        When there is none, or no longer.
    """
    with _lock:
        job = _jobs.get(name)
    if job is None:
        raise LumenError("search", "is not known any more: find again", name)
    return job


def stop(name: str) -> Job:
    """Stop a search: what was found until then is told soon after."""
    job = job_of(name)
    job.stopped.set()
    return job


def _run(job: Job) -> None:
    from lumen.find.finding import Progress, find

    def told(progress: Progress) -> None:
        job.doing, job.share, job.tried = progress.doing, progress.share, progress.tried
        job.met, job.of = progress.met, progress.of

    try:
        job.found = find(job.scenario, progress=told, stop=job.stopped.is_set, **job.asked)
    except LumenError as error:
        job.trouble = str(error)
    except Exception:
        logging.getLogger("lumen").exception("a search failed")
        job.trouble = "Something went wrong while searching. Your plan is as it was."
