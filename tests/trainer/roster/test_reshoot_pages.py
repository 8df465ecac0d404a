"""Pages of reshoots: for those who lead, figures with their n, nothing of other teams, everything kept with its key."""

from __future__ import annotations

import csv
import io
import re
import uuid
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from tests.trainer.roster.conftest import OTHERS
from trainer.library.shelf import take_in
from trainer.people.models import Membership
from trainer.roster.models import JobCount, Reshoot, ReshootImport, StruckReshoot
from trainer.roster.reshoot_figures import Months, figures_of, month_after, twelve_to

pytestmark = pytest.mark.django_db
PAGES = ("reshoots", "reshoot_enter", "job_counts", "reshoot_import", "reshoot_template", "reshoots_csv")
LEADERS = ("trainer", "manager", "owner")
OF_NOBODY = ("insider", "mate", "outsider")


def reshoot(team: Any, cause: str = "F8", days: int = 10, **fields: Any) -> Reshoot:
    given: dict[str, Any] = {"cost": Decimal(80), "made_at": timezone.now(), **fields}
    day = timezone.now().date() - timedelta(days=days)
    return Reshoot.objects.create(firm=team.firm, team=team, cause=cause, shot_on=day, **given)


def form(firm: Any, **fields: Any) -> dict[str, str]:
    return {
        "key": str(uuid.uuid4()), "team": str(firm.home.pk), "shot_on": timezone.now().date().isoformat(),
        "cause": "F8", "cost": "79,50", "who": str(firm.insider.pk), "place": "flat", "words": "bank was empty",
        **{name: str(value) for name, value in fields.items()},
    }  # fmt: skip


@pytest.mark.parametrize("name", PAGES)
def test_they_are_there_for_those_who_lead_and_for_nobody_else(name: str, visit: Any) -> None:
    for who in LEADERS:
        assert visit(who).get(reverse(name)).status_code == 200, who
    for who in OF_NOBODY:
        assert visit(who).get(reverse(name)).status_code == 404, who
    assert visit("anonymous").get(reverse(name)).status_code == 302


def test_nothing_is_entered_yet_and_the_page_says_so(visit: Any) -> None:
    text = visit("manager").get(reverse("reshoots")).content.decode()
    assert "No reshoot is entered for these months." in text
    assert "every skill weighs alike" not in text, "that would tell of the other team"
    assert "every skill weighs alike" in visit("owner").get(reverse("reshoots")).content.decode()


def test_causes_stand_in_words_with_n_rates_and_costs(firm: Any, visit: Any, entries: list[Any]) -> None:
    shelf = [replace(one, body={**one.body, "skills": ["D2"]}) if one.what == "recipe" else one for one in entries]
    take_in(shelf, timezone.now())
    for cost in (60, 70, 80, 90, 100, 110):
        reshoot(firm.home, "F8", cost=Decimal(cost))
    reshoot(firm.home, "D2", cost=Decimal(45))
    day = timezone.now().date() - timedelta(days=10)
    JobCount.objects.create(team=firm.home, month=day.replace(day=1), jobs=120, made_at=timezone.now())
    text = visit("trainer").get(reverse("reshoots")).content.decode()
    told = " ".join(re.sub(r"<[^>]+>", " ", text).split())
    assert "Spin stopped short n = 6 5.0 (1.8 to 10.9) 85 (65 to 105) 510" in told.replace("\xa0", " ").replace(
        "&nbsp;", " "
    )
    assert "Not done: Keep the line of sight" in told
    assert "goes with a reshoot because somebody entered it so" in told
    whole = " ".join(re.sub(r"<[^>]+>", " ", visit("owner").get(reverse("reshoots")).content.decode()).split())
    assert "chosen more readily: Keep the line of sight: 1.04 times" in whole
    assert "go with Plan power, but no drill practises it: a watched shoot shows it." in whole
    assert "caused" not in told.lower()
    assert not re.search(r"\bF8\b", told), "words, no codes"
    assert text.count('class="cost-bar"') == 2


@pytest.mark.parametrize("who", ["trainer", "manager"])
def test_what_weighs_is_said_alike_whatever_another_team_had_to_shoot_again(who: str, firm: Any, visit: Any) -> None:
    def said() -> str:
        text = visit(who).get(reverse("reshoots")).content.decode()
        return text[text.index('id="weights"') : text.index('id="log"')]

    before = said()
    assert "Home in the last 365 days go with is practised more" in before
    for cause in ("F8", "D2", "F1"):
        reshoot(firm.east, cause, cost=Decimal(500))
    assert said() == before
    reshoot(firm.home, "F4", cost=Decimal(500))
    assert said() == before


def test_struck_ones_stay_in_the_log_and_count_no_more(firm: Any, visit: Any) -> None:
    row = reshoot(firm.home)
    client = visit("manager")
    client.post(reverse("reshoot_strike", args=[row.pk]), {"reason": "Entered for the wrong home."})
    text = client.get(reverse("reshoots")).content.decode()
    assert StruckReshoot.objects.get().reshoot == row
    assert "taken back" in text
    assert "Entered for the wrong home." in text
    assert "No reshoot is entered for these months." in text


def test_a_reason_that_is_none_comes_back_as_it_was_typed(firm: Any, visit: Any) -> None:
    row = reshoot(firm.home)
    reply = visit("manager").post(reverse("reshoot_strike", args=[row.pk]), {"reason": "a <slip>"})
    assert reply.status_code == 400
    assert "a &lt;slip&gt;</textarea>" in reply.content.decode()
    assert not StruckReshoot.objects.exists()


@pytest.mark.parametrize("who", [name for name in OTHERS if name != "anonymous"])
def test_another_teams_reshoot_is_as_if_it_were_not_there(who: str, firm: Any, visit: Any) -> None:
    row = reshoot(firm.home, words="a very particular home")
    client = visit(who)
    reason = {"reason": "Entered for the wrong home."}
    theirs = client.post(reverse("reshoot_strike", args=[row.pk]), reason)
    nobodys = client.post(reverse("reshoot_strike", args=[uuid.uuid4()]), reason)
    assert theirs.status_code == nobodys.status_code == 404
    assert not StruckReshoot.objects.exists()
    for page in ("reshoots", "reshoots_csv"):
        assert b"a very particular home" not in client.get(reverse(page)).content
        asked = client.get(reverse(page), {"team": str(firm.home.pk)})
        assert b"a very particular home" not in asked.content


def test_an_owner_sees_all_teams_and_may_choose_one(firm: Any, visit: Any) -> None:
    reshoot(firm.home, words="first home")
    reshoot(firm.east, words="second home")
    client = visit("owner")
    both = client.get(reverse("reshoots")).content
    assert b"first home" in both
    assert b"second home" in both
    one = client.get(reverse("reshoots"), {"team": str(firm.east.pk)}).content
    assert b"first home" not in one
    assert b"second home" in one


def test_somebody_who_went_to_another_team_is_not_named(firm: Any, visit: Any) -> None:
    reshoot(firm.home, person=firm.mate)
    Membership.objects.filter(person=firm.mate).update(until=timezone.now())
    Membership.objects.create(person=firm.mate, team=firm.east, role="operator")
    page, file = (visit("trainer").get(reverse(name)).content.decode() for name in ("reshoots", "reshoots_csv"))
    assert "somebody of another team" in page
    assert "Mate" not in page
    assert "mate@" not in file


def test_a_form_is_kept_once_and_in_words(firm: Any, visit: Any) -> None:
    client, sent = visit("trainer"), form(firm)
    for _ in range(2):
        assert client.post(reverse("reshoot_enter"), sent).headers["Location"] == reverse("reshoots")
    stored = Reshoot.objects.get()
    assert (stored.cost, stored.person, stored.by) == (Decimal("79.50"), firm.insider, firm.trainer)
    assert "shot by Insider" in client.get(reverse("reshoots")).content.decode()


def test_a_refused_form_keeps_what_was_filled_in(firm: Any, visit: Any) -> None:
    reply = visit("trainer").post(reverse("reshoot_enter"), form(firm, cost="cheap"))
    text = reply.content.decode()
    assert reply.status_code == 400
    assert "Give the cost as a number" in text
    assert "bank was empty" in text
    assert '<option value="F8" selected>' in text
    assert not Reshoot.objects.exists()


@pytest.mark.parametrize("field", ["team", "who"])
def test_a_foreign_team_or_person_is_not_found(field: str, firm: Any, visit: Any) -> None:
    foreign = {"team": firm.east.pk, "who": firm.outsider.pk}[field]
    told = set()
    for value in (foreign, uuid.uuid4(), "nonsense"):
        reply = visit("trainer").post(reverse("reshoot_enter"), form(firm, **{field: value}))
        assert reply.status_code == 400
        told |= set(re.findall(r'role="alert">([^<]+)', reply.content.decode()))
    assert len(told) == 1, "a foreign one reads like one that is not there"
    assert not Reshoot.objects.exists()


def test_jobs_of_a_month_are_kept_and_a_later_number_counts(firm: Any, visit: Any) -> None:
    client = visit("manager")
    for jobs in ("40", "44"):
        client.post(reverse("job_counts"), {"team": firm.home.pk, "month": "2026-03", "jobs": jobs})
    text = client.get(reverse("job_counts")).content.decode()
    assert '<td class="figures">44</td>' in text
    assert '<td class="figures">40</td>' not in text
    assert client.post(reverse("job_counts"), {"team": firm.home.pk, "month": "x", "jobs": "4"}).status_code == 400
    assert JobCount.objects.count() == 2
    assert (
        client.post(reverse("job_counts"), {"team": firm.home.pk, "month": "2026-03", "jobs": "²"}).status_code == 400
    )
    assert (
        client.post(reverse("job_counts"), {"team": firm.east.pk, "month": "2026-03", "jobs": "4"}).status_code == 400
    )


def upload(firm: Any, text: str) -> dict[str, Any]:
    return {"team": str(firm.home.pk), "file": SimpleUploadedFile("reshoots.csv", text.encode())}


def test_a_file_is_looked_at_first_and_entered_once(firm: Any, visit: Any) -> None:
    client, day = visit("manager"), timezone.now().date().isoformat()
    text = f'day,cause,cost,words\r\n{day},Spin stopped short,79.50,"two\r\nlines"\r\n{day},F1,20,\r\n'
    seen = client.post(reverse("reshoot_import"), upload(firm, text))
    assert seen.status_code == 200
    assert "would enter 2 reshoots" in seen.content.decode()
    assert not Reshoot.objects.exists()
    again = {"team": str(firm.home.pk), "text": text, "enter": "yes"}
    assert client.post(reverse("reshoot_import"), again).status_code == 302
    assert Reshoot.objects.count() == 2
    for repeat in (again, upload(firm, text)):
        refused = client.post(reverse("reshoot_import"), repeat)
        assert refused.status_code == 400
        assert "This file was taken in on" in refused.content.decode()
    assert Reshoot.objects.count() == 2
    assert ReshootImport.objects.count() == 1


def test_a_bad_file_names_its_rows_and_enters_nothing_even_when_asked_to(firm: Any, visit: Any) -> None:
    text = "day,cause,cost\n2026-01-05,F8,1\n2026-01-06,F8,dear\n"
    for given in (upload(firm, text), {"team": str(firm.home.pk), "text": text, "enter": "yes"}):
        reply = visit("manager").post(reverse("reshoot_import"), given)
        told = " ".join(re.sub(r"<[^>]+>", " ", reply.content.decode()).split())
        assert reply.status_code == 400
        assert "Row 3 cost Give the cost as a number" in told
    assert not Reshoot.objects.exists()
    assert visit("manager").post(reverse("reshoot_import"), {"team": str(firm.home.pk)}).status_code == 400


def test_a_file_that_is_too_large_or_under_another_name_is_not_read(firm: Any, visit: Any) -> None:
    client = visit("manager")
    large = client.post(reverse("reshoot_import"), upload(firm, "day,cause,cost\n" + "x" * 400_000))
    assert "more than 192 KB" in large.content.decode()
    other = {"team": str(firm.home.pk), "frame": SimpleUploadedFile("a.csv", b"day,cause,cost\n2026-01-05,F8,1\n")}
    assert "Choose a file." in client.post(reverse("reshoot_import"), other).content.decode()
    assert not Reshoot.objects.exists()


def test_the_file_that_goes_out_can_come_in_and_runs_nothing(firm: Any, visit: Any) -> None:
    reshoot(firm.home, words="=1+1", person=firm.insider)
    struck = reshoot(firm.home)
    StruckReshoot.objects.create(reshoot=struck, reason="Entered twice over.", made_at=timezone.now())
    client = visit("trainer")
    reply = client.get(reverse("reshoots_csv"))
    assert reply.headers["Content-Disposition"] == 'attachment; filename="reshoots.csv"'
    rows = list(csv.DictReader(io.StringIO(reply.content.decode("utf-8-sig"))))
    assert [(row["words"], row["who"], row["cause"]) for row in rows] == [
        ("'=1+1", "insider@example.org", "Spin stopped short")
    ]
    seen = client.post(reverse("reshoot_import"), upload(firm, reply.content.decode("utf-8-sig")))
    assert "would enter 1 reshoot," in seen.content.decode()
    head = client.get(reverse("reshoot_template")).content.decode("utf-8-sig")
    assert head.strip() == "day,cause,cost,team,who,kit,place,words"


def test_months_that_cannot_be_read_are_left_out_and_told(visit: Any) -> None:
    for asked in ({"from": "March"}, {"from": "2026-05", "to": "2026-01"}, {"from": "1999-01"}, {"to": "0001-01"}):
        text = visit("manager").get(reverse("reshoots"), asked).content.decode()
        assert 'class="notice problem"' in text


def test_months_are_whole_and_a_year_ago_is_the_same_months() -> None:
    months = twelve_to(date(2026, 3, 31))
    assert (months.first, months.last, months.count) == (date(2025, 4, 1), date(2026, 3, 1), 12)
    assert months.year_before == Months(date(2024, 4, 1), date(2025, 3, 1))
    assert date(2026, 3, 31) in months
    assert date(2026, 4, 1) not in months
    assert month_after(date(2025, 12, 1)) == date(2026, 1, 1)


def test_a_rate_counts_only_months_with_a_number_of_jobs(firm: Any) -> None:
    def row(team: Any, day: date, cause: str = "F8") -> None:
        Reshoot.objects.create(firm=team.firm, team=team, cause=cause, cost=50, shot_on=day, made_at=timezone.now())

    def jobs(team: Any, month: date, count: int) -> None:
        JobCount.objects.create(team=team, month=month, jobs=count, made_at=timezone.now())

    jobs(firm.home, date(2026, 3, 1), 50)
    jobs(firm.home, date(2025, 3, 1), 40)
    row(firm.home, date(2026, 3, 9))
    row(firm.home, date(2026, 4, 9))
    row(firm.east, date(2026, 3, 9))
    row(firm.home, date(2025, 3, 9))
    found = figures_of(Reshoot.objects.all(), JobCount.objects.all(), Months(date(2026, 3, 1), date(2026, 4, 1)))
    assert found.whole is not None
    assert found.whole.rate is not None
    assert (found.whole.cost.count, found.whole.rate.count, found.jobs, found.uncounted) == (3, 1, 50, 2)
    assert found.whole.rate.per_100 == 2.0
    assert found.whole.rate_before is not None
    assert found.whole.rate_before.per_100 == 2.5
