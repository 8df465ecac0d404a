"""Every state has people in the invented firm, told by the rule as it ships, when cases of all recipes are in stock.

The cases here are of the shipped recipes and their skills, but with plain answers made up for the test: to draw frames
of them all would take minutes. Who they are, what they answer and when, and what trainers entered is the demo's own.
"""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import Any

import pytest

from scoring.drill import Task
from trainer.library.shelf import basis, recipes
from trainer.people.invented import make_demo
from trainer.people.models import Membership, Person, Role
from trainer.progress.catch_up import catch_up
from trainer.progress.demo.cast import OPERATORS, firm_of_demo
from trainer.progress.demo.pool import CASES_EACH, Case, Graded
from trainer.progress.demo.year import SEED, write_year
from trainer.progress.standings import now_of_many

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 15, 16, 40, tzinfo=UTC)


@pytest.fixture
def cases(shelf_of_all: None) -> list[Case]:
    """Two cases of every shipped recipe, each with a whole answer, a half one and a wrong one."""
    rng = Random(1)
    return [_case(recipe, rng) for recipe in recipes() for _ in range(CASES_EACH)]


@pytest.fixture
def shelf_of_all(db: None) -> None:
    from trainer.library.files import read_scenarios
    from trainer.library.shelf import entries_of, take_in

    take_in(entries_of(read_scenarios(Path(__file__).resolve().parents[4] / "scenarios")), NOW)


def _case(recipe: Any, rng: Random) -> Case:
    made_of = basis(recipe.name)
    task = Task(
        kind=recipe.kind, recipe=recipe.name, recipe_hash="0" * 64, seed=rng.getrandbits(40),
        engine="1", standard="house-1", public={"title": recipe.title}, key={}, difficulty_logit=0.0,
        difficulty_sd=0.6, guess_floor=0.2, fingerprint=f"{rng.getrandbits(256):064x}",
    )  # fmt: skip
    good, *weak = (_graded(recipe.skills, credit) for credit in (1.0, 0.5, 0.0))
    return Case(task, "heron-three", made_of.standard_address, (good,), tuple(weak))


def _graded(skills: Any, credit: float) -> Graded:
    evidence = [
        {"skill": skill, "credit": credit, "difficulty_logit": 0.0, "difficulty_sd": 0.6, "guess_floor": 0.2}
        for skill in skills
    ]
    verdict = "holds" if credit == 1.0 else "look-again"
    grade = {
        "credit": credit, "verdict": verdict, "summary": "", "marks": [], "evidence": evidence, "shapes": [],
    }  # fmt: skip
    return Graded({"stations": []}, credit, verdict, grade)


def test_every_state_has_people_and_a_fair_share_is_ready(cases: list[Case], tmp_path: Path) -> None:
    make_demo(tmp_path / "demo_sign_in")
    write_year(NOW, SEED, cases)
    catch_up()
    firm = firm_of_demo()
    works = Membership.objects.filter(team__firm=firm, role=Role.OPERATOR)
    found = now_of_many(Person.objects.filter(pk__in=works.values("person")), NOW)
    states = Counter(one.state for one in found)
    assert states.total() == OPERATORS
    assert 8 <= states["ready"] <= 20, states
    assert states["due"] >= 1, states
    assert states["lapsed"] >= 1, states
    assert states["held"] >= 1, states
    assert states["untried"] >= 3, states
    assert states["in training"] >= 10, states
