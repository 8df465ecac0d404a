"""Everything held about a person, from every room: what it is in words, its rows, and how they leave.

A test walks all tables: one that names a person, or hangs on a row that does, has its place here or is red.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from allauth.account.models import EmailAddress
from django.db.models import Model, QuerySet

from trainer.drills import models as drills
from trainer.drills.erase import sessions_of
from trainer.drills.reading import explained
from trainer.library import models as library
from trainer.looks.models import Look
from trainer.people import models as people
from trainer.people.models import Person
from trainer.progress import models as progress
from trainer.roster import models as roster

BY = ("by", "made_by", "given_by", "ended_by", "revoked_by", "supervised_by")
"""Columns that name somebody who entered a row; shown as a name."""
LEFT_OUT = frozenset({
    "password", "code_digest", "sessions", "key", "seed", "fingerprint", "recipe_hash", "standard_address",
    "picture", "folded", "made_to", "made_voids",
})  # fmt: skip
"""Secrets, what a case is made from (others still answer it), and counters of the machine."""


@dataclass(frozen=True, slots=True)
class Source:
    """One table as far as it is about a person: by which path from its rows, and in which words."""

    model: type[Model]
    path: str
    title: str
    words: str
    line: Callable[[Any], str]
    only: Callable[[QuerySet[Any]], QuerySet[Any]] | None = None

    @property
    def name(self) -> str:
        """The name of its file."""
        return f"{self.model._meta.app_label}-{self.model._meta.model_name}-{self.path.split('__')[-1]}"


@dataclass(frozen=True, slots=True)
class Held:
    """What one table holds about a person: how many rows, and the newest of them in words."""

    title: str
    words: str
    count: int
    lines: list[str]


def _on(row: Any, *names: str) -> str:
    """The day of a row, from whichever column has it."""
    wanted = names or ("made_at",)
    value = next((getattr(row, name) for name in wanted if getattr(row, name) is not None), None)
    return f"{value:%Y-%m-%d}" if value is not None else ""


def _many(count: int, word: str) -> str:
    """A count with its word: "1 case", "2 cases"."""
    return f"{count} {word}{'' if count == 1 else 's'}"


def _graded(rows: QuerySet[Any]) -> QuerySet[Any]:
    return rows.filter(answer__attempt__in=explained(drills.Attempt.objects.all()))


def _folded(rows: QuerySet[Any]) -> QuerySet[Any]:
    """What was folded from grades that may be shown: numbers of entries, as both tables keep them."""
    shown = drills.Entry.objects.filter(attempt__in=explained(drills.Attempt.objects.all()))
    return rows.filter(entry__in=shown.values("pk"))


SOURCES: tuple[Source, ...] = (
    Source(people.Person, "pk", "Who you are",
           "Name, address, units and reminders. Your password is kept as a digest that nobody can read.",
           lambda row: f"{row.name}, {row.email}, here since {row.joined_at:%Y-%m-%d}"),
    Source(EmailAddress, "user", "Addresses",
           "Addresses that you sign in with.",
           lambda row: str(row.email)),
    Source(people.Membership, "person", "Teams and roles",
           "From which day to which you were what, and who said so.",
           lambda row: f"{row.role} of {row.team}, {row.since:%Y-%m-%d} to {_on(row, 'until') or 'now'}"),
    Source(people.Invitation, "used_by", "Invitations",
           "By which you came in.",
           lambda row: f"{_on(row, 'used_at')}: {row.team}"),
    Source(drills.Attempt, "person", "Cases",
           "Every case that was given to you.",
           lambda row: f"{_on(row, 'issued_at')}: {row.public.get('title', row.recipe)}"),
    Source(drills.Answer, "attempt__person", "Answers",
           "What you answered, how sure you said you were, and when.",
           lambda row: f"{_on(row, 'received_at')}: {row.attempt.public.get('title', row.attempt.recipe)}"),
    Source(drills.Grade, "answer__attempt__person", "Grades",
           "What each answer was worth, with every mark. Those of a check that goes on follow when it is over.",
           lambda row: f"{_on(row)}: {row.verdict}, {row.credit:.0%}", _graded),
    Source(drills.Void, "attempt__person", "Cases taken out",
           "Cases that do not count, and why.",
           lambda row: f"{_on(row)}: {row.reason}"),
    Source(drills.Entry, "attempt__person", "The ledger",
           "The order in which your grades were entered.",
           lambda row: f"{_on(row)}: {row.what}"),
    Source(drills.Flag, "person", "Flags",
           "Cases that you found wrong, in your words.",
           lambda row: f"{_on(row)}: {row.words}"),
    Source(drills.FlagReply, "flag__person", "Replies to flags",
           "What came of them.",
           lambda row: f"{_on(row)}: {row.words}"),
    Source(drills.Check, "person", "Readiness checks",
           "When you began one, by which rule.",
           lambda row: _on(row, "opened_at")),
    Source(drills.CheckCase, "readiness_check__person", "Cases of checks",
           "Which cases they held.",
           lambda row: f"case {row.place}"),
    Source(drills.CheckEnd, "readiness_check__person", "Ends of checks",
           "What they said, and on what figures.",
           lambda row: f"{_on(row, 'ended_at')}: {row.outcome}"),
    Source(drills.CheckWitness, "readiness_check__person", "Witnesses of checks",
           "Who sat beside, and what they said.",
           lambda row: f"{_on(row)}: {row}"),
    Source(progress.Record, "person", "Counts",
           "Per skill: how many cases, their credit, when it is due again. Made anew from the ledger.",
           lambda row: f"{row.skill}: {_many(row.n, 'case')}, mean credit {row.mean_credit:.2f}"),
    Source(progress.Evidence, "person", "Evidence",
           "What each grade says of each skill. Made anew from the ledger.",
           lambda row: f"{_on(row, 'at')}: {row.skill} {row.credit:.2f}", _folded),
    Source(progress.Judgement, "person", "Verdicts on frames",
           "Whether a frame was faulty and what you would have done. Made anew from the ledger.",
           lambda row: f"{_on(row, 'at')}: {row}", _folded),
    Source(progress.Standing, "person", "Where you stand",
           "Your state by the readiness rule, with its figures.",
           lambda row: f"{row.state}, expected score {row.score:.0f} of 100, n = {row.n}"),
    Source(progress.DaySet, "person", "Sets of a day",
           "Which drills were proposed on which day, and why.",
           lambda row: f"{row.day}: {_many(len(row.picks), 'drill')}"),
    Source(progress.ReadinessRecord, "person", "Readiness records",
           "Records that you had made, as they were on that day.",
           lambda row: f"{_on(row)}, until {row.expires_on}" + (", taken back" if row.revoked_at else "")),
    Source(roster.ObservedShoot, "person", "Observed shoots",
           "What a trainer saw and whether it was signed.",
           lambda row: f"{row.shot_on}: {'signed' if row.signed else 'not signed'}"),
    Source(roster.Struck, "shoot__person", "Shoots taken back",
           "And why.",
           lambda row: f"{_on(row)}: {row.reason}"),
    Source(roster.Decision, "person", "Decisions",
           "Who held, released or sent you, and why.",
           lambda row: f"{_on(row)}: {row.what}, {row.reason}"),
    Source(roster.Appeal, "person", "Appeals",
           "Your words against a state.",
           lambda row: f"{_on(row)}: {row.words}"),
    Source(roster.Reply, "appeal__person", "Replies to appeals",
           "What was answered.",
           lambda row: f"{_on(row)}: {row.words}"),
    Source(library.KitInUse, "person", "Kit in use",
           "The kit that you work with.",
           lambda row: row.kit),
    Source(roster.KitChange, "person", "Changes of kit",
           "When it changed, and which parts.",
           lambda row: f"{_on(row)}: {row.kit}"),
    Source(roster.KitCheck, "change__person", "Check lists of kit",
           "Who went through them with you.",
           _on),
    Source(roster.Assignment, "person", "Drills given to you",
           "What you were asked for, by whom.",
           lambda row: f"{_on(row)}: {row.count} of {row.recipe}. {row.words}"),
    Source(roster.Withdrawal, "assignment__person", "Drills taken back",
           "What need not be done after all.",
           _on),
    Source(roster.Remark, "person", "Remarks",
           "A trainer’s words on your answers.",
           lambda row: f"{_on(row)}: {row.words}"),
    Source(roster.Plan, "person", "Plans",
           "What you were asked to practise before a day.",
           lambda row: f"{_on(row)}: about {_many(row.minutes, 'minute')}"),
    Source(roster.Reminded, "person", "Reminders",
           "Days on which a mail went out to you.",
           lambda row: str(row.on)),
    Source(roster.Reshoot, "person", "Reshoots",
           "Homes that you had shot and that were shot again.",
           lambda row: f"{row.shot_on}: {row.cause}"),
    Source(roster.StruckReshoot, "reshoot__person", "Reshoots taken back",
           "And why.",
           lambda row: f"{_on(row)}: {row.reason}"),
    Source(Look, "person", "Your own frames",
           "Looks that you kept. The pictures themselves are on the page of own frames.",
           lambda row: f"{_on(row)}: {row.note or 'without a note'}"),
)  # fmt: skip
"""Tables about a person, each with the path from its row to the person."""

ENTERED: tuple[tuple[type[Model], str, str], ...] = (
    (people.Membership, "given_by", "roles given"),
    (people.Membership, "ended_by", "roles ended"),
    (people.Invitation, "made_by", "invitations made"),
    (library.Edition, "by", "kits, limits and rules entered"),
    (drills.Void, "by", "cases taken out"),
    (drills.FlagReply, "by", "flags settled"),
    (drills.CaseVoid, "by", "cases voided for the firm"),
    (drills.Check, "supervised_by", "checks sat beside"),
    (drills.CheckWitness, "by", "checks witnessed"),
    (progress.ReadinessRecord, "revoked_by", "readiness records taken back"),
    (roster.ObservedShoot, "by", "shoots observed"),
    (roster.Struck, "by", "shoots taken back"),
    (roster.Decision, "by", "decisions"),
    (roster.Reply, "by", "appeals answered"),
    (roster.KitChange, "by", "kits given"),
    (roster.KitCheck, "by", "check lists gone through"),
    (roster.Assignment, "by", "drills given"),
    (roster.Withdrawal, "by", "drills taken back"),
    (roster.Remark, "by", "remarks"),
    (roster.Refresher, "by", "refreshers"),
    (roster.RefresherEnd, "by", "refreshers ended"),
    (roster.Reshoot, "by", "reshoots entered"),
    (roster.StruckReshoot, "by", "reshoots taken back"),
    (roster.ReshootImport, "by", "files of reshoots taken in"),
    (roster.JobCount, "by", "counts of jobs"),
)
"""Tables in which a person entered something about others or the firm. It is listed by day and by the person's own
words; erasing takes the name off and leaves the entry, which belongs to whom it is about."""
OWN_WORDS = ("words", "reason", "title")


def rows_of(source: Source, person: Person) -> QuerySet[Any]:
    """The rows of one table about a person."""
    rows = source.model._default_manager.filter(**{source.path: person.pk}).order_by("pk")
    return source.only(rows) if source.only else rows


def fields_of(model: type[Model]) -> list[Any]:
    """The columns that are handed out."""
    return [field for field in model._meta.concrete_fields if field.name not in LEFT_OUT]


def exported(source: Source, person: Person) -> Iterator[dict[str, Any]]:
    """The rows of one table about a person, column by column; whoever entered a row as a name."""
    names = [field for field in fields_of(source.model) if field.name in BY]
    for row in rows_of(source, person).select_related(*(field.name for field in names)).iterator(500):
        yield {
            field.name: str(getattr(row, field.name) or "") if field in names else field.value_from_object(row)
            for field in fields_of(source.model)
        }


def entered(person: Person) -> Iterator[dict[str, Any]]:
    """What a person entered about others or the firm: what, when, in which words; not about whom."""
    for model, column, what in ENTERED:
        for row in model._default_manager.filter(**{column: person.pk}).order_by("pk").iterator(500):
            words = next((getattr(row, name) for name in OWN_WORDS if getattr(row, name, "")), "")
            day = next((getattr(row, name) for name in ("made_at", "opened_at", "since") if hasattr(row, name)), None)
            yield {"what": what, "at": day, "words": words}


def sign_ins(person: Person) -> list[dict[str, Any]]:
    """The open sessions of a person: until when each lasts."""
    return [{"ends_at": row.expire_date} for row in sessions_of({str(person.pk)})]


def held_about(person: Person, lines: int) -> list[Held]:
    """All that is held about a person, in words, with the newest rows of each table."""
    told = []
    for source in SOURCES:
        rows = rows_of(source, person)
        told.append(
            Held(source.title, source.words, rows.count(), [source.line(row) for row in rows.order_by("-pk")[:lines]])
        )
    sessions, mine = sign_ins(person), list(entered(person))
    told.append(
        Held("Open sessions", "Devices on which you are signed in.", len(sessions),
             [f"until {one['ends_at']:%Y-%m-%d}" for one in sessions[:lines]])
    )  # fmt: skip
    told.append(
        Held("What you entered", "About others or the firm. It belongs to whom it is about; your name comes off it.",
             len(mine), [f"{one['at']:%Y-%m-%d}: {one['what']} {one['words']}".strip() for one in mine[-lines:]])
    )  # fmt: skip
    return told


__all__ = ["ENTERED", "SOURCES", "Held", "Source", "entered", "exported", "fields_of", "held_about", "rows_of",
           "sign_ins"]  # fmt: skip
