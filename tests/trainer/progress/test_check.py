"""A readiness check from its first case to its end: it stops when it is safe to say, and says when it is not."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import asdict
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from scoring.mastery.ability import believe, figures
from scoring.mastery.population import STARTING
from tests.trainer.conftest import FIRST, RECIPE
from trainer.drills.check_beside import bear_witness, sit_beside
from trainer.drills.check_open import OPEN_DAYS, open_check_of
from trainer.drills.issue import NotReady
from trainer.drills.models import Answer, Attempt, Check, CheckEnd, Entry, Grade, Void
from trainer.drills.void import void
from trainer.library.models import Edition
from trainer.library.rules import SITE_RULE, enter_rule, rule_named
from trainer.library.shelf import Entry as OnShelf
from trainer.library.shelf import basis, take_in
from trainer.progress.catch_up import catch_up
from trainer.progress.check_decide import can_be_asked, decided, evidence_of
from trainer.progress.check_next import begin_check, end_if_overdue, end_overdue, give_up, go_on
from trainer.progress.check_words import beside, why
from trainer.progress.standing import standard_set
from trainer.progress.standings import now_of
from trainer.progress.typical import UNKNOWN
from trainer.renders.models import Variation

pytestmark = pytest.mark.django_db
NAMES = ("place-studio", "stand-which-stair", "verdict-one-bedroom", "cause-doubled-bungalow", "heading-lens")
"""Recipes of the standard set; here they all stand for the small floor, whatever they practise elsewhere."""
STARS = {"D2", "E1", "G1", "V1", "V3", "B1", "A2", "B3"}
SKILLS = (["D1", "D2"], ["E1", "G1"], ["V1"], ["V3", "B1", "A2"], ["B3"])


@pytest.fixture
def shelf(stocked: Any, entries: list[Any]) -> None:
    """Five recipes of the standard set with forty stored cases each, that differ by their look alone."""
    bodies = [{**RECIPE, "name": name, "skills": skills} for name, skills in zip(NAMES, SKILLS, strict=True)]
    take_in([*entries, *(OnShelf("recipe", body["name"], body) for body in bodies)], FIRST)
    task = Variation.objects.filter(recipe=RECIPE["name"])[0].task
    for name in NAMES:
        made_of = basis(name)
        for number in range(SITE_RULE.check_most):
            look = f"{number:02d}-{name}".ljust(64, "0")
            Variation.objects.create(
                address=made_of.address, seed=number, recipe=name, kit=made_of.kit.name, difficulty_logit=0.0,
                fingerprint=look, made_at=FIRST, task={**task, "recipe": name, "fingerprint": look, "guess_floor": 0.1},
            )  # fmt: skip


@pytest.fixture
def check(shelf: None, three: Any) -> Check:
    return begin_check(three.insider, FIRST)


def put_down(case: Attempt, now: datetime, good: bool) -> None:
    """An answer and its grade as the verb writes them, with evidence on every skill of the recipe."""
    row = Answer.objects.create(
        attempt=case, client_key=uuid.uuid4(), body={"stations": []}, sureness=3, answered_at=now, received_at=now
    )
    evidence = [
        {"skill": skill, "credit": float(good), "difficulty_logit": 0.0, "difficulty_sd": 0.3, "guess_floor": 0.1}
        for skill in dict(zip(NAMES, SKILLS, strict=True))[case.recipe]
    ]
    body = {"credit": float(good), "verdict": "holds", "summary": "", "marks": [], "evidence": evidence, "shapes": []}
    Grade.objects.create(
        answer=row, credit=float(good), verdict="holds", body=body, engine="1", standard="house-1", made_at=now
    )


def go_through(check: Check, good: Callable[[int], bool], start: datetime = FIRST) -> CheckEnd:
    for number in range(SITE_RULE.check_most + 1):
        now = start + timedelta(minutes=number)
        what = go_on(check, now)
        if isinstance(what, CheckEnd):
            return what
        put_down(what, now, good(number))
    raise AssertionError("it went on after the last case")


def test_it_ends_as_ready_for_who_answers_well_after_some_cases(check: Check, three: Any) -> None:
    end = go_through(check, lambda number: True)
    assert (end.outcome, end.count >= SITE_RULE.check_least, end.chance >= 0.9) == ("ready", True, True)
    assert end.count < SITE_RULE.check_most
    assert "it was safe to say" in why(check, end, 80.0)
    assert Entry.objects.filter(what="grade").count() == end.count
    catch_up()
    assert now_of(three.insider, FIRST + timedelta(days=1)).count >= end.count, "it counts in the record"


def test_it_ends_as_not_ready_for_who_does_not(check: Check) -> None:
    end = go_through(check, lambda number: False)
    assert (end.outcome, end.count) == ("not ready", SITE_RULE.check_least)
    assert end.chance <= 0.1


def test_it_says_when_it_cannot_be_said(check: Check) -> None:
    end = go_through(check, lambda number: number % 5 != 4)
    assert (end.outcome, end.count) == ("cannot be said", SITE_RULE.check_most)
    assert 0.1 < end.chance < 0.9
    assert "not enough to say" in why(check, end, 80.0)


def test_it_ends_by_the_rule_under_which_it_began(shelf: None, client: Client, three: Any) -> None:
    firm = three.insider.memberships.get().team.firm
    begun = begin_check(three.insider, FIRST)
    short = {**asdict(SITE_RULE), "check_least": 6, "check_most": 8}
    made = enter_rule(firm, short, holds_from=FIRST.date() + timedelta(days=1), by=three.trainer, now=FIRST)
    assert go_through(begun, lambda number: False).count == SITE_RULE.check_least
    later = FIRST + timedelta(days=30)
    again = begin_check(three.insider, later)
    assert again.rule == made.name
    client.force_login(three.insider)
    assert "It ends after 6 to 8." in client.get(reverse("check")).content.decode()
    assert go_through(again, lambda number: number % 5 != 4, later).count == 8
    assert "At least 6 cases, at most 8:" in client.get(reverse("check")).content.decode()


def test_a_rule_that_was_stored_without_the_numbers_of_a_check_keeps_those_of_before(three: Any) -> None:
    firm = three.insider.memberships.get().team.firm
    made = enter_rule(firm, asdict(SITE_RULE), holds_from=FIRST.date(), by=three.trainer, now=FIRST - timedelta(days=1))
    old = {name: value for name, value in made.body.items() if not name.startswith("check_")}
    Edition.objects.filter(pk=made.pk).update(body=old)
    rule_named.cache_clear()
    rule = rule_named(made.name)
    assert (rule.check_least, rule.check_most) == (12, 40)


def test_what_can_be_asked_has_the_guessing_floor_of_its_own_cases(shelf: None) -> None:
    for variation in Variation.objects.filter(recipe="verdict-one-bedroom"):
        variation.task["guess_floor"] = 0.6
        variation.save()
    Variation.objects.filter(recipe="heading-lens").delete()
    floors = {ask.recipe: ask.guess_floor for ask in can_be_asked()}
    assert floors["verdict-one-bedroom"] == 0.6
    assert floors["place-studio"] == 0.1
    assert floors["heading-lens"] == UNKNOWN.guess_floor


def test_one_given_up_before_its_first_answer_says_so_and_shows_no_figures(check: Check, three: Any) -> None:
    end = give_up(check, FIRST)
    assert why(check, end, 80.0) == "It was given up before a case was answered."
    client = Client()
    client.force_login(three.insider)
    page = client.get(reverse("check_done", args=[check.pk])).content.decode()
    assert "What the answers come to" not in page
    assert "Another check may be opened 7 days after this one" in page


def test_its_figures_are_those_of_its_own_cases_alone(check: Check, three: Any, graded_row: Callable[..., Any]) -> None:
    for _ in range(10):
        graded_row(three.insider, {"D1": 0.0, "V1": 0.0})
    end = go_through(check, lambda number: True)
    cases = [case.attempt for case in check.cases.select_related("attempt__answer__grade").order_by("place")]
    alone = figures(
        believe(evidence_of(cases), STARTING, standard_set().skills), standard_set(),
        on_day=max(case.answer.received_at.timestamp() for case in cases) / 86400, cut=80.0,
    ).overall  # fmt: skip
    assert (end.score, end.low, end.high, end.chance) == (alone.score, alone.low, alone.high, alone.chance)


def test_its_first_cases_cover_the_starred_skills(check: Check) -> None:
    asked: list[str] = []
    for number in range(SITE_RULE.check_least):
        case = go_on(check, FIRST)
        assert isinstance(case, Attempt)
        asked.append(case.recipe)
        put_down(case, FIRST + timedelta(minutes=number), True)
    assert set(asked[: len(NAMES)]) == set(NAMES)
    assert {skill for skill, figure in decided(check, can_be_asked()).figures.skills.items() if figure.count} >= STARS
    assert all(one != other for one, other in pairwise(asked))


def test_of_the_cases_that_are_ready_it_takes_the_one_at_the_cut(check: Check) -> None:
    for number, row in enumerate(Variation.objects.order_by("pk")):
        row.difficulty_logit = row.task["difficulty_logit"] = (number % 5) * 0.7
        row.save()
    case = go_on(check, FIRST)
    assert isinstance(case, Attempt)
    assert case.difficulty_logit == 1.4, "where somebody at 80 of 100 gets every second one right: log 4 = 1.39"


def test_a_reload_or_another_phone_finds_the_open_case(check: Check, three: Any) -> None:
    case = go_on(check, FIRST)
    assert go_on(check, FIRST) == case
    assert begin_check(three.insider, FIRST) == check
    assert open_check_of(three.insider) == check


def test_a_case_that_is_not_stored_yet_is_waited_for_and_nothing_is_lost(check: Check) -> None:
    Variation.objects.all().delete()
    with pytest.raises(NotReady):
        go_on(check, FIRST)
    assert not check.cases.exists()


def test_the_first_page_leads_to_the_open_check_and_starts_nothing_else(
    check: Check, client: Client, three: Any
) -> None:
    client.force_login(three.insider)
    page = client.get(reverse("today")).content.decode()
    assert f'href="{reverse("check")}"' in page
    assert "Practice waits for it." in page
    assert "/start/" not in page


def test_giving_up_ends_it_without_an_outcome_and_what_was_answered_counts(check: Check) -> None:
    for number in range(3):
        case = go_on(check, FIRST)
        assert isinstance(case, Attempt)
        put_down(case, FIRST + timedelta(minutes=number), True)
    end = give_up(check, FIRST + timedelta(hours=1))
    assert (end.outcome, end.count, Entry.objects.count()) == ("given up", 3, 3)
    assert "given up after 3 cases" in why(check, end, 80.0)


def test_it_ends_by_itself_when_it_is_left_open(check: Check) -> None:
    assert not end_if_overdue(check, FIRST + timedelta(days=OPEN_DAYS, seconds=-1))
    assert end_if_overdue(check, FIRST + timedelta(days=OPEN_DAYS))
    assert "left open for 7 days" in why(check, CheckEnd.objects.get(), 80.0)


def test_it_ends_for_somebody_who_never_comes_back(check: Check) -> None:
    assert end_overdue(FIRST + timedelta(days=OPEN_DAYS, seconds=-1)) == 0
    assert [end_overdue(FIRST + timedelta(days=OPEN_DAYS)) for _ in range(2)] == [1, 0]
    assert CheckEnd.objects.get().readiness_check == check


def test_a_void_case_does_not_count_in_it(check: Check, three: Any) -> None:
    case = go_on(check, FIRST)
    assert isinstance(case, Attempt)
    put_down(case, FIRST, True)
    Void.objects.create(attempt=case, by=three.trainer, reason="unfair", made_at=FIRST)
    assert decided(check, can_be_asked()).told.count == 0


def test_its_page_says_of_a_case_that_was_taken_out_since(check: Check, client: Client, three: Any) -> None:
    for number in range(3):
        case = go_on(check, FIRST)
        assert isinstance(case, Attempt)
        put_down(case, FIRST + timedelta(minutes=number), True)
    give_up(check, FIRST + timedelta(hours=1))
    client.force_login(three.insider)
    there = reverse("check_done", args=[check.pk])
    assert "taken out" not in client.get(there).content.decode()
    void(case, by=three.trainer, reason="unfair", now=FIRST + timedelta(days=1))
    page = client.get(there).content.decode()
    assert "1 of these cases was taken out of the record since." in page
    assert "n&nbsp;=&nbsp;3" in page


def test_who_sat_beside_is_said_as_it_was(check: Check, three: Any) -> None:
    assert beside(check) == "Not supervised: nobody sat beside."
    sit_beside(check, by=three.trainer, now=FIRST)
    end = go_through(check, lambda number: True)
    assert end.outcome == "ready"
    check = Check.objects.get()
    assert "has yet to say" in beside(check)
    bear_witness(check, by=three.trainer, alone=True, now=FIRST)
    assert beside(Check.objects.get()).startswith("Supervised: Trainer sat beside")


def test_its_pages_go_from_the_first_case_to_the_explained_end(shelf: None, client: Client, three: Any) -> None:
    client.force_login(three.insider)
    assert b"Open a check" in client.get(reverse("check")).content
    client.post(reverse("check_open"))
    seen: list[str] = []
    for _ in range(3):
        page = client.post(reverse("check_next"), follow=True).content.decode()
        assert f"Check, case {len(seen) + 1}" in page
        case = Attempt.objects.get(check_case__place=len(seen) + 1)
        fields: dict[str, Any] = {"sureness": "2", "client_key": str(uuid.uuid4())}
        for row, (level, x, y) in enumerate(case.key["reference"]["stations"], 1):
            fields |= {f"level-{row}": level, f"x-{row}": x, f"y-{row}": y}
        sent = client.post(reverse("send", args=[case.pk]), fields, follow=True)
        seen.append(sent.request["PATH_INFO"])
        assert b"Holds" not in sent.content
    assert set(seen) == {reverse("check")}
    where = client.post(reverse("check_give_up")).headers["Location"]
    told = client.get(where).content.decode()
    assert "given up after 3 cases" in told
    assert told.count("/grade/") == len(seen)
    assert client.post(reverse("check_open"), follow=True).content.count(b"The next check may be opened on") == 2
    client.force_login(three.trainer)
    assert b"Insider" in client.get(where).content
    client.force_login(three.mate)
    assert client.get(where).status_code == 404
