"""Work in a process of its own: what it makes and raises, and that neither a hanging nor a dead one stops others."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterator
from functools import partial
from multiprocessing import active_children

import pytest

from trainer.renders.apart import Apart, Died
from trainer.renders.darkroom import NICE, Darkroom

SOON_S = 60.0


@pytest.fixture
def apart() -> Iterator[Apart]:
    one = Apart()
    yield one
    one.close()


def who_works() -> bytes:
    return f"{os.getpid()} {os.nice(0)}".encode()


def refuse() -> bytes:
    raise ValueError("no sun of that height on that day")


def hang() -> bytes:
    time.sleep(SOON_S)
    return b""


def die() -> bytes:
    os.kill(os.getpid(), signal.SIGKILL)
    return b""


def settings_are_there() -> bytes:
    from django.conf import settings

    return str(settings.ROOT).encode()


def number_of(apart: Apart) -> int:
    return int(apart(who_works).split()[0])


def test_one_process_does_all_work_at_a_lower_priority(apart: Apart) -> None:
    (first, nice), (second, _) = (apart(who_works).split() for _ in range(2))
    assert first == second
    assert int(first) != os.getpid()
    assert int(nice) == min(os.nice(0) + NICE, 19)


def test_what_the_work_raises_is_raised_and_the_process_goes_on(apart: Apart) -> None:
    before = number_of(apart)
    with pytest.raises(ValueError, match="no sun of that height"):
        apart(refuse)
    assert number_of(apart) == before


def test_the_site_s_settings_are_there(apart: Apart) -> None:
    assert apart(settings_are_there).decode() == settings_are_there().decode()


def test_work_that_hangs_is_stopped_and_the_next_is_done(apart: Apart) -> None:
    before = number_of(apart)
    apart.longest_s = 0.2
    with pytest.raises(Died, match="stopped after"):
        apart(hang)
    apart.longest_s = SOON_S
    assert number_of(apart) != before


def test_a_process_that_died_takes_one_piece_of_work_with_it(apart: Apart) -> None:
    before = number_of(apart)
    with pytest.raises(Died, match="its process died"):
        apart(die)
    assert number_of(apart) != before


def test_a_process_that_was_killed_between_two_pieces_is_begun_again(apart: Apart) -> None:
    before = number_of(apart)
    os.kill(before, signal.SIGKILL)
    while _lives(before):
        threading.Event().wait(0.01)
    assert number_of(apart) != before


def _lives(pid: int) -> bool:
    return any(one.pid == pid for one in active_children())


def test_a_darkroom_has_its_work_done_there(apart: Apart) -> None:
    room = Darkroom(patience_s=SOON_S)
    room.make_with(apart)
    assert int(room.ask("a", who_works).split()[0]) == number_of(apart)
    with pytest.raises(ValueError, match="no sun"):
        room.ask("b", partial(refuse))
    room.close()
