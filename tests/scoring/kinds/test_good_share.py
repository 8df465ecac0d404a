"""The share of good frames among cases made: as many as are drawn, whichever are unfit more often."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from scoring.drill import Task, Unfit
from scoring.kinds import LOOKED_AT, REGISTER, kind
from scoring.kinds.good_share import TRIES, chosen_code, tries_of, until_fair
from scoring.kinds.settings import settings_of
from tests.scoring.kinds.shipped import parts, standard

FAULTS = ("F1", "F4", "F10")
UNFIT = {"F": 0.5, "N": 0.2}
"""How often a frame is refused here, with a fault and without."""


def fussy(rng: Random, code: str) -> str:
    if rng.random() < UNFIT[code[0]]:
        raise Unfit(f"{code} will not do")
    return code


def is_good(code: str) -> bool:
    return code.startswith("N")


@pytest.mark.parametrize("good", [0.25, 0.6])
def test_of_the_cases_made_as_many_are_good_as_of_those_drawn(good: float) -> None:
    drawn, made, at_once = [], [], []
    for seed in range(1500):
        name = f"case/{seed}"
        drawn.append(is_good(chosen_code(Random(name), FAULTS, good)))
        made.append(is_good(until_fair(name, FAULTS, good, fussy)))
        rng = Random(name)
        if (code := chosen_code(rng, FAULTS, good)) and rng.random() >= UNFIT[code[0]]:
            at_once.append(is_good(code))
    assert made == drawn
    assert sum(made) / len(made) == pytest.approx(good, abs=0.03)
    assert sum(at_once) / len(at_once) > good + 0.07, "which is what leaving unfit seeds out comes to"


def test_each_fault_gets_its_turn_while_a_seed_is_tried() -> None:
    tried: list[str] = []

    def never(rng: Random, code: str) -> str:
        tried.append(code)
        raise Unfit(f"{len(tried)}: {code}")

    seed = next(n for n in range(99) if not is_good(chosen_code(Random(f"x/{n}"), FAULTS, 0.25)))
    with pytest.raises(Unfit, match=f"^{TRIES}: "):
        until_fair(f"x/{seed}", FAULTS, 0.25, never)
    assert set(tried) == set(FAULTS)
    assert tried[0] == chosen_code(Random(f"x/{seed}"), FAULTS, 0.25)


def test_an_unfit_seed_stands_for_all_its_tries_where_a_share_of_good_frames_is_set() -> None:
    tries = {name: tries_of(kind(name)) for name in REGISTER}
    assert {name for name, count in tries.items() if count == TRIES} == {"verdict", "cause", "cue", "heading"}
    assert {count for name, count in tries.items() if name not in LOOKED_AT} == {1}


def drawn_good(name: str, seed: int) -> bool:
    """Whether the seed's own stream draws a frame with nothing wrong."""
    recipe, *_ = parts(name)
    found: Any = kind(recipe.kind)
    good = settings_of(recipe, found.Settings).good
    return is_good(chosen_code(Random(f"{recipe.kind}/{seed}"), FAULTS, good))


def made_of(name: str, seed: int) -> Task:
    return kind(parts(name)[0].kind).make(*parts(name), standard(), seed)


@pytest.mark.parametrize(("name", "seeds"), [("verdict-one-bedroom", (1, 2, 3))])
def test_a_shipped_seed_makes_what_it_drew(name: str, seeds: tuple[int, ...]) -> None:
    drawn = [drawn_good(name, seed) for seed in seeds]
    assert [is_good(made_of(name, seed).key["known"]["code"]) for seed in seeds] == drawn
    assert len(set(drawn)) == 2


@pytest.mark.proof
@pytest.mark.parametrize("name", ["verdict-one-bedroom", "cause-doubled-open-plan", "cue-open-plan", "heading-lens"])
def test_the_share_of_good_cases_made_is_the_one_that_a_recipe_sets(name: str) -> None:
    seeds = range(1, 17)
    drawn, made = [], []
    for seed in seeds:
        try:
            made.append(is_good(made_of(name, seed).key["known"]["code"]))
        except Unfit:
            continue
        drawn.append(drawn_good(name, seed))
    print(f"{name}: {len(made)} of {len(seeds)} seeds make a case, {sum(made)} of them good")
    assert made == drawn
    assert len(made) >= 0.9 * len(seeds), "hardly a seed is left out, so that none of either kind is"
