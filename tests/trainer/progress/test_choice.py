"""The drills of a day: how many, which, near four in five, and in which order."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.mastery.ability import Figure
from scoring.mastery.selection import SkillState
from trainer.progress.choice import LACKING_MOST, LEAST, MOST, Lack, Offer, Pick, Request, choose, in_turns

KINDS = {"place": False, "join": False, "stand": False, "verdict": True, "cause": True, "pair": True}
CODES = ("A2", "B1", "B3", "D1", "D2", "E1", "V1", "V3")


def offer(
    recipe: str, *skills: str, kind: str = "place", expected: float = 0.8, done: int = 0, look: str = ""
) -> Offer:
    return Offer(recipe, kind, KINDS[kind], skills, look, expected, done)


def state(chance: float = 0.9, overdue: float | None = -1.0, *, star: bool = True, wide: float = 20.0) -> SkillState:
    return SkillState(Figure(80.0, 80.0 - wide / 2, 80.0 + wide / 2, chance, 8), star, overdue)


SHELF = [
    offer(f"{code.lower()}-{kind}-{n}", code, kind=kind) for code in CODES for n, kind in enumerate(("place", "cause"))
]

shelves = st.lists(
    st.builds(
        Offer,
        recipe=st.uuids().map(str),
        kind=st.sampled_from(sorted(KINDS)),
        looked_at=st.booleans(),
        skills=st.lists(st.sampled_from(CODES), min_size=1, max_size=3, unique=True).map(tuple),
        look=st.sampled_from(["", "doubled", "hazy"]),
        expected=st.floats(0.0, 1.0),
        done=st.integers(0, 9),
    ),
    max_size=14,
    unique_by=lambda one: one.recipe,
)
skill_states = st.dictionaries(
    st.sampled_from(CODES),
    st.builds(
        state, st.floats(0.0, 1.0), st.none() | st.floats(-1.0, 5.0), star=st.booleans(), wide=st.floats(1.0, 90.0)
    ),
    max_size=8,
)


def clashes(picks: list[Pick], by_recipe: dict[str, Offer]) -> int:
    return sum(
        one.skill == other.skill or by_recipe[one.recipe].main == by_recipe[other.recipe].main
        for one, other in pairwise(picks)
    )


@settings(max_examples=150, deadline=None)
@given(shelves, skill_states, st.integers(0, 5))
def test_a_set_is_short_has_no_drill_twice_and_is_the_same_for_a_seed(
    offers: list[Offer], states: dict[str, SkillState], seed: int
) -> None:
    picks = choose(offers, states, seed=seed)
    assert picks == choose(list(reversed(offers)), states, seed=seed)
    assert len(picks) <= MOST
    assert len({pick.recipe for pick in picks}) == len(picks)
    by_recipe = {one.recipe: one for one in offers}
    assert all(pick.skill in by_recipe[pick.recipe].skills and pick.skill in states for pick in picks)
    mains = [by_recipe[pick.recipe].main for pick in picks]
    assert all(mains.count(main) <= LEAST // 2 for main in mains)


@settings(max_examples=60, deadline=None)
@given(shelves, skill_states, st.integers(0, 5))
def test_no_order_would_have_fewer_neighbours_of_one_skill(
    offers: list[Offer], states: dict[str, SkillState], seed: int
) -> None:
    picks = choose(offers, states, seed=seed, least=4, most=5)
    by_recipe = {one.recipe: one for one in offers}
    assert clashes(picks, by_recipe) == min(clashes(list(order), by_recipe) for order in permutations(picks))


def test_where_there_is_enough_it_has_six_to_eight_and_never_two_of_a_skill_in_a_row() -> None:
    states = {code: state(overdue=overdue) for code, overdue in zip(CODES, (2, 1, 0, -1, -1, -1, -1, 3), strict=True)}
    picks = choose(SHELF, states, seed=1)
    assert LEAST <= len(picks) <= MOST
    assert clashes(picks, {one.recipe: one for one in SHELF}) == 0
    assert picks[0].skill == "V3"
    assert {"V3", "A2", "B1"} <= {pick.skill for pick in picks}


def test_beyond_six_it_adds_only_what_presses() -> None:
    calm = {code: state(chance=0.99, star=False, wide=5.0) for code in CODES}
    assert len(choose(SHELF, calm, seed=1)) == LEAST
    pressing = {code: state(chance=0.1, overdue=2.0) for code in CODES}
    assert len(choose(SHELF, pressing, seed=1)) == MOST


def test_the_due_the_weak_and_the_new_each_say_so() -> None:
    states = {"A2": state(overdue=3.0), "B1": state(chance=0.05), "D2": state(overdue=None, star=False)}
    picks = choose(SHELF, states, seed=1, least=3, most=3)
    assert {pick.skill: pick.reason for pick in picks} == {"A2": "due", "B1": "weak", "D2": "new"}


def test_what_somebody_asked_for_comes_first_by_recipe_or_by_skill() -> None:
    states = {code: state(overdue=2.0) for code in CODES}
    asked = [Request("e1-cause-1", "", 2), Request("", "B3", 1), Request("d1-place-0", "", 0), Request("gone", "", 3)]
    picks = choose(SHELF, states, asked=asked, seed=1)
    told = {pick.skill: pick for pick in picks if pick.reason == "asked"}
    assert set(told) == {"E1", "B3"}
    assert told["E1"].recipe == "e1-cause-1"
    assert {picks[0].skill, picks[1].skill} == {"E1", "B3"}


def test_what_was_asked_for_once_comes_once_however_few_other_skills_there_are() -> None:
    states = {"A2": state(overdue=5.0), "B1": state(overdue=-1.0), "D2": state(overdue=-1.0)}
    shelf = [offer(f"{code}-{n}", code, kind=kind) for code in states for n, kind in enumerate(KINDS)]
    for asked in (
        [Request("", "A2", 1)], [Request("A2-0", "", 1)], [Request("A2-0", "", 1), Request("", "A2", 1)],
    ):  # fmt: skip
        picks = choose(shelf, states, asked=asked, seed=1, least=5, most=5)
        assert [pick.reason for pick in picks if pick.skill == "A2"] == ["asked"], asked
        assert len(picks) == 5
    twice = choose(shelf, states, asked=[Request("", "A2", 2)], seed=1, least=5, most=5)
    assert [pick.reason for pick in twice if pick.skill == "A2"] == ["asked", "asked"]
    alone = choose(shelf, {"A2": states["A2"]}, asked=[Request("", "A2", 1)], seed=1, least=4, most=4)
    assert sorted(pick.reason for pick in alone) == ["asked", "due"], "more of it only where nothing else is left"


def test_what_lacks_since_a_part_is_new_comes_first_then_what_ready_needs_and_half_a_set_is_for_it() -> None:
    calm = {code: state(overdue=-1.0) for code in CODES}
    part, ready = Lack("B3", "lens", True, 5, "5 more cases"), Lack("A2", "", True, 1, "one new case")
    picks = choose(SHELF, calm | {"E1": state(overdue=3.0)}, lacks=[ready, part], seed=1)
    reasons = [(pick.skill, pick.reason) for pick in picks]
    assert reasons[0] == ("B3", "kit")
    assert reasons.count(("B3", "kit")) == 2, "of five cases two fit into one day"
    assert ("A2", "missing") in reasons
    assert ("E1", "due") in reasons
    many = choose(SHELF, calm, lacks=[Lack(code, "", True, 5, "5 more cases") for code in CODES], seed=1, most=LEAST)
    assert sum(pick.reason == "missing" for pick in many) == LACKING_MOST
    asked = choose(SHELF, calm, asked=[Request("", "D2", 1)], lacks=[part], seed=1)
    assert (asked[0].skill, asked[0].reason) == ("D2", "asked")


def test_what_no_drill_on_offer_practises_takes_no_place() -> None:
    lacks = [Lack(code, "lens", True, 5, "5 more cases") for code in ("F1", "F2", "F3", "F4")]
    calm = {code: state() for code in (*CODES, "F1", "F2", "F3", "F4")}
    picks = choose(SHELF, calm, lacks=[*lacks, Lack("A2", "", True, 1, "one new case")], seed=1)
    assert "missing" in {pick.reason for pick in picks if pick.skill == "A2"}


def test_asking_for_more_than_a_day_holds_leaves_the_rest_for_later() -> None:
    asked = [Request(one.recipe, "", 1) for one in SHELF]
    assert len(choose(SHELF, {"A2": state(star=False, wide=5.0)}, asked=asked, seed=1)) == LEAST


def test_dear_reshoots_bring_a_skill_forward_and_say_so() -> None:
    states = {code: state(star=False, wide=30.0) for code in CODES}
    plain = choose(SHELF, states, seed=1, least=2, most=2)
    assert "E1" not in {pick.skill for pick in plain}
    weighted = choose(SHELF, states, weights={"E1": 3.0}, costly={"E1"}, seed=1, least=2, most=2)
    assert ("E1", "costly") in {(pick.skill, pick.reason) for pick in weighted}
    untold = choose(SHELF, states, weights={"E1": 3.0}, seed=1, least=2, most=2)
    assert [pick.recipe for pick in untold] == [pick.recipe for pick in weighted], "what weighs is one for all"
    assert "costly" not in {pick.reason for pick in untold}


@pytest.mark.parametrize("best", [0, 1, 2])
def test_of_drills_alike_it_takes_the_one_nearest_to_four_in_five(best: int) -> None:
    offers = [offer(f"a{n}", "A2", expected=0.78 if n == best else (0.99, 0.4, 0.55)[n]) for n in range(3)]
    assert choose(offers, {"A2": state()}, seed=1, least=2, most=2)[0].recipe == f"a{best}"


def test_a_drill_done_often_gives_way_to_one_never_done() -> None:
    offers = [offer("often", "A2", done=5), offer("never", "A2")]
    assert choose(offers, {"A2": state()}, seed=1, least=1, most=1)[0].recipe == "never"


def test_kinds_and_looks_take_turns() -> None:
    offers = [
        offer("doubled-1", "V3", kind="cause", look="doubled"),
        offer("doubled-2", "V3", kind="cause", look="doubled"),
        offer("hazy", "V3", kind="cause", look="hazy"),
        offer("plan", "D1", kind="place"),
    ]
    picks = choose(offers, {"V3": state(overdue=1.0), "D1": state()}, seed=1, least=4, most=4)
    looks = {one.recipe: one.look for one in offers}
    first_two = [pick.recipe for pick in picks if pick.skill == "V3"][:2]
    assert {looks[recipe] for recipe in first_two} == {"doubled", "hazy"}


def test_plans_and_frames_take_turns_where_skills_let_them() -> None:
    offers = {
        one.recipe: one
        for one in (
            offer("p1", "D1"), offer("p2", "D2", kind="join"), offer("p3", "E1", kind="stand"),
            offer("f1", "V1", kind="verdict"), offer("f2", "V3", kind="cause"), offer("f3", "B1", kind="pair"),
        )
    }  # fmt: skip
    picks = [Pick(name, one.main, "due", float(n)) for n, (name, one) in enumerate(offers.items())]
    ordered = in_turns(picks, offers)
    assert ordered[0].recipe == "f3"
    assert all(offers[a.recipe].looked_at != offers[b.recipe].looked_at for a, b in pairwise(ordered))


def test_another_seed_may_choose_among_equals_but_not_what_is_needed() -> None:
    offers = [offer(f"a{n}", "A2") for n in range(6)] + [offer("d", "D1")]
    states = {"A2": state(overdue=2.0), "D1": state(overdue=1.0)}
    sets = [choose(offers, states, seed=seed, least=2, most=2) for seed in range(12)]
    assert {tuple(sorted(pick.skill for pick in picks)) for picks in sets} == {("A2", "D1")}
    assert len({picks[0].recipe for picks in sets}) > 1


def test_it_gives_what_there_is_when_that_is_little() -> None:
    assert choose([], {"A2": state()}, seed=1) == []
    assert [pick.recipe for pick in choose([replace(SHELF[0], recipe="one")], {"A2": state()}, seed=1)] == ["one"]
    assert choose(SHELF, {}, seed=1) == []
