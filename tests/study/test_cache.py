"""The store of what is dear to compute."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from lumen.study.cache import Store


def test_two_threads_that_ask_at_once_share_one_answer() -> None:
    """Eight threads ask for one key while it is being made: it is made once."""
    store = Store[int](limit_bytes=100, size_of=lambda value: 1)
    begun, go = threading.Event(), threading.Event()
    made: list[int] = []

    def make() -> int:
        begun.set()
        assert go.wait(5)
        made.append(1)
        return 7

    with ThreadPoolExecutor(8) as pool:
        asked = [pool.submit(store.get, "key", make) for _ in range(8)]
        assert begun.wait(5)
        go.set()
        assert [one.result(5) for one in asked] == [7] * 8
    assert made == [1]


def test_one_key_does_not_wait_for_another() -> None:
    """While one key is being made, another is answered at once."""
    store = Store[int](limit_bytes=100, size_of=lambda value: 1)
    begun, go = threading.Event(), threading.Event()

    def slow() -> int:
        begun.set()
        assert go.wait(5)
        return 1

    with ThreadPoolExecutor(1) as pool:
        first = pool.submit(store.get, "slow", slow)
        assert begun.wait(5)
        assert store.get("quick", lambda: 2) == 2
        go.set()
        assert first.result(5) == 1


def test_a_failure_is_told_and_the_next_asker_tries_again() -> None:
    """What fails is not kept, and does not lock its key."""
    store = Store[int](limit_bytes=100, size_of=lambda value: 1)

    def fail() -> int:
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        store.get("key", fail)
    assert store.get("key", lambda: 3) == 3


def test_the_longest_unused_goes_first() -> None:
    """Over its limit the store lets go of what nobody has asked for longest."""
    store = Store[int](limit_bytes=2, size_of=lambda value: 1)
    for key in ("a", "b", "a", "c"):
        store.get(key, lambda: 0)
    assert ("a" in store, "b" in store, "c" in store) == (True, False, True)
