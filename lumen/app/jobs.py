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
from contextvars import copy_context
from dataclasses import dataclass, field
from typing import Any

from lumen.errors import LumenError
from lumen.scenario.document import Scenario

__all__ = ["Job", "Searches"]

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
    finding: Any = None
    trouble: str | None = None

    @property
    def done(self) -> bool:
        """Whether nothing more will come."""
        return self.finding is not None or self.trouble is not None

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


_KEPT = 4


class Searches:
    """The searches of one page: the latest runs, and a few before it can still be asked about."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._jobs: dict[str, Job] = {}
        self._answering, self._answered_s = 0, 0.0

    def start(self, scenario: Scenario, asked: Mapping[str, Any]) -> Job:
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
        return self._begin(Job(secrets.token_urlsafe(9), scenario, asked), self._find)

    def start_strips(self, scenario: Scenario, strip: str) -> Job:
        """Begin to compare the ways of a strip, and stop the search before.

        Raises
        ------
        LumenError
            When the plan has no such strip.
        """
        if strip not in {item.id for item in scenario.strips}:
            raise LumenError("strip", "must be an LED strip of the plan", strip)
        job = Job(secrets.token_urlsafe(9), scenario, {"strip": strip})
        return self._begin(job, self._compare_strips)

    def job_of(self, name: str) -> Job:
        """Return a search by its name.

        Raises
        ------
        LumenError
            When there is none, or no longer.
        """
        with self._lock:
            job = self._jobs.get(name)
        if job is None:
            raise LumenError("search", "is not known any more: find again", name)
        return job

    def stop(self, name: str) -> Job:
        """Stop a search: what was found until then is told soon after."""
        job = self.job_of(name)
        job.stopped.set()
        return job

    @contextmanager
    def answering(self) -> Iterator[None]:
        """While the page is answered, searches wait."""
        with self._lock:
            self._answering += 1
        try:
            yield
        finally:
            with self._lock:
                self._answering -= 1
                self._answered_s = time.monotonic()

    @property
    def _busy(self) -> bool:
        """Whether the page is being answered, or was a moment ago."""
        return self._answering > 0 or time.monotonic() - self._answered_s < _QUIET_S

    def _begin(self, job: Job, work: Callable[[Job], Any]) -> Job:
        with self._lock:
            for other in self._jobs.values():
                other.stopped.set()
            for name in list(self._jobs)[: max(0, len(self._jobs) + 1 - _KEPT)]:
                del self._jobs[name]
            self._jobs[job.name] = job
        context = copy_context()  # with the engine that was asked
        threading.Thread(target=context.run, args=(_run, job, work), daemon=True).start()
        return job

    def _stopped(self, job: Job) -> bool:
        """Whether a search is to end; it waits here while a hand moves something."""
        while self._busy and not job.stopped.is_set():
            time.sleep(0.01)
        return job.stopped.is_set()

    def _find(self, job: Job) -> Any:
        from lumen.find.finding import Progress, find

        def told(progress: Progress) -> None:
            job.doing, job.share, job.tried = progress.doing, progress.share, progress.tried
            job.met, job.of = progress.met, progress.of

        return find(job.scenario, progress=told, stop=lambda: self._stopped(job), **job.asked)

    def _compare_strips(self, job: Job) -> Any:
        from lumen.find.strip_choices import strip_choices

        def told(share: float, tried: int) -> None:
            job.doing, job.share, job.tried = "comparing ways of the strip", share, tried

        strip = job.asked["strip"]
        return strip_choices(
            job.scenario, strip, progress=told, go_on=lambda: not self._stopped(job)
        )


def _run(job: Job, work: Callable[[Job], Any]) -> None:
    try:
        job.finding = work(job)
    except LumenError as error:
        job.trouble = str(error)
    except Exception:
        logging.getLogger("lumen").exception("a search failed")
        job.trouble = "Something went wrong while searching. Your plan is as it was."
