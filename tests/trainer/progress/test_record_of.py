"""One person's record: the map, what moved, verdicts and sureness in words, counts, and the attempts behind a skill."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from scoring.mastery.intervals import wilson
from trainer.drills.ledger import enter
from trainer.drills.models import Entry, Void
from trainer.library.rules import SITE_RULE
from trainer.library.skills import skill_map
from trainer.progress.behind import behind, evidence_on
from trainer.progress.catch_up import catch_up
from trainer.progress.life import ground
from trainer.progress.models import DaySet
from trainer.progress.record_of import RecordOf, record_of
from trainer.progress.seeing import seeing_of
from trainer.progress.standings import now_of
from trainer.progress.sureness import STATED, sureness_of
from trainer.roster.models import KitChange, ObservedShoot

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 20, 8, tzinfo=UTC)
DAY = timedelta(days=1)


@pytest.fixture
def practise(graded_row: Callable[..., Any]) -> Callable[..., None]:
    """Grades so many cases of a person on a skill, and folds them."""

    def make(person: Any, skill: str, credits: list[float], at: datetime = NOW, **fields: Any) -> None:
        for minute, credit in enumerate(credits):
            graded_row(person, {skill: credit}, at=at + minute * timedelta(minutes=1), **fields)
        catch_up()

    return make


def cell(record: RecordOf, code: str) -> Any:
    return next(one for one in record.cells if one.code == code)


@pytest.mark.usefixtures("stocked")
def test_every_skill_of_the_map_has_its_cell_and_says_what_can_be_said(
    practise: Callable[..., None], three: Any
) -> None:
    practise(three.insider, "D1", [1.0] * 30)
    practise(three.insider, "B3", [1.0, 0.5])
    record = record_of(three.insider, NOW + DAY)
    assert [one.code for one in record.cells] == list(skill_map())
    assert [group.code for group in record.groups] == ["A", "B", "C", "D", "E", "V", "G"]
    assert (cell(record, "D1").says, cell(record, "D1").count) == ("ready", 30)
    short = cell(record, "B3")
    assert (short.says, short.more, short.star) == ("not enough evidence", 3, True)
    assert short.words == "Not enough evidence: about 3 more cases"
    assert cell(record, "D2").says == "not practised"
    assert cell(record, "A3").says == "no drill"
    assert cell(record, "G2").says == "not shown"
    assert not cell(record, "D2").measured


def test_a_starred_skill_says_what_the_board_says(practise: Callable[..., None], three: Any) -> None:
    practise(three.insider, "V1", [0.0] * 14)
    practise(three.insider, "A2", [1.0] * 4)
    stars = now_of(three.insider, NOW + DAY).stars
    record = record_of(three.insider, NOW + DAY)
    for code in ("V1", "A2"):
        assert (cell(record, code).says, cell(record, code).more) == (stars[code].call, stars[code].more)
    assert cell(record, "V1").says == "not ready"


def test_a_change_of_kit_shows_how_many_cases_count_since(practise: Callable[..., None], three: Any) -> None:
    practise(three.insider, "B1", [1.0] * 6)
    assert cell(record_of(three.insider, NOW + DAY), "B1").since_change is None
    KitChange.objects.create(
        person=three.insider, by=three.trainer, kit="heron-three", parts=["clamp"], made_at=NOW + DAY
    )
    practise(three.insider, "B1", [1.0], at=NOW + 2 * DAY)
    changed = cell(record_of(three.insider, NOW + 2 * DAY), "B1")
    assert (changed.count, changed.since_change) == (7, 1)


def test_somebody_new_has_a_state_and_no_figure(three: Any) -> None:
    record = record_of(three.insider, NOW)
    assert (record.now.state, record.figured_on, record.moved, record.today) == ("untried", None, None, None)
    assert not any(one.measured for one in record.cells)
    assert record.counts == record.times == record.due == ()


def test_idle_weeks_lower_what_is_expected_today_and_say_so(practise: Callable[..., None], three: Any) -> None:
    practise(three.insider, "D1", [1.0] * 10)
    assert record_of(three.insider, NOW + 6 * DAY).today is None
    record = record_of(three.insider, NOW + 60 * DAY)
    assert record.figured_on == NOW.date()
    assert record.today is not None
    assert record.today.idle_days == 60
    assert record.today.score < record.now.score
    assert record.today.low < record.today.score < record.today.high


def test_idle_days_are_those_since_the_newest_case_whatever_was_entered_since(
    practise: Callable[..., None], three: Any
) -> None:
    practise(three.insider, "D1", [1.0] * 3, at=NOW - 60 * DAY)
    KitChange.objects.create(person=three.insider, by=three.trainer, kit="finch", parts=[], made_at=NOW - 10 * DAY)
    record = record_of(three.insider, NOW)
    assert record.figured_on == (NOW - 10 * DAY).date()
    assert record.today is not None
    assert record.today.idle_days == 60


def test_it_tells_what_moved_in_the_last_week(practise: Callable[..., None], three: Any) -> None:
    practise(three.insider, "D1", [0.2] * 6, at=NOW - 20 * DAY)
    practise(three.insider, "A2", [1.0] * 3, at=NOW - 20 * DAY)
    before = record_of(three.insider, NOW - 19 * DAY)
    practise(three.insider, "D1", [1.0] * 5, at=NOW - 2 * DAY)
    practise(three.insider, "V3", [0.0], at=NOW - DAY)
    moved = record_of(three.insider, NOW).moved
    assert moved is not None
    assert (moved.visit, moved.since, moved.cases) == (False, NOW - 7 * DAY, 6)
    assert moved.before == pytest.approx(before.now.score, abs=0.01)
    assert moved.after == record_of(three.insider, NOW).now.score
    assert [(one.name, one.cases) for one in moved.skills] == [("Enough, not too many", 5), ("Name the cause", 1)]
    risen, fresh = moved.skills
    assert risen.before == pytest.approx(cell(before, "D1").score, abs=0.01)
    assert risen.points > 5
    assert fresh.before is None


def test_it_tells_the_state_that_was_left_though_something_was_graded_on_a_day_since(
    graded_row: Callable[..., Any], three: Any
) -> None:
    on = ground(SITE_RULE)
    for day in range(7):
        for star in on.drilled:
            graded_row(three.insider, {star.code: 1.0}, at=NOW + (day - 20) * DAY)
    ObservedShoot.objects.create(
        person=three.insider, by=three.trainer, shot_on=(NOW - 5 * DAY).date(),
        seen={star.code: "done" for star in on.stars}, signed=True, client_key=uuid.uuid4(), made_at=NOW - 5 * DAY,
    )  # fmt: skip
    graded_row(three.insider, {"D1": 1.0}, at=NOW - 2 * DAY)
    catch_up()
    record = record_of(three.insider, NOW)
    assert (record.now.state, record.now.since) == ("ready", (NOW - 5 * DAY).date())
    assert record.moved is not None
    assert (record.moved.state_before, record.moved.state_after) == ("in training", "ready")
    later = record_of(three.insider, NOW + 10 * DAY).moved
    assert later is not None
    assert later.state_before == ""


def test_a_visit_longer_ago_than_a_week_is_what_it_counts_from(practise: Callable[..., None], three: Any) -> None:
    practise(three.insider, "D1", [0.2] * 6, at=NOW - 30 * DAY)
    DaySet.objects.create(
        person=three.insider, day=date(2026, 3, 1), picks=[], made_at=datetime(2026, 3, 1, 9, tzinfo=UTC)
    )
    DaySet.objects.create(person=three.insider, day=NOW.date(), picks=[], made_at=NOW)
    practise(three.insider, "D1", [1.0], at=NOW - 10 * DAY)
    moved = record_of(three.insider, NOW).moved
    assert moved is not None
    assert (moved.visit, moved.since.date(), moved.cases) == (True, date(2026, 3, 1), 1)


def test_nothing_new_moves_nothing(practise: Callable[..., None], three: Any) -> None:
    practise(three.insider, "D1", [1.0] * 6, at=NOW - 30 * DAY)
    moved = record_of(three.insider, NOW).moved
    assert moved is not None
    assert (moved.cases, moved.before, moved.skills, moved.state_before) == (0, None, (), "")


def judge(practise: Callable[..., None], person: Any, *, hits: int, misses: int, alarms: int, kept: int) -> None:
    for verdict, credit, count in (
        ("redo", 1.0, hits),
        ("keep", 0.0, misses),
        ("redo", 0.0, alarms),
        ("keep", 1.0, kept),
    ):
        practise(person, "V1", [credit] * count, kind="verdict", answer={"verdict": verdict})


@pytest.mark.parametrize(
    ("counts", "sees", "leans"),
    [
        ({"hits": 20, "misses": 0, "alarms": 1, "kept": 19}, "clearly", "Neither"),
        ({"hits": 12, "misses": 8, "alarms": 0, "kept": 20}, "clearly", "Too lenient"),
        ({"hits": 20, "misses": 0, "alarms": 12, "kept": 8}, "many", "Too strict"),
        ({"hits": 10, "misses": 10, "alarms": 10, "kept": 10}, "alike", "Neither"),
    ],
)
def test_verdicts_are_told_in_words(
    counts: dict[str, int], sees: str, leans: str, practise: Callable[..., None], three: Any
) -> None:
    judge(practise, three.insider, **counts)
    seeing = seeing_of(three.insider)
    assert (seeing.found.signals, seeing.found.good) == (20, 20)
    assert sees in seeing.sees
    assert seeing.leans.startswith(leans)


def test_nothing_is_said_of_verdicts_before_twenty_of_each_kind(practise: Callable[..., None], three: Any) -> None:
    judge(practise, three.insider, hits=30, misses=5, alarms=3, kept=16)
    seeing = seeing_of(three.insider)
    assert (seeing.enough, seeing.sees, seeing.leans) == (False, "", "")
    assert (seeing.found.hits, seeing.found.false_alarms) == (30, 3)
    assert seeing_of(three.mate).found.signals == 0


def test_sureness_is_held_against_what_came_of_it(practise: Callable[..., None], three: Any) -> None:
    practise(three.insider, "D1", [1.0, 0.0, 0.0, 0.0, 0.0, 1.0], sureness=3)
    assert not sureness_of(three.insider).enough
    practise(three.insider, "D1", [1.0, 0.0, 0.0, 0.0], sureness=1)
    sure = sureness_of(three.insider)
    assert sure.enough
    assert sure.words.startswith("Surer than right")
    guess, fairly, certain = sure.points
    assert [(one.right, one.count) for one in sure.points] == [(1, 4), (0, 0), (2, 6)]
    assert (certain.low_share, certain.high_share) == wilson(2, 6)
    expected = (2 * (STATED[2] - 1) ** 2 + 4 * STATED[2] ** 2 + (STATED[0] - 1) ** 2 + 3 * STATED[0] ** 2) / 10
    assert sure.found.brier == pytest.approx(expected)
    assert guess.x < fairly.x < certain.x
    assert certain.y_high < certain.y < certain.y_low


def test_counts_and_times_are_there_for_a_check_by_hand(practise: Callable[..., None], three: Any) -> None:
    practise(three.insider, "D1", [1.0, 0.8, 0.79, 0.0], issued_at=NOW - timedelta(seconds=30))
    practise(three.insider, "D1", [1.0], issued_at=NOW - DAY)
    record = record_of(three.insider, NOW + DAY)
    (row,) = record.counts
    assert (row.code, row.right, row.count) == ("D1", 3, 5)
    assert (row.low_share, row.high_share) == wilson(3, 5)
    (taken,) = record.times
    assert (taken.count, taken.median_s, taken.title) == (4, 120.0, "Place the stations")
    assert taken.words == "2 min"


def test_what_is_due_soonest_comes_first(practise: Callable[..., None], three: Any) -> None:
    practise(three.insider, "D1", [1.0, 1.0, 1.0], at=NOW - 3 * DAY)
    practise(three.insider, "B4", [0.0], at=NOW - 3 * DAY)
    record = record_of(three.insider, NOW)
    assert [one.code for one in record.due] == ["B4", "D1"]
    assert record.due[0].due_on is not None


def test_attempts_behind_a_skill_are_there_until_they_are_void(graded_row: Callable[..., Any], three: Any) -> None:
    first = graded_row(three.insider, {"D1": 0.5, "D2": 1.0}, at=NOW, sureness=3)
    second = graded_row(three.insider, {"D1": 1.0}, at=NOW + DAY)
    graded_row(three.mate, {"D1": 1.0}, at=NOW)
    catch_up()
    found = behind(evidence_on(three.insider, "D1"))
    assert [(one.attempt_id, one.credit, one.sureness) for one in found] == [(second.pk, 1.0, 2), (first.pk, 0.5, 3)]
    assert [one.title for one in behind(evidence_on(three.insider, "D2"))] == ["A flat"]
    Void.objects.create(attempt=second, by=three.trainer, reason="no fair case", made_at=NOW + DAY)
    enter(Entry.What.VOID, second, NOW + DAY)
    catch_up()
    assert [one.attempt_id for one in behind(evidence_on(three.insider, "D1"))] == [first.pk]
