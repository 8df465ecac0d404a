"""A small ledger of the bench: what was folded in uneven steps equals what is folded from zero, to the last digit."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import call_command

from bench import _ledger
from trainer.drills.models import Entry
from trainer.progress.catch_up import catch_up, rebuild


@pytest.mark.django_db
def test_a_rebuild_equals_what_was_folded_step_by_step() -> None:
    call_command("library", stdout=StringIO())
    everybody = _ledger.people(6)
    _ledger.fill(everybody[1:], 260, seed=11, days=30, void_every=40)
    assert Entry.objects.count() == 260
    assert Entry.objects.filter(what="void").count() >= 3
    last = Entry.objects.order_by("-pk").values_list("pk", flat=True)[0]
    for upto in range(last - 259, last + 40, 37):
        catch_up(upto)
        _ledger.projections(3)
    stored = _ledger.projections()
    assert rebuild() == 260
    assert _ledger.projections() == stored
    assert rebuild() == 260
    assert _ledger.projections() == stored
