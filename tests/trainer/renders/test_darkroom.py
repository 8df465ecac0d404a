"""One picture at a time: who waits, who is sent away, and that the work goes on."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import pytest

from trainer.renders.darkroom import AT_ONCE, LATER, LATER_EACH, LINE_EACH, LINE_MAX, Darkroom, Full, NotYet

SOON_S = 20.0


def test_it_gives_what_the_work_makes() -> None:
    assert Darkroom().ask("a", lambda: b"picture") == b"picture"


def test_who_asks_for_the_same_joins_the_work() -> None:
    room, begun, go, made = Darkroom(patience_s=SOON_S), threading.Event(), threading.Event(), []

    def work() -> bytes:
        made.append(1)
        begun.set()
        go.wait(SOON_S)
        return b"picture"

    with ThreadPoolExecutor(1) as people:
        first = people.submit(room.ask, "a", work)
        assert begun.wait(SOON_S)
        second = room.put_in_line("a", work)
        go.set()
        assert [first.result(), second.result(SOON_S)] == [b"picture"] * 2
    assert len(made) == 1


def test_two_pictures_are_never_made_at_once() -> None:
    room, inside, most = Darkroom(patience_s=SOON_S), [], []

    def work() -> bytes:
        inside.append(1)
        most.append(len(inside))
        threading.Event().wait(0.01)
        inside.pop()
        return b"picture"

    with ThreadPoolExecutor(3) as people:
        assert set(people.map(lambda name: room.ask(name, work), "abc")) == {b"picture"}
    assert most == [1, 1, 1]


def test_whoever_has_waited_long_enough_is_sent_away_and_the_work_goes_on() -> None:
    room, go = Darkroom(patience_s=0.0), threading.Event()

    def work() -> bytes:
        go.wait(SOON_S)
        return b"picture"

    with pytest.raises(NotYet):
        room.ask("a", work)
    made = room.put_in_line("a", work)
    go.set()
    assert made.result(SOON_S) == b"picture"


def test_more_people_than_seats_are_sent_away_at_once() -> None:
    room, begun, go = Darkroom(patience_s=SOON_S, waiting_max=1), threading.Event(), threading.Event()

    def work() -> bytes:
        begun.set()
        go.wait(SOON_S)
        return b"picture"

    with ThreadPoolExecutor(1) as people:
        first = people.submit(room.ask, "a", work)
        assert begun.wait(SOON_S)
        with pytest.raises(NotYet):
            room.ask("b", lambda: b"other")
        go.set()
        assert first.result() == b"picture"


def test_the_line_has_an_end() -> None:
    room, begun, go = Darkroom(), threading.Event(), threading.Event()

    def work() -> bytes:
        begun.set()
        go.wait(SOON_S)
        return b"picture"

    first = room.put_in_line("first", work)
    assert begun.wait(SOON_S)
    waiting = [room.put_in_line(str(number), lambda: b"picture") for number in range(LINE_MAX)]
    with pytest.raises(Full):
        room.put_in_line("one more", work)
    go.set()
    assert {made.result(SOON_S) for made in [first, *waiting]} == {b"picture"}


def test_the_most_urgent_goes_first() -> None:
    room, begun, go, made = Darkroom(), threading.Event(), threading.Event(), []

    def work() -> bytes:
        begun.set()
        go.wait(SOON_S)
        return b"picture"

    def note(name: str) -> bytes:
        made.append(name)
        return b"picture"

    room.put_in_line("first", work)
    assert begun.wait(SOON_S)
    waiting = [
        room.put_in_line(name, partial(note, name), urgency)
        for name, urgency in (("later", LATER), ("at once", AT_ONCE), ("soon", 1), ("at once too", AT_ONCE))
    ]
    go.set()
    for one in waiting:
        one.result(SOON_S)
    assert made == ["at once", "at once too", "soon", "later"]


def test_people_take_turns_and_nobody_fills_the_line_alone() -> None:
    room, begun, go, made = Darkroom(), threading.Event(), threading.Event(), []

    def work() -> bytes:
        begun.set()
        go.wait(SOON_S)
        return b"picture"

    def note(name: str) -> bytes:
        made.append(name)
        return b"picture"

    room.put_in_line("first", work)
    assert begun.wait(SOON_S)
    greedy = [room.put_in_line(f"greedy {n}", partial(note, f"greedy {n}"), who="greedy") for n in range(LINE_EACH)]
    with pytest.raises(Full):
        room.put_in_line("greedy too", partial(note, "greedy too"), who="greedy")
    late = [room.put_in_line(f"late {n}", partial(note, f"late {n}"), who="late") for n in range(2)]
    go.set()
    for one in [*greedy, *late]:
        one.result(SOON_S)
    assert made[:4] == ["greedy 0", "late 0", "greedy 1", "late 1"]
    assert room.put_in_line("greedy too", partial(note, "greedy too"), who="greedy").result(SOON_S) == b"picture"


def test_what_may_come_last_leaves_room_for_what_moves_under_the_same_finger() -> None:
    room, begun, go = Darkroom(), threading.Event(), threading.Event()

    def work() -> bytes:
        begun.set()
        go.wait(SOON_S)
        return b"picture"

    first = room.put_in_line("first", work)
    assert begun.wait(SOON_S)
    curve = [room.put_in_line(f"point {n}", lambda: b"picture", LATER, "one") for n in range(LATER_EACH)]
    with pytest.raises(Full):
        room.put_in_line("one more point", lambda: b"picture", LATER, "one")
    small = room.put_in_line("small frame", lambda: b"picture", AT_ONCE, "one")
    go.set()
    assert {made.result(SOON_S) for made in [first, *curve, small]} == {b"picture"}


def test_what_fails_while_the_process_ends_is_not_told(caplog: pytest.LogCaptureFixture) -> None:
    room, begun, go = Darkroom(), threading.Event(), threading.Event()

    def work() -> bytes:
        begun.set()
        go.wait(SOON_S)
        raise OSError("its folder is gone")

    made = room.put_in_line("at work", work)
    assert begun.wait(SOON_S)
    waiting = room.put_in_line("waiting", lambda: b"picture")
    room.close()
    go.set()
    assert isinstance(made.exception(SOON_S), OSError)
    assert waiting.cancelled()
    assert caplog.records == []


def test_work_that_fails_says_so_and_may_be_asked_for_again(caplog: pytest.LogCaptureFixture) -> None:
    room = Darkroom()

    def work() -> bytes:
        raise ValueError("no such place")

    with pytest.raises(ValueError, match="no such place"):
        room.ask("a", work)
    assert room.ask("a", lambda: b"picture") == b"picture"
