from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from scoring.drill import Recipe, Unfit
from scoring.kinds import kind, settings_problems
from scoring.kinds.settings import settings_of
from scoring.kinds.thin import EXTRA, Settings
from tests.scoring.kinds.shipped import parts, standard


def recipe(**settings: Any) -> Recipe:
    return replace(parts("thin-l-rooms")[0], settings=settings)


def test_what_is_left_out_takes_its_default() -> None:
    assert settings_of(recipe(), Settings) == Settings(vary=True, extra=EXTRA)


def test_a_whole_number_that_was_kept_as_a_fraction_is_whole() -> None:
    assert settings_of(recipe(extra=4.0, vary=False), Settings) == Settings(vary=False, extra=4)


def test_a_recipe_with_faulty_settings_makes_nothing_and_says_why() -> None:
    _, plan, kit = parts("thin-l-rooms")
    with pytest.raises(Unfit, match=r"'thin-l-rooms': settings.extra: must be at most 8"):
        kind("thin").make(recipe(extra=50.0), plan, kit, standard(), 1)


def test_every_fault_is_told_at_its_place() -> None:
    found = settings_problems(recipe(extra="many", varied=True))
    assert sorted(problem.where for problem in found) == ["settings.extra", "settings.varied"]
