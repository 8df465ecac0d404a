"""Today's set: kept for the day, ticked from the ledger, chosen from the record, at a difficulty that fits."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from trainer.drills.ledger import enter
from trainer.drills.models import Attempt, Entry, Void
from trainer.library.shelf import Entry as ShelfEntry
from trainer.library.shelf import take_in
from trainer.people.models import Firm, Membership, Person, Role, Team
from trainer.progress.catch_up import catch_up
from trainer.progress.day_set import todays_set
from trainer.progress.known import known_of
from trainer.progress.lacking import lacks_of
from trainer.progress.models import DaySet
from trainer.renders.models import Variation
from trainer.roster.models import Assignment, KitChange, Plan, Refresher, Reshoot

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 20, 8, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
SKILLS = {"aaa": ["D1", "D2"], "bbb": ["D2"], "ccc": ["E1"], "ddd": ["A2"], "eee": ["D4"], "fff": ["E2"], "ggg": ["B1"]}


@pytest.fixture
def shelf(entries: list[ShelfEntry]) -> None:
    """Seven drills of as many skills on one small floor."""
    recipe = next(entry for entry in entries if entry.what == "recipe")
    others = [entry for entry in entries if entry.what != "recipe"]
    made = [
        ShelfEntry("recipe", name, {**recipe.body, "name": name, "title": f"Drill {name}", "skills": codes})
        for name, codes in SKILLS.items()
    ]
    take_in([*others, *made], NOW)


@pytest.fixture
def begun(shelf: None, graded_row: Callable[..., Any], three: Any) -> Any:
    """Somebody with a first graded case."""
    graded_row(three.insider, {"D1": 0.4}, at=NOW - 9 * DAY, recipe="aaa")
    catch_up()
    return three.insider


def names(chosen: Any) -> list[str]:
    return [drill.recipe.name for drill in chosen.drills]


@pytest.mark.usefixtures("shelf")
def test_somebody_new_has_no_set_yet(three: Any) -> None:
    assert todays_set(three.insider, NOW) is None
    assert not DaySet.objects.exists()


def test_it_stays_the_same_all_day_and_is_another_tomorrow(begun: Any, graded_row: Callable[..., Any]) -> None:
    first = todays_set(begun, NOW)
    assert first is not None
    assert 6 <= len(first.drills) <= 8
    for _ in range(3):
        graded_row(begun, {"A2": 1.0}, at=NOW + HOUR, recipe="ddd")
    catch_up()
    assert names(todays_set(begun, NOW + 10 * HOUR)) == names(first)
    assert DaySet.objects.filter(person=begun).count() == 1
    todays_set(begun, NOW + DAY)
    assert set(DaySet.objects.filter(person=begun).values_list("day", flat=True)) == {
        NOW.date(), date(2026, 3, 21),
    }  # fmt: skip


def test_what_was_graded_since_is_ticked_and_the_next_is_offered(begun: Any, graded_row: Callable[..., Any]) -> None:
    before = todays_set(begun, NOW)
    assert before is not None
    assert (before.done, before.next) == (0, before.drills[0])
    first, second = names(before)[:2]
    graded_row(begun, {"D1": 1.0}, at=NOW - HOUR, recipe=second)
    graded_row(begun, {"D1": 1.0}, at=NOW + HOUR, recipe=second, mode="check")
    done = graded_row(begun, {"D1": 1.0}, at=NOW + HOUR, recipe=first)
    after = todays_set(begun, NOW + 2 * HOUR)
    assert after is not None
    assert (after.done, after.drills[0].attempt_id) == (1, done.pk)
    assert after.next is not None
    assert after.next.recipe.name == second
    assert after.minutes_left < before.minutes_left
    Void.objects.create(attempt=done, by=begun, reason="no fair case", made_at=NOW + HOUR)
    enter(Entry.What.VOID, done, NOW + HOUR)
    undone = todays_set(begun, NOW + 2 * HOUR)
    assert undone is not None
    assert undone.done == 0


def test_all_done_leaves_nothing_next(begun: Any, graded_row: Callable[..., Any]) -> None:
    chosen = todays_set(begun, NOW)
    assert chosen is not None
    for name in names(chosen):
        graded_row(begun, {"D1": 1.0}, at=NOW + HOUR, recipe=name)
    after = todays_set(begun, NOW + 2 * HOUR)
    assert after is not None
    assert (after.next, after.minutes_left, after.done) == (None, 0, len(after.drills))


def test_a_drill_that_left_the_shelf_leaves_the_set(begun: Any, entries: list[ShelfEntry]) -> None:
    chosen = todays_set(begun, NOW)
    assert chosen is not None
    take_in(entries, NOW)
    assert todays_set(begun, NOW).drills == ()  # type: ignore[union-attr]


def test_what_is_asked_for_is_in_it_and_says_by_whom(begun: Any, three: Any) -> None:
    Assignment.objects.create(
        person=begun, by=three.trainer, recipe="fff", count=2, due_on=date(2026, 3, 25), made_at=NOW - HOUR
    )
    chosen = todays_set(begun, NOW)
    assert chosen is not None
    assert chosen.drills[0].recipe.name == "fff"
    assert chosen.drills[0].words == "Asked for by Trainer, until 25 March: 2 cases."


def test_every_pick_says_why_in_a_sentence(begun: Any) -> None:
    chosen = todays_set(begun, NOW)
    assert chosen is not None
    words = {drill.recipe.skills[0]: drill.words for drill in chosen.drills}
    assert words["E1"] == "Not practised yet: Stairs: landings only."
    assert words["D1"].startswith("Time to practise again: Enough, not too many, last done 9 days ago.")
    assert all(drill.words.endswith(".") and len(drill.words) < 90 for drill in chosen.drills)


def test_what_ready_needs_is_in_it_and_says_so(begun: Any, graded_row: Callable[..., Any]) -> None:
    for day in (2, 3):
        graded_row(begun, {"E1": 1.0}, at=NOW - day * DAY, recipe="ccc")
    catch_up()
    words = {drill.recipe.name: drill.words for drill in todays_set(begun, NOW).drills}  # type: ignore[union-attr]
    assert words["ccc"] == "Missing for ready: 3 more cases on Stairs: landings only."


@pytest.fixture
def seasoned(begun: Any, graded_row: Callable[..., Any]) -> Any:
    """The same person with enough cases on every skill of the shelf."""
    for day in range(6):
        graded_row(begun, dict.fromkeys(("D1", "D2", "E1", "E2", "D4", "A2", "B1"), 1.0), at=NOW - (8 - day) * DAY)
    catch_up()
    return begun


def changed(person: Any, at: datetime) -> KitChange:
    return KitChange.objects.create(person=person, kit="heron-three", parts=["rotator"], made_at=at)


def test_what_hangs_on_a_new_part_of_the_kit_is_in_the_set_and_names_the_part(
    seasoned: Any, graded_row: Callable[..., Any]
) -> None:
    assert {one.skill for one in lacks_of(seasoned, NOW)}.isdisjoint({"A2", "B1"})
    changed(seasoned, NOW - 2 * HOUR)
    words = {drill.recipe.name: drill.words for drill in todays_set(seasoned, NOW).drills}  # type: ignore[union-attr]
    assert words["ddd"] == "New rotator: 5 more cases on Level it."
    assert words["ggg"].startswith("New rotator: ")
    for minute in range(5):
        graded_row(seasoned, {"A2": 1.0, "B1": 1.0}, at=NOW + minute * timedelta(minutes=1))
    catch_up()
    assert {one.skill for one in lacks_of(seasoned, NOW + HOUR) if one.part}.isdisjoint({"A2", "B1"})


def test_a_skill_that_is_not_critical_lacks_two_cases_after_its_part_changed(
    seasoned: Any, graded_row: Callable[..., Any]
) -> None:
    changed(seasoned, NOW)
    lack = next(one for one in lacks_of(seasoned, NOW) if one.skill == "A3")
    assert (lack.part, lack.for_ready, lack.left) == ("rotator", False, 2)
    graded_row(seasoned, {"A3": 0.2}, at=NOW + HOUR)
    catch_up()
    lack = next(one for one in lacks_of(seasoned, NOW + 2 * HOUR) if one.skill == "A3")
    assert (lack.left, lack.words.startswith("1 more case on ")) == (1, True)
    graded_row(seasoned, {"A3": 0.2}, at=NOW + 2 * HOUR)
    catch_up()
    assert "A3" not in {one.skill for one in lacks_of(seasoned, NOW + 3 * HOUR)}


def test_a_change_of_kit_makes_the_rest_of_the_day_anew_and_keeps_what_is_done(
    seasoned: Any, graded_row: Callable[..., Any]
) -> None:
    before = todays_set(seasoned, NOW)
    assert before is not None
    first = next(drill.recipe.name for drill in before.drills if drill.recipe.name not in {"ddd", "ggg"})
    done = graded_row(seasoned, {"D1": 1.0}, at=NOW + HOUR, recipe=first)
    catch_up()
    changed(seasoned, NOW + 2 * HOUR)
    after = todays_set(seasoned, NOW + 3 * HOUR)
    assert after is not None
    assert (after.drills[0].recipe.name, after.drills[0].attempt_id) == (first, done.pk)
    assert after.done == 1
    assert len(set(names(after))) == len(after.drills) <= 8
    assert after.next is not None
    assert after.next.words.startswith("New rotator: ")
    assert names(todays_set(seasoned, NOW + 4 * HOUR)) == names(after), "and then it stays"
    graded_row(seasoned, {"A2": 1.0}, at=NOW + 5 * HOUR, recipe=after.next.recipe.name)
    assert todays_set(seasoned, NOW + 6 * HOUR).done == 2  # type: ignore[union-attr]


def test_a_planned_skill_that_is_begun_is_not_asked_for_again_when_the_rest_is_chosen_anew(
    seasoned: Any, attempt_row: Callable[..., Any], three: Any
) -> None:
    season = Refresher.objects.create(
        team=seasoned.memberships.get().team, by=three.trainer, ready_on=date(2026, 4, 20), title="Season", made_at=NOW
    )
    Plan.objects.create(refresher=season, person=seasoned, wanted={"D2": 1}, minutes=5, chance=0.5, made_at=NOW - HOUR)
    before = todays_set(seasoned, NOW)
    assert before is not None
    [asked] = [drill for drill in before.drills if drill.words.startswith("Asked for")]
    attempt_row(seasoned, recipe=asked.recipe.name, issued_at=NOW + HOUR)
    changed(seasoned, NOW + 2 * HOUR)
    after = todays_set(seasoned, NOW + 3 * HOUR)
    assert after is not None
    assert [drill.recipe.name for drill in after.drills if drill.words.startswith("Asked for")] == [asked.recipe.name]


@pytest.mark.parametrize("own", [True, False])
def test_reshoots_of_the_firm_weigh_on_it_and_only_those_of_the_own_team_are_told(own: bool, begun: Any) -> None:
    firm = Firm.objects.get(name="Home")
    team = firm.teams.get(name="North") if own else Team.objects.create(firm=firm, name="East")
    for _ in range(30):
        Reshoot.objects.create(
            firm=firm, team=team, shot_on=date(2026, 3, 1), cause="E1", cost=Decimal(100), made_at=NOW - DAY
        )
    assert known_of(begun, NOW).weights["E1"] > 1.5
    chosen = todays_set(begun, NOW)
    assert chosen is not None
    said = chosen.drills[0].words
    assert "Stairs: landings only" in said
    assert (said == "What reshoots of your team go with: Stairs: landings only.") is own
    assert ("reshoot" in said.lower()) is own


def test_only_drills_with_a_case_in_stock_are_offered_once_there_is_stock(begun: Any) -> None:
    assert len(known_of(begun, NOW).offers) == 7
    for seed, (name, difficulty) in enumerate((("bbb", -2.0), ("ccc", 2.0))):
        Variation.objects.create(
            address="x", seed=seed, recipe=name, kit="k", task={"guess_floor": 0.25}, difficulty_logit=difficulty,
            fingerprint=name, made_at=NOW,
        )  # fmt: skip
    expected = {offer.recipe: offer.expected for offer in known_of(begun, NOW).offers}
    assert set(expected) == {"bbb", "ccc"}
    assert expected["bbb"] > expected["ccc"] > 0.25


def test_starting_from_the_set_takes_the_case_that_fits(
    stocked: Any, three: Any, graded_row: Callable[..., Any]
) -> None:
    rows = list(Variation.objects.filter(address=stocked.address).order_by("pk"))
    for row, difficulty in zip(rows, (-6.0, 0.0, 6.0), strict=True):
        Variation.objects.filter(pk=row.pk).update(
            difficulty_logit=difficulty, task={**row.task, "difficulty_logit": difficulty, "guess_floor": 0.1}
        )
    for _ in range(12):
        graded_row(three.insider, {"D1": 1.0}, at=timezone.now() - HOUR)
    client = Client()
    client.force_login(three.insider)
    where = reverse("set_start", args=["two-rooms-place"])
    reply = client.post(where)
    attempt = Attempt.objects.get(person=three.insider, recipe="two-rooms-place")
    assert reply.headers["Location"] == reverse("attempt", args=[attempt.pk])
    assert attempt.difficulty_logit == 0.0
    assert client.post(where).headers["Location"] == reply.headers["Location"], "two taps make one attempt"
    assert client.post(reverse("set_start", args=["no-such-drill"])).status_code == 404


def test_a_case_that_was_seen_is_not_given_again_however_well_it_would_fit(
    stocked: Any, three: Any, graded_row: Callable[..., Any]
) -> None:
    rows = list(Variation.objects.filter(address=stocked.address).order_by("pk"))
    client = Client()
    client.force_login(three.insider)
    for seen in range(len(rows)):
        client.post(reverse("set_start", args=["two-rooms-place"]))
        attempt = three.insider.attempts.get(recipe="two-rooms-place", answer__isnull=True, void__isnull=True)
        Void.objects.create(attempt=attempt, by=three.trainer, reason="no fair case", made_at=timezone.now())
        assert three.insider.attempts.values("fingerprint").distinct().count() == seen + 1
        assert client.get(reverse("today")).status_code == 200
    assert client.post(reverse("set_start", args=["two-rooms-place"])).status_code == 503


def test_the_page_shows_the_set_with_one_way_on(stocked: Any, three: Any, graded_row: Callable[..., Any]) -> None:
    graded_row(three.insider, {"D1": 0.4}, at=timezone.now() - DAY, recipe="two-rooms-place")
    Assignment.objects.create(
        person=three.insider, by=three.trainer, recipe="two-rooms-place", count=2, words="before Monday",
        made_at=timezone.now() - HOUR,
    )  # fmt: skip
    client = Client()
    client.force_login(three.insider)
    page = client.get(reverse("today")).content.decode()
    assert "0 of 1 done" in page
    assert page.count('class="primary"') == 1
    assert reverse("set_start", args=["two-rooms-place"]) in page
    assert "Asked of you" in page
    assert "0 of 2 done, asked by Trainer. before Monday" in page
    graded_row(three.insider, {"D1": 1.0}, at=timezone.now(), recipe="two-rooms-place")
    page = client.get(reverse("today")).content.decode()
    assert "1 of 1 done" in page
    assert "That is all for today." in page
    assert "1 of 2 done, asked by Trainer" in page


def test_a_drill_that_was_given_names_who_gave_it_though_another_asked_for_its_skill(
    begun: Any, three: Any, hashed_password: str
) -> None:
    manager = Person.objects.create(email="manager@example.org", password=hashed_password, name="Manager")
    team = three.insider.memberships.get().team
    Membership.objects.create(person=manager, team=team, role=Role.MANAGER)
    season = Refresher.objects.create(
        team=team, by=manager, ready_on=(NOW + 5 * DAY).date(), title="Season", made_at=NOW - DAY
    )
    Plan.objects.create(refresher=season, person=begun, wanted={"E1": 4}, minutes=5, chance=0.5, made_at=NOW - DAY)
    Assignment.objects.create(person=begun, by=three.trainer, recipe="ccc", count=2, made_at=NOW - HOUR)
    words = {drill.recipe.name: drill.words for drill in todays_set(begun, NOW).drills}
    assert words["ccc"] == "Asked for by Trainer: 2 cases."
