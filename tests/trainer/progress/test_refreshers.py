"""A refresher: who would need what on a day, plans given all or none, what is done of them from the ledger."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from trainer.drills.ledger import enter
from trainer.drills.models import Entry, Void
from trainer.library.rules import SITE_RULE, enter_rule
from trainer.library.shelf import take_in
from trainer.people.models import Membership, Person, Role, Team
from trainer.progress import proposal
from trainer.progress.asked import asked_of
from trainer.progress.boards.running import running_in
from trainer.progress.catch_up import catch_up
from trainer.progress.life import ground
from trainer.progress.own_plan import outcome_of
from trainer.progress.plans_done import done_of
from trainer.progress.proposal import CASES_MOST, SKILL_MOST, propose
from trainer.progress.standings import forecast
from trainer.progress.why import UNSURE_CASES
from trainer.roster.entry import EntryError
from trainer.roster.models import ObservedShoot, Plan, Refresher
from trainer.roster.refresh import Wanted, end_refresher, give_plans, set_refresher

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
DAY = timedelta(days=1)
STARS = [star.code for star in ground(SITE_RULE).drilled]


@pytest.fixture
def shelf_full(db: None) -> None:
    """Every drill of the scenario files is on the shelf."""
    from django.conf import settings

    from trainer.library.files import read_scenarios
    from trainer.library.shelf import entries_of

    take_in(entries_of(read_scenarios(settings.SCENARIOS)), NOW)


@pytest.fixture
def manager(three: Any) -> Person:
    made = Person.objects.create(email="manager@example.org", name="Manager")
    Membership.objects.create(person=made, team=three.insider.memberships.get().team, role=Role.MANAGER)
    return made


@pytest.fixture
def team(three: Any) -> Team:
    found: Team = three.insider.memberships.get().team
    return found


@pytest.fixture
def able(graded_row: Callable[..., Any], three: Any) -> Callable[..., None]:
    """Makes somebody ready on 9 March."""

    def make(person: Any, credit: float = 0.9) -> None:
        for day in range(7):
            for code in STARS:
                graded_row(person, {code: 1.0 if code == "G1" else credit}, at=NOW + day * DAY)
        ObservedShoot.objects.create(
            person=person, by=three.trainer, shot_on=(NOW + 7 * DAY).date(),
            seen={star.code: "done" for star in ground(SITE_RULE).stars}, signed=True, client_key=uuid.uuid4(),
            made_at=NOW + 7 * DAY,
        )  # fmt: skip
        catch_up()

    return make


def proposals(*people: Any, on: date, weights: dict[str, float] | None = None) -> dict[str, Any]:
    found = propose(
        Person.objects.filter(pk__in=[one.pk for one in people]),
        on,
        NOW + 8 * DAY,
        weights=weights or {},
        visitor=people[0],
    )
    return {one.name: one for one in found}


@pytest.mark.usefixtures("shelf_full")
def test_who_still_holds_on_the_day_is_asked_for_nothing(able: Callable[..., None], three: Any) -> None:
    able(three.insider)
    (found,) = proposals(three.insider, on=date(2026, 3, 20)).values()
    assert (found.state, found.then, found.wanted, found.pressing) == ("ready", "ready", {}, False)


@pytest.mark.usefixtures("shelf_full")
def test_who_would_not_hold_is_asked_for_old_skills_twice(able: Callable[..., None], three: Any) -> None:
    able(three.insider)
    (found,) = proposals(three.insider, on=date(2026, 9, 1)).values()
    assert found.state == "ready"
    assert found.then in {"due", "lapsed"}
    assert found.pressing
    practised = {"A2", "B1", "B3", "D2", "E1", "V1", "V3", "G1"}
    assert practised <= set(found.wanted)
    assert all(2 <= count <= SKILL_MOST for count in found.wanted.values())
    assert found.cases <= CASES_MOST
    assert found.minutes == proposal.minutes(found.cases)
    assert 0.0 <= found.chance < 0.9


@pytest.mark.usefixtures("shelf_full")
def test_who_will_only_have_been_idle_for_too_long_is_asked_for_two_cases(
    able: Callable[..., None], three: Any, team: Team
) -> None:
    numbers = {**asdict(SITE_RULE), "star_newest_days": 365.0, "idle_due_days": 30.0}
    enter_rule(team.firm, numbers, holds_from=NOW.date(), by=three.trainer, now=NOW - DAY)
    able(three.insider, credit=1.0)
    found = proposals(three.insider, on=date(2026, 4, 20))["Insider"]
    assert (found.then, found.pressing, found.cases) == ("due", True, 2)


@pytest.mark.usefixtures("shelf_full")
def test_state_and_chance_are_those_of_the_forecast(able: Callable[..., None], three: Any) -> None:
    able(three.insider)
    goal = date(2026, 7, 1)
    (found,) = proposals(three.insider, on=goal).values()
    told = forecast(three.insider, goal)
    assert (found.then, found.chance) == (told.state, told.chance)


@pytest.mark.usefixtures("shelf_full")
def test_the_plan_is_enough_when_it_goes_as_expected(
    able: Callable[..., None], graded_row: Callable[..., Any], three: Any
) -> None:
    able(three.insider)
    goal = date(2026, 9, 1)
    (found,) = proposals(three.insider, on=goal).values()
    start = datetime(2026, 8, 20, 9, tzinfo=UTC)
    for number in range(max(found.wanted.values())):
        for code, count in found.wanted.items():
            if number < count:
                graded_row(three.insider, {code: 1.0 if code == "G1" else 0.95}, at=start + number * DAY)
    catch_up()
    after = propose(
        Person.objects.filter(pk=three.insider.pk), goal, start + 10 * DAY, weights={}, visitor=three.insider
    )[0]
    assert after.then == "ready"
    assert after.wanted == {}


@pytest.mark.usefixtures("shelf_full")
def test_somebody_in_training_is_no_refreshers_but_gets_what_is_missing(
    able: Callable[..., None], graded_row: Callable[..., Any], three: Any
) -> None:
    able(three.insider)
    graded_row(three.mate, {"D2": 0.4}, at=NOW)
    catch_up()
    found = proposals(three.insider, three.mate, on=date(2026, 9, 1))
    assert list(found) == ["Insider", "Mate"], "whom it is for comes first"
    assert not found["Mate"].pressing
    assert found["Mate"].state == "in training"
    assert found["Mate"].wanted["A2"] == 5
    assert "a signed shoot" in found["Mate"].beside


@pytest.mark.usefixtures("shelf_full")
def test_what_reshoots_go_with_is_asked_for_more(able: Callable[..., None], three: Any) -> None:
    able(three.insider, credit=0.7)
    plain, dear = (
        proposals(three.insider, on=date(2026, 4, 1), weights=weights)["Insider"].wanted
        for weights in ({}, {"B2": 3.0, "A3": 3.0, "D1": 3.0})
    )
    assert sum(plain.values()) == sum(dear.values()) == UNSURE_CASES, "no number is promised to be enough"
    assert dear["D1"] > plain.get("D1", 0)
    assert not {"A3", "B2"} & set(dear), "no drill practises these"


def wanted(person: Any, **skills: int) -> Wanted:
    return Wanted(person, skills or {"D2": 2, "B1": 1}, 5, 0.4)


def refresher(team: Team, by: Any, on: date = date(2026, 5, 1)) -> Refresher:
    return set_refresher(team, title="Season starts", ready_on=on, by=by, key=uuid.uuid4(), now=NOW)


def test_a_day_is_set_once_by_who_decides(team: Team, manager: Person, three: Any) -> None:
    key = uuid.uuid4()
    first = set_refresher(team, title=" Season ", ready_on=date(2026, 5, 1), by=manager, key=key, now=NOW)
    assert set_refresher(team, title="Other", ready_on=date(2026, 6, 1), by=manager, key=key, now=NOW) == first
    assert Refresher.objects.get().title == "Season"
    for other in (three.trainer, three.insider, three.outsider):
        with pytest.raises(PermissionDenied):
            refresher(team, other)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"ready_on": date(2026, 3, 2)}, "from tomorrow"),
        ({"ready_on": date(2027, 4, 1)}, "a year"),
        ({"title": " "}, "name"),
    ],
)
def test_a_day_that_cannot_be_is_refused(fields: dict[str, Any], words: str, team: Team, manager: Person) -> None:
    given = {"title": "Season", "ready_on": date(2026, 5, 1), **fields}
    with pytest.raises(EntryError, match=words):
        set_refresher(team, by=manager, key=uuid.uuid4(), now=NOW, **given)


def test_plans_are_given_all_or_none_and_once_each(team: Team, manager: Person, three: Any) -> None:
    row = refresher(team, manager)
    with pytest.raises(PermissionDenied):
        give_plans(row, [wanted(three.insider), wanted(three.outsider)], by=manager, now=NOW)
    with pytest.raises(EntryError, match="nothing to practise"):
        give_plans(row, [wanted(three.insider), Wanted(three.mate, {}, 0, 0.9)], by=manager, now=NOW)
    with pytest.raises(PermissionDenied):
        give_plans(row, [wanted(three.insider)], by=three.trainer, now=NOW)
    assert not Plan.objects.exists()
    assert give_plans(row, [wanted(three.insider)], by=manager, now=NOW) == 1
    assert give_plans(row, [wanted(three.insider, A2=5), wanted(three.mate)], by=manager, now=NOW) == 1
    assert Plan.objects.get(person=three.insider).wanted == {"D2": 2, "B1": 1}


def test_nobody_gives_a_plan_to_oneself_or_for_a_refresher_that_is_over(
    team: Team, manager: Person, three: Any
) -> None:
    Membership.objects.create(person=manager, team=team, role=Role.OPERATOR)
    row = refresher(team, manager)
    with pytest.raises(PermissionDenied):
        give_plans(row, [wanted(manager)], by=manager, now=NOW)
    with pytest.raises(EntryError, match="is over"):
        give_plans(row, [wanted(three.insider)], by=manager, now=NOW + 100 * DAY)
    with pytest.raises(PermissionDenied):
        end_refresher(row, by=three.trainer, now=NOW)
    first = end_refresher(row, by=manager, now=NOW)
    assert end_refresher(row, by=manager, now=NOW + DAY) == first
    with pytest.raises(EntryError, match="is over"):
        give_plans(row, [wanted(three.insider)], by=manager, now=NOW)


def test_done_is_counted_once_for_everybody_who_asks(
    team: Team, manager: Person, three: Any, graded_row: Callable[..., Any]
) -> None:
    row = refresher(team, manager)
    give_plans(row, [wanted(three.insider), wanted(three.mate)], by=manager, now=NOW)
    plan = Plan.objects.get(person=three.insider)
    graded_row(three.insider, {"D2": 1.0}, at=NOW - DAY)
    graded_row(three.insider, {"D2": 0.1, "B1": 0.1}, at=NOW + DAY)
    for day in (2, 3, 4):
        graded_row(three.insider, {"D2": 1.0, "A2": 1.0}, at=NOW + day * DAY)
    catch_up()
    done = done_of([plan], NOW + 10 * DAY)[plan.pk]
    assert {skill: len(moments) for skill, moments in done.skills.items()} == {"D2": 2, "B1": 1}
    assert (done.count, done.asked, done.left, done.newest) == (3, 3, 0, NOW + 2 * DAY)
    assert done_of([plan], NOW + DAY)[plan.pk].count == 2
    told = {one.skill: (one.done, one.asked) for one in asked_of(three.insider, NOW + 10 * DAY)}
    assert told == {"D2": (2, 2), "B1": (1, 1)}
    (running,) = running_in([team], manager, NOW + 10 * DAY)
    assert (running.people, running.done, running.begun, running.cases, running.cases_done) == (2, 1, 0, 6, 3)


def test_a_void_case_is_not_done(team: Team, manager: Person, three: Any, graded_row: Callable[..., Any]) -> None:
    give_plans(refresher(team, manager), [wanted(three.insider)], by=manager, now=NOW)
    plan = Plan.objects.get()
    attempt = graded_row(three.insider, {"D2": 1.0}, at=NOW + DAY)
    catch_up()
    assert done_of([plan], NOW + 2 * DAY)[plan.pk].count == 1
    Void.objects.create(attempt=attempt, by=three.trainer, reason="A door was wrong.", made_at=NOW + DAY)
    enter(Entry.What.VOID, attempt, NOW + DAY)
    catch_up()
    assert done_of([plan], NOW + 2 * DAY)[plan.pk].count == 0


def test_a_top_up_is_not_promised_where_a_shoot_is_missing_too(graded_row: Callable[..., Any], three: Any) -> None:
    for day in range(7):
        for code in STARS:
            if code != "B1" or day < 4:
                graded_row(three.insider, {code: 1.0}, at=NOW + day * DAY)
    catch_up()
    said = outcome_of(three.insider, NOW + 7 * DAY)
    assert said.say.startswith("Call your trainer")
    assert said.top_up == ("1 more case on Put the lens over the axis",)
    ObservedShoot.objects.create(
        person=three.insider, by=three.trainer, shot_on=(NOW + 7 * DAY).date(),
        seen={star.code: "done" for star in ground(SITE_RULE).stars}, signed=True, client_key=uuid.uuid4(),
        made_at=NOW + 7 * DAY,
    )  # fmt: skip
    assert outcome_of(three.insider, NOW + 8 * DAY).say == "Top up:"
