"""Pages of refreshers and of one's own plan; the calendar file against the rules of RFC 5545."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from trainer.people.models import Membership, Person, Role, Team
from trainer.progress.calendar_file import calendar_of
from trainer.progress.catch_up import catch_up
from trainer.progress.own_plan import own_plan
from trainer.progress.refresher_pages import AT_ONCE
from trainer.roster.models import Plan, Refresher, RefresherEnd

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def manager(three: Any) -> Person:
    made = Person.objects.create(email="manager@example.org", name="Manager")
    Membership.objects.create(person=made, team=three.insider.memberships.get().team, role=Role.MANAGER)
    return made


@pytest.fixture
def running(three: Any, manager: Person) -> Refresher:
    team = three.insider.memberships.get().team
    now = timezone.now()
    made: Refresher = Refresher.objects.create(
        team=team, by=manager, ready_on=now.date() + 60 * DAY, title="Season starts", made_at=now
    )
    return made


@pytest.fixture
def planned(running: Refresher, three: Any) -> Plan:
    made: Plan = Plan.objects.create(
        refresher=running,
        person=three.insider,
        wanted={"D1": 2, "D2": 2},
        minutes=5,
        chance=0.4,
        made_at=timezone.now(),
    )
    return made


def as_(person: Any) -> Client:
    client = Client()
    client.force_login(person)
    return client


def told(reply: Any) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", reply.content.decode()).replace("&nbsp;", " ").split())


def test_a_manager_sets_a_day_and_is_shown_who_needs_what(stocked: Any, three: Any, manager: Person) -> None:
    client, day = as_(manager), timezone.now().date() + 60 * DAY
    team = Team.objects.get(name="North")
    sent = {"key": str(uuid.uuid4()), "team": str(team.pk), "title": "Season starts", "ready_on": day.isoformat()}
    for _ in range(2):
        reply = client.post(reverse("refreshers"), sent)
    row = Refresher.objects.get()
    assert reply.headers["Location"] == reverse("refresher", args=[row.pk])
    text = told(client.get(reverse("refresher", args=[row.pk])))
    assert "60 days to go." in text
    assert "Insider" in text
    assert "Untried today, untried then." in text
    assert "Keep the line of sight ×5" in text
    given = client.post(reverse("refresher", args=[row.pk]), {"person": [str(three.insider.pk)]})
    assert given.status_code == 302
    plan = Plan.objects.get()
    assert plan.person == three.insider
    assert plan.wanted["D2"] == 5
    assert "Given: 1 plan." in told(client.get(reverse("refresher", args=[row.pk])))


def test_who_leads_without_deciding_follows_and_gives_nothing(planned: Plan, three: Any) -> None:
    client, there = as_(three.trainer), reverse("refresher", args=[planned.refresher_id])
    text = told(client.get(there))
    assert "0 of 4 , not begun" in text
    assert "Give the plans" not in text
    assert client.post(there, {"person": [str(three.mate.pk)]}).status_code == 404
    assert client.post(reverse("refresher_end", args=[planned.refresher_id])).status_code == 404
    assert client.post(reverse("refreshers"), {"title": "x"}).status_code == 404
    assert Plan.objects.count() == 1


def test_nobody_of_another_team_finds_it(planned: Plan, three: Any) -> None:
    for page in ("refresher", "my_plan", "plan_calendar"):
        for client in (as_(three.outsider), as_(three.mate)):
            assert client.get(reverse(page, args=[planned.refresher_id])).status_code == 404
    sent = {"person": [str(three.insider.pk)]}
    assert as_(three.outsider).post(reverse("refresher", args=[planned.refresher_id]), sent).status_code == 404


@pytest.mark.parametrize(
    ("change", "words"),
    [({"ready_on": ""}, "Give the day"), ({"ready_on": "2020-01-01"}, "from tomorrow"), ({"team": ""}, "Choose one"),
     ({"title": ""}, "Give a name")],
)  # fmt: skip
def test_a_day_that_cannot_be_is_refused_with_what_was_typed(
    change: dict[str, str], words: str, three: Any, manager: Person
) -> None:
    team = Team.objects.get(name="North")
    day = (timezone.now().date() + 60 * DAY).isoformat()
    sent = {"team": str(team.pk), "title": "Busy months", "ready_on": day, **change}
    reply = as_(manager).post(reverse("refreshers"), sent)
    assert reply.status_code == 400
    assert words in told(reply)
    assert not Refresher.objects.exists()


def test_giving_to_nobody_or_to_strangers_gives_nothing(
    stocked: Any, running: Refresher, manager: Person, three: Any
) -> None:
    there = reverse("refresher", args=[running.pk])
    assert as_(manager).post(there).status_code == 400
    as_(manager).post(there, {"person": [str(three.outsider.pk), str(uuid.uuid4()), "nonsense"]})
    assert not Plan.objects.exists()


def test_what_is_done_is_followed_day_by_day(
    planned: Plan, manager: Person, three: Any, graded_row: Callable[..., Any]
) -> None:
    Plan.objects.filter(pk=planned.pk).update(made_at=timezone.now() - 3 * DAY)
    graded_row(three.insider, {"D1": 1.0, "D2": 1.0}, at=timezone.now() - DAY)
    graded_row(three.insider, {"D2": 0.2}, at=timezone.now())
    text = told(as_(manager).get(reverse("refresher", args=[planned.refresher_id])))
    assert "3 of 4 cases; one person has a plan." in text
    assert "Insider 3 of 4 , on its way 0 Enough, not too many 1 of 2 , Keep the line of sight 2 of 2" in text
    days = re.findall(r"\w{3} \d+ \w{3} (\d+) (\d+)", text)
    assert days == [("1", "1"), ("2", "1"), ("0", "0"), ("0", "0")]


def test_an_ended_one_asks_nothing_any_more(planned: Plan, manager: Person, three: Any) -> None:
    as_(manager).post(reverse("refresher_end", args=[planned.refresher_id]))
    assert RefresherEnd.objects.get().by == manager
    assert as_(three.insider).get(reverse("my_plan", args=[planned.refresher_id])).status_code == 404
    text = told(as_(manager).get(reverse("refresher", args=[planned.refresher_id])))
    assert "asks nothing of anybody" in text
    assert "End this refresher" not in text


def test_the_own_plan_says_first_to_be_parked_and_opens_a_drill_of_it(planned: Plan, stocked: Any, three: Any) -> None:
    client, there = as_(three.insider), reverse("my_plan", args=[planned.refresher_id])
    reply = client.get(there)
    text = told(reply)
    assert text.index("Parked, engine off?") < text.index("Season starts: be ready by")
    assert reply.headers["Offline-Keep"]
    assert "0 of 4 done." in text
    opened = client.post(reverse("plan_drill", args=[planned.refresher_id]), {"skill": "D2"})
    assert opened.status_code == 302
    assert three.insider.attempts.get().recipe == "two-rooms-place"
    assert "Go on with the open case" in told(client.get(there))
    assert reverse("my_plan", args=[planned.refresher_id]) in client.get(reverse("today")).content.decode()


def test_a_skill_without_a_case_in_stock_is_asked_for_and_says_to_wait(planned: Plan, stocked: Any, three: Any) -> None:
    from trainer.library.models import Edition

    recipe = Edition.objects.get(what=Edition.What.RECIPE, current=True)
    other = {**recipe.body, "name": "another-room", "skills": ["B1"]}
    Edition.objects.create(
        address="b" * 64, what=Edition.What.RECIPE, name="another-room", body=other, since=timezone.now()
    )
    Plan.objects.filter(pk=planned.pk).update(wanted={"B1": 2, "A1": 1})
    client, there = as_(three.insider), reverse("plan_drill", args=[planned.refresher_id])
    assert client.post(there, {"skill": "B1"}).status_code == 503
    assert client.post(there, {"skill": "A1"}).status_code == 404, "no drill at all practises it"


def test_a_plan_that_is_done_says_what_comes_next(planned: Plan, three: Any, graded_row: Callable[..., Any]) -> None:
    for _ in range(2):
        graded_row(three.insider, {"D1": 1.0, "D2": 1.0}, at=timezone.now())
    text = told(as_(three.insider).get(reverse("my_plan", args=[planned.refresher_id])))
    assert "All of it is done Call your trainer" in text
    opened = as_(three.insider).post(reverse("plan_drill", args=[planned.refresher_id]))
    assert opened.status_code == 404


def calendar(planned: Plan, now: datetime) -> bytes:
    catch_up()
    plan = own_plan(planned.person, planned.refresher_id, now)
    assert plan is not None
    return calendar_of(plan, "https://levelhead.example/my-plan/a-rather-long-address-that-has-to-be-folded/", now)


def test_the_calendar_file_keeps_the_rules_of_the_standard(planned: Plan) -> None:
    """RFC 5545: 3.1 lines end in CRLF and have 75 octets at most; 3.6.1, 3.8.4.7, 3.8.7.2 what an event must have."""
    Refresher.objects.filter(pk=planned.refresher_id).update(title="Frühjahr, auf allen Straßen; mit " + "ä" * 60)
    now = timezone.now()
    data = calendar(Plan.objects.select_related("person").get(), now)
    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    lines = data.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    assert any(line.startswith(b" ") for line in lines), "something had to be folded"
    for line in lines:
        line.decode(), "no letter is cut in two"
    whole = data.replace(b"\r\n ", b"").decode()
    assert whole.startswith("BEGIN:VCALENDAR\r\n")
    assert "VERSION:2.0\r\n" in whole
    assert "\r\nPRODID:" in whole
    events = whole.split("BEGIN:VEVENT")[1:]
    assert len(events) == 3
    for event in events:
        assert re.search(r"\r\nDTSTAMP:\d{8}T\d{6}Z\r\n", event), "in UTC"
        assert re.search(r"\r\nUID:[\w@-]+\r\n", event)
        assert re.search(r"\r\nDTSTART;VALUE=DATE:\d{8}\r\n", event)
        assert "Frühjahr\\, auf allen Straßen\\; mit" in event
    uids = re.findall(r"UID:(.+)\r\n", whole)
    assert len(set(uids)) == 3


def test_the_calendar_has_the_sittings_and_keeps_its_names(planned: Plan) -> None:
    now = timezone.now()
    found = Calendar.from_ical(calendar(planned, now))
    events = {str(event["uid"]): event for event in found.walk("VEVENT")}
    goal = planned.refresher.ready_on
    days = sorted(event["dtstart"].dt for event in events.values())
    assert days == [goal - 14 * DAY, goal - 3 * DAY, goal]
    assert all(event["dtend"].dt - event["dtstart"].dt == DAY for event in events.values())
    assert all("Parked" not in str(event["summary"]) for event in events.values())
    assert sum("engine off" in str(event["description"]) for event in events.values()) == 2
    later = Calendar.from_ical(calendar(planned, now + 50 * DAY))
    assert {str(event["uid"]) for event in later.walk("VEVENT")} <= set(events)
    assert not re.search(r"\d+ of 100|0\.4|%", str(found.to_ical().decode())), "no figure about the person"


def test_the_file_is_for_the_person_alone(planned: Plan, three: Any) -> None:
    there = reverse("plan_calendar", args=[planned.refresher_id])
    reply = as_(three.insider).get(there)
    assert reply.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert b"BEGIN:VEVENT" in reply.content
    assert "no-store" in reply.headers["Cache-Control"]
    assert reverse("my_plan", args=[planned.refresher_id]).encode() in reply.content.replace(b"\r\n ", b"")
    assert Client().get(there).status_code == 302


def test_a_large_team_is_proposed_for_in_parts(stocked: Any, running: Refresher, manager: Person) -> None:
    for number in range(AT_ONCE):
        person = Person.objects.create(email=f"op{number}@example.org", name=f"Operator {number:02}")
        Membership.objects.create(person=person, team=running.team, role=Role.OPERATOR)
    client, there = as_(manager), reverse("refresher", args=[running.pk])
    page = client.get(there).content.decode()
    shown = re.findall(r'name="person" value="([^"]+)"', page)
    assert len(shown) == AT_ONCE
    assert "2 more people come up here when these have their plans." in page
    client.post(there, {"person": shown})
    assert Plan.objects.count() == AT_ONCE
    assert len(re.findall(r'name="person" value="', client.get(there).content.decode())) == 2
