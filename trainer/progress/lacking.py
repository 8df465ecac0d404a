"""On which skills cases are lacking: since a part of the kit is new, and for ready by the rule.

    gaps of the standing  --on a skill that drills practise-->  lacks for ready
    changes of kit        --skills on the changed parts------>  lacks of a new part, until each was practised again

A starred skill on a new part lacks what the rule asks for; any other, a few cases since the change.
"""

from __future__ import annotations

from datetime import datetime

from trainer.library.skills import skill_map, skill_name
from trainer.people.access import own
from trainer.people.models import Person
from trainer.progress.choice import Lack
from trainer.progress.models import Evidence
from trainer.progress.standings import now_of
from trainer.roster.kit_parts import PARTS
from trainer.roster.models import KitChange

NEW_PART_CASES = 2
"""Cases on a skill that is not critical after a part that it hangs on has changed; common practice, no source."""
KEEP_OR_REDO = "V1"
"""The skill that too many good frames redone are missing on."""


def lacks_of(person: Person, now: datetime) -> tuple[Lack, ...]:
    """What one person lacks today, one lack for a skill, in no order."""
    new, out = _new_parts(person, now), dict[str, Lack]()
    for gap in now_of(person, now).gaps:
        skill = KEEP_OR_REDO if gap.what == "false-alarms" else gap.skill
        if not skill or gap.what == "shoot" or skill in out:
            continue
        part = new[skill][0] if gap.what == "star-count" and skill in new else ""
        out[skill] = Lack(skill, part, True, gap.cases, gap.words)
    for skill, (part, since) in new.items():
        if skill in out or skill_map()[skill]["star"]:
            continue
        left = NEW_PART_CASES - own(Evidence.objects.filter(skill=skill, at__gt=since), person).count()
        if left > 0:
            out[skill] = Lack(
                skill, part, False, left, f"{left} more case{'' if left == 1 else 's'} on {skill_name(skill)}"
            )
    return tuple(out.values())


def _new_parts(person: Person, now: datetime) -> dict[str, tuple[str, datetime]]:
    """{skill: (part, since when)} for skills on a part that changed at any time, by the newest such change."""
    out: dict[str, tuple[str, datetime]] = {}
    for change in own(KitChange.objects.filter(made_at__lte=now), person).order_by("made_at", "pk"):
        for skill, told in skill_map().items():
            changed = [part for part in PARTS if part in change.parts and part in told["kit_parts"]]
            if changed:
                out[skill] = changed[0], change.made_at
    return out


__all__ = ["NEW_PART_CASES", "lacks_of"]
