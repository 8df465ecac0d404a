"""The API's own description: valid, complete, and true when random requests are held against it."""

from __future__ import annotations

import json
import uuid
from typing import Any

import pytest
import schemathesis
from django.test import Client
from django.urls import reverse
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from openapi_spec_validator import validate
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from trainer.drills.answer import answer

pytestmark = pytest.mark.django_db


def described() -> dict[str, Any]:
    schema: dict[str, Any] = json.loads(
        json.dumps(SchemaGenerator().get_schema(request=None, public=True), default=str)
    )
    return schema


def test_it_is_a_valid_description() -> None:
    validate(described())


def test_it_names_every_address_of_the_api_but_its_own() -> None:
    assert set(described()["paths"]) == {
        "/api/recipes/",
        "/api/floors/{slug}/survey/",
        "/api/attempts/",
        "/api/attempts/{attempt_id}/",
        "/api/attempts/{attempt_id}/answer/",
        "/api/attempts/{attempt_id}/grade/",
        "/api/attempts/{attempt_id}/what-if/",
        "/api/people/{person_id}/observed/",
    }


def test_it_is_served_to_whoever_is_signed_in(client: Client, three: Any) -> None:
    client.force_login(three.insider)
    assert client.get(reverse("api_schema")).json()["openapi"].startswith("3.")


CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("graded", [False, True])
def test_random_requests_find_nothing_that_it_does_not_say(
    graded: bool, live_server: Any, issued: Any, good_answer: Any, three: Any
) -> None:
    if graded:
        now = issued.issued_at
        answer(issued, client_key=uuid.uuid4(), body=good_answer, sureness=2, answered_at=now, now=now)
    client = Client()
    client.force_login(three.insider)
    client.get(reverse("account_reauthenticate"))
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    schema = schemathesis.openapi.from_dict(described())
    operations = [operation.ok() for operation in schema.get_all_operations()]
    assert len(operations) == 8

    @seed(20260301)
    @settings(
        max_examples=60,
        deadline=None,
        derandomize=False,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=st.one_of([operation.as_strategy() for operation in operations]))
    def hold(case: Any) -> None:
        if "attempt_id" in case.path_parameters:
            case.path_parameters["attempt_id"] = str(issued.pk)
        if "slug" in case.path_parameters:
            case.path_parameters["slug"] = "two-rooms"
        headers = {"X-CSRFToken": cookies["csrftoken"]}
        case.call_and_validate(base_url=live_server.url, headers=headers, cookies=cookies, checks=CHECKS)

    hold()
