"""The last of a kind is kept, and let go before the next one is made."""

from __future__ import annotations

import gc
import weakref

import pytest

from scoring.frame.latest import Latest


class Heavy:
    """Something that can be watched going."""


def test_it_is_kept_until_another_is_asked_for() -> None:
    latest: Latest[Heavy] = Latest()
    first = latest.of("a room", Heavy)
    assert latest.of("a room", Heavy) is first
    assert latest.of("another", Heavy) is not first
    assert latest.of("a room", Heavy) is not first


def test_it_is_gone_before_the_next_one_is_made() -> None:
    latest: Latest[Heavy] = Latest()
    watched = weakref.ref(latest.of("a room", Heavy))

    def make() -> Heavy:
        gc.collect()
        assert watched() is None
        return Heavy()

    assert latest.of("another", make) is not None


def test_what_cannot_be_made_leaves_nothing_behind() -> None:
    latest: Latest[int] = Latest()
    latest.of("a room", lambda: 1)
    with pytest.raises(ZeroDivisionError):
        latest.of("another", lambda: 1 // 0)
    assert latest.of("another", lambda: 2) == 2
