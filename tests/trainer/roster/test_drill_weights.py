"""What reshoots weigh on drills: the rows that stand, of the last year, of the own team or firm alone."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest

from trainer.library.skills import skill_map
from trainer.people.models import Firm, Team
from trainer.roster.causes import cause_named, cause_words, causes, skills_of_causes
from trainer.roster.models import Reshoot, StruckReshoot
from trainer.roster.reshoots import drill_weights, skills_of_reshoots

TODAY = date(2026, 6, 1)
NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)


@pytest.fixture
def team(db: None) -> Team:
    return Team.objects.create(firm=Firm.objects.create(name="Home"), name="North")


def reshoot(team: Team, cause: str = "F1", **fields: Any) -> Reshoot:
    given: dict[str, Any] = {"shot_on": date(2026, 5, 4), "cause": cause, "cost": 80, "made_at": NOW, **fields}
    return Reshoot.objects.create(firm=team.firm, team=team, **given)


def test_every_cause_points_to_skills_of_the_map_but_something_else() -> None:
    assert [code for code, skills in skills_of_causes().items() if not skills] == ["other"]
    assert {skill for skills in skills_of_causes().values() for skill in skills} == set(skill_map())
    assert len(causes()) == 19 + 28 + 1
    assert len({cause.words for cause in causes().values()}) == len(causes())


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("F8", "F8"),
        ("f8", "F8"),
        ("Spin  stopped short", "F8"),
        ("keep the line of sight", "D2"),
        ("Not done: Keep the line of sight", "D2"),
        ("something else", "other"),
        ("N0", None),
        ("", None),
    ],
)
def test_a_cause_is_found_by_its_words_or_its_code(text: str, code: str | None) -> None:
    assert cause_named(text) == code


def test_a_cause_that_the_list_has_no_more_keeps_its_code() -> None:
    assert cause_words("F99") == "F99"


def test_skills_that_prevent_dear_reshoots_weigh_more(team: Team) -> None:
    for _ in range(6):
        reshoot(team, "F1", cost=100)
        reshoot(team, "D2", cost=50)
    weights = drill_weights(team.firm, TODAY)
    assert set(weights) == {"B1", "D2"}
    assert weights["B1"] > weights["D2"] > 1.0


def test_struck_old_and_coming_rows_weigh_nothing(team: Team) -> None:
    StruckReshoot.objects.create(reshoot=reshoot(team), reason="Entered twice.", made_at=NOW)
    reshoot(team, shot_on=date(2025, 6, 1))
    reshoot(team, shot_on=date(2026, 6, 2))
    assert drill_weights(team.firm, TODAY) == {}
    reshoot(team, shot_on=date(2025, 6, 2))
    assert set(drill_weights(team.firm, TODAY)) == {"B1"}


def test_reshoots_of_all_teams_of_a_firm_weigh_and_no_others(team: Team) -> None:
    east = Team.objects.create(firm=team.firm, name="East")
    away = Team.objects.create(firm=Firm.objects.create(name="Away"), name="South")
    reshoot(team, "F1")
    reshoot(east, "F4")
    reshoot(away, "F8")
    assert set(drill_weights(team.firm, TODAY)) == {"A2", "B1"}
    assert skills_of_reshoots(Team.objects.filter(pk=east.pk), TODAY) == {"A2"}
    assert skills_of_reshoots(team.firm.teams.all(), TODAY) == {"A2", "B1"}
    assert skills_of_reshoots(Team.objects.none(), TODAY) == set()
