"""Three places that hold the same things: one's own team, another team of the firm, and another firm.

A visitor of the first is sent to addresses of all three. Whoever adds a page with a new part in its address says
in `rows_of` what stands under that part.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.test import Client
from django.utils import timezone

from tests.trainer.conftest import FIRST
from trainer.drills.issue import issue
from trainer.drills.models import Answer, Attempt, Check, CheckEnd, Flag, Grade
from trainer.library import shelf
from trainer.library.models import Edition
from trainer.looks.models import Look
from trainer.people.models import Firm, Invitation, Membership, Person, Role, Team
from trainer.progress.models import ReadinessRecord
from trainer.progress.record_key import signing_key
from trainer.progress.record_make import new_code
from trainer.progress.record_says import says
from trainer.roster.models import (
    Appeal,
    Assignment,
    Decision,
    KitChange,
    ObservedShoot,
    Plan,
    Refresher,
    Remark,
    Reshoot,
)

VISITORS = ("anonymous", "insider", "mate", "trainer", "manager", "owner")
"""Somebody from outside, and people of the own team; the owner owns the firm."""
OWN, OTHER, AWAY = "own team", "other team of the firm", "other firm"
CANARIES = {OTHER: "Eastcanary", AWAY: "Awaycanary"}
"""Part of every name there: of the person, the team, and the firm when it is another one."""
LOOK_BODY: dict[str, Any] = {
    "file": {"kind": "JPEG", "width_px": 2048, "height_px": 1024, "read_width_px": 2048, "notes": []},
    "look": {
        key: {"what": key, "why": "flat", "traces": []}
        for key in ("tilt", "seams", "sectors", "sharpness", "veil", "clipping", "metadata")
    },
}
"""A look that could tell nothing."""
PLAIN: Mapping[str, str] = {
    "slug": "two-rooms",
    "recipe": "two-rooms-place",
    "skill": "D1",
    "uidb36": "1",
    "key": "no-such-key",
    "code": "no-such-code",
    "token": "0" * 32,
    "part": "1024",
    "stand": "station-1",
    "setup": "e30",
    "name": "frame",
    "rule": "rule-1",
}
"""Parts of addresses that belong to nobody."""


@dataclass(frozen=True)
class World:
    """Who visits, and what stands under each part of an address in each of the places."""

    people: dict[str, Person | None]
    parts: dict[str, dict[str, Any]]

    def visit(self, who: str) -> Client:
        """A client signed in as one of the visitors."""
        client = Client()
        person = self.people[who]
        if person is not None:
            client.force_login(person)
        return client


def build(three: Any, password: str, graded_row: Callable[..., Any]) -> World:
    """The three places, and six visitors of the first."""
    north = three.insider.memberships.get().team
    east = Team.objects.create(firm=north.firm, name=f"{CANARIES[OTHER]} team", region=f"{CANARIES[OTHER]} land")
    far = Firm.objects.create(name=f"{CANARIES[AWAY]} firm")
    south = Team.objects.create(firm=far, name=f"{CANARIES[AWAY]} team", region=f"{CANARIES[AWAY]} land")

    def person(name: str, team: Team, role: str) -> Person:
        made = Person.objects.create(email=f"{name.lower()}@example.org", password=password, name=f"{name} Somebody")
        Membership.objects.create(person=made, team=team, role=role)
        return made

    people = {
        "anonymous": None,
        "insider": three.insider,
        "mate": three.mate,
        "trainer": three.trainer,
        "manager": person("Manager", north, Role.MANAGER),
        "owner": person("Owner", north, Role.OWNER),
    }
    dwellers = {
        OWN: three.insider,
        OTHER: person(CANARIES[OTHER], east, Role.OPERATOR),
        AWAY: person(CANARIES[AWAY], south, Role.OPERATOR),
    }
    teams = {OWN: north, OTHER: east, AWAY: south}
    parts = {where: rows_of(dwellers[where], teams[where], graded_row) for where in teams}
    return World(people, parts)


def rows_of(person: Person, team: Team, graded_row: Callable[..., Any]) -> dict[str, Any]:
    """What stands under each part of an address: rows about this person, or of this team."""
    attempt = issue(person, "two-rooms-place", "drill", FIRST).attempt
    flag = _flag(attempt, person)
    return {
        "attempt_id": attempt.pk,
        "look_id": Look.objects.create(person=person, body=LOOK_BODY, made_at=FIRST).pk,
        "person_id": person.pk,
        "check_id": _check(person).pk,
        **_record(person),
        "flag_id": flag.pk,
        "shoot_id": _shoot(person).pk,
        **_entered(person, flag.attempt),
        "kit": _kit(team.firm).name,
        "team_id": team.pk,
        "firm_id": team.firm_id,
        "invitation_id": _invitation(team).pk,
        "reshoot_id": _reshoot(person, team).pk,
        "refresher_id": _refresher(person, team).pk,
    }


def _flag(attempt: Attempt, person: Person) -> Flag:
    """A flag on a graded attempt at the same case as the open one."""
    fields = {field.attname: getattr(attempt, field.attname) for field in Attempt._meta.fields}
    graded = Attempt.objects.create(**{**fields, "id": uuid.uuid4()})
    answer = Answer.objects.create(
        attempt=graded, client_key=uuid.uuid4(), body={"stations": []}, sureness=2, answered_at=FIRST, received_at=FIRST
    )
    Grade.objects.create(
        answer=answer,
        credit=0.5,
        verdict="look-again",
        body={"credit": 0.5, "verdict": "look-again", "summary": "", "marks": [], "evidence": [], "shapes": []},
        engine="1",
        standard=graded.standard,
        made_at=FIRST,
    )
    return Flag.objects.create(attempt=graded, person=person, words="The door is not where it is.", made_at=FIRST)


def _record(person: Person) -> dict[str, Any]:
    """A readiness record past its last day, and a key that signs such records."""
    made = ReadinessRecord.objects.create(
        person=person, code=new_code(), body=says(person, FIRST), made_at=FIRST, expires_on=FIRST.date()
    )
    return {"record_id": made.pk, "check_code": made.code, "thumbprint": signing_key(settings.BADGE_KEYS).thumbprint()}


def _check(person: Person) -> Check:
    """A check that is over."""
    check = Check.objects.create(person=person, rule="rule-1", opened_at=FIRST)
    CheckEnd.objects.create(
        readiness_check=check, outcome="given up", chance=0.5, score=70.0, low=50.0, high=90.0, count=0, ended_at=FIRST
    )
    return check


def _shoot(person: Person) -> ObservedShoot:
    return ObservedShoot.objects.create(
        person=person, shot_on=FIRST.date(), seen={}, signed=False, client_key=uuid.uuid4(), made_at=FIRST
    )


def _entered(person: Person, answered: Attempt) -> dict[str, Any]:
    """What was decided about and given to this person, with words that name them."""
    words = f"about {person}"
    Decision.objects.create(person=person, what="hold", reason=words, made_at=FIRST)
    Remark.objects.create(person=person, attempt=answered.pk, words=words, made_at=FIRST)
    appeal = Appeal.objects.create(person=person, state="due", words=words, made_at=FIRST)
    change = KitChange.objects.create(person=person, kit="heron-three", parts=["phone"], made_at=FIRST)
    given = Assignment.objects.create(person=person, recipe="two-rooms-place", words=words, made_at=FIRST)
    return {
        "answered_id": answered.pk, "appeal_id": appeal.pk, "change_id": change.pk, "assignment_id": given.pk,
    }  # fmt: skip


def _reshoot(person: Person, team: Team) -> Reshoot:
    """A reshoot with words that name its team."""
    return Reshoot.objects.create(
        firm=team.firm, team=team, person=person, shot_on=FIRST.date(), cause="F8", cost=80, words=f"home of {team}",
        made_at=FIRST,
    )  # fmt: skip


def _invitation(team: Team) -> Invitation:
    return Invitation.objects.create(
        team=team,
        roles=[Role.OPERATOR],
        code_digest=team.pk.hex,
        made_at=timezone.now(),
        expires_at=timezone.now() + timedelta(days=7),
    )


def _refresher(person: Person, team: Team) -> Refresher:
    """A refresher that runs, with a plan of the person."""
    now = timezone.now()
    row = Refresher.objects.create(
        team=team, ready_on=now.date() + timedelta(days=30), title=f"Season of {team}", made_at=now
    )
    Plan.objects.create(refresher=row, person=person, wanted={"D2": 2}, minutes=3, chance=0.4, made_at=now)
    return row


def _kit(firm: Firm) -> Edition:
    """A kit of the firm, as far as its address goes."""
    body = Edition.objects.filter(what=shelf.What.KIT, firm=None)[0].body
    name = f"kit-{firm.pk.hex[:12]}"
    made, _ = Edition.objects.get_or_create(
        what=shelf.What.KIT,
        name=name,
        defaults={"address": name.ljust(64, "0"), "body": {**body, "name": name}, "since": FIRST, "firm": firm},
    )
    return made
