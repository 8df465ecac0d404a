"""Look-alikes: what is measured on a frame of either cause differs just as the table says, and no parameter is read."""

from __future__ import annotations

from dataclasses import asdict, replace

import pytest

from scoring.frame.lookalikes import LOOKALIKES, Ask, Reply, between, rows
from scoring.frame.signature import Signature, signature
from scoring.frame.take import Take
from scoring.kinds.causes import CAUSES
from scoring.kinds.frame_case import unclear, way_of
from scoring.kinds.frame_grade import unlike_marks
from scoring.kinds.frame_words import small
from scoring.standard import FrameBands
from tests.scoring.frame.spins import take, wrong
from tests.scoring.frame.stages import measured, studio
from tests.scoring.kinds.looked_at import known
from tests.scoring.kinds.shipped import standard

TAKES: dict[str, Take] = {
    "F1": studio(wrong("F1", offset_mm=20.0)),
    "F2": studio(wrong("F2", offset_mm=20.0)),
    "F3 roll": studio(wrong("F3", roll_deg=2.0)),
    "F3 lean": studio(wrong("F3", roll_deg=0.0, lean_deg=3.0)),
    "F4": studio(wrong("F4", tilt_deg=2.5)),
    "F5": studio(wrong("F5", shift_mm=30.0, yaw_deg=0.0)),
    "F6": studio(wrong("F6", rocking_deg=1.2)),
    "F6 soft": studio(wrong("F6", rocking_deg=1.2, blur_deg=0.5), with_kit="bittern-six"),
    "F7": studio(wrong("F7", slip_deg=2.0)),
    "F8": studio(wrong("F8", missing=1)),
    "F9": studio(wrong("F9", offset_mm=1.0)),
    "F9 soft": studio(wrong("F9", offset_mm=1.5)),
    "F10": studio(wrong("F10")),
    "F11": studio(wrong("F11")),
    "F12": studio(wrong("F12", veil_share=0.3)),
    "F13 focus": studio(wrong("F13", kind="focus", blur_deg=0.4)),
    "F13 motion": studio(wrong("F13", kind="motion", blur_deg=0.4)),
    "F14 dark": studio(wrong("F14", offset_ev=-2.5, brackets="one")),
    "F14 white": studio(wrong("F14", offset_ev=2.0, brackets="one")),
    "F15": studio(wrong("F15", step_ev=0.7)),
    "F16": studio(wrong("F16")),
    "F17": studio(wrong("F17")),
    "F18": studio(wrong("F18")),
    "F19 height": studio(wrong("F19", kind="height", height_m=1.0)),
    "F19 mirror": take(wrong("F19", kind="self"), floor="mirror-flat", x=5.0, y=2.0),
    "F19 finger": studio(wrong("F19", kind="finger")),
    "F19 strap": studio(wrong("F19", kind="strap")),
    "N0": studio(),
    "N0 slope": take(floor="split-level", x=1.0, y=1.0),
    "N0 attic": take(floor="attic", x=4.0, y=11.0),
}
"""A frame for each cause of the table."""

ROWS = [pytest.param(ask, reply, cause, id=f"{ask.look}-{cause}-{i}") for i, (ask, reply, cause) in enumerate(rows())]


def traces(cause: str) -> Signature:
    return signature(measured(TAKES[cause]), FrameBands())


def test_it_has_a_frame_for_every_cause_of_the_table() -> None:
    assert {cause for _, _, cause in rows()} == set(TAKES)


@pytest.mark.parametrize(("ask", "reply", "cause"), ROWS)
def test_a_frame_of_the_cause_gives_this_reply_and_no_other(ask: Ask, reply: Reply, cause: str) -> None:
    found = traces(cause)
    assert reply.fits(found), (reply.traces, found)
    others = [other.words for other in ask.replies if other is not reply and cause not in other.causes]
    assert [other.words for other in ask.replies if other.words in others and other.fits(found)] == []


@pytest.mark.parametrize("cause", TAKES)
def test_a_frame_is_clear_whatever_other_ways_its_cause_could_have_shown(cause: str) -> None:
    """A frame that is too bright need not be too dark as well, nor a finger stand in a mirror."""
    way = way_of(cause.split()[0], TAKES[cause], traces(cause))
    assert way == cause or cause.startswith("N0")
    assert unclear(way, traces(cause)) == ""


@pytest.mark.parametrize("cause", TAKES)
def test_feedback_tells_a_frame_of_the_cause_from_a_look_alike_by_what_it_shows(cause: str) -> None:
    numbers = measured(TAKES[cause]).numbers
    of = replace(known(cause.split()[0]), numbers=numbers, traces=asdict(traces(cause)))
    (mark,) = unlike_marks(of, of.facts(standard()))
    assert mark.title != f"Why not “{small(CAUSES[of.choice].title)}”"
    assert any(
        reply.fits(traces(cause)) and reply.words[1:] in mark.words for ask in LOOKALIKES for reply in ask.replies
    )


def test_a_clean_frame_gives_no_reply_that_names_a_fault() -> None:
    found = traces("N0")
    fitting = [reply.causes for ask in LOOKALIKES for reply in ask.replies if reply.fits(found)]
    assert all(any(cause.startswith("N0") for cause in causes) for causes in fitting)


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        ("F1", "F7", "Near things are doubled, the far wall meets"),
        ("F1", "F5", "All of them alike"),
        ("F10", "F12", "At the same place of each heading, clear between"),
        ("F16", "F17", "Solid, at a seam"),
        ("F4", "N0", "One smooth wave; jambs lean, and lean the other way after half a turn"),
    ],
)
def test_it_says_what_tells_two_causes_apart(first: str, second: str, words: str) -> None:
    found = between(first, second)
    assert words in [reply.words for _, reply, _ in found]
    assert {ask.ask for ask, _, _ in found} == {ask.ask for ask, _, _ in between(second, first)}


def test_every_two_causes_that_share_a_look_are_told_apart_by_something() -> None:
    for ask in LOOKALIKES:
        for one in ask.replies:
            for other in ask.replies:
                if one is not other:
                    assert not set(one.causes) & set(other.causes)
                    assert between(one.causes[0], other.causes[0])


def test_no_two_asks_or_replies_of_a_look_share_their_words() -> None:
    said = [(ask.look, reply.words) for ask in LOOKALIKES for reply in ask.replies]
    assert len(set(said)) == len(said)
    assert len({ask.ask for ask in LOOKALIKES}) == len(LOOKALIKES)
