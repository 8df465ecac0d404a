"""The firm's readiness rule: read by who leads, changed by an owner from a day on, with whose state it changes."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import asdict
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from scoring.border import FileProblems
from trainer.library.rules import SITE_RULE, checked_rule, enter_rule, rule_named, rule_of_firm
from trainer.people.models import Firm, Membership, Role, Team
from trainer.progress.catch_up import catch_up
from trainer.progress.life import ground
from trainer.progress.models import Standing
from trainer.progress.rule_page import preview_of
from trainer.progress.standings import forecast, now_of
from trainer.roster.models import Decision, ObservedShoot

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
DAY = timedelta(days=1)
LATER = NOW + 7 * DAY


@pytest.fixture
def home(three: Any) -> Firm:
    """The firm of the insider, whom the trainer owns besides."""
    firm = three.insider.memberships.get().team.firm
    Membership.objects.create(person=three.trainer, team=firm.teams.get(), role=Role.OWNER)
    return firm


@pytest.fixture
def able(graded_row: Callable[..., Any], three: Any) -> Any:
    """The insider, ready by the site's rule: a week of cases at full credit, and a signed shoot."""
    on = ground(SITE_RULE)
    for day in range(7):
        for star in on.drilled:
            graded_row(three.insider, {star.code: 1.0}, at=NOW + day * DAY)
    ObservedShoot.objects.create(
        person=three.insider, by=three.trainer, shot_on=LATER.date(), seen={star.code: "done" for star in on.stars},
        signed=True, client_key=uuid.uuid4(), made_at=LATER,
    )  # fmt: skip
    catch_up()
    return three.insider


def other(**numbers: Any) -> dict[str, Any]:
    return {**asdict(SITE_RULE), **numbers}


def test_a_preview_names_whose_state_changes_and_keeps_nothing(home: Firm, able: Any, three: Any) -> None:
    assert now_of(able, LATER).state == "ready"
    before = list(Standing.objects.order_by("pk").values())
    found = preview_of(home, checked_rule(other(star_count=50)), LATER, three.trainer)
    assert [(one.name, one.now, one.then) for one in found.moved] == [(able.name, "ready", "in training")]
    assert (found.ready_now, found.ready_then) == (1, 0)
    assert found.people == found.of
    assert list(Standing.objects.order_by("pk").values()) == before
    assert preview_of(home, checked_rule(other(star_count=4)), LATER, three.trainer).moved == []


def works_for_another(person: Any, made_at: datetime) -> Firm:
    firm = Firm.objects.create(name="Another", made_at=made_at)
    Membership.objects.create(person=person, team=Team.objects.create(firm=firm, name="West"), role=Role.OPERATOR)
    return firm


def test_a_preview_leaves_out_who_goes_by_the_rule_of_an_older_firm(home: Firm, able: Any, three: Any) -> None:
    works_for_another(able, home.made_at - DAY)
    found = preview_of(home, checked_rule(other(star_count=50)), LATER, three.trainer)
    assert (found.moved, found.ready_now, found.people, found.of) == ([], 0, 1, 2)


def test_a_hold_of_another_firm_leaves_nobody_out_of_a_preview(home: Firm, able: Any, three: Any) -> None:
    another = works_for_another(able, home.made_at + DAY)
    Decision.objects.create(person=able, firm=another, what="hold", reason="Seen on site.", made_at=LATER)
    found = preview_of(home, checked_rule(other(star_count=50)), LATER, three.trainer)
    assert (found.ready_now, found.ready_then, found.people) == (1, 0, 2)


def test_it_holds_from_its_day_on_for_that_firm_alone(home: Firm, able: Any, three: Any) -> None:
    from_day = (LATER + DAY).date()
    made = enter_rule(home, other(star_count=50), holds_from=from_day, by=three.trainer, now=LATER)
    assert rule_of_firm(home, LATER.date()) == SITE_RULE
    assert rule_of_firm(home, from_day) == rule_named(made.name)
    assert rule_named(made.name).star_count == 50
    assert now_of(able, LATER).state == "ready"
    told = now_of(able, LATER + DAY)
    assert told.state == "in training"
    assert all(star.call != "ready" for star in told.stars.values() if not star.by_shoot)
    assert rule_of_firm(three.outsider.memberships.get().team.firm, from_day) == SITE_RULE


def test_looking_ahead_to_another_rule_leaves_what_is_stored(home: Firm, able: Any, three: Any) -> None:
    now_of(able, LATER)
    before = list(Standing.objects.order_by("pk").values())
    enter_rule(home, other(star_count=50), holds_from=(LATER + DAY).date(), by=three.trainer, now=LATER)
    assert forecast(able, (LATER + 2 * DAY).date()).state == "in training"
    assert list(Standing.objects.order_by("pk").values()) == before


def test_a_day_that_has_begun_is_refused(home: Firm, three: Any) -> None:
    with pytest.raises(ValueError, match="after today"):
        enter_rule(home, other(), holds_from=NOW.date(), by=three.trainer, now=NOW)


@pytest.mark.parametrize(
    "numbers",
    [
        {"due_chance": 0.95}, {"lapsed_chance": 0.8}, {"idle_due_days": 200.0}, {"false_alarms_most": 11},
        {"not_ready_chance": 0.9}, {"cut_points": 101.0}, {"cut_points": "high"}, {"more": 1}, {"check_least": 41},
        {"check_least": 0, "check_most": 0},
    ],
)  # fmt: skip
def test_numbers_that_would_make_people_flicker_or_mean_nothing_are_refused(numbers: dict[str, Any]) -> None:
    with pytest.raises(FileProblems):
        checked_rule(other(**numbers))


def test_the_page_is_read_by_who_leads_and_changed_by_an_owner(client: Client, home: Firm, three: Any) -> None:
    address = reverse("readiness_rule")
    client.force_login(three.insider)
    assert client.get(address).status_code == 404
    client.force_login(three.trainer)
    shown = client.get(address).content.decode()
    assert 'with a chance of at least <strong class="figures">90 %' in shown
    fields = {name: ("yes" if value else "no") if isinstance(value, bool) else str(value)
              for name, value in other(cut_points=75).items() if name != "version"}  # fmt: skip
    looked = client.post(address, {**fields, "preview": ""})
    assert looked.status_code == 200
    assert 'id="preview"' in looked.content.decode()
    for no_day in ("", "2026-02-30"):
        refused = client.post(address, {**fields, "keep": "", "holds_from": no_day})
        assert refused.status_code == 400
        assert "Choose the day from which it holds." in refused.content.decode()
    from_day = timezone.now().date() + DAY
    client.post(address, {**fields, "keep": "", "holds_from": from_day.isoformat()})
    assert rule_of_firm(home, from_day).cut_points == 75.0
    refused = client.post(address, {**fields, "due_chance": "0.99", "preview": ""})
    assert refused.status_code == 400
    assert "the chances must fall" in refused.content.decode()


def test_a_rule_of_ones_is_read_in_the_singular(client: Client, home: Firm, three: Any) -> None:
    ones = other(
        star_count=1, star_newest_days=1.0, false_alarms_of=1, false_alarms_most=1, conduct_newest=1, idle_due_days=1.0,
        idle_lapsed_days=2.0, check_least=1, check_most=1,
    )  # fmt: skip
    today = timezone.now()
    made = enter_rule(home, ones, holds_from=today.date() - DAY, by=three.trainer, now=today - 2 * DAY)
    client.force_login(three.trainer)
    for address in (reverse("readiness_rule"), reverse("badge_criteria", args=[made.name])):
        text = " ".join(strip_tags(client.get(address).content.decode()).split())
        assert "1 graded case, the newest at most 1 day old" in text
        assert "the newest 1 good frame at most 1 " in text
        assert "after 1 day without" in text
        assert "after 2 days" in text
    text = " ".join(strip_tags(client.get(reverse("readiness_rule")).content.decode()).split())
    assert "1 was redone" in text
    assert "after 1 case at the earliest and 1 at the latest" in text


def test_a_trainer_who_is_no_owner_changes_nothing(client: Client, three: Any) -> None:
    client.force_login(three.trainer)
    address = reverse("readiness_rule")
    assert client.get(address).status_code == 200
    assert "Change the numbers" not in client.get(address).content.decode()
    assert client.post(address, {"preview": ""}).status_code == 404
