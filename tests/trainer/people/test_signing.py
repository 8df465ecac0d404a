"""Signing in and out, a forgotten password, and the rules of a password."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.contrib.auth.hashers import identify_hasher
from django.core import mail
from django.test import Client
from django.urls import reverse

from trainer.people.models import Person

pytestmark = pytest.mark.django_db

PASSWORD = "a long and quiet password"


def sign_in(client: Client, email: str = "insider@example.org", password: str = PASSWORD) -> Any:
    return client.post(reverse("account_login"), {"login": email, "password": password})


def test_passwords_are_kept_under_argon2(three: Any) -> None:
    assert identify_hasher(three.insider.password).algorithm == "argon2"


def test_the_session_id_is_new_after_signing_in_and_dead_after_signing_out(client: Client, three: Any) -> None:
    client.get(reverse("account_login"))
    session = client.session
    session["before"] = 1
    session.save()
    before = session.session_key
    client.cookies["sessionid"] = before
    assert sign_in(client).status_code == 302
    during = client.session.session_key
    assert during != before
    client.post(reverse("account_logout"))
    client.cookies["sessionid"] = during
    assert client.get(reverse("api_recipes")).status_code == 401


def test_the_address_is_read_in_small_letters(client: Client, three: Any) -> None:
    assert sign_in(client, "Insider@Example.ORG").status_code == 302


def test_an_unknown_address_and_a_wrong_password_get_the_same_words(client: Client, three: Any) -> None:
    def words(response: Any) -> list[str]:
        return [str(error) for errors in response.context["form"].errors.values() for error in errors]

    wrong, unknown = sign_in(client, password="x" * 20), sign_in(client, email="nobody@example.org")
    assert words(wrong) == words(unknown) == ["This address and this password do not go together."]


def test_someone_who_left_cannot_come_in_and_an_open_session_ends_at_once(client: Client, three: Any) -> None:
    sign_in(client)
    assert client.get(reverse("api_recipes")).status_code == 200
    Person.objects.filter(pk=three.insider.pk).update(is_active=False)
    assert client.get(reverse("api_recipes")).status_code == 401
    assert sign_in(Client()).headers["Location"] == reverse("account_inactive")


def test_many_wrong_tries_are_slowed_down(client: Client, three: Any) -> None:
    replies = [sign_in(client, password="wrong " * 4).status_code for _ in range(15)]
    last = sign_in(client)
    assert 429 in replies or last.status_code != 302


def test_nobody_makes_an_account_from_outside(client: Client, db: None) -> None:
    page = client.get(reverse("account_signup"))
    assert b'name="password1"' not in page.content
    fields = {"email": "new@example.org", "password1": PASSWORD, "password2": PASSWORD}
    client.post(reverse("account_signup"), fields)
    assert not Person.objects.filter(email="new@example.org").exists()


def test_a_forgotten_password_is_set_anew_by_a_link_that_works_once(client: Client, three: Any) -> None:
    client.post(reverse("account_reset_password"), {"email": "insider@example.org"})
    (letter,) = mail.outbox
    link = re.search(r"http://testserver(/\S+)", letter.body)
    assert link is not None
    form = client.get(link.group(1), follow=True)
    where = form.request["PATH_INFO"]
    fresh = "another long and quiet one"
    done = client.post(where, {"password1": fresh, "password2": fresh})
    assert done.status_code == 302
    assert sign_in(Client(), password=fresh).status_code == 302
    assert sign_in(Client()).status_code == 200
    again = Client().get(link.group(1), follow=True)
    assert b'name="password1"' not in again.content


def test_an_unknown_address_gets_the_same_reply_and_no_account(client: Client, three: Any) -> None:
    known = client.post(reverse("account_reset_password"), {"email": "insider@example.org"})
    unknown = client.post(reverse("account_reset_password"), {"email": "nobody@example.org"})
    assert (known.status_code, known.headers["Location"]) == (unknown.status_code, unknown.headers["Location"])


@pytest.mark.parametrize("weak", ["fourteen chars", "yfdbufnjh10305070", "insider@example.org"])
def test_a_weak_password_is_refused(weak: str, client: Client, three: Any) -> None:
    client.force_login(three.insider, backend="allauth.account.auth_backends.AuthenticationBackend")
    sign_in(client)
    fields = {"oldpassword": PASSWORD, "password1": weak, "password2": weak}
    client.post(reverse("account_change_password"), fields)
    three.insider.refresh_from_db()
    assert three.insider.check_password(PASSWORD)
