"""The marks that the drills that are looked at have in common: the cause, the cue, the first fix, what it is not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from scoring.drill import Grade, Json, Mark, Spot, Task
from scoring.frame.severity import Severity
from scoring.kinds.answers import choice, fields
from scoring.kinds.causes import CAUSES, CUES, CUES_OF, NOTHING, choice_of, family, taken_for
from scoring.kinds.frame_fixes import fix
from scoring.kinds.frame_key import Known, known_of, number_marks
from scoring.kinds.frame_signs import shown_spots, sign_marks
from scoring.kinds.frame_words import Facts, found, lies_with, small, told, unlike
from scoring.kinds.tally import Criteria, tally
from scoring.standard import Standard

FAMILY_CREDIT = 0.5
"""Of the cause's credit, for a cause of the right family: 0.4 of the whole where the cause is worth 0.8."""


def asked(legend: str, options: Sequence[str], cues: Sequence[str], others: Sequence[str] = ()) -> list[Json]:
    """The choices of a case that asks for a cause and for what tells so; with ``others`` for a second cause too."""
    asks: list[Json] = [
        {"name": "cause", "legend": legend, "options": [[code, CAUSES[code].title] for code in options]},
        {"name": "cue", "legend": "What tells you so?", "options": [[cue, CUES[cue]] for cue in cues]},
    ]
    if others:
        more = [[code, CAUSES[code].title] for code in others]
        asks.append({
            "name": "second", "legend": "What else is wrong, if anything?",
            "options": [*more, [NOTHING, "Nothing else that matters"]],
        })  # fmt: skip
    return asks


def grade_cause(
    task: Task,
    answer: Mapping[str, Json],
    standard: Standard,
    *,
    weights: Mapping[str, float],
    family_credit: float,
    criteria: Criteria,
) -> Grade:
    """Grade a cause and what tells so, and a second cause where one is asked for. Raises AnswerError."""
    options = {one["name"]: [value for value, _ in one["options"]] for one in task.public["asks"]["choices"]}
    read = fields(answer, set(options), set(options))
    said = choice(read["cause"], "cause", options["cause"])
    cue = choice(read["cue"], "cue", options["cue"])
    known = known_of(task)
    severity, facts = known.severity(standard), known.facts(standard)
    mark = cause_mark(known, facts, said, weights["cause"], family_credit)
    marks = [
        mark,
        cue_mark(known, facts, cue, weights["cue"]),
        *sign_marks(known, facts, standard),
        fix_mark(known, facts),
        *unlike_marks(known, facts, [code for code in options["cause"] if code != said]),
        *number_marks(severity, facts, known.spots),
    ]
    summary, spots = found(known.choice, facts), shown_spots(known, facts)
    sound = mark.credit >= 1.0
    if "second" in options:
        else_said = choice(read["second"], "second", options["second"])
        second = known_of(task, "second") if task.key["second"] else None
        other = second.facts(standard) if second else None
        beside = (
            second_mark(second, other, else_said, weights["second"])
            if second and other
            else _no_second(severity, facts, else_said, weights["second"])
        )
        marks.insert(2, beside)
        sound = sound and beside.credit >= 1.0
        if second and other:
            marks += sign_marks(second, other, standard)
            marks.append(replace(fix_mark(second, other), criterion="fix-second", title="Then, after another spin"))
            marks += number_marks(second.severity(standard), other, second.spots)[:1]
            summary, spots = f"{summary} {found(second.choice, other)}", (*spots, *shown_spots(second, other))
    return tally(task, marks, sound=sound, summary=summary, shapes=(), criteria=criteria, spots=spots)


def second_mark(known: Known, facts: Facts, said: str, weight: float) -> Mark:
    """The second cause, named right, by its family, or not."""
    return replace(cause_mark(known, facts, said, weight), criterion="second", title="What else")


def _no_second(severity: Severity, facts: Facts, said: str, weight: float) -> Mark:
    """That there is no second cause; what comes nearest to one is told."""
    kept = [rating for rating in severity.ratings if rating.verdict == "keep" and rating is not severity.worst]
    near = told(kept[0].quantity, kept[0].value)
    words = f"Nothing else {facts.within}, from {facts.spot}: the nearest to another limit is {near}."
    named = small(CAUSES[said].title) if said != NOTHING else ""
    mend = f"You named “{named}” too; {facts.within}{facts.here} only {near} would come near." if named else ""
    return Mark("second", "What else", float(said == NOTHING), weight, None, None, "", words, mend)


def cause_mark(known: Known, facts: Facts, said: str, weight: float, family_credit: float = FAMILY_CREDIT) -> Mark:
    """Right cause, right family, or neither."""
    right = known.choice
    credit = 1.0 if said == right else family_credit if family(said) == family(right) else 0.0
    mend = ""
    if credit < 1.0:
        mend = unlike(right, said, facts) or _not_so(right, said, facts)
        if credit > 0.0:
            mend = f"That lies there too and earns half, but {small(mend)}"
    return Mark(
        criterion="cause",
        title="Cause",
        credit=credit,
        weight=weight,
        value=None,
        limit=None,
        unit="",
        words=lies_with(right, facts),
        mend=mend,
        spots=known.spots,
    )


def _not_so(right: str, said: str, facts: Facts) -> str:
    """Why it is not what was named, where no look-alike's sign tells the two apart."""
    if said == NOTHING:
        return f"You found nothing that matters; {facts.within} there is {facts.told}{facts.here}."
    named = f"You named “{small(CAUSES[said].title)}”"
    if right == NOTHING:
        return f"{named}; {facts.within} nothing shows of it, with {facts.told} at worst{facts.here}."
    return f"{named}; {facts.within} that would not come with {facts.told}{facts.here}."


def cue_mark(known: Known, facts: Facts, said: str, weight: float) -> Mark:
    """Whether what was said to tell so is what tells so here."""
    right = known.cue
    look = "look for it" if facts.where else "look all round"
    words = f"“{CUES[right]}”: {facts.within} {look}{facts.there}."
    mend = ""
    if said != right:
        decides = f"what decides {facts.within} is {facts.told}{facts.here}"
        if known.choice == NOTHING:
            decides = f"nothing {facts.within}{facts.here} does so, with {facts.told} at worst"
        mend = f"You said “{small(CUES[said])}”; {decides}."
    title, credit = "What tells you so", float(said == right)
    return Mark("cue", title, credit, weight, None, None, "", words, mend, spots=known.spots)


def fix_mark(known: Known, facts: Facts) -> Mark:
    """The first fix; told, not weighed."""
    return Mark("fix", "First fix", 1.0, 0.0, None, None, "", fix(known.choice, facts), "")


def unlike_marks(known: Known, facts: Facts, options: Sequence[str] | None = None, most: int = 1) -> Iterator[Mark]:
    """Why it is not the nearest look-alike, of the options or of all causes; told, not weighed.

    What the measured traces do not tell apart from it is passed over.
    """
    right, told = known.choice, 0
    likely = taken_for(right, facts.worst.quantity)
    if options is None:
        others = sorted(likely, key=lambda code: code == NOTHING)
    else:
        others = sorted(options, key=lambda code: _nearness(code, right, likely))
    for other in others:
        words = "" if other == right else unlike(right, other, facts)
        if words and told < most:
            told += 1
            title = "Why this is no good frame" if other == NOTHING else f"Why not “{small(CAUSES[other].title)}”"
            yield Mark("unlike", title, 1.0, 0.0, None, None, "", words, "")


def _nearness(code: str, right: str, likely: Sequence[str]) -> tuple[bool, bool, int]:
    """Causes come before a good frame, those of the same family before others."""
    return code == NOTHING, family(code) != family(right), likely.index(code) if code in likely else len(likely)


def verdict_of(severity: Severity) -> str:
    """keep or redo; KeyError for a frame that deserves either, which is never a case."""
    return {"keep": "keep", "redo": "redo"}[severity.verdict]


def cues_for(codes: Sequence[str], right: str) -> list[str]:
    """Cues to choose from: all of those causes', the right one among them, in the register's order."""
    wanted = {cue for code in codes for cue in CUES_OF[choice_of(code)]} | {right} | set(CUES_OF[NOTHING])
    return [cue for cue in CUES if cue in wanted]


def in_frame(spots: Sequence[Spot], frame: str) -> tuple[Spot, ...]:
    """The same spots, in another picture of the case."""
    return tuple(replace(spot, frame=frame) for spot in spots)


__all__ = [
    "FAMILY_CREDIT",
    "asked",
    "cause_mark",
    "cue_mark",
    "cues_for",
    "fix_mark",
    "grade_cause",
    "in_frame",
    "unlike_marks",
    "verdict_of",
]
