"""Searches that run while the page goes on: one at a time, told how far, stopped when asked.

A search asks every few milliseconds whether it may go on, and waits while the page is being
answered and a moment after: a hand that drags has the processor for itself.
"""

from __future__ import annotations

import logging
import secrets
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from lumen.errors import LumenError
from lumen.scenario.document import Scenario

__all__ = ["Job", "answering", "job_of", "start", "start_strips", "stop"]

_QUIET_S = 0.12  # after an answer to a hand, before a search goes on: two or three of its moves


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


class _Hand:
    """Whether the page is being answered, or was a moment ago."""

    def __init__(self) -> None:
        self.lock, self.inside, self.last = threading.Lock(), 0, 0.0

    @property
    def busy(self) -> bool:
        return self.inside > 0 or time.monotonic() - self.last < _QUIET_S


_hand = _Hand()


@contextmanager
def answering() -> Iterator[None]:
    """While the page is answered, searches wait."""
    with _hand.lock:
        _hand.inside += 1
    try:
        yield
    finally:
        with _hand.lock:
            _hand.inside -= 1
            _hand.last = time.monotonic()


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
    return _begun(Job(secrets.token_urlsafe(9), scenario, asked), _find)


def start_strips(scenario: Scenario, strip: str) -> Job:
    """Begin to compare the ways of a strip, and stop the search before.

    Raises
    ------
    LumenError
        When the plan has no such strip.
    """
    if strip not in {item.id for item in scenario.strips}:
        raise LumenError("strip", "must be an LED strip of the plan", strip)
    return _begun(Job(secrets.token_urlsafe(9), scenario, {"strip": strip}), _strips)


def _begun(job: Job, work: Callable[[Job], Any]) -> Job:
    with _lock:
        for other in _jobs.values():
            other.stopped.set()
        for name in list(_jobs)[: max(0, len(_jobs) + 1 - _KEPT)]:
            del _jobs[name]
        _jobs[job.name] = job
    threading.Thread(target=_run, args=(job, work), daemon=True).start()
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


def _stopped(job: Job) -> bool:
    """Whether a search is to end; it waits here while a hand moves something."""
    while _hand.busy and not job.stopped.is_set():
        time.sleep(0.01)
    return job.stopped.is_set()


def _find(job: Job) -> Any:
    from lumen.find.finding import Progress, find

    def told(progress: Progress) -> None:
        job.doing, job.share, job.tried = progress.doing, progress.share, progress.tried
        job.met, job.of = progress.met, progress.of

    return find(job.scenario, progress=told, stop=lambda: _stopped(job), **job.asked)


def _strips(job: Job) -> Any:
    from lumen.find.strip_choices import strip_choices

    def told(share: float, tried: int) -> None:
        job.doing, job.share, job.tried = "comparing ways of the strip", share, tried

    return strip_choices(
        job.scenario, job.asked["strip"], progress=told, go_on=lambda: not _stopped(job)
    )


def _run(job: Job, work: Callable[[Job], Any]) -> None:
    try:
        job.found = work(job)
    except LumenError as error:
        job.trouble = str(error)
    except Exception:
        logging.getLogger("lumen").exception("a search failed")
        job.trouble = "Something went wrong while searching. Your plan is as it was."
