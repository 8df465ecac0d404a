"""The invented firm that a fresh site shows: every role once, one random sign-in for all of them."""

from __future__ import annotations

import os
import secrets
from dataclasses import dataclass
from pathlib import Path

from django.db import transaction

from trainer.people.apart import is_apart
from trainer.people.models import Firm, Membership, Person, Role, Team

FIRM = "An invented firm"
TEAM = "First team"
PEOPLE = (
    ("operator@levelhead.example", "Olive Inventa", (Role.OPERATOR,)),
    ("mate@levelhead.example", "Max Inventa", (Role.OPERATOR,)),
    ("trainer@levelhead.example", "Tilda Inventa", (Role.TRAINER, Role.OPERATOR)),
    ("manager@levelhead.example", "Mirko Inventa", (Role.MANAGER,)),
    ("owner@levelhead.example", "Oda Inventa", (Role.OWNER,)),
)
LETTERS = "abcdefghjkmnpqrstuvwxyz"
"""Without those that are mistaken for others."""


@dataclass(frozen=True, slots=True)
class DemoSignIn:
    """The addresses of the invented people and the password that they share."""

    addresses: tuple[str, ...]
    password: str


def demo_password(path: Path) -> str:
    """The password kept in a file that only its owner may read; made at random when there is none (72 bits)."""
    if path.exists():
        return path.read_text().strip()
    made = "-".join("".join(secrets.choice(LETTERS) for _ in range(4)) for _ in range(4))
    path.parent.mkdir(parents=True, exist_ok=True)
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
        file.write(made + "\n")
    return made


def make_demo(path: Path) -> DemoSignIn:
    """Make the invented firm, or bring it back to its password; running it again changes nothing else.

    Whoever has one of the addresses in a real firm is left alone.
    """
    password = demo_password(path)
    with transaction.atomic():
        firm, _ = Firm.objects.get_or_create(name=FIRM, invented=True)
        team, _ = Team.objects.get_or_create(firm=firm, name=TEAM)
        for address, name, roles in PEOPLE:
            person = Person.objects.filter(email=address).first()
            if person is None:
                person = Person.objects.create_user(address, password, name=name)
            elif is_apart(person, invented=True):
                continue
            elif not person.check_password(password):
                person.set_password(password)
                person.save(update_fields=["password"])
            for role in roles:
                Membership.objects.get_or_create(person=person, team=team, role=role, until=None)
    return DemoSignIn(tuple(address for address, _, _ in PEOPLE), password)


__all__ = ["DemoSignIn", "demo_password", "make_demo"]
