"""Where people stand now: states by the rule over evidence and what trainers entered, decisions laid over them."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import asdict, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scoring.mastery.population import STARTING
from trainer.library.rules import SITE_RULE, enter_rule
from trainer.people.models import Person
from trainer.progress.catch_up import catch_up
from trainer.progress.history import fold
from trainer.progress.life import ground, life_of, tallied
from trainer.progress.models import Standing
from trainer.progress.record_says import says
from trainer.progress.renew import as_new
from trainer.progress.standing import figures_of
from trainer.progress.standings import forecast, forecast_many, now_of, now_of_many
from trainer.progress.tally import dawn
from trainer.progress.why import UNSURE_CASES
from trainer.roster.models import Decision, KitChange, KitCheck

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
DAY = timedelta(days=1)
STARS = [star.code for star in ground(SITE_RULE).drilled]


@pytest.fixture
def able(graded_row: Callable[..., Any], shot: Callable[..., Any]) -> Callable[..., None]:
    """Makes somebody ready: cases on every starred skill for a week, and a signed shoot."""

    def make(person: Any, *, start: datetime = NOW, skip: str = "") -> None:
        for day in range(7):
            for code in STARS:
                if code != skip:
                    graded_row(person, {code: 1.0}, at=start + day * DAY)
        shot(person, at=start + 7 * DAY)
        catch_up()

    return make


def decide(person: Any, by: Any, what: str, until: date | None = None, at: datetime = NOW) -> None:
    Decision.objects.create(person=person, by=by, what=what, reason="seen on site", until=until, made_at=at)


def test_somebody_new_is_untried_and_reads_what_is_asked(three: Any) -> None:
    now = now_of(three.insider, NOW)
    assert now.state == "untried"
    assert now.since is None
    assert now.why.startswith("Nothing has been graded yet. Ready needs 5 more cases on Level it, ")
    assert {gap.what for gap in now.gaps} == {"star-count", "conduct", "overall", "shoot"}
    assert now.teams == ("North",)


def test_everything_at_once_makes_ready_with_the_days_on_which_it_sinks(able: Callable[..., None], three: Any) -> None:
    able(three.insider)
    now = now_of(three.insider, NOW + 8 * DAY)
    assert (now.state, now.since, now.gaps) == ("ready", date(2026, 3, 9), ())
    assert now.due_on is not None
    assert now.lapsed_on is not None
    assert date(2026, 3, 9) < now.due_on < now.lapsed_on
    assert "It stands until" in now.why
    later = now_of(three.insider, datetime(now.due_on.year, now.due_on.month, now.due_on.day, tzinfo=UTC))
    assert (later.state, later.since) == ("due", now.due_on)
    assert now_of(three.insider, NOW + 400 * DAY).state == "lapsed"
    assert now_of(three.mate, NOW).state == "untried"


def test_the_day_on_which_one_is_due_is_the_first_on_which_the_forecast_says_so(
    able: Callable[..., None], three: Any
) -> None:
    able(three.insider)
    due = now_of(three.insider, NOW + 8 * DAY).due_on
    assert due is not None
    assert forecast(three.insider, due - DAY).state == "ready"
    assert forecast(three.insider, due).state == "due"
    assert forecast(three.insider, due).chance < forecast(three.insider, due - DAY).chance
    assert forecast(three.insider, due - DAY).chance >= 0.70
    assert set(forecast_many([three.insider, three.mate], due)) == {three.insider.pk, three.mate.pk}


def test_its_figures_are_those_of_the_ability_model_on_the_last_active_day(
    graded_row: Callable[..., Any], three: Any
) -> None:
    graded_row(three.insider, {"D2": 1.0, "D1": 0.4}, at=NOW)
    graded_row(three.insider, {"D2": 0.0}, at=NOW + DAY)
    catch_up()
    now, alone = now_of(three.insider, NOW + DAY), figures_of(three.insider, NOW + DAY)
    assert (now.score, now.low, now.high, now.chance) == (
        alone.overall.score, alone.overall.low, alone.overall.high, alone.overall.chance,
    )  # fmt: skip
    assert now.stars["D2"].score == alone.skills["D2"].score
    assert (now.stars["D2"].count, now.stars["D2"].right) == (2, 1.0)


def test_what_was_told_with_other_numbers_of_people_is_told_again(graded_row: Callable[..., Any], three: Any) -> None:
    graded_row(three.insider, {"E1": 1.0, "D4": 1.0}, at=NOW)
    catch_up()
    told, mine = now_of(three.insider, NOW), Standing.objects.filter(person=three.insider)
    assert mine.get().population == STARTING.version
    me = Person.objects.filter(pk=three.insider.pk)
    assert as_new(me, NOW.date())[three.insider.pk][1] is not None
    mine.update(population="other", score=1.0)
    assert as_new(me, NOW.date())[three.insider.pk][1] is None
    assert now_of(three.insider, NOW) == told
    assert mine.get().population == STARTING.version
    assert says(three.insider, NOW)["population"] == STARTING.version


def test_another_half_life_comes_to_another_forecast(able: Callable[..., None], three: Any) -> None:
    able(three.insider)
    events, on = life_of(three.insider.pk), ground(SITE_RULE)
    short = replace(on, population=replace(STARTING, version="short", half_life_days=60.0))
    later = dawn((NOW + 60 * DAY).date())
    scores = [fold(events, one).tally.figures(later).overall.score for one in (on, short)]
    assert scores[1] < scores[0]
    assert short.versions != on.versions


def test_a_score_that_has_faded_is_told_as_it_is_on_the_day_of_sinking(
    graded_row: Callable[..., Any], shot: Callable[..., Any], three: Any
) -> None:
    credits = itertools.cycle([1.0] * 8 + [0.3])
    for day in range(7):
        for code in ground(SITE_RULE).standard.skills:
            graded_row(three.insider, {code: 1.0 if code == "G1" else next(credits)}, at=NOW + day * DAY)
    shot(three.insider, at=NOW + 7 * DAY)
    catch_up()
    ready = now_of(three.insider, NOW + 8 * DAY)
    assert ready.lapsed_on is not None
    assert ready.low > 80.0
    lapsed = now_of(three.insider, datetime.combine(ready.lapsed_on, NOW.timetz()))
    assert lapsed.state == "lapsed"
    (overall,) = [gap for gap in lapsed.gaps if gap.what == "overall"]
    then = tallied(three.insider.pk, SITE_RULE).figures(dawn(ready.lapsed_on)).overall
    assert then.chance < 0.5
    assert then.score < 80.0
    assert then.score > 79.5
    faded = f"just under 80 on {ready.lapsed_on:%-d %B %Y}"
    assert overall.words == f"an expected score of 80 ({faded}; no number of cases is promised)"
    assert (overall.cases, overall.promised) == (UNSURE_CASES, False)
    assert lapsed.why.endswith("; about 20 minutes to begin with.")
    assert "surer" not in lapsed.why


def test_idle_days_end_a_state_under_a_rule_that_is_patient_with_skills(able: Callable[..., None], three: Any) -> None:
    firm = three.insider.memberships.get().team.firm
    numbers = {**asdict(SITE_RULE), "star_newest_days": 365.0, "idle_due_days": 30.0}
    enter_rule(firm, numbers, holds_from=NOW.date(), by=three.trainer, now=NOW - DAY)
    able(three.insider)
    ready = now_of(three.insider, NOW + 8 * DAY)
    assert (ready.state, ready.due_on) == ("ready", date(2026, 4, 8))
    due = now_of(three.insider, NOW + 50 * DAY)
    assert (due.state, due.since, due.gaps) == ("due", date(2026, 4, 8), ())
    assert due.why.endswith("One graded case brings it up to date.")


def test_a_starred_skill_without_a_case_is_not_called_not_ready_for_what_other_skills_say(
    graded_row: Callable[..., Any], three: Any
) -> None:
    for _ in range(6):
        graded_row(three.insider, dict.fromkeys(["D1", "D2", "E1", "V3"], 0.0), at=NOW)
    catch_up()
    now = now_of(three.insider, NOW)
    assert Standing.objects.get(person=three.insider).skills["B1"]["chance"] <= SITE_RULE.not_ready_chance
    assert (now.stars["B1"].call, now.stars["B1"].count, now.stars["B1"].more) == ("not enough evidence", 0, 5)
    assert now.stars["D2"].call == "not ready"


def test_a_skill_without_drills_is_shown_by_the_shoot_alone(
    able: Callable[..., None], shot: Callable[..., Any], three: Any
) -> None:
    able(three.insider)
    assert now_of(three.insider, NOW + 8 * DAY).stars["C1"].call == "ready"
    shot(three.insider, at=NOW + 9 * DAY, but="C1")
    now = now_of(three.insider, NOW + 10 * DAY)
    assert now.state == "due"
    assert [(gap.what, gap.skill) for gap in now.gaps] == [("shoot", "C1")]
    assert "a signed shoot that shows Set exposure and lock it" in now.why


def test_a_change_of_kit_makes_only_the_skills_of_that_part_due(able: Callable[..., None], three: Any) -> None:
    able(three.insider)
    KitChange.objects.create(
        person=three.insider, by=three.trainer, kit="finch", parts=["clamp"], made_at=NOW + 8 * DAY
    )
    now = now_of(three.insider, NOW + 9 * DAY)
    assert (now.state, now.kit) == ("due", "finch")
    assert {gap.skill for gap in now.gaps if gap.skill} == {"B1", "V3"}
    assert {code for code, star in now.stars.items() if not star.by_shoot and star.count == 0} == {"B1", "V3"}


def test_after_a_change_of_kit_its_list_is_signed_before_somebody_is_ready_again(
    able: Callable[..., None], graded_row: Callable[..., Any], three: Any
) -> None:
    able(three.insider)
    change = KitChange.objects.create(
        person=three.insider, by=three.trainer, kit="finch", parts=["clamp"], made_at=NOW + 8 * DAY
    )
    for code in ("B1", "V3"):
        for _ in range(5):
            graded_row(three.insider, {code: 1.0}, at=NOW + 9 * DAY)
    catch_up()
    now = now_of(three.insider, NOW + 9 * DAY)
    assert [gap.what for gap in now.gaps] == ["kit-list"]
    assert "the list of the changed parts of the kit gone through with a trainer" in now.why
    KitCheck.objects.create(change=change, by=three.trainer, made_at=NOW + 10 * DAY)
    assert now_of(three.insider, NOW + 10 * DAY).state == "ready"


def test_a_first_kit_changes_nothing(able: Callable[..., None], three: Any) -> None:
    able(three.insider)
    KitChange.objects.create(person=three.insider, by=three.trainer, kit="finch", parts=[], made_at=NOW + 8 * DAY)
    assert now_of(three.insider, NOW + 9 * DAY).state == "ready"


def test_conduct_asks_for_full_credit_in_a_row(
    able: Callable[..., None], graded_row: Callable[..., Any], three: Any
) -> None:
    able(three.insider)
    graded_row(three.insider, {"G1": 0.9}, at=NOW + 8 * DAY)
    catch_up()
    now = now_of(three.insider, NOW + 9 * DAY)
    assert now.state == "due"
    assert [(gap.what, gap.cases) for gap in now.gaps] == [("conduct", 5)]


def test_redoing_good_frames_costs_readiness_and_keeping_them_brings_it_back(
    able: Callable[..., None], graded_row: Callable[..., Any], three: Any
) -> None:
    able(three.insider)
    at = NOW + 8 * DAY
    for _ in range(3):
        graded_row(three.insider, {"V1": 0.0}, at=at, kind="verdict", answer={"verdict": "redo"})
    catch_up()
    now = now_of(three.insider, at + DAY)
    assert now.state == "due"
    assert "false-alarms" in {gap.what for gap in now.gaps}
    for _ in range(8):
        graded_row(three.insider, {"V1": 1.0}, at=at + DAY, kind="verdict", answer={"verdict": "keep"})
    catch_up()
    assert now_of(three.insider, at + DAY).state == "ready"


def test_a_hold_and_a_send_are_laid_over_the_state_and_a_release_takes_them_off(
    able: Callable[..., None], three: Any
) -> None:
    able(three.insider)
    at = NOW + 8 * DAY
    decide(three.insider, three.trainer, "hold", at=at)
    held = now_of(three.insider, at)
    assert (held.state, held.held_reason, held.since) == ("held", "seen on site", at.date())
    assert held.why == "Trainer said on 10 March 2026: seen on site. A release is needed."
    decide(three.insider, three.trainer, "release", at=at + DAY)
    assert now_of(three.insider, at + DAY).state == "ready"
    decide(three.mate, three.trainer, "send", until=date(2026, 3, 20), at=at)
    sent = now_of(three.mate, at)
    assert (sent.state, sent.sent_until) == ("untried", date(2026, 3, 20))
    assert now_of(three.mate, datetime(2026, 3, 21, tzinfo=UTC)).sent_until is None


def test_the_shortest_way_names_what_is_missing_and_how_long_it_takes(able: Callable[..., None], three: Any) -> None:
    able(three.insider, skip="A2")
    now = now_of(three.insider, NOW + 8 * DAY)
    assert now.state == "in training"
    assert "5 more cases on Level it" in now.why
    assert "about" in now.why
    assert "minutes" in now.why


def test_many_people_take_as_many_queries_as_one(able: Callable[..., None], three: Any) -> None:
    able(three.insider)
    everybody = Person.objects.all()
    now_of_many(everybody, NOW)
    with CaptureQueriesContext(connection) as one:
        now_of_many(Person.objects.filter(pk=three.insider.pk), NOW)
    with CaptureQueriesContext(connection) as all_of_them:
        found = now_of_many(everybody, NOW)
    assert len(all_of_them) == len(one) <= 13
    assert [now.name for now in found] == ["Insider", "Mate", "Outsider", "Trainer"]
