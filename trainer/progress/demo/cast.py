"""Who works for the invented firm: three teams in three regions, sixty operators, those who lead them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

from trainer.people.apart import is_apart
from trainer.people.invented import FIRM, PEOPLE, TEAM
from trainer.people.models import Firm, Membership, Person, Role, Team

OPERATORS = 60
REGIONS = ("Hill country", "River towns", "Coast")
TEAMS = (TEAM, "Second team", "Third team")
FIRST_NAMES = (
    "Abel", "Bruna", "Corin", "Delia", "Edda", "Falk", "Gwen", "Hanno", "Ilse", "Joris", "Kaja", "Ludo", "Mira", "Nils",
    "Orla", "Pelle", "Quinta", "Runa", "Sander", "Tove", "Udo", "Vera", "Wim", "Xenia", "Yara", "Zeno",
)  # fmt: skip
LAST_BEGINS = ("Quill", "Tam", "Or", "Brask", "Vel", "Harn", "Ost", "Lind", "Mar", "Pen", "Sol", "Wick")
LAST_ENDS = ("moor", "sel", "vane", "in", "dry", "holt", "eby", "qvist", "low", "ditch", "berg", "ram")
LEADERS = ((Role.MANAGER, 2), (Role.TRAINER, 2))
"""So many of each in every team, those who can sign in among them."""


@dataclass(frozen=True, slots=True)
class Crew:
    """One team with its people."""

    team: Team
    operators: tuple[Person, ...]
    trainers: tuple[Person, ...]
    managers: tuple[Person, ...]


def firm_of_demo() -> Firm | None:
    """The invented firm; None where there is none."""
    return Firm.objects.filter(name=FIRM, invented=True).order_by("made_at").first()


def is_cast(firm: Firm) -> bool:
    """Whether the people of the year are there."""
    return Team.objects.filter(firm=firm, name=TEAMS[-1]).exists()


def cast(firm: Firm, rng: Random, since: datetime) -> list[Crew]:
    """Make the teams and their people, round those who can sign in. Nobody else of them can."""
    names = _names(rng)
    crews = []
    for number, (name, region) in enumerate(zip(TEAMS, REGIONS, strict=True)):
        team, _ = Team.objects.get_or_create(firm=firm, name=name)
        team.region = region
        team.save(update_fields=["region"])
        sign_ins = Person.objects.filter(memberships__team=team, email__in=[a for a, _, _ in PEOPLE]).distinct()
        given = [person for person in sign_ins if not is_apart(person, invented=True)]
        held = {role: [p for p in given if p.memberships.filter(team=team, role=role).exists()] for role in Role.values}
        wanted = OPERATORS // len(TEAMS)
        operators = held[Role.OPERATOR] + [
            _person(team, Role.OPERATOR, next(names), number, since) for _ in range(wanted - len(held[Role.OPERATOR]))
        ]
        lead = {}
        for role, count in LEADERS:
            missing = range(count - len(held[role]))
            lead[role] = held[role] + [_person(team, role, next(names), number, since) for _ in missing]
        crews.append(Crew(team, tuple(operators), tuple(lead[Role.TRAINER]), tuple(lead[Role.MANAGER])))
    return crews


def settle(crews: Iterable[Crew], first: Mapping[Person, datetime], before: datetime) -> None:
    """Have everybody be there since the day before their first case; those who do none since ``before``."""
    for crew in crews:
        for person in (*crew.operators, *crew.trainers, *crew.managers):
            since = first[person] - timedelta(days=1) if person in first else before
            person.memberships.filter(team=crew.team).update(since=since)
            Person.objects.filter(pk=person.pk).update(joined_at=since)
        crew.team.memberships.filter(role=Role.OWNER).update(since=before)


def _person(team: Team, role: str, name: str, number: int, since: datetime) -> Person:
    address = f"{name.lower().replace(' ', '.')}@team-{number + 1}.levelhead.example"
    person = Person(email=address, name=name, joined_at=since)
    person.set_unusable_password()
    person.save()
    Membership.objects.create(person=person, team=team, role=role, since=since)
    return person


def _names(rng: Random) -> Iterator[str]:
    seen: set[str] = set()
    while True:
        name = f"{rng.choice(FIRST_NAMES)} {rng.choice(LAST_BEGINS)}{rng.choice(LAST_ENDS)}"
        if name not in seen:
            seen.add(name)
            yield name


__all__ = ["OPERATORS", "TEAMS", "Crew", "cast", "firm_of_demo", "is_cast", "settle"]
