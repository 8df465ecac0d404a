"""The look that a person has just taken, held in memory for the page that shows it, and for nothing else.

One for each person: the next one takes its place. What is not kept within `limits.HELD_S` is gone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.core.cache import caches

from trainer.looks.limits import HELD_S
from trainer.looks.measuring import Measured
from trainer.people.models import Person


@dataclass(frozen=True, slots=True)
class Held:
    """A look before anybody asked to keep it."""

    name: str
    body: dict[str, Any]
    picture: bytes


def hold(person: Person, token: str, name: str, measured: Measured) -> None:
    """Hold a look in place of the one before."""
    value = {"token": token, "name": name, "body": measured.body, "picture": measured.picture}
    caches["held_looks"].set(_key(person), value, HELD_S)


def held(person: Person, token: str | None = None) -> Held | None:
    """What is held for that person (under that token); None when it is gone."""
    value = caches["held_looks"].get(_key(person))
    if value is None or (token is not None and value["token"] != token):
        return None
    return Held(value["name"], value["body"], value["picture"])


def token_of(person: Person) -> str:
    """The random name of what is held, by which its page keeps just that; empty when nothing is."""
    value = caches["held_looks"].get(_key(person))
    return "" if value is None else str(value["token"])


def let_go(person: Person) -> None:
    """Forget it now."""
    caches["held_looks"].delete(_key(person))


def _key(person: Person) -> str:
    return f"look-{person.pk}"


__all__ = ["Held", "held", "hold", "let_go", "token_of"]
