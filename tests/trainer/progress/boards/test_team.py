"""The Team board: who can be sent alone, why, and what it would take for the rest; for those who lead alone."""

from __future__ import annotations

import csv
import re
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from trainer.people.models import Membership, Person, Role, Team
from trainer.progress.boards.need import by_need, need_of
from trainer.progress.boards.sheet import csv_text, team_rows
from trainer.progress.boards.skills import if_sent, unpractised, weakest
from trainer.progress.boards.team import cell_of
from trainer.progress.catch_up import catch_up
from trainer.progress.standing import standard_set
from trainer.progress.standings import Now, StarNow
from trainer.progress.why import GapWords
from trainer.roster.models import Decision, KitChange, ObservedShoot, Plan, Refresher

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 1)


def star(call: Any = "ready", count: int = 8, score: float = 90.0, *, by_shoot: bool = False) -> StarNow:
    return StarNow("Level it", call, count, 7.0, score, 80.0, 95.0, 2, TODAY, by_shoot)


def now_like(name: str, state: Any = "in training", **more: Any) -> Now:
    plain: dict[str, Any] = {
        "person_id": uuid.uuid5(uuid.NAMESPACE_OID, name), "name": name, "state": state, "since": TODAY, "score": 70.0,
        "low": 60.0, "high": 80.0, "chance": 0.4, "count": 10, "stars": {}, "due_on": None, "lapsed_on": None,
        "gaps": (),
        "why": "", "sent_until": None, "held_reason": "", "kit": "", "teams": (), "region": "",
    }  # fmt: skip
    return Now(**{**plain, **more})


def gap(cases: int, what: str = "star-count") -> GapWords:
    return GapWords(what, "A2", f"{cases} more cases on Level it", cases)


def test_who_can_be_sent_comes_first_then_who_is_nearest_whatever_their_scores() -> None:
    people = [
        now_like("Far", gaps=(gap(20),), score=99.0),
        now_like("Near", gaps=(gap(2),), score=10.0),
        now_like("Near but for a shoot", gaps=(gap(2), gap(0, "shoot"))),
        now_like("Held", "held"),
        now_like("Stands long", "ready", due_on=TODAY + timedelta(days=60)),
        now_like("Due soon", "ready", due_on=TODAY + timedelta(days=2)),
        now_like("Sent", "lapsed", sent_until=TODAY + timedelta(days=9), gaps=(gap(3),)),
        now_like("New", "untried", count=0, gaps=(gap(1),)),
    ]
    order = [need.now.name for need in by_need(people)]
    assert order == ["Due soon", "Sent", "Stands long", "Near", "Far", "Near but for a shoot", "New", "Held"]


def test_whom_no_number_of_cases_is_promised_is_not_among_the_nearest() -> None:
    unsure = GapWords("overall", "", "a surer score (at least 76 now)", 16, promised=False)
    people = [
        now_like("Unsure", gaps=(unsure,)), now_like("Far", gaps=(gap(40), gap(0, "shoot"))),
        now_like("New", "untried", count=0, gaps=(unsure,)),
    ]  # fmt: skip
    order = by_need(people)
    assert [need.now.name for need in order] == ["Far", "Unsure", "New"]
    assert [(need.cases, need.minutes, need.promised) for need in order[:2]] == [(40, 50, True), (16, 20, False)]
    head, *rows = team_rows(order, {})
    assert [row[head.index("minutes are enough")] for row in rows] == [
        "four times of five",
        "not promised",
        "not promised",
    ]


def test_cases_that_several_gaps_ask_for_are_counted_once() -> None:
    conduct, overall = GapWords("conduct", "A2", "5 cases in a row", 5), GapWords("overall", "", "20 more of any", 20)
    assert need_of(now_like("Same skill", gaps=(gap(5), conduct))).cases == 5
    assert need_of(now_like("Any skill too", gaps=(gap(5), conduct, overall))).cases == 20
    other = GapWords("star-count", "B1", "18 more cases", 18)
    assert need_of(now_like("Two skills", gaps=(gap(5), other, overall))).cases == 23


def test_the_order_does_not_know_scores() -> None:
    low, high = (now_like(name, gaps=(gap(5),), score=score) for name, score in (("A", 1.0), ("B", 99.0)))
    assert [need.now.name for need in by_need([high, low])] == ["A", "B"]


def test_somebody_held_is_not_sent_even_where_a_decision_once_said_so() -> None:
    assert need_of(now_like("Held", "held", sent_until=TODAY)).group == "held"


def test_the_weakest_skills_are_those_with_the_lowest_mean_and_say_on_how_many_they_rest() -> None:
    people = [
        now_like(
            str(number),
            stars={
                "A2": star(score=80.0, count=20),
                "B1": star("not ready", score=40.0 + number, count=20),
                "C1": star(by_shoot=True, score=0.0, count=0),
                "D2": star("not enough evidence", score=60.0, count=0 if number else 3),
            },
        )
        for number in range(4)
    ]
    found = weakest(people, 2)
    assert [(weak.code, weak.people, weak.cases, weak.ready, weak.of, weak.few) for weak in found] == [
        ("B1", 4, 80, 0, 4, False),
        ("D2", 1, 3, 0, 4, True),
    ]
    assert found[0].score == pytest.approx(41.5)


def test_skills_that_nobody_has_a_case_of_are_named_beside_the_weakest() -> None:
    none = star("not enough evidence", 0)
    people = [now_like("One", stars={"A2": none, "B1": star(), "C1": star(count=0, by_shoot=True)}),
              now_like("Two", stars={"A2": none, "B1": none, "C1": star(count=0, by_shoot=True)})]  # fmt: skip
    assert unpractised(people) == ("Level it",)
    assert unpractised([]) == ()


def test_sending_some_people_tells_what_nobody_holds_and_what_rests_on_one() -> None:
    ann = now_like("Ann", "ready", stars={"A2": star(), "B1": star(), "C1": star("not enough evidence", by_shoot=True)})
    bob = now_like("Bob", "due", stars={"A2": star(), "B1": star("not ready"), "C1": star(by_shoot=True)})
    cy = now_like("Cy", "ready", stars={"A2": star(), "B1": star("not enough evidence"), "C1": star(by_shoot=True)})
    sent = if_sent([ann, bob, cy])
    assert sent is not None
    assert sent.not_alone == ("Bob (due)",)
    assert [(held.code, held.by) for held in sent.wanting] == [("B1", ("Ann",))]
    assert [(held.code, len(held.by)) for held in sent.enough] == [("C1", 2), ("A2", 3)]
    alone = if_sent([bob])
    assert alone is not None
    assert [held.code for held in alone.wanting] == ["B1"], "one person alone is not too few"
    assert if_sent([]) is None


@pytest.mark.parametrize(
    ("given", "says", "words"),
    [
        (star("ready"), "ready", "ready"),
        (star("not ready"), "not ready", "not ready"),
        (star("not enough evidence"), "not enough evidence", "2 more"),
        (star("ready", by_shoot=True), "shown", "shown"),
        (star("not enough evidence", by_shoot=True), "not shown", "shoot"),
    ],
)
def test_a_cell_has_a_word_a_shape_and_its_n(given: StarNow, says: str, words: str) -> None:
    cell = cell_of(given)
    assert (cell.says, cell.words) == (says, words)
    assert cell.small == ("n = 8" if not given.by_shoot else cell.small)
    assert given.name in cell.whole


@pytest.mark.parametrize("text", ["＝1+1", "=1+1", "+1", "-1", "@x", "\tx", "\rx"])
def test_a_cell_that_a_spreadsheet_would_compute_is_made_plain(text: str) -> None:
    read = next(csv.reader(StringIO(csv_text([[text, "plain", -3]]), newline="")))
    assert read == [f"'{text}", "plain", "-3"]


@pytest.fixture
def manager(three: Any, hashed_password: str) -> Any:
    """Somebody who decides for the home team."""
    home = Team.objects.get(name="North")
    home.region = "Hills"
    home.save()
    person = Person.objects.create(email="manager@example.org", password=hashed_password, name="Manager")
    Membership.objects.create(person=person, team=home, role=Role.MANAGER)
    return person


@pytest.fixture
def some_ready(three: Any, graded_row: Callable[..., Any]) -> None:
    """The insider is ready today; the mate has begun."""
    start = timezone.now().astimezone(UTC).replace(hour=0, minute=5) - timedelta(days=8)
    stars = list(standard_set().skills)
    for day in range(7):
        for code in stars:
            graded_row(three.insider, {code: 1.0}, at=start + timedelta(days=day))
    graded_row(three.mate, {"A2": 0.0}, at=start)
    seen = dict.fromkeys(("A2", "B1", "B3", "C1", "D2", "E1", "G1", "G2", "V1", "V3"), "done")
    ObservedShoot.objects.create(
        person=three.insider, by=three.trainer, shot_on=start.date(), seen=seen, signed=True, client_key=uuid.uuid4(),
        made_at=start + timedelta(days=7),
    )  # fmt: skip
    KitChange.objects.create(person=three.mate, by=three.trainer, kit="heron-three", parts=[], made_at=start)
    catch_up()


@pytest.mark.usefixtures("some_ready")
def test_the_page_says_who_can_be_sent_why_and_what_the_rest_needs(client: Client, manager: Any, three: Any) -> None:
    client.force_login(manager)
    page = client.get("/team/").content.decode()
    assert "<b>1</b> of 2" in page
    assert "1 ready by the rule" in page
    assert page.index("Insider") < page.index("Mate")
    assert "Stands until" in page
    assert "Needs 4 more cases on Level it" in page
    assert "a shoot to watch" in page
    assert "North, Hills" in page
    assert "Outsider" not in page


@pytest.mark.usefixtures("some_ready")
def test_after_a_change_of_kit_it_is_not_said_that_nobody_ever_practised_a_skill(
    client: Client, manager: Any, three: Any
) -> None:
    KitChange.objects.create(
        person=three.insider, by=three.trainer, kit="finch", parts=["clamp"], made_at=timezone.now()
    )
    client.force_login(manager)
    page = client.get("/team/").content.decode()
    assert "Nobody has a case that counts: " in page
    assert "Not practised" not in page


@pytest.mark.usefixtures("some_ready")
def test_people_are_found_by_team_region_kit_and_state(client: Client, manager: Any, three: Any) -> None:
    client.force_login(manager)
    team = Team.objects.get(name="North").pk

    def names(query: str) -> set[str]:
        page = client.get(f"/team/?{query}").content.decode()
        return {name for name in ("Insider", "Mate") if f">{name}</a>" in page}

    assert names("state=ready") == {"Insider"}
    assert names("kit=heron-three") == {"Mate"}
    assert names("region=Hills") == {"Insider", "Mate"}
    assert names("region=Plains") == set()
    assert names(f"team={team}") == {"Insider", "Mate"}
    assert "Nobody fits this choice." in client.get("/team/?region=Plains").content.decode()


@pytest.mark.usefixtures("some_ready")
def test_ticked_people_are_sent_on_the_page_without_a_script(client: Client, manager: Any, three: Any) -> None:
    client.force_login(manager)
    page = client.get("/team/", {"send": [three.insider.pk, three.mate.pk]}).content.decode()
    assert "If you send these 2" in page
    assert "Mate (in training)" in page
    assert "rests on Insider alone" in page
    assert page.count(" checked>") == 2


def without_chance(reply: Any, asked_for: uuid.UUID) -> str:
    """A page without what differs from request to request, and without what the request itself brought."""
    page = reply.content.decode().replace(str(asked_for), "")
    return re.sub(r'(nonce|data-token|value)="[A-Za-z0-9+/=]{20,}"', "", page)


@pytest.mark.usefixtures("some_ready")
def test_ids_of_others_do_nothing_that_ids_of_nobody_do_not(client: Client, manager: Any, three: Any) -> None:
    client.force_login(manager)
    away = Team.objects.get(name="South").pk
    nobody = uuid.UUID(int=three.outsider.pk.int ^ 1)
    foreign, missing = (without_chance(client.get("/team/", {"send": i}), i) for i in (three.outsider.pk, nobody))
    assert "Outsider" not in foreign
    assert "If you send" not in foreign
    assert foreign == missing
    for unknown in (away, uuid.UUID(int=away.int ^ 1), "no-id"):
        assert client.get("/team/", {"team": unknown}).status_code == 404
        assert client.get("/team/sheet.csv", {"team": unknown}).status_code == 404


@pytest.mark.usefixtures("some_ready")
@pytest.mark.parametrize(("address", "name"), [("/team/", "send"), ("/assign/", "to")])
def test_ids_of_others_ask_the_database_as_much_as_ids_of_nobody(
    client: Client, manager: Any, three: Any, address: str, name: str
) -> None:
    client.force_login(manager)
    other = Person.objects.create(email="east@example.org", name="East")
    east = Team.objects.create(firm=Team.objects.get(name="North").firm, name="East")
    Membership.objects.create(person=other, team=east, role=Role.OPERATOR)
    client.get(address)
    asked = {}
    for who, one in (
        ("another team", other.pk), ("another firm", three.outsider.pk), ("nobody", uuid.UUID(int=other.pk.int ^ 1)),
    ):  # fmt: skip
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address, {name: one}).status_code == 200
        asked[who] = [re.sub(r"[0-9a-f]{32}|[0-9a-f-]{36}|'[^']*'", "?", query["sql"]) for query in queries]
    assert asked["another team"] == asked["another firm"] == asked["nobody"]


def test_nobody_who_leads_no_team_finds_the_board(client: Client, three: Any) -> None:
    client.force_login(three.insider)
    assert client.get("/team/").status_code == 404
    assert client.get("/team/sheet.csv").status_code == 404


@pytest.mark.usefixtures("some_ready")
def test_the_sheet_tells_the_day_of_its_figures_and_none_of_somebody_untried(client: Client, manager: Any) -> None:
    new = Person.objects.create(email="new@example.org", name="New")
    Membership.objects.create(person=new, team=Team.objects.get(name="North"), role=Role.OPERATOR)
    client.force_login(manager)
    text = client.get("/team/sheet.csv").content.decode("utf-8-sig")
    rows = {row["name"]: row for row in csv.DictReader(StringIO(text, newline=""))}
    begun = (timezone.now().astimezone(UTC) - timedelta(days=8)).date()
    assert rows["Insider"]["figures of"] == str(begun + timedelta(days=7))
    assert rows["Mate"]["figures of"] == str(begun)
    figures = ("expected score of 100", "90 % from", "90 % to", "n", "figures of")
    assert [rows["New"][name] for name in figures] == ["", "", "", "0", ""]


@pytest.mark.usefixtures("some_ready")
def test_the_sheet_has_a_line_for_each_person_and_what_is_missing(client: Client, manager: Any, three: Any) -> None:
    three.mate.name = "=HYPERLINK(1)"
    three.mate.save()
    client.force_login(manager)
    reply = client.get("/team/sheet.csv")
    assert reply["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(StringIO(reply.content.decode("utf-8-sig"), newline="")))
    assert [(row["name"], row["state"], row["can be sent alone"]) for row in rows] == [
        ("Insider", "ready", "yes"),
        ("'=HYPERLINK(1)", "in training", "no"),
    ]
    assert "more cases on" in rows[1]["missing"]
    assert rows[0]["Level it"] == "ready"
    assert rows[0]["Set exposure and lock it"] == "shown on a signed shoot"
    assert int(rows[0]["Level it: n"]) == 7


@pytest.mark.usefixtures("some_ready")
def test_a_hold_and_a_send_are_seen(client: Client, manager: Any, three: Any) -> None:
    now = datetime.now(UTC)
    Decision.objects.create(person=three.insider, by=manager, what="hold", reason="a broken wrist", made_at=now)
    Decision.objects.create(
        person=three.mate,
        by=manager,
        what="send",
        reason="rides along",
        until=now.date() + timedelta(days=3),
        made_at=now,
    )
    client.force_login(manager)
    page = client.get("/team/").content.decode()
    assert "1 by a named person’s decision" in page
    assert page.index(">Mate</a>") < page.index(">Insider</a>")
    assert "a broken wrist" in page


@pytest.mark.usefixtures("some_ready")
def test_a_refresher_that_runs_shows_how_far_it_is(
    client: Client, manager: Any, three: Any, graded_row: Callable[..., Any]
) -> None:
    now = timezone.now()
    running = Refresher.objects.create(
        team=Team.objects.get(name="North"), by=manager, ready_on=now.date() + timedelta(days=10), title="Spring",
        made_at=now - timedelta(hours=3),
    )  # fmt: skip
    for person, wanted in ((three.insider, {"A2": 1}), (three.mate, {"A2": 2, "B1": 1})):
        Plan.objects.create(
            refresher=running, person=person, wanted=wanted, minutes=5, chance=0.5, made_at=now - timedelta(hours=3)
        )
    graded_row(three.insider, {"A2": 1.0}, at=now - timedelta(hours=1))
    graded_row(three.mate, {"A2": 0.0}, at=now - timedelta(hours=1))
    client.force_login(manager)
    page = client.get("/team/").content.decode()
    assert "Spring" in page
    assert "2 of 4</span> cases done" in page
    assert '<span class="figures">1</span> is through, <span class="figures">1</span> is on the way' in page


@pytest.mark.usefixtures("some_ready")
def test_so_many_queries_however_many_people(client: Client, manager: Any, three: Any) -> None:
    client.force_login(manager)
    client.get("/team/")
    with CaptureQueriesContext(
        connection,
    ) as few:
        client.get("/team/")
    home = Team.objects.get(name="North")
    for number in range(60):
        person = Person.objects.create(email=f"more{number}@example.org", name=f"More {number}")
        Membership.objects.create(person=person, team=home, role=Role.OPERATOR)
    client.get("/team/")  # what is told of somebody for the first time is kept
    with CaptureQueriesContext(connection) as many:
        page = client.get("/team/").content.decode()
    assert "of 62" in page
    assert len(many) <= len(few)
    assert 'aria-label="Pages of people"' in page
    assert "More 59" in client.get("/team/?page=2").content.decode() + page
