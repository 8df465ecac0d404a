"""Take in: enter every reshoot of a file, all of them or none, and each file once for a firm."""

from __future__ import annotations

from datetime import datetime

from django.db import IntegrityError, transaction

from trainer.people.models import Person, Team
from trainer.roster.entry import EntryError
from trainer.roster.log_reshoot import refuse_foreign
from trainer.roster.models import Reshoot, ReshootImport
from trainer.roster.reshoot_file import Sheet


def taken_in_before(sheet: Sheet, team: Team) -> ReshootImport | None:
    """The import by which the firm took in the same file, if it did."""
    return ReshootImport.objects.filter(firm=team.firm_id, digest=sheet.digest).first()


def take_in(sheet: Sheet, team: Team, *, by: Person, now: datetime) -> ReshootImport:
    """Store all rows of a sound sheet. Raises EntryError for one with faults and for a file that is in already,
    PermissionDenied for a team that ``by`` does not lead."""
    if not sheet.sound:
        raise EntryError("The file has faults; nothing of it was entered.")
    for told in {(one.team, one.person): one for one in sheet.rows}.values():
        refuse_foreign(told, by)
    try:
        with transaction.atomic():
            done = ReshootImport.objects.create(
                firm=team.firm, digest=sheet.digest, rows=len(sheet.rows), by=by, made_at=now
            )
            Reshoot.objects.bulk_create(
                Reshoot(
                    firm=told.team.firm, team=told.team, person=told.person, shot_on=told.shot_on, cause=told.cause,
                    cost=told.cost, kit=told.kit, place_type=told.place_type, words=told.words, by=by, made_at=now,
                )
                for told in sheet.rows
            )  # fmt: skip
    except IntegrityError:
        if taken_in_before(sheet, team) is None:
            raise
        raise EntryError("This file was taken in before; nothing was entered again.") from None
    return done


__all__ = ["take_in", "taken_in_before"]
