"""The log of reshoots as it stands: which rows count, how many jobs they are counted against, what drills weigh more.

Reshoot rows less StruckReshoot  --by cause--> figures (reshoot_figures), weights of drills (below)
"""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import QuerySet

from scoring.mastery import costs
from trainer.people.models import Firm, Team
from trainer.roster.causes import skills_of_causes
from trainer.roster.models import Reshoot

SEASON_DAYS = 365
"""Reshoots older than this weigh no more on what is drilled."""


def standing() -> QuerySet[Reshoot]:
    """The reshoots that were not struck."""
    return Reshoot.objects.filter(struck__isnull=True)


def drill_weights(firm: Firm, today: date) -> dict[str, float]:
    """How strongly each skill weighs on what a firm drills: {skill code: weight above 1}.

    From the reshoots of the last ``SEASON_DAYS``; a skill that is not named weighs 1. The formula and its version
    stand in ``scoring.mastery.costs``.
    """
    season = _season(today).filter(firm=firm)
    pairs = [(cause, float(cost)) for cause, cost in season.order_by("pk").values_list("cause", "cost")]
    return costs.drill_weights(pairs, skills_of_causes())


def skills_of_reshoots(teams: QuerySet[Team], today: date) -> frozenset[str]:
    """The skills that reshoots of these teams in the last ``SEASON_DAYS`` go with."""
    prevents = skills_of_causes()
    found = _season(today).filter(team__in=teams).order_by().values_list("cause", flat=True).distinct()
    return frozenset(skill for cause in found for skill in prevents.get(cause, ()))


def _season(today: date) -> QuerySet[Reshoot]:
    return standing().filter(shot_on__gt=today - timedelta(days=SEASON_DAYS), shot_on__lte=today)


__all__ = ["SEASON_DAYS", "drill_weights", "skills_of_reshoots", "standing"]
