"""A small store for what is dear to compute: newest kept, bounded in bytes, safe across threads.

Two threads that ask for the same thing at once get one answer: the second waits for the first.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import Generic, TypeVar

__all__ = ["Store", "fingerprint"]

T = TypeVar("T")


class Store(Generic[T]):
    """Keep the most recently used values while their sizes add up to ``limit_bytes`` or less.

    Examples
    --------
    >>> store = Store[int](limit_bytes=16, size_of=lambda value: 8)
    >>> [store.get(key, lambda: len(key)) for key in ("a", "bb", "ccc", "bb")]
    [1, 2, 3, 2]
    >>> len(store)
    2
    """

    def __init__(self, limit_bytes: int, size_of: Callable[[T], int]) -> None:
        self._kept: OrderedDict[str, T] = OrderedDict()
        self._making: dict[str, Lock] = {}
        self._limit, self._size_of, self._lock = limit_bytes, size_of, Lock()

    def get(self, key: str, make: Callable[[], T]) -> T:
        """Return the value kept under ``key``, made anew when it is not there."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            making = self._making.setdefault(key, Lock())
        # Made outside the store's own lock: a long room set-up must not stop a dim.
        with making:
            with self._lock:
                if key in self._kept:
                    return self._kept[key]
            try:
                value = make()
                with self._lock:
                    self._keep(key, value)
            finally:
                with self._lock:
                    self._making.pop(key, None)
        return value

    def _keep(self, key: str, value: T) -> None:
        self._kept[key] = value
        total = sum(map(self._size_of, self._kept.values()))
        while total > self._limit and len(self._kept) > 1:
            total -= self._size_of(self._kept.popitem(last=False)[1])

    def __contains__(self, key: str) -> bool:
        return key in self._kept

    def __len__(self) -> int:
        return len(self._kept)


def fingerprint(*parts: object) -> str:
    """Return a short name for content: equal parts, equal name.

    Examples
    --------
    >>> fingerprint("a", 1) == fingerprint("a", 1) != fingerprint("a", 2)
    True
    """
    digest = hashlib.blake2b(digest_size=16)
    for part in parts:
        digest.update(part if isinstance(part, bytes) else repr(part).encode())
        digest.update(b"\x00")
    return digest.hexdigest()
