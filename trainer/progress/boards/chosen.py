"""What a visitor chose on the Team board: which people, which states, which page, and whom to send."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from typing import get_args
from urllib.parse import urlencode
from uuid import UUID

from django.db.models import QuerySet
from django.http import QueryDict

from scoring.mastery.readiness import State
from trainer.people.access import Visitor, lasting, operators_of, teams_led_by
from trainer.people.models import Person, Role, Team

STATES: tuple[State, ...] = get_args(State)
SENT_MOST = 60
"""So many people may be ticked at once: the choice travels in the address."""

FEW = 200
"""So many ids go into one query; for more, all rows are read."""


class NoSuchTeam(Exception):
    """The team is not there for this visitor."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is in the address of the board; empty where nothing was chosen."""

    team: UUID | None = None
    region: str = ""
    kit: str = ""
    state: str = ""
    page: int = 1
    skills: bool = False
    """Whether every skill is shown on a narrow screen too."""
    send: tuple[UUID, ...] = ()
    """The people ticked, for "if I send these"."""
    teams: tuple[Team, ...] = field(default=(), compare=False)
    """All teams that the visitor leads."""

    @property
    def regions(self) -> tuple[str, ...]:
        """The regions of those teams."""
        return tuple(sorted({team.region for team in self.teams if team.region}))

    @property
    def narrowed(self) -> bool:
        """Whether some people are left out."""
        return bool(self.team or self.region or self.kit or self.state)

    def address(self, **changed: object) -> str:
        """The query of the board with something changed; the ticks go along."""
        now: dict[str, object] = {
            "team": self.team, "region": self.region, "kit": self.kit, "state": self.state,
            "page": self.page if self.page > 1 else "", "skills": "1" if self.skills else "", "send": self.send,
        }  # fmt: skip
        pairs = [(name, value) for name, value in {**now, **changed}.items() if value]
        return urlencode(pairs, doseq=True)


def chosen(visitor: Visitor, query: QueryDict) -> Chosen:
    """Read the address. Raises NoSuchTeam for a team that the visitor does not lead, whether or not there is one."""
    teams = tuple(teams_led_by(visitor).select_related("firm").order_by("firm__name", "firm", "name", "pk"))
    team = None
    if wanted := query.get("team"):
        team = _id(wanted)
        if team not in {one.pk for one in teams}:
            raise NoSuchTeam
    page = query.get("page", "")
    ticked = (_id(one) for one in query.getlist("send")[:SENT_MOST])
    state = query.get("state", "")
    return Chosen(
        team=team,
        region=query.get("region", "")[:80],
        kit=query.get("kit", "")[:60],
        state=state if state in STATES else "",
        page=int(page) if page.isascii() and page.isdigit() and len(page) < 6 else 1,
        skills=query.get("skills") == "1",
        send=tuple(dict.fromkeys(one for one in ticked if one is not None)),
        teams=teams,
    )


def _id(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def led(visitor: Visitor, choice: Chosen) -> QuerySet[Person]:
    """The operators of the chosen teams, of those that the visitor leads."""
    teams = teams_led_by(visitor)
    if choice.team:
        teams = teams.filter(pk=choice.team)
    if choice.region:
        teams = teams.filter(region=choice.region)
    return operators_of(teams)


def in_led_teams(people: Iterable[UUID], teams: Collection[Team]) -> dict[UUID, tuple[str, str]]:
    """Of each of these people the names and the first region of the teams, of those given, where they are operators.

    A person may work for others too; whoever leads here is not told for whom.
    """
    found: dict[UUID, tuple[str, str]] = {}
    rows = lasting().filter(role=Role.OPERATOR, team__in=[team.pk for team in teams]).order_by("team__name")
    wanted = set(people)
    if len(wanted) <= FEW:
        rows = rows.filter(person__in=wanted)
    for person, team, region in rows.values_list("person_id", "team__name", "team__region"):
        if person in wanted:
            names, first = found.get(person, ("", ""))
            # Teams of two firms may have the same name.
            several = names if team in names.split(", ") else f"{names}, {team}"
            found[person] = (several if names else team, first or region)
    return found


__all__ = ["SENT_MOST", "STATES", "Chosen", "NoSuchTeam", "chosen", "in_led_teams", "led"]
