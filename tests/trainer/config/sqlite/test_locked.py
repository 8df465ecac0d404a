"""While another writer holds the embedded database, writing is said to be busy and reading goes on."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from trainer.config.sqlite.gate import Gate
from trainer.drills.models import Answer

pytestmark = pytest.mark.django_db(transaction=True)


def test_an_answer_is_asked_back_later_and_nothing_is_half_stored(
    client: Client, issued: Any, good_answer: Any, three: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.force_login(three.insider)
    told = {
        "client_key": "0a1b2c3d-0000-4000-8000-000000000001",
        "answer": good_answer,
        "sureness": 2,
        "answered_at": "2026-03-01T10:00:00Z",
    }
    where = reverse("api_answer", args=[issued.pk])
    holder = Gate(f"{connection.settings_dict['NAME']}.gate", wait_s=5)
    holder.enter()
    monkeypatch.setattr(connection.gate, "wait_s", 0.05)
    try:
        busy = client.put(where, told, content_type="application/json")
        read = client.get(reverse("api_attempt", args=[issued.pk]))
    finally:
        holder.close()
    assert (busy.status_code, busy.headers["Retry-After"]) == (503, "5")
    assert (read.status_code, read.json()["graded"]) == (200, False)
    assert not Answer.objects.exists()
    again = client.put(where, told, content_type="application/json")
    assert again.status_code == 200
