"""Before anybody comes a few variations are made, and the rest is queued."""

from __future__ import annotations

from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django_tasks_db.models import DBTaskResult

from trainer.renders import stock
from trainer.renders.models import Variation

pytestmark = pytest.mark.django_db


def run(**options: Any) -> str:
    out = StringIO()
    call_command("stock", stdout=out, **options)
    return out.getvalue()


def test_it_makes_what_is_missing_and_queues_the_rest(stocked: Any) -> None:
    said = run(now=4)
    assert said.count("Making") == 1
    assert stock.count(stocked.address) == 4
    assert DBTaskResult.objects.get().args_kwargs["args"] == ["two-rooms-place", stock.READY]


def test_run_again_it_has_nothing_to_make(stocked: Any) -> None:
    assert run(now=3) == ""
    assert run(now=3) == ""
    assert DBTaskResult.objects.count() == 1


def test_it_begins_no_second_one_after_its_time(stocked: Any) -> None:
    assert run(now=9, within_s=0.0) == ""
    assert stock.count(stocked.address) == 3
    assert DBTaskResult.objects.count() == 1


def test_the_first_of_every_recipe_is_made_however_long_it_takes(stocked: Any) -> None:
    Variation.objects.all().delete()
    assert run(now=9, within_s=0.0).count("Making") == 1
    assert stock.count(stocked.address) == 1
