"""Nobody is on both sides of the demo: not by joining, founding or a role, and what was there before is still read."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

import html5lib
import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.conftest import PASSWORD
from tests.trainer.people.conftest import NOW
from trainer.drills.leave_demo import leave_demo
from trainer.people.access import lasting
from trainer.people.apart import COME_IN, is_apart
from trainer.people.deactivate import deactivate, reactivate
from trainer.people.firm import found, let_found, may_found
from trainer.people.invented import PEOPLE, make_demo
from trainer.people.invite import invite
from trainer.people.join import NotTaken, join, join_as_new
from trainer.people.leave import leave
from trainer.people.models import Firm, Invitation, Membership, Person, Role, Team
from trainer.people.move import move
from trainer.people.roles import PeopleError, roles_in
from trainer.people.set_roles import set_roles
from trainer.progress.demo.cast import cast

pytestmark = pytest.mark.django_db
TO_REAL, TO_INVENTED = re.escape(COME_IN[False]), re.escape(COME_IN[True])
OPERATOR, TRAINER = Role.OPERATOR, Role.TRAINER


@pytest.fixture
def demo(house: Any, tmp_path: Path) -> Firm:
    """The invented firm beside the real ones."""
    make_demo(tmp_path / "sign_in")
    return Firm.objects.get(invented=True)


def of_demo(name: str) -> Person:
    return Person.objects.get(email=f"{name}@levelhead.example")


def sent(house: Any, demo: Firm, *, invented: bool, now: datetime = NOW) -> str:
    """The code of an invitation to one of the sides."""
    team, by = (demo.teams.get(), of_demo("manager")) if invented else (house.north, house.manager)
    return invite(team, roles=[OPERATOR], by=by, now=now).code


def page(reply: Any, status: int) -> str:
    assert reply.status_code == status
    text: str = reply.content.decode()
    html5lib.HTMLParser(strict=True).parse(text)
    return text


def test_a_sign_in_of_the_demo_joins_no_real_team_and_leaves_the_invitation_open(house: Any, demo: Firm) -> None:
    code = sent(house, demo, invented=False)
    with pytest.raises(PeopleError, match=TO_REAL):
        join(code, of_demo("operator"), NOW)
    assert set(lasting().filter(person=of_demo("operator")).values_list("team", flat=True)) == {demo.teams.get().pk}
    assert Invitation.objects.get().used_at is None


def test_somebody_of_a_real_firm_does_not_join_the_demo(house: Any, demo: Firm) -> None:
    with pytest.raises(PeopleError, match=TO_INVENTED):
        join(sent(house, demo, invented=True), house.mate, NOW)
    assert roles_in(house.mate, demo.teams.get()) == []


@pytest.mark.parametrize("invented", [True, False])
def test_having_left_the_other_side_opens_nothing_for_the_answers_went_along(
    invented: bool, house: Any, demo: Firm
) -> None:
    person, team = (house.mate, house.north) if invented else (of_demo("mate"), demo.teams.get())
    leave(person, team, NOW)
    with pytest.raises(PeopleError, match=TO_INVENTED if invented else TO_REAL):
        join(sent(house, demo, invented=invented), person, NOW)
    assert not lasting().filter(person=person).exists()


def test_whoever_the_demo_deactivated_does_not_come_back_into_a_real_firm(house: Any, demo: Firm) -> None:
    mate = of_demo("mate")
    mate.set_password(PASSWORD)
    mate.save()
    deactivate(mate, demo, by=of_demo("owner"), now=NOW)
    code = sent(house, demo, invented=False)
    with pytest.raises(NotTaken, match=TO_REAL):
        join_as_new(code, name="Mate", email=mate.email, password=PASSWORD, now=NOW)
    mate.refresh_from_db()
    assert not mate.is_active
    came = join_as_new(code, name="Mate", email="mates-own@example.org", password=PASSWORD, now=NOW)
    assert roles_in(came, house.north) == ["operator"]


def test_people_of_one_side_still_join_several_firms_of_it(house: Any, demo: Firm) -> None:
    join(sent(house, demo, invented=False), house.outsider, NOW)
    assert roles_in(house.outsider, house.north) == ["operator"]
    newcomer = join_as_new(
        sent(house, demo, invented=True), name="Guest", email="g@example.org", password=PASSWORD, now=NOW
    )
    assert roles_in(newcomer, demo.teams.get()) == ["operator"]


def test_an_owner_of_the_demo_founds_no_firm_and_the_code_stays_good(house: Any, demo: Firm) -> None:
    code = let_found(NOW)
    with pytest.raises(PeopleError, match=TO_REAL):
        found(code, of_demo("owner"), firm="Ours", team="First", region="", now=NOW)
    assert may_found(code, NOW)
    made = found(code, house.owner, firm="Ours", team="First", region="", now=NOW)
    assert roles_in(house.owner, made.teams.get()) == ["owner"]


@pytest.mark.django_db(transaction=True)
def test_who_joins_either_side_at_once_is_in_one(house: Any, demo: Firm) -> None:
    person = Person.objects.create(email="both@example.org", name="Both", password="!")
    codes, ready = [sent(house, demo, invented=side) for side in (True, False)], threading.Barrier(2)

    def try_it(code: str) -> None:
        ready.wait()
        try:
            join(code, person, NOW)
        except PeopleError:
            pass
        finally:
            connection.close()

    threads = [threading.Thread(target=try_it, args=[code]) for code in codes]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert lasting().filter(person=person).count() == 1


def test_the_links_page_says_what_to_do_and_leads_back_to_the_link(house: Any, demo: Firm) -> None:
    where = reverse("join", args=[sent(house, demo, invented=False, now=timezone.now())])
    client = Client()
    client.force_login(of_demo("operator"))
    for text in (page(client.get(where), 200), page(client.post(where), 400)):
        assert COME_IN[False] in text
        assert text.count('role="alert"') == 1
        assert "Join as" not in text
    assert roles_in(of_demo("operator"), house.north) == []
    out = client.post(reverse("account_logout"), {"next": where})
    assert out.headers["Location"] == where
    assert 'name="email"' in page(client.get(where), 200)
    given = {"name": "Olive Own", "email": "olive@example.org", "password": PASSWORD}
    assert client.post(where, given).headers["Location"] == reverse("today")
    assert roles_in(Person.objects.get(email="olive@example.org"), house.north) == ["operator"]
    other = Client()
    other.force_login(house.mate)
    back = reverse("join", args=[sent(house, demo, invented=True, now=timezone.now())])
    assert COME_IN[True] in page(other.get(back), 200)
    assert COME_IN[True] in page(other.post(back), 400)


def test_the_first_page_of_a_real_firm_is_reached_from_the_demo_by_an_own_sign_in(house: Any, demo: Firm) -> None:
    code = let_found(timezone.now())
    where, client = f"{reverse('new_firm')}?code={code}", Client()
    client.force_login(of_demo("owner"))
    assert reverse("new_firm") in page(client.get(reverse("people")), 200)
    assert "Leave the demo" in page(client.get(reverse("new_firm")), 200)
    fields = {"code": code, "firm": "Ours", "team": "First"}
    for text in (page(client.get(where), 200), page(client.post(reverse("new_firm"), fields), 400)):
        assert COME_IN[False] in text
        assert text.count('role="alert"') == 1
        assert "Leave the demo" in text
        assert 'name="firm"' not in text
    assert client.post(reverse("account_logout"), {"next": where}).headers["Location"] == where
    assert 'name="email"' in page(client.get(where), 200)
    own = {**fields, "name": "First Owner", "email": "first@example.org", "password": PASSWORD}
    assert client.post(reverse("new_firm"), own).headers["Location"] == reverse("people")
    assert "Ours is here" in page(client.get(reverse("people")), 200)


@pytest.fixture
def both(house: Any, demo: Firm) -> Person:
    """Somebody in both, from the time before that was refused."""
    Membership.objects.create(person=house.mate, team=demo.teams.get(), role=OPERATOR)
    return house.mate


def test_who_is_in_both_from_before_takes_no_new_role_on_either_side(house: Any, demo: Firm, both: Person) -> None:
    team, by = demo.teams.get(), of_demo("owner")
    with pytest.raises(PeopleError, match="takes no new role"):
        set_roles(both, house.north, [OPERATOR, TRAINER], by=house.owner, now=NOW)
    with pytest.raises(PeopleError, match="takes no new role"):
        move(both, house.north, house.east, by=house.owner, now=NOW)
    with pytest.raises(PeopleError, match="takes no new role"):
        set_roles(both, team, [OPERATOR, TRAINER], by=by, now=NOW)
    assert roles_in(both, house.north) == roles_in(both, team) == ["operator"]
    deactivate(both, house.firm, by=house.owner, now=NOW)
    with pytest.raises(PeopleError, match="takes no new role"):
        reactivate(both, house.firm, by=house.owner, now=NOW)
    client = Client()
    client.force_login(house.owner)
    fields = {"what": "reactivate", "person": both.pk}
    assert "takes no new role" in page(client.post(reverse("firm_edit", args=[house.firm.pk]), fields), 400)
    assert roles_in(both, house.north) == []


def test_who_is_in_both_from_before_is_read_and_may_go(
    house: Any, demo: Firm, both: Person, graded_row: Callable[..., Any]
) -> None:
    graded_row(both, {"D1": 1.0})
    for reader in (house.manager, of_demo("manager")):
        client = Client()
        client.force_login(reader)
        assert "Mate" in page(client.get(reverse("team")), 200)
        assert "Mate" in page(client.get(reverse("people")), 200)
    client = Client()
    client.force_login(both)
    assert str(demo) in page(client.get(reverse("settings")), 200)
    set_roles(both, house.north, [], by=house.manager, now=NOW)
    leave(both, demo.teams.get(), NOW + timedelta(hours=1))
    assert not lasting().filter(person=both).exists()


def test_with_the_demo_left_nothing_keeps_apart_any_more(house: Any, demo: Firm, both: Person) -> None:
    leave_demo(NOW)
    assert not is_apart(both, invented=False)
    set_roles(both, house.north, [OPERATOR, TRAINER], by=house.manager, now=NOW)
    assert roles_in(both, house.north) == ["operator", "trainer"]


def test_an_address_of_the_demo_that_is_in_a_real_firm_is_left_alone(house: Any, tmp_path: Path) -> None:
    taken = Person.objects.create(email=PEOPLE[0][0], name="Real", password=house.mate.password)
    Membership.objects.create(person=taken, team=house.north, role=OPERATOR)
    make_demo(tmp_path / "sign_in")
    taken.refresh_from_db()
    assert taken.check_password(PASSWORD)
    assert [row.team for row in lasting().filter(person=taken)] == [house.north]
    demo = Firm.objects.get(invented=True)
    assert len({row.person_id for row in lasting().filter(team__firm=demo)}) == len(PEOPLE) - 1


def test_the_invented_year_is_given_to_nobody_of_a_real_firm(house: Any, demo: Firm) -> None:
    Membership.objects.create(person=of_demo("operator"), team=house.north, role=OPERATOR)
    crews = cast(demo, Random(1), NOW)
    of_year = {person.pk for crew in crews for person in (*crew.operators, *crew.trainers, *crew.managers)}
    assert of_demo("operator").pk not in of_year
    assert of_demo("mate").pk in of_year
    assert Team.objects.filter(firm=demo).count() == len(crews)
