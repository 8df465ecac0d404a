"""Work in a process of its own: what it makes and raises, and that neither a hanging nor a dead one stops others."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from multiprocessing import active_children
from pathlib import Path

import pytest

from scoring.border import FileProblems, Problem
from tests.waiting import SOON_S, comes
from trainer.renders.apart import Apart
from trainer.renders.darkroom import NICE, Darkroom, Died, GivenUp

ROOT = Path(__file__).resolve().parents[3]


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


def misread() -> bytes:
    raise FileProblems([Problem("plan", "is bad")])


class Stubborn(Exception):
    """Nothing that can be sent anywhere."""

    def __reduce__(self) -> str:
        raise TypeError("it stays here")


def be_stubborn() -> bytes:
    raise Stubborn("of no use")


def hang_and_tell(told: str) -> bytes:
    Path(told).write_text(str(os.getpid()))
    return hang()


OWNER = """
import os, sys
from functools import partial
os.environ["DJANGO_SETTINGS_MODULE"] = "trainer.config.settings"
from tests.trainer.renders.test_apart import Apart, hang_and_tell
Apart()(partial(hang_and_tell, sys.argv[1]))
"""


def settings_are_there() -> bytes:
    from django.conf import settings

    return str(settings.ROOT).encode()


def number_of(apart: Apart) -> int:
    return int(apart(who_works).split()[0])


def test_one_process_does_all_work_at_a_lower_priority(apart: Apart) -> None:
    (first, nice), (second, _) = (apart(who_works).split() for _ in range(2))
    assert first == second
    assert int(first) != os.getpid()
    assert int(nice) == max(os.nice(0), NICE)


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
    who, nice = room.ask("a", who_works).split()
    assert int(who) == number_of(apart)
    assert int(nice) == max(os.nice(0), NICE), "as low as it should be, and no lower for being begun by a low thread"
    with pytest.raises(ValueError, match="no sun"):
        room.ask("b", refuse)
    room.close()


def test_work_that_takes_its_process_along_is_left_alone_for_a_while_and_holds_up_no_other(apart: Apart) -> None:
    room = Darkroom(patience_s=SOON_S)
    room.make_with(apart)
    with pytest.raises(GivenUp):
        room.ask("a", die)
    with pytest.raises(GivenUp):
        room.put_in_line("a", die)
    assert room.ask("b", who_works)
    room.close()


def test_an_error_says_where_it_came_from(apart: Apart) -> None:
    with pytest.raises(ValueError, match="no sun") as raised:
        apart(refuse)
    assert "in refuse" in raised.value.__notes__[-1]
    with pytest.raises(FileProblems) as found:
        apart(misread)
    assert found.value.problems == (Problem("plan", "is bad"),)
    with pytest.raises(RuntimeError, match="Stubborn: of no use"):
        apart(be_stubborn)
    assert number_of(apart)


def test_the_process_ends_with_the_one_that_began_it_in_the_middle_of_work(tmp_path: Path) -> None:
    told = tmp_path / "who"
    owner = subprocess.Popen([sys.executable, "-c", OWNER, str(told)], cwd=ROOT)
    try:
        assert comes(lambda: told.exists() and told.read_text() != "")
    finally:
        owner.kill()
        owner.wait()
    assert comes(lambda: not Path(f"/proc/{told.read_text()}").exists())
