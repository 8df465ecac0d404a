"""How people come in: by an address and a password that someone of their firm invited them to set."""

from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest

from trainer.people.models import Person


class ByInvitation(DefaultAccountAdapter):  # type: ignore[misc]
    """Accounts are made by the firm, never by a passer-by."""

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "email_password_mismatch": "This address and this password do not go together.",
        "rate_limited": "Too many tries. Wait a little, then try again.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Nobody makes an account from outside."""
        return False


def displayed(person: Person) -> str:
    """The name by which the site greets somebody."""
    return str(person)
