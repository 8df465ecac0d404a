"""Why a drill is in the set of a day, in one short sentence."""

from __future__ import annotations

from datetime import date

from trainer.library.skills import skill_name
from trainer.progress.asked import Asked
from trainer.progress.choice import Pick
from trainer.progress.known import Known


def why_chosen(pick: Pick, known: Known, today: date) -> str:
    """The reason of a pick, as a sentence."""
    name = skill_name(pick.skill)
    if pick.reason == "asked":
        fit = [one for one in known.asked if one.recipe == pick.recipe or one.skill == pick.skill]
        # Who gave this very drill is named before whoever asked for the skill.
        return _asked(min(fit, key=lambda one: one.recipe != pick.recipe), name)
    if pick.reason in {"kit", "missing"}:
        lack = next(one for one in known.lacks if one.skill == pick.skill)
        return f"{f'New {lack.part}' if lack.part else 'Missing for ready'}: {lack.words}."
    if pick.reason == "new":
        return f"Not practised yet: {name}."
    if pick.reason == "costly":
        return f"What reshoots of your team go with: {name}."
    record = known.records.get(pick.skill)
    idle = (today - record.last_at.date()).days if record is not None else 0
    if pick.reason == "due":
        return f"Time to practise again: {name}, last done {_ago(idle)}."
    figure = known.states[pick.skill].figure
    if pick.reason == "weak":
        return f"Critical, and not sure yet: {name}, {figure.score:.0f} of 100, n\u00a0=\u00a0{figure.count}."
    return (
        f"Makes the figure surer: {name}, {figure.low:.0f} to {figure.high:.0f} of 100, n\u00a0=\u00a0{figure.count}."
    )


def _asked(asked: Asked, name: str) -> str:
    by = f" by {asked.by}" if asked.by else ""
    on = f", until {asked.due_on.day} {asked.due_on:%B}" if asked.due_on is not None else ""
    about = f" on {name}" if asked.skill else ""
    return f"Asked for{by}{on}: {asked.left} case{'' if asked.left == 1 else 's'}{about}."


def _ago(days: int) -> str:
    if days == 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"


__all__ = ["why_chosen"]
