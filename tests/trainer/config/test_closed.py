"""While a check is open nobody tries stations on its places: the page leads back, the API says why."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.trainer.conftest import FIRST
from trainer.drills.check_end import CheckFigures, end_check
from trainer.drills.check_open import open_check

pytestmark = pytest.mark.django_db


def test_live_sight_is_closed_until_the_check_is_over(client: Client, stocked: Any, three: Any) -> None:
    page, survey = reverse("try", args=["two-rooms"]), reverse("api_survey", args=["two-rooms"])
    asked = {"kit": "heron-three", "stations": []}
    client.force_login(three.insider)
    assert client.get(page).status_code == 200
    check = open_check(three.insider, "rule-1", FIRST)
    assert client.get(page).headers["Location"] == reverse("check")
    refused = client.post(survey, asked, content_type="application/json")
    assert (refused.status_code, "A check is open" in refused.json()["detail"]) == (409, True)
    assert client.get(reverse("places")).status_code == 200, "the list itself helps nobody"
    client.force_login(three.mate)
    assert client.get(page).status_code == 200, "only whose check it is"
    end_check(check, "given up", CheckFigures(70.0, 50.0, 90.0, 0.5, 0), FIRST)
    client.force_login(three.insider)
    assert client.get(page).status_code == 200
    assert client.post(survey, asked, content_type="application/json").status_code == 200
