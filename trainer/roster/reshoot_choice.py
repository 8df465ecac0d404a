"""What a page of reshoots looks at: the teams that the visitor leads, one of them or all, over some months."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.utils import timezone

from trainer.people.access import teams_led_by
from trainer.people.models import Team
from trainer.roster.count_jobs import month_of
from trainer.roster.entry import EntryError
from trainer.roster.models import Reshoot
from trainer.roster.reshoot_figures import MONTHS_MOST, Months, twelve_to

NOBODYS = "No reshoots are kept for this visitor."


@dataclass(frozen=True, slots=True)
class Choice:
    """What is looked at: the teams, and over which months."""

    teams: QuerySet[Team]
    team: Team | None
    months: Months
    problem: str

    @classmethod
    def of(cls, request: HttpRequest) -> Choice:
        """As the address says; what cannot be read is left out and told. 404 for those who lead nobody."""
        led = led_by(request)
        today = timezone.now().date()
        months, problem = twelve_to(today), ""
        asked = request.GET
        if asked.get("from") or asked.get("to"):
            try:
                first = month_of(asked["from"]) if asked.get("from") else months.first
                last = month_of(asked["to"]) if asked.get("to") else months.last
                wanted = Months(first, last)
                if not 1 <= wanted.count <= MONTHS_MOST or first.year < 2000 or last.year > today.year + 1:
                    raise EntryError(f"Choose 1 to {MONTHS_MOST} months, the first before the last.")
                months = wanted
            except EntryError as error:
                problem = str(error)
        team = led.filter(pk=uuid_of(asked.get("team"))).first()
        return cls(led if team is None else led.filter(pk=team.pk), team, months, problem)

    def rows(self) -> QuerySet[Reshoot]:
        """All reshoots of the teams, struck or not."""
        return Reshoot.objects.filter(team__in=self.teams)


def led_by(request: HttpRequest) -> QuerySet[Team]:
    """The teams that the visitor leads, in order. 404 where there is none."""
    led = teams_led_by(request.user).select_related("firm").order_by("firm__name", "firm", "name")
    if not led.exists():
        raise Http404(NOBODYS)
    return led


def team_of(request: HttpRequest, led: QuerySet[Team]) -> Team:
    """The team that a form names. Raises EntryError for one that the visitor does not lead, as for one that is not."""
    team = led.filter(pk=uuid_of(request.POST.get("team"))).first()
    if team is None:
        raise EntryError("Choose one of your teams.")
    return team


def uuid_of(text: str | None) -> uuid.UUID:
    """An id as an address or a form brings it; for what is none, one that no row has."""
    try:
        return uuid.UUID(text or "")
    except ValueError:
        return uuid.UUID(int=0)


__all__ = ["NOBODYS", "Choice", "led_by", "team_of", "uuid_of"]
