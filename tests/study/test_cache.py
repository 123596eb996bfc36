"""The one owner of what is dear to compute: keys by content, one budget, several threads."""

from __future__ import annotations

import copy
import pickle
import threading
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from lumen.study.cache import KINDS, Cache, current, fingerprint, using


def ask(cache: Cache, make, text: object = "a"):
    """Ask for a thing that is made of one text."""
    return cache.get("parsed plan", make, text=text)


def test_two_threads_that_ask_at_once_share_one_answer() -> None:
    """Eight threads ask for one thing while it is being made: it is made once."""
    cache = Cache()
    begun, go = threading.Event(), threading.Event()

    def make() -> int:
        begun.set()
        assert go.wait(5)
        return 7

    with ThreadPoolExecutor(8) as pool:
        asked = [pool.submit(ask, cache, make) for _ in range(8)]
        assert begun.wait(5)
        go.set()
        assert [one.result(5) for one in asked] == [7] * 8
    assert cache.made == {"parsed plan": 1}


def test_who_waits_gets_the_answer_even_where_nothing_can_be_kept() -> None:
    """With no bytes to keep anything in, two who ask at once still share one computation."""
    cache = Cache(0)
    begun, go = threading.Event(), threading.Event()

    def make() -> np.ndarray:
        begun.set()
        assert go.wait(5)
        return np.ones(10)

    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(ask, cache, make)
        assert begun.wait(5)
        second = pool.submit(ask, cache, make)
        while not second.running():
            pass
        threading.Timer(0.1, go.set).start()
        assert first.result(5) is second.result(5)
    assert (cache.made["parsed plan"], cache.count, cache.held_bytes) == (1, 0, 0)


def test_one_thing_does_not_wait_for_another() -> None:
    """While one thing is being made, another is answered at once."""
    cache = Cache()
    begun, go = threading.Event(), threading.Event()

    def slow() -> int:
        begun.set()
        assert go.wait(5)
        return 1

    with ThreadPoolExecutor(1) as pool:
        first = pool.submit(ask, cache, slow)
        assert begun.wait(5)
        assert ask(cache, lambda: 2, "quick") == 2
        go.set()
        assert first.result(5) == 1


def test_a_failure_is_told_and_the_next_asker_tries_again() -> None:
    """What fails is not kept, does not lock its key, and is no failure of those who waited."""
    cache = Cache()
    begun, go = threading.Event(), threading.Event()

    def fail() -> int:
        begun.set()
        assert go.wait(5)
        raise ValueError("no")

    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(ask, cache, fail)
        assert begun.wait(5)
        second = pool.submit(ask, cache, lambda: 3)
        go.set()
        with pytest.raises(ValueError, match="no"):
            first.result(5)
        assert second.result(5) == 3


def test_the_longest_unused_goes_first() -> None:
    """Over its limit the cache lets go of what nobody has asked for longest."""
    cache = Cache(2 * 8000)
    for text in ("a", "b", "a", "c"):
        ask(cache, lambda: np.zeros(1000), text)
    kept = [cache.holds("parsed plan", text=text) for text in "abc"]
    assert kept == [True, False, True]
    assert cache.held_bytes == 16000


def test_what_is_really_held_is_counted_once() -> None:
    """Nested arrays count by the memory behind them, and one that two things share only once."""
    cache, shared = Cache(), np.zeros(100_000)
    ask(cache, lambda: {"rows": [shared[:3], (shared[5:],)]}, "view")
    assert 800_000 <= cache.held_bytes < 801_000
    ask(cache, lambda: [shared, np.zeros(50_000)], "again")
    assert 1_200_000 <= cache.held_bytes < 1_202_000
    cache.clear()
    assert (cache.held_bytes, cache.count) == (0, 0)


class _Lazy:
    """Something that fills in a part of itself when it is first asked for it."""

    def fill(self) -> None:
        self.rows = np.zeros(100_000)


def test_what_grows_after_it_was_kept_is_counted_when_it_is_used_again() -> None:
    """A part filled in later is in the sum after the next few uses, and can push others out."""
    cache = Cache(900_000)
    ask(cache, lambda: np.zeros(50_000), "other")
    thing = ask(cache, _Lazy, "lazy")
    thing.fill()
    assert cache.held_bytes < 500_000
    for _ in range(2):
        ask(cache, _Lazy, "lazy")
    assert 800_000 <= cache.held_bytes < 900_000
    assert not cache.holds("parsed plan", text="other")


def test_what_is_kept_cannot_be_written_to() -> None:
    """An array that several threads read is not changed by one of them."""
    rows = ask(Cache(), lambda: [np.zeros(3)])
    with pytest.raises(ValueError, match="read-only"):
        rows[0][1] = 1.0


def test_a_key_is_made_of_all_that_is_declared() -> None:
    """Nobody leaves a part out of a key, or asks for a kind that is not declared."""
    with pytest.raises(ValueError, match="sensors is made of transport, points, normals, not"):
        Cache().get("sensors", list, transport="", points=1)
    with pytest.raises(KeyError):
        Cache().get("thoughts", list, of="me")
    assert all(len(set(parts)) == len(parts) for parts in KINDS.values())


@pytest.mark.parametrize("part", [object(), {1}.__iter__(), lambda: 0], ids=["object", "it", "f"])
def test_what_has_no_content_cannot_name_a_thing(part: object) -> None:
    """A key is never made of where something happens to lie in memory."""
    with pytest.raises(TypeError, match="has no content"):
        fingerprint(part)


def test_settings_travel_and_what_is_kept_does_not() -> None:
    """Pickled or copied, a cache keeps its limit and begins empty."""
    cache = Cache(1234)
    ask(cache, lambda: 1)
    for other in (pickle.loads(pickle.dumps(cache)), copy.deepcopy(cache)):
        assert (other.limit_bytes, other.count, other.held_bytes) == (1234, 0, 0)
        assert ask(other, lambda: 2) == 2


def test_each_thread_works_with_the_cache_it_was_given() -> None:
    """A cache that is used in one thread is not that of another, nor afterwards."""
    mine, before = Cache(), current()
    with using(mine), ThreadPoolExecutor(1) as pool:
        assert current() is mine
        assert pool.submit(current).result() is before
    assert current() is before


def test_many_threads_keep_the_books_right() -> None:
    """After thousands of things kept and let go of by eight threads, the sum is what is there."""
    cache = Cache(40 * 800)

    def work(seed: int) -> None:
        for text in np.random.default_rng(seed).integers(0, 200, 500).tolist():
            assert ask(cache, lambda text=text: np.full(100, text), text)[0] == text

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(work, range(8)))
    assert cache.count == 40
    assert cache.held_bytes == 40 * 800
