"""What is dear to compute, kept by content: one owner, one budget in bytes.

A thing is asked for by its kind and by all that it is made of, which are its key: equal content,
the same thing; anything else, made anew. `KINDS` declares what each kind is made of, and asking
for one with other parts is refused, so that nobody can leave a part out of a key.
"""

from __future__ import annotations

import hashlib
import sys
from collections import Counter, OrderedDict
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, fields, is_dataclass
from threading import Lock
from typing import Any, TypeVar, cast

import numpy as np

from lumen.scenario.base import Part

__all__ = ["CACHE_BYTES", "KINDS", "Cache", "current", "fingerprint", "light_content", "using"]

T = TypeVar("T")

CACHE_BYTES = 300_000_000
"""What an engine keeps at most unless told otherwise [bytes]: the twelve example rooms together."""

KINDS: Mapping[str, tuple[str, ...]] = {
    # the plan as arrays; ``room``, ``furniture`` and ``people`` with their names in them
    "photometric file": ("text",),
    "shaded light": ("shade", "lamp_diameter_m", "flux_lm"),
    "targets": ("room", "furniture", "people"),
    # room -> transport -> sensors -> maps; ``transport`` stands for its own key, ``source`` for the
    # written light and the arrays made of it
    "transport": ("room", "furniture"),
    "sensors": ("transport", "points", "normals"),
    "surface light": ("transport", "source", "detail"),
    "surface light off": ("transport", "source", "slab"),
    "sensors behind": ("transport", "points", "normals", "slab"),
    "target light": ("transport", "people", "points", "normals", "source", "detail"),
    "target light off": ("transport", "people", "points", "normals", "source", "detail", "slab"),
    "target response": ("transport", "points", "normals", "slices"),
    "hues": ("transport", "reflectances", "source", "detail"),
    "areas": ("room", "furniture"),
    # pictures
    "grid spread": ("transport", "grid", "points"),
    "grid share": ("transport", "grid", "points"),
    "grid light": ("transport", "people", "grid", "points", "split", "source", "detail"),
    "grid light off": (
        "transport", "people", "grid", "points", "split", "source", "detail", "slab",
    ),
    "grid page light": ("transport", "people", "grid", "points", "split", "source", "slab"),
    "glow light": ("transport", "points", "normals", "source", "detail"),
    "seen light": ("transport", "points", "normals", "source", "detail"),
    "light by patch": ("transport", "points", "normals", "source", "detail"),
    # who sees what
    "sightings": ("room", "furniture", "people", "targets", "light", "emitter"),
    # many lights in one place: what a search asks
    "vantage": ("receivers", "place"),
    # whole plans; ``plan`` is all that is written
    "height sweep": ("plan", "light", "setup"),
    "parsed plan": ("text",),
    "studied plan": ("text",),
    "plan pictures": ("text",),
}  # fmt: skip
"""Kind of kept thing -> what it is made of, which is what its key is made of."""


@dataclass(eq=False)
class _Kept:
    """A kept thing: its arrays by identity, its other bytes, and how often it was asked for."""

    value: Any
    arrays: dict[int, np.ndarray[Any, Any]]
    other_bytes: int
    uses: int = 0


class Cache:
    """Keep the most recently used things while all that they hold is ``limit_bytes`` or less.

    Safe from several threads: who asks for a thing that is being made waits for it. Pickled, its
    limit travels and what it keeps does not. Kept arrays are made read-only.

    Attributes
    ----------
    made : Counter
        How many things of each kind were made so far.

    Examples
    --------
    >>> cache = Cache(1000)
    >>> cache.get("sensors", lambda: np.zeros(3), transport="a", points=1, normals=2).sum()
    np.float64(0.0)
    >>> cache.get("sensors", lambda: 1 / 0, transport="a", points=1, normals=2).sum()
    np.float64(0.0)
    >>> cache.made["sensors"], cache.held_bytes
    (1, 24)
    """

    def __init__(self, limit_bytes: int = CACHE_BYTES) -> None:
        self.limit_bytes = limit_bytes
        self.made: Counter[str] = Counter()
        self._kept: OrderedDict[str, _Kept] = OrderedDict()
        self._making: dict[str, Future[Any]] = {}
        self._holders: Counter[int] = Counter()  # how many kept things hold each array
        self._held_bytes = 0
        self._lock = Lock()

    def __getstate__(self) -> dict[str, int]:
        return {"limit_bytes": self.limit_bytes}

    def __setstate__(self, state: dict[str, int]) -> None:
        Cache.__init__(self, **state)

    @property
    def count(self) -> int:
        """How many things are kept."""
        return len(self._kept)

    @property
    def held_bytes(self) -> int:
        """What is really held [bytes]; an array that several things share counts once."""
        return self._held_bytes

    def get(self, kind: str, make: Callable[[], T], **parts: object) -> T:
        """Return the thing of a kind that is made of ``parts``, made anew when it is not there.

        Raises
        ------
        ValueError
            When the parts are not those that `KINDS` declares.
        """
        key = _key(kind, parts)
        while True:
            with self._lock:
                kept, being_made = self._kept.get(key), self._making.get(key)
                if kept is None and being_made is None:
                    promised = self._making[key] = Future()
            if kept is not None:
                self._use(key, kept)
                return cast(T, kept.value)
            if being_made is None:
                return self._make(kind, key, make, promised)
            # Waits; when the other failed this one tries for itself.
            if being_made.exception() is None:
                return cast(T, being_made.result())

    def holds(self, kind: str, **parts: object) -> bool:
        """Return whether a thing is kept, so that asking for it takes no time."""
        return _key(kind, parts) in self._kept

    def clear(self) -> None:
        """Let go of all that is kept."""
        with self._lock:
            for key in list(self._kept):
                self._drop(key)

    def _make(self, kind: str, key: str, make: Callable[[], T], promised: Future[Any]) -> T:
        # Made outside the lock: a long room set-up must not stop a dim.
        try:
            value = make()
            kept = _Kept(value, *_held(value))
        except BaseException as error:
            with self._lock:
                del self._making[key]
            promised.set_exception(error)
            raise
        with self._lock:
            self.made[kind] += 1
            del self._making[key]
            self._keep(key, kept)
        promised.set_result(value)
        return value

    def _use(self, key: str, kept: _Kept) -> None:
        """Count a use; at the 1st, 2nd, 4th, 8th ... measure anew, for some things fill in parts of
        themselves when they are first asked for them.
        """
        kept.uses += 1
        measured = _held(kept.value) if kept.uses & (kept.uses - 1) == 0 else None
        with self._lock:
            if self._kept.get(key) is not kept:
                return  # let go meanwhile
            if measured is None:
                self._kept.move_to_end(key)
            else:
                self._drop(key)
                kept.arrays, kept.other_bytes = measured
                self._keep(key, kept)

    def _keep(self, key: str, kept: _Kept) -> None:
        self._kept[key] = kept
        self._held_bytes += kept.other_bytes
        for name, array in kept.arrays.items():
            if not self._holders[name]:
                self._held_bytes += array.nbytes
            self._holders[name] += 1
        while self._held_bytes > self.limit_bytes and self._kept:
            self._drop(next(iter(self._kept)))

    def _drop(self, key: str) -> None:
        kept = self._kept.pop(key)
        self._held_bytes -= kept.other_bytes
        for name, array in kept.arrays.items():
            self._holders[name] -= 1
            if not self._holders[name]:
                self._held_bytes -= array.nbytes
                del self._holders[name]


def _held(value: object) -> tuple[dict[int, np.ndarray[Any, Any]], int]:
    """Return the arrays that a value holds, by identity, and the bytes of all else.

    An array is that which owns the memory, however it is looked at. All are made read-only.
    """
    arrays: dict[int, np.ndarray[Any, Any]] = {}
    others, seen, ahead = 0, set[int](), [value]
    while ahead:
        one = ahead.pop()
        if id(one) in seen:
            continue
        seen.add(id(one))
        if isinstance(one, np.ndarray):
            one.flags.writeable = False
            while isinstance(one.base, np.ndarray):
                one = one.base
            arrays[id(one)] = one
            continue
        if isinstance(one, type | Cache):
            continue
        others += sys.getsizeof(one)
        if isinstance(one, Mapping):
            ahead += [*one.keys(), *one.values()]
        elif isinstance(one, tuple | list | set | frozenset):
            ahead += one
        elif hasattr(one, "__dict__"):
            ahead += vars(one).values()
    return arrays, others


_PROCESS = Cache()
"""The cache of whoever names no engine: the only thing that the process keeps."""

_CURRENT: ContextVar[Cache | None] = ContextVar("lumen_cache", default=None)


def current() -> Cache:
    """Return the cache that this thread works with: that of the engine that was asked."""
    return _CURRENT.get() or _PROCESS


@contextmanager
def using(cache: Cache | None) -> Iterator[None]:
    """Work with a cache, in this thread and until the end of the block; None changes nothing.

    Examples
    --------
    >>> mine = Cache()
    >>> with using(mine):
    ...     current() is mine
    True
    """
    token = _CURRENT.set(cache or _CURRENT.get())
    try:
        yield
    finally:
        _CURRENT.reset(token)


def light_content(part: Part) -> str:
    """Return what of a piece of the document bears on maps of light: every field not marked.

    A part's ``NO_LIGHT`` and ``AFTER_MAPS`` name the fields that are left out, with all in them; a
    field that somebody adds to a model is in, until it is marked.

    Examples
    --------
    >>> from lumen.scenario.room import Finish
    >>> light_content(Finish(lrv=80.0, colour="red")) == light_content(Finish(lrv=80.0))
    True
    >>> light_content(Finish(lrv=80.0)) == light_content(Finish(lrv=50.0))
    False
    """
    return repr(_plain(part, light=True))


def _plain(value: object, *, light: bool = False) -> object:
    """The same as rows of names and values; of what bears on ``light`` alone, where it says so."""
    if isinstance(value, Part):
        out = value.NO_LIGHT | value.AFTER_MAPS if light else frozenset()
        names = (name for name in type(value).model_fields if name not in out)
        rows = [(name, _plain(getattr(value, name), light=light)) for name in names]
        return type(value).__name__, rows
    if isinstance(value, tuple | list):
        return [_plain(one, light=light) for one in value]
    if isinstance(value, Mapping):
        return [(name, _plain(value[name], light=light)) for name in sorted(value)]
    return value


def fingerprint(*parts: object) -> str:
    """Return a short name for content: equal parts, equal name.

    Parts may be numbers, texts, arrays, pieces of the document, dataclasses, and rows of such.

    Examples
    --------
    >>> fingerprint("a", 1) == fingerprint("a", 1) != fingerprint("a", 2)
    True
    >>> fingerprint(np.zeros(2)) == fingerprint(np.zeros((2, 1)))
    False
    """
    digest = hashlib.blake2b(digest_size=16)
    for part in parts:
        _feed(digest.update, part)
        digest.update(b"\x00")
    return digest.hexdigest()


def _feed(take: Callable[[bytes], None], part: object) -> None:
    if isinstance(part, np.ndarray):
        take(f"{part.dtype.str}{part.shape}".encode())
        take(np.ascontiguousarray(part).tobytes())
    elif isinstance(part, bytes):
        take(part)
    elif isinstance(part, tuple | list):
        take(b"(")
        for one in part:
            _feed(take, one)
            take(b",")
        take(b")")
    elif isinstance(part, Part):
        take(repr(_plain(part)).encode())
    elif isinstance(part, Mapping):
        _feed(take, [(name, part[name]) for name in sorted(part)])
    elif is_dataclass(part) and not isinstance(part, type):
        take(type(part).__name__.encode())
        _feed(take, [(field.name, getattr(part, field.name)) for field in fields(part)])
    elif part is None or isinstance(part, str | int | float | np.generic):
        take(repr(part).encode())
    else:
        raise TypeError(f"{type(part).__name__} has no content to be named by")


def _key(kind: str, parts: Mapping[str, object]) -> str:
    if parts.keys() != set(KINDS[kind]):
        raise ValueError(f"{kind} is made of {', '.join(KINDS[kind])}, not {', '.join(parts)}")
    return f"{kind} {fingerprint(*(parts[name] for name in KINDS[kind]))}"
