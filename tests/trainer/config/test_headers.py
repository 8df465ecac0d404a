"""Every reply carries the headers, whatever it is: page, API, refusal, missing, static."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

pytestmark = pytest.mark.django_db

WANTED = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def pages() -> list[str]:
    return [
        reverse("account_login"),
        reverse("account_signup"),
        reverse("api_recipes"),
        reverse("api_schema"),
        "/no/such/page/",
    ]


@pytest.mark.parametrize("number", range(5))
def test_every_reply_carries_them(number: int, client: Client) -> None:
    reply = client.get(pages()[number])
    assert {name: reply.headers.get(name) for name in WANTED} == WANTED
    assert "no-store" in reply.headers["Cache-Control"]
    policy = reply.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert "camera=()" in reply.headers["Permissions-Policy"]


def test_a_nonce_is_new_for_every_page(client: Client, three: Any) -> None:
    client.force_login(three.insider)
    policies = {client.get(reverse("account_login"), follow=True).headers["Content-Security-Policy"] for _ in range(2)}
    assert len(policies) == 2


def test_another_host_is_refused(client: Client) -> None:
    assert client.get(reverse("account_login"), headers={"Host": "elsewhere.example"}).status_code == 400


def test_signing_in_leads_nowhere_else(client: Client, three: Any) -> None:
    fields = {
        "login": "insider@example.org",
        "password": "a long and quiet password",
        "next": "https://elsewhere.example/",
    }
    reply = client.post(reverse("account_login"), fields)
    assert reply.status_code == 302
    assert "elsewhere" not in reply.headers["Location"]
