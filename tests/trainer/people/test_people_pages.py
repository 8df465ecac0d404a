"""Pages of people: what each role sees and may do there, and invitations from the link to the first page."""

from __future__ import annotations

import re
import uuid
from datetime import timedelta
from io import StringIO
from typing import Any

import html5lib
import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.conftest import PASSWORD
from trainer.people.access import lasting
from trainer.people.codes import make_code
from trainer.people.deactivate import deactivate
from trainer.people.firm import let_found
from trainer.people.invite import invite, withdraw
from trainer.people.models import Firm, Invitation, Person, Role
from trainer.people.roles import roles_in

pytestmark = pytest.mark.django_db


def visit(person: Any) -> Client:
    client = Client()
    client.force_login(person)
    return client


def read(reply: Any, status: int = 200) -> str:
    assert reply.status_code == status
    text: str = reply.content.decode()
    html5lib.HTMLParser(strict=True).parse(text)
    return text


def test_each_sees_the_teams_that_they_lead(house: Any) -> None:
    invite(house.east, roles=[Role.OPERATOR], by=house.east_manager, now=timezone.now(), email="eastern@example.org")
    seen = {who: read(visit(getattr(house, who)).get(reverse("people"))) for who in ("trainer", "manager", "owner")}
    for text in seen.values():
        assert "Mate" in text
    assert "Eastmanager" not in seen["trainer"] + seen["manager"]
    assert "eastern@example.org" not in seen["trainer"] + seen["manager"]
    assert "Eastmanager" in seen["owner"]
    assert "eastern@example.org" in seen["owner"]
    assert "Change" not in seen["trainer"]
    assert "Make a team" not in seen["manager"]
    assert "Make a team" in seen["owner"]
    assert visit(house.insider).get(reverse("people")).status_code == 404


def test_an_invitation_is_made_passed_on_and_used(house: Any) -> None:
    manager = visit(house.manager)
    read(manager.get(reverse("invite")))
    fields = {"team": house.north.pk, "roles": ["operator"], "days": "7", "email": ""}
    shown = read(manager.post(reverse("invite"), fields))
    link = re.search(r">http://testserver(/join/[0-9a-z-]+/)<", shown)
    assert link is not None
    listed = read(manager.get(reverse("people")))
    assert "Open invitations" in listed
    assert link.group(1) not in listed
    phone = Client()
    read(phone.get(link.group(1)))
    given = {"name": "New One", "email": "new@example.org", "password": "short"}
    wrong = read(phone.post(link.group(1), given), 400)
    assert "New One" in wrong
    assert "short" not in re.sub(r"too short", "", wrong), "a password is not sent back"
    done = phone.post(link.group(1), {**given, "password": PASSWORD})
    assert done.headers["Location"] == reverse("today")
    assert "You are in North now." in read(phone.get(reverse("today")))
    person = Person.objects.get(email="new@example.org")
    assert roles_in(person, house.north) == ["operator"]
    assert phone.get(link.group(1)).status_code == 404


def test_who_is_signed_in_joins_with_one_tap(house: Any) -> None:
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=timezone.now())
    client = visit(house.outsider)
    assert "Join as Outsider" in read(client.get(reverse("join", args=[made.code])))
    assert client.post(reverse("join", args=[made.code])).status_code == 302
    assert roles_in(house.outsider, house.north) == ["operator"]


def test_codes_that_open_nothing_look_exactly_alike(house: Any) -> None:
    now = timezone.now()
    rows = {name: invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=now) for name in "uw"}
    old = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=now - timedelta(days=9), days=1)
    visit(house.mate).post(reverse("join", args=[rows["u"].code]))
    withdraw(rows["w"].invitation, by=house.manager, now=now)
    for verb in ("get", "post"):
        replies = set()
        for code in (rows["u"].code, rows["w"].code, old.code, make_code()):
            fields = {"name": "N", "email": "n@example.org", "password": PASSWORD}
            reply = getattr(Client(), verb)(reverse("join", args=[code]), fields)
            body = re.sub(r'data-token="[^"]*"|nonce="[^"]*"', "", reply.content.decode()).replace(code, "CODE")
            replies.add((reply.status_code, body, tuple(sorted(reply.headers.keys()))))
        assert len(replies) == 1
        assert replies.pop()[0] == 404
    assert not Person.objects.filter(email="n@example.org").exists()


def test_a_code_can_be_typed(house: Any) -> None:
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=timezone.now())
    read(Client().get(reverse("join_code")))
    reply = Client().get(reverse("join_code"), {"code": made.code.upper().replace("-", " ")}, follow=True)
    assert "Join North" in reply.content.decode()


def test_an_invitation_is_taken_back(house: Any) -> None:
    made = invite(house.north, roles=[Role.OPERATOR], by=house.manager, now=timezone.now())
    where = reverse("invite_withdraw", args=[made.invitation.pk])
    assert visit(house.east_manager).post(where).status_code == 404
    assert visit(house.manager).post(where).status_code == 302
    assert Invitation.objects.get().withdrawn_at is not None
    assert visit(house.manager).post(where).status_code == 404


@pytest.mark.parametrize(
    "fields", [{"roles": []}, {"roles": ["owner"]}, {"days": "400"}, {"days": "x"}, {"email": "nobody"}]
)
def test_an_invitation_that_cannot_be_made_says_why(fields: dict[str, Any], house: Any) -> None:
    whole = {"team": house.north.pk, "roles": ["operator"], "days": "7", "email": "", **fields}
    text = read(visit(house.manager).post(reverse("invite"), whole), 400)
    assert 'role="alert"' in text
    assert not Invitation.objects.exists()


def test_nobody_invites_to_a_team_of_others(house: Any) -> None:
    for team in (house.east.pk, house.away.pk, uuid.uuid4(), "x"):
        fields = {"team": team, "roles": ["operator"], "days": "7"}
        assert visit(house.manager).post(reverse("invite"), fields).status_code == 404
    assert not Invitation.objects.exists()


def test_roles_are_changed_on_a_page_of_their_own(house: Any) -> None:
    where, manager = reverse("member", args=[house.mate.pk]), visit(house.manager)
    assert 'value="owner"' not in read(manager.get(where))
    fields = {"team": house.north.pk, "what": "roles", "roles": ["operator", "trainer"]}
    assert manager.post(where, fields).status_code == 302
    assert roles_in(house.mate, house.north) == ["operator", "trainer"]
    assert "at least one role" in read(manager.post(where, {**fields, "roles": []}), 400)
    assert "Only an owner" in read(manager.post(where, {**fields, "roles": ["owner"]}), 400)
    assert read(manager.post(where, {**fields, "what": "else"}), 400)
    for team in (house.east.pk, house.away.pk, "x", ""):
        assert manager.post(where, {**fields, "team": team}).status_code == 404
    assert manager.post(where, {"team": house.north.pk, "what": "out"}).headers["Location"] == reverse("people")
    assert roles_in(house.mate, house.north) == []


def test_an_owner_moves_and_deactivates_and_takes_back(house: Any) -> None:
    owner, where = visit(house.owner), reverse("member", args=[house.mate.pk])
    read(owner.get(where))
    fields = {"team": house.north.pk, "what": "move", "target": house.east.pk}
    assert visit(house.manager).post(where, fields).status_code == 404
    assert owner.post(where, {**fields, "target": house.away.pk}).status_code == 404
    assert owner.post(where, fields).status_code == 302
    assert roles_in(house.mate, house.east) == ["operator"]
    assert visit(house.east_manager).post(where, {"team": house.east.pk, "what": "deactivate"}).status_code == 404
    assert owner.post(where, {"team": house.east.pk, "what": "deactivate"}).status_code == 302
    house.mate.refresh_from_db()
    assert not house.mate.is_active
    firm = reverse("firm_edit", args=[house.firm.pk])
    assert "Take Mate back" in read(owner.get(firm))
    for person in (house.insider.pk, house.outsider.pk, uuid.uuid4(), "x"):
        assert owner.post(firm, {"what": "reactivate", "person": person}).status_code == 404
    assert owner.post(firm, {"what": "reactivate", "person": house.mate.pk}).status_code == 302
    assert roles_in(house.mate, house.east) == ["operator"]


def test_an_owner_sets_the_firm_and_its_teams(house: Any) -> None:
    owner = visit(house.owner)
    firm = reverse("firm_edit", args=[house.firm.pk])
    assert owner.post(firm, {"name": "Renamed", "keeps": "no"}).status_code == 302
    house.firm.refresh_from_db()
    assert (house.firm.name, house.firm.keeps_evidence) == ("Renamed", False)
    assert "Give the firm a name" in read(owner.post(firm, {"name": " "}), 400)
    new = reverse("team_new", args=[house.firm.pk])
    read(owner.get(new))
    assert owner.post(new, {"name": "Coast", "region": "South"}).status_code == 302
    team = house.firm.teams.get(name="Coast")
    assert "of that name" in read(owner.post(new, {"name": "Coast"}), 400)
    edit = reverse("team_edit", args=[team.pk])
    assert "South" in read(owner.get(edit))
    assert owner.post(edit, {"name": "Shore", "region": ""}).status_code == 302
    for name, args in (("firm_edit", house.firm.pk), ("team_new", house.firm.pk), ("team_edit", team.pk)):
        assert visit(house.manager).get(reverse(name, args=[args])).status_code == 404
        assert visit(house.away_owner).get(reverse(name, args=[args])).status_code == 404


def test_a_firm_of_ones_own_begins_with_a_printed_code(client: Client, db: None) -> None:
    out = StringIO()
    call_command("first_owner", stdout=out)
    where = re.search(r"(/firm/new/)\?code=([0-9a-z-]+)", out.getvalue())
    assert where is not None
    assert 'name="firm"' not in read(client.get(where.group(1)))
    assert 'name="firm"' in read(client.get(where.group(0)))
    fields = {"code": where.group(2), "firm": "Ours", "team": "North", "region": "The north", "name": "First Owner",
              "email": "first@example.org", "password": PASSWORD}  # fmt: skip
    assert "no e-mail address" in read(client.post(where.group(1), {**fields, "email": "x"}), 400)
    assert client.post(where.group(1), fields).headers["Location"] == reverse("people")
    assert "Ours is here" in read(client.get(reverse("people")))
    firm = Firm.objects.get(name="Ours")
    assert not firm.invented
    assert lasting().get().role == "owner"
    assert "opens nothing" in read(Client().post(where.group(1), {**fields, "email": "b@example.org"}), 400)
    assert Person.objects.count() == 1


def test_somebody_signed_in_founds_a_firm_as_oneself(house: Any) -> None:
    code = let_found(timezone.now())
    client = visit(house.outsider)
    assert 'name="password"' not in read(client.get(reverse("new_firm"), {"code": code}))
    fields = {"code": code, "firm": "Ours", "team": "First"}
    assert client.post(reverse("new_firm"), fields).status_code == 302
    assert lasting().get(team__firm__name="Ours").person == house.outsider


def test_the_first_page_says_what_of_the_demo_goes_away(client: Client, db: None) -> None:
    assert "Leave the demo" not in read(client.get(reverse("new_firm")))
    Firm.objects.create(name="An invented firm", invented=True)
    text = read(client.get(reverse("new_firm")))
    assert "Leave the demo" in text
    assert "leave_demo" in text


def test_somebody_deactivated_shows_in_no_team(house: Any) -> None:
    deactivate(house.mate, house.firm, by=house.owner, now=timezone.now())
    assert "Mate" not in read(visit(house.manager).get(reverse("people")))
    assert visit(house.manager).get(reverse("member", args=[house.mate.pk])).status_code == 404
