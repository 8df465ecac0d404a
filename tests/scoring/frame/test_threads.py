"""Work on a few threads: all of it, in order; what is raised is raised; nobody waits for a helper that cannot come."""

from __future__ import annotations

import os
import threading
from collections.abc import Sequence

import pytest

from scoring.frame.threads import in_bands, on_threads


@pytest.mark.parametrize("many", [0, 1, 2, 3, 50])
def test_each_is_done_once_and_stands_in_its_place(many: int) -> None:
    seen: list[int] = []
    assert on_threads(lambda one: seen.append(one) or -one, range(many)) == [-one for one in range(many)]
    assert sorted(seen) == list(range(many))


def test_two_threads_are_at_work_at_the_same_time() -> None:
    both = threading.Barrier(2)
    assert len(set(on_threads(lambda _: both.wait(10) * 0 + threading.get_ident(), range(2)))) == 2


def test_bands_cover_all_rows_once() -> None:
    found: list[tuple[int, int]] = []
    in_bands(lambda first, last: found.append((first, last)), 130)
    assert sorted(found) == [(0, 64), (64, 128), (128, 130)]


def test_work_within_work_on_threads_comes_to_an_end() -> None:
    inner = on_threads(lambda one: on_threads(lambda other: (one, other), range(5)), range(5))
    assert inner == [[(one, other) for other in range(5)] for one in range(5)]


@pytest.mark.parametrize("bad", [0, 7, 19])
def test_what_one_raises_is_raised_and_no_more_is_begun(bad: int) -> None:
    begun: list[int] = []

    def work(one: int) -> None:
        begun.append(one)
        if one >= bad:
            raise StopIteration(f"piece {one}")

    with pytest.raises(StopIteration):
        on_threads(work, range(20))
    assert len(begun) <= bad + 2


def test_one_who_is_kept_waiting_does_all_of_it() -> None:
    """The helper is held up by somebody else's work; the others' comes to its end without it."""
    held, go = threading.Event(), threading.Event()

    def hold(_: int) -> int:
        held.set()
        return go.wait(10) and threading.get_ident()

    other = threading.Thread(target=on_threads, args=(hold, range(2)))
    other.start()
    held.wait(10)
    try:
        assert on_threads(lambda one: one, range(9)) == list(range(9))
    finally:
        go.set()
        other.join()


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_a_forked_process_does_its_work_without_a_helper() -> None:
    assert on_threads(lambda one: one, range(4)) == list(range(4))
    child = os.fork()
    if not child:
        os._exit(0 if _sum(range(9)) == 36 else 1)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def _sum(of: Sequence[int]) -> int:
    return sum(on_threads(lambda one: one, of))
