"""Observed shoots, for tests of who is ready."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from trainer.library.rules import SITE_RULE
from trainer.progress.life import ground
from trainer.roster.models import ObservedShoot


@pytest.fixture
def shot(three: Any) -> Callable[..., ObservedShoot]:
    """Enters an observed shoot of a person: all critical skills done, ``but`` one where that is named."""

    def make(person: Any, *, at: datetime, signed: bool = True, but: str = "") -> ObservedShoot:
        seen = {star.code: "not done" if star.code == but else "done" for star in ground(SITE_RULE).stars}
        return ObservedShoot.objects.create(
            person=person, by=three.trainer, shot_on=at.date(), seen=seen, signed=signed, client_key=uuid.uuid4(),
            made_at=at,
        )  # fmt: skip

    return make
