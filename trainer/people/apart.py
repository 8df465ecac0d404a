"""The invented firm stands apart: whoever has been in it comes into no real one, nor the other way round."""

from __future__ import annotations

from trainer.people.models import Membership, Person

COME_IN = {
    False: "This sign-in has been in the invented firm, and nothing of that may mix with a real one. "
    "Come in with an address of your own that was never in it.",
    True: "This sign-in has been in a real firm, and nothing of that may mix with the invented one. "
    "Come in with another address.",
}
"""What somebody from the other side is told, by whether the firm is invented."""


def is_apart(person: Person, *, invented: bool) -> bool:
    """Whether somebody works, or ever worked, on the other side: what they answered there went along with them."""
    return Membership.objects.filter(person=person, team__firm__invented=not invented).exists()


def kept_apart(person: Person, *, invented: bool) -> str:
    """Why somebody does not come into such a firm, and what to do; empty for whoever may."""
    return COME_IN[invented] if is_apart(person, invented=invented) else ""


__all__ = ["COME_IN", "is_apart", "kept_apart"]
