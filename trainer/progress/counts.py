"""The plain cross-check: how many of how many were right, with bounds that anybody can compute; and time on task."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from statistics import median
from typing import Any

from django.db.models import Count, Q

from scoring.mastery.calibration import RIGHT_FROM
from scoring.mastery.intervals import wilson
from trainer.drills.models import Attempt
from trainer.library.kinds import kind_title
from trainer.library.skills import skill_map, skill_name
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.models import Evidence, Record

LONGEST_S = 1800.0
"""What took longer was left lying, and is no time on task."""


@dataclass(frozen=True, slots=True)
class SkillCount:
    """Counts of one skill."""

    code: str
    name: str
    count: int
    right: int
    """Cases with credit of at least RIGHT_FROM on the skill."""
    low_share: float
    high_share: float
    """Wilson bounds, 95 %."""
    mean_credit: float
    newest_at: datetime


@dataclass(frozen=True, slots=True)
class TimeTaken:
    """Time from opening a case to its answer, for one kind of drill; shown, never scored."""

    kind: str
    title: str
    median_s: float
    count: int

    @property
    def words(self) -> str:
        """The median in seconds or minutes."""
        if self.median_s < 90:
            return f"{self.median_s:.0f} s"
        return f"{self.median_s / 60:.0f} min"


def counts_of(person: Person) -> tuple[SkillCount, ...]:
    """Counts by skill, in the order of the map."""
    rows = own(Evidence.objects.all(), person).values("skill")
    right = dict(rows.annotate(n=Count("pk", filter=Q(credit__gte=RIGHT_FROM))).values_list("skill", "n"))
    records = {record.skill: record for record in own(Record.objects.all(), person)}
    order = {code: place for place, code in enumerate(skill_map())}
    out = []
    for code, record in sorted(records.items(), key=lambda item: order.get(item[0], len(order))):
        low, high = wilson(right.get(code, 0), record.n)
        out.append(
            SkillCount(
                code, skill_name(code), record.n, right.get(code, 0), low, high, record.mean_credit, record.last_at
            )
        )
    return tuple(out)


TIMES = ("issued_at", "answer__answered_at", "answer__received_at")
"""Fields of an attempt that tell how long it took."""


def seconds_taken(issued: datetime, answered: datetime, received: datetime) -> float | None:
    """How long a case took; None where it was put aside for longer than anybody works on one.

    By the clock of the device, for it may have sent later; by the server's where the device's cannot be right.
    """
    seconds = ((answered if issued < answered <= received else received) - issued).total_seconds()
    return seconds if 0.0 < seconds <= LONGEST_S else None


def times_of(person: Person) -> tuple[TimeTaken, ...]:
    """Median times by kind of drill, longest first."""
    taken: dict[str, list[float]] = {}
    rows: Any = own(Attempt.objects.filter(answer__grade__isnull=False, void__isnull=True), person)
    for name, *times in rows.values_list("kind", *TIMES):
        seconds = seconds_taken(*times)
        if seconds is not None:
            taken.setdefault(name, []).append(seconds)
    found = [TimeTaken(name, kind_title(name), median(all_s), len(all_s)) for name, all_s in taken.items()]
    return tuple(sorted(found, key=lambda one: (-one.median_s, one.title)))


__all__ = ["TIMES", "SkillCount", "TimeTaken", "counts_of", "seconds_taken", "times_of"]
