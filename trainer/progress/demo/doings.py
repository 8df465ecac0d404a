"""What trainers and managers of the invented firm entered and decided in the year: rows like anybody's."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from random import Random

from trainer.drills.models import Attempt, Flag, FlagReply
from trainer.drills.settle import firm_of_flag
from trainer.library import own
from trainer.library.shelf import names
from trainer.library.skills import skill_map
from trainer.people.models import Firm, Person
from trainer.progress.demo.cast import Crew
from trainer.progress.demo.lives import Life
from trainer.roster.models import (
    Appeal,
    Decision,
    JobCount,
    KitChange,
    KitCheck,
    ObservedShoot,
    Plan,
    Refresher,
    Reply,
    Reshoot,
)  # fmt: skip

DAY = timedelta(days=1)
CAUSES = {"F8": 5, "F5": 7, "F1": 4, "F2": 4, "F3": 3, "F9": 4, "F10": 5, "F14": 3, "D2": 5, "E1": 3}
"""Causes with how often each comes up, more or less."""
PLACES = ("flat", "house", "town house", "studio")
WATCHED = (
    "Levelled at every station and looked at the seams before moving on.",
    "Good pace. Say aloud what you check; it helps you not to skip it.",
    "Moved the tripod with the phone in; put it down first.",
    "Asked before covering the papers on the desk. Well done.",
)  # fmt: skip


def kits(crews: Sequence[Crew], rng: Random, now: datetime) -> None:
    """Everybody gets a kit of the shelf; some of one team changed theirs some weeks ago."""
    shelf = names("kit")
    for number, crew in enumerate(crews):
        by = crew.managers[0]
        for place, person in enumerate(crew.operators):
            first = shelf[(number + place // 7) % len(shelf)]
            _kit(person, by, first, [], now - 380 * DAY)
            if number == 1 and place < 6:
                other = shelf[(shelf.index(first) + 1) % len(shelf)]
                change = _kit(person, by, other, ["phone"], now - 41 * DAY)
                if place < 4:
                    KitCheck.objects.create(change=change, by=crew.trainers[0], made_at=now - 38 * DAY)


def _kit(person: Person, by: Person, kit: str, parts: list[str], at: datetime) -> KitChange:
    own.put_in_use(person, kit, at)
    return KitChange.objects.create(person=person, by=by, kit=kit, parts=parts, made_at=at)


def shoots(crews: Sequence[Crew], lives: dict[Person, Life], rng: Random, now: datetime) -> None:
    """Most of those who have been at it for a while were watched; some of them by two trainers within days."""
    for crew in crews:
        for place, person in enumerate(crew.operators):
            life = lives[person]
            if person in crew.trainers or life.sort in {"new", "untried"} or rng.random() < 0.12:
                continue
            days = rng.randrange(20, 70) if life.sort == "steady" else rng.randrange(230, 300)
            _shoot(person, crew.trainers[0], life, rng, now - days * DAY)
            if place % 3 == 0:
                _shoot(person, crew.trainers[1], life, rng, now - (days - 6) * DAY)


def _shoot(person: Person, by: Person, life: Life, rng: Random, at: datetime) -> None:
    seen = {}
    for code, skill in skill_map().items():
        if skill["star"]:
            able = life.level + life.apart.get(code, 0.0) + rng.gauss(0.0, 0.6)
            seen[code] = "not done" if able < 0.2 else "not seen" if code == "E1" and rng.random() < 0.3 else "done"
    signed = "not done" not in seen.values()
    ObservedShoot.objects.create(
        person=person, by=by, shot_on=at.date(), seen=seen, signed=signed, words=rng.choice(WATCHED),
        client_key=uuid.UUID(int=rng.getrandbits(128), version=4), made_at=at,
    )  # fmt: skip


def decisions(crews: Sequence[Crew], lives: dict[Person, Life], now: datetime) -> None:
    """Somebody is held, somebody was and is released, somebody is sent all the same; two ask to look again."""
    first, second, third = crews
    steady = {
        crew: [p for p in crew.operators if lives[p].sort == "steady" and p not in crew.trainers] for crew in crews
    }
    held, released = steady[first][4], steady[second][3]
    sent = next((p for p in third.operators if lives[p].sort == "new"), _steady(third, lives)[0])
    hold, release, send = Decision.What.HOLD, Decision.What.RELEASE, Decision.What.SEND
    rows = (
        (held, first, hold, "Left a garden gate open twice; we talk on Monday.", None, 3),
        (released, second, hold, "Away with a sprained wrist, as told by phone.", None, 60),
        (released, second, release, "Back and well.", None, 32),
        (sent, third, send, "Studios only, and I am on the phone.", now.date() + 12 * DAY, 5),
    )
    for person, crew, what, reason, until, ago in rows:
        Decision.objects.create(
            person=person, by=crew.managers[0], what=what, reason=reason, until=until, made_at=now - ago * DAY
        )
    Appeal.objects.create(
        person=held, state="held", words="The gate was open when I came. The owner can say so.", made_at=now - 2 * DAY
    )
    answered = Appeal.objects.create(
        person=released, state="held", words="The doctor says I may carry again.", made_at=now - 33 * DAY
    )
    Reply.objects.create(
        appeal=answered, by=second.managers[0], words="Good to hear. You are released today.", made_at=now - 32 * DAY
    )


def _steady(crew: Crew, lives: dict[Person, Life]) -> list[Person]:
    return [one for one in crew.operators if lives[one].sort == "steady" and one not in crew.trainers]


def refresher(crew: Crew, lives: dict[Person, Life], now: datetime) -> None:
    """One team is asked to be ready by a day; some have begun."""
    running = Refresher.objects.create(
        team=crew.team, by=crew.managers[0], ready_on=now.date() + 16 * DAY, title="Before the season",
        made_at=now - 6 * DAY,
    )  # fmt: skip
    for person in crew.operators:
        if lives[person].sort in {"away", "gone quiet", "steady"}:
            far = lives[person].sort != "steady"
            wanted = {"A2": 2, "B3": 2, "V3": 2} if far else {"V1": 1, "B1": 1}
            Plan.objects.create(
                refresher=running, person=person, wanted=wanted, minutes=9 if far else 3,
                chance=0.35 if far else 0.8, made_at=now - 6 * DAY,
            )  # fmt: skip


def reshoots(firm: Firm, crews: Sequence[Crew], rng: Random, now: datetime) -> None:
    """Homes that had to be shot again, with their costs, and how many jobs there were in each month."""
    codes, weights = list(CAUSES), list(CAUSES.values())
    for crew in crews:
        for back in range(12):
            month = _month(now.date(), back)
            jobs = rng.randrange(18, 34) if month.month in {11, 12, 1} else rng.randrange(40, 75)
            JobCount.objects.create(team=crew.team, month=month, jobs=jobs, by=crew.managers[0], made_at=now)
        for _ in range(rng.randrange(12, 19)):
            person = rng.choice(crew.operators)
            day = now.date() - rng.randrange(3, 350) * DAY
            Reshoot.objects.create(
                firm=firm, team=crew.team, person=person, shot_on=day, cause=rng.choices(codes, weights)[0],
                cost=Decimal(rng.randrange(45, 190)), kit=own.kit_in_use(person), place_type=rng.choice(PLACES),
                words="", by=crew.managers[0], made_at=now,
            )  # fmt: skip


def _month(day: date, back: int) -> date:
    months = day.year * 12 + day.month - 1 - back
    return date(months // 12, months % 12 + 1, 1)


def flags(crews: Sequence[Crew], rng: Random, now: datetime) -> None:
    """Three cases were found wrong: one waits for a trainer, two were looked at and stand."""
    words = (
        "The reference puts a station where the door would hit the tripod.",
        "I looked twice and still see no haze in this frame.",
        "The corner behind the sofa counts as floor, but nobody can see it.",
    )
    for number, (crew, said) in enumerate(zip(crews, words, strict=True)):
        rows = Attempt.objects.filter(person__in=[p for p in crew.operators if p not in crew.trainers])
        wrong = list(rows.filter(answer__grade__credit__lt=0.8).order_by("-issued_at", "pk")[:20])
        if wrong:
            attempt = rng.choice(wrong)
            made = Flag.objects.create(attempt=attempt, person=attempt.person, words=said, made_at=now - 4 * DAY)
            if number:
                FlagReply.objects.create(
                    flag=made, firm=firm_of_flag(made, crew.trainers[0]), by=crew.trainers[0], stands=True,
                    made_at=now - 2 * DAY,
                    words="I opened it with you in mind: the numbers beside the mark show why it stands.",
                )  # fmt: skip


__all__ = ["decisions", "flags", "kits", "refresher", "reshoots", "shoots"]
