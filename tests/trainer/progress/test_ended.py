"""Whoever was ready and is due or has lapsed is told what ended it: which part of the rule, from what to what."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from trainer.library.rules import SITE_RULE, enter_rule
from trainer.progress.boards.need import need_of
from trainer.progress.catch_up import catch_up
from trainer.progress.life import ground, tallied
from trainer.progress.models import Standing
from trainer.progress.standings import Now, now_of
from trainer.progress.tally import day_of
from trainer.progress.why import missing
from trainer.roster.models import KitChange

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
DAY = timedelta(days=1)
STARS = [star.code for star in ground(SITE_RULE).drilled]


@pytest.fixture
def practised(graded_row: Callable[..., Any], shot: Callable[..., Any], three: Any) -> Callable[..., None]:
    """Makes the insider ready on 9 March 2026, with the last cases on the day before."""

    def make(skills: Iterable[str] = STARS, credits: Iterable[float] = (1.0,)) -> None:
        given = itertools.cycle(credits)
        for day in range(7):
            for code in skills:
                graded_row(three.insider, {code: 1.0 if code == "G1" else next(given)}, at=NOW + day * DAY)
        shot(three.insider, at=NOW + 7 * DAY)
        catch_up()
        assert now_of(three.insider, NOW + 7 * DAY).state == "ready"

    return make


@pytest.fixture
def ready(practised: Callable[..., None]) -> None:
    """The insider is ready, and so able that only idle days would end it."""
    practised()


def at(day: date | None) -> datetime:
    assert day is not None
    return datetime(day.year, day.month, day.day, 9, tzinfo=UTC)


def percent(share: float) -> str:
    return f"{100 * share:.0f}\u00a0%"


@pytest.fixture
def told(three: Any) -> Callable[[datetime], Now]:
    return lambda moment: now_of(three.insider, moment)


def test_a_chance_that_fades_is_told_with_its_last_case_and_the_numbers_of_the_rule(
    told: Callable[[datetime], Now], practised: Callable[..., None], three: Any
) -> None:
    practised(ground(SITE_RULE).standard.skills, [1.0] * 5 + [0.3])
    calm = told(NOW + 8 * DAY)
    assert (calm.state, calm.ended, calm.ended_line) == ("ready", "", "")
    due = told(at(calm.due_on))
    then = tallied(three.insider.pk, SITE_RULE).figures(day_of(NOW + 6 * DAY)).overall.chance
    assert 0.9 <= then <= 0.99
    assert due.ended == (
        f"Was ready, and is due because the chance of a score of 80 or more was {percent(then)} on 8 March 2026, the "
        f"day of the last case, and had faded to 69\u00a0% by {calm.due_on:%-d %B %Y}; below 70\u00a0% is due, below "
        "50\u00a0% lapsed, and ready takes 90\u00a0%."
    )
    assert due.why.startswith("Ready needs ")
    assert need_of(due).short.startswith(
        f"Chance of 80 or more faded since 8 Mar 2026: {percent(then)} to 69\u00a0%. Needs "
    )
    lapsed = told(at(calm.lapsed_on))
    assert "one new case each on " in lapsed.why
    assert lapsed.why.count("over 90 days old") == 1
    assert lapsed.ended.startswith("Was ready, and has lapsed because the chance of a score of 80 or more was ")
    assert f"had faded to 49\u00a0% by {calm.lapsed_on:%-d %B %Y};" in lapsed.ended


def test_what_a_faded_chance_asks_for_is_told_as_of_the_day_it_ended_not_of_the_last_case(
    told: Callable[[datetime], Now], practised: Callable[..., None], graded_row: Callable[..., Any], three: Any
) -> None:
    practised(ground(SITE_RULE).standard.skills, [1.0] * 5 + [0.3])
    for code in ("D1", "D2", "V1"):
        graded_row(three.insider, {code: 0.0}, at=NOW + 8 * DAY)
    catch_up()
    ready = told(NOW + 8 * DAY)
    assert (ready.state, [gap.what for gap in ready.gaps]) == ("ready", ["overall"])
    due = told(at(ready.due_on))
    assert due.state == "due"
    [overall] = [gap for gap in due.gaps if gap.what == "overall"]
    assert f" on {ready.due_on:%-d %B %Y}; no number of cases is promised" in overall.words


@pytest.mark.usefixtures("ready")
def test_a_chance_that_the_cases_of_a_day_took_is_told_as_that(
    told: Callable[[datetime], Now], graded_row: Callable[..., Any], three: Any
) -> None:
    for code in STARS:
        for _ in range(2):
            graded_row(three.insider, {code: 1.0 if code.startswith("G") else 0.0}, at=NOW + 20 * DAY)
    catch_up()
    now = told(NOW + 20 * DAY)
    assert now.state in {"due", "lapsed"}
    assert "the chance of a score of 80 or more was over 99\u00a0%, and " in now.ended
    assert "after the cases of 22 March 2026;" in now.ended
    assert "faded" not in now.ended


@pytest.mark.usefixtures("ready")
def test_a_changed_part_is_told_with_the_skills_that_it_touches(told: Callable[[datetime], Now], three: Any) -> None:
    KitChange.objects.create(
        person=three.insider, by=three.trainer, kit="finch", parts=["clamp"], made_at=NOW + 8 * DAY
    )
    due = told(NOW + 9 * DAY)
    assert due.ended == (
        "Was ready, and is due because the clamp changed on 10 March 2026, which asks for 5 new cases each on Put the "
        "lens over the axis and Name the cause, and for its list to be signed by a trainer."
    )
    assert due.ended_line == "New clamp"


@pytest.mark.usefixtures("ready")
def test_what_ended_it_stays_told_while_something_else_is_missing(
    told: Callable[[datetime], Now], graded_row: Callable[..., Any], three: Any
) -> None:
    for _ in range(3):
        graded_row(three.insider, {"V1": 0.0}, at=NOW + 8 * DAY, kind="verdict", answer={"verdict": "redo"})
    catch_up()
    first = told(NOW + 8 * DAY)
    assert "of the newest 10 good frames 3 were redone, and at most 2 may be" in first.ended
    assert "3 of 10 good frames redone" in first.ended_line
    for _ in range(8):
        graded_row(three.insider, {"V1": 1.0}, at=NOW + 9 * DAY, kind="verdict", answer={"verdict": "keep"})
    graded_row(three.insider, {"G1": 0.9}, at=NOW + 9 * DAY)
    catch_up()
    later = told(NOW + 9 * DAY)
    assert [gap.what for gap in later.gaps] == ["conduct"]
    assert (later.state, later.since, later.ended) == ("due", first.since, first.ended)


@pytest.mark.parametrize(
    ("signed", "but", "words"),
    [
        (False, "", "the newest watched shoot was not signed"),
        (True, "C1", "the newest watched shoot did not show Set exposure and lock it"),
    ],
)
@pytest.mark.usefixtures("ready")
def test_a_later_shoot_that_shows_less_is_told(
    told: Callable[[datetime], Now], shot: Callable[..., Any], three: Any, signed: bool, but: str, words: str
) -> None:
    shot(three.insider, at=NOW + 9 * DAY, signed=signed, but=but)
    assert told(NOW + 10 * DAY).ended == f"Was ready, and is due because {words}."


@pytest.mark.usefixtures("ready")
def test_conduct_without_full_credit_is_told(
    told: Callable[[datetime], Now], graded_row: Callable[..., Any], three: Any
) -> None:
    graded_row(three.insider, {"G1": 0.9}, at=NOW + 8 * DAY)
    catch_up()
    due = told(NOW + 9 * DAY)
    assert due.ended.startswith("Was ready, and is due because not each of the newest 5 cases on ")
    assert due.ended.endswith(" earned full credit on what must be marked.")


def test_days_without_a_case_are_told_with_the_limit_of_the_firms_own_rule(
    request: pytest.FixtureRequest, told: Callable[[datetime], Now], three: Any
) -> None:
    firm = three.insider.memberships.get().team.firm
    numbers = {**asdict(SITE_RULE), "star_newest_days": 365.0, "idle_due_days": 30.0}
    enter_rule(firm, numbers, holds_from=NOW.date(), by=three.trainer, now=NOW - DAY)
    request.getfixturevalue("ready")
    due = told(NOW + 50 * DAY)
    assert due.ended == (
        "Was ready, and is due because no case was graded after 8 March 2026, and more than 30 days without one is due."
    )
    assert due.why == "One graded case brings it up to date."
    assert need_of(due).short == "No case since 8 Mar 2026. One graded case brings it up to date"


def test_it_is_the_same_told_from_the_beginning_or_from_a_day_on(
    told: Callable[[datetime], Now], practised: Callable[..., None], graded_row: Callable[..., Any], three: Any
) -> None:
    practised(ground(SITE_RULE).standard.skills, [1.0] * 5 + [0.3])
    due_on = told(NOW + 8 * DAY).due_on
    assert due_on is not None
    graded_row(three.insider, {"D2": 1.0}, at=at(due_on) + 3 * DAY)
    catch_up()
    first = told(at(due_on) + 3 * DAY)
    assert (first.state, first.since) == ("due", due_on)
    assert "faded" in first.ended
    graded_row(three.insider, {"D2": 0.0}, at=at(due_on) + 3 * DAY)
    catch_up()
    again = told(at(due_on) + 3 * DAY)
    stored = Standing.objects.get(person=three.insider).causes
    Standing.objects.filter(person=three.insider).update(rule="")
    assert told(at(due_on) + 3 * DAY) == again
    assert Standing.objects.get(person=three.insider).causes == stored
    assert again.ended == first.ended


@pytest.mark.usefixtures("ready")
def test_the_record_the_persons_page_the_board_and_its_file_tell_it(
    client: Client, told: Callable[[datetime], Now], three: Any
) -> None:
    client.force_login(three.insider)
    page = client.get("/my-record/").content.decode()
    state = told(datetime.now(UTC))
    assert state.state in {"due", "lapsed"}
    assert state.ended in page
    assert "Today the chance of 80 or more is " in page
    client.force_login(three.trainer)
    assert state.ended in client.get(f"/people/{three.insider.pk}/").content.decode()
    assert state.ended_line in client.get("/team/").content.decode()
    assert state.ended_line in client.get(reverse("team_sheet")).content.decode()


def test_a_score_just_under_the_one_asked_for_is_not_told_as_that_one() -> None:
    gap = {"what": "overall", "skill": "", "found": 0.49, "asked": 0.9, "more": None, "low": 71.0, "on": "2026-10-24"}
    row = Standing(rule=SITE_RULE.version, day=date(2026, 8, 23), state="ready", gaps=[])
    told = {}
    for score in (79.6, 79.4):
        row.later = {"lapsed": [{**gap, "score": score}]}
        told[score] = missing(row, "lapsed", date(2026, 11, 29))[0].words
    assert told[79.6].startswith("an expected score of 80 (just under 80 on 24 October 2026; ")
    assert told[79.4].startswith("an expected score of 80 (79 on 24 October 2026; ")
