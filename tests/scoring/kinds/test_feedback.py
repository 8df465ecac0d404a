"""Feedback of cases that are looked at: in all six kinds every sentence belongs to its own case."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from itertools import count, islice, product
from typing import Any

import pytest

from scoring.drill import Grade, Task
from scoring.kinds.causes import CAUSES, LOOKS, NOTHING, PAIRS, choice_of, family
from scoring.kinds.change import CHANGES, PROVED
from scoring.kinds.frame_grade import asked, cues_for
from scoring.kinds.frame_key import known_json
from scoring.kinds.frame_words import small
from scoring.kinds.heading import ONE_SIDED, READABLE, SIDES, STATES
from scoring.kinds.verdict import VERDICTS
from tests.scoring.kinds.looked_at import ALL_CODES, choices, known, signed, task
from tests.scoring.kinds.shipped import graded
from trainer.drills.feedback import kit_pictures
from trainer.drills.models import Attempt

SEEDS = range(5)


def picked(name: str, options: Any) -> dict[str, Any]:
    return {"name": name, "legend": "Which?", "options": [list(one) for one in options]}


def verdicts() -> Iterator[Task]:
    for code, seed in product(ALL_CODES, SEEDS):
        yield task("verdict", {"choices": [picked("verdict", VERDICTS.items())]}, of=known(code, seed))


def cues() -> Iterator[Task]:
    for code, seed in product(ALL_CODES, SEEDS):
        yield task("cue", {"spots_most": 3}, of=known(code, seed))


def causes() -> Iterator[Task]:
    for number, (options, seed) in enumerate(product(LOOKS.values(), SEEDS)):
        for code in (*options, "N1"):
            of = known(code, 100 * number + seed)
            yield task("cause", {"choices": asked("What?", options, cues_for(options, of.cue))}, of=of)


def pairs() -> Iterator[Task]:
    for number, (pair, seed) in enumerate(product(PAIRS, SEEDS)):
        for code in pair:
            of = known(code, 100 * number + seed)
            yield task("pair", {"choices": asked("Which?", pair, cues_for(pair, of.cue))}, of=of)


def headings() -> Iterator[Task]:
    asks = {"choices": [picked("state", STATES.items()), picked("side", SIDES.items())]}
    for code, seed in product((*READABLE, "N0", "N1"), SEEDS):
        for side in [one for one in SIDES if (one == "none") != (code in ONE_SIDED)]:
            of = known(code, seed + 100 * list(SIDES).index(side))
            yield task("heading", asks, of=of, key={"side": side, "heading": seed % 4}, skills=("B3", "B4"))


def changes() -> Iterator[Task]:
    number = count(0)
    for look, proved, seed in product(LOOKS, PROVED, SEEDS):
        options = [code for code in LOOKS[look] if code in CHANGES]
        asks = {"choices": [picked("proved", PROVED.items()), picked("cause", [(c, CAUSES[c].title) for c in options])]}
        for code in options:
            others = [one for one in options if one != code and (proved != "second" or family(one) != family(code))]
            if not others and proved != "cured":
                continue
            other = others[seed % len(others)] if others else code
            changed, left = {"cured": (code, NOTHING), "other": (other, code), "second": (code, other)}[proved]
            before, after = known(code, at := next(number), "before"), known(left, at, "after")
            if seed % 2:  # as made ones are; older keys know no seams
                before, after = signed(before, at), signed(after, at)
            key = {"proved": proved, "changed": changed, "after": known_json(after)}
            yield task("change", asks, of=before, key=key, skills=("V3", "V4"))


def with_signs() -> Iterator[Task]:
    """Cases whose keys know seams, traces and places, as made ones do."""
    for code, seed in product(ALL_CODES, SEEDS):
        of = signed(known(code, seed), seed)
        options = [choice_of(code), *(one for one in ("F1", "F10", NOTHING) if one != choice_of(code))]
        yield task("cause", {"choices": asked("What?", options, cues_for(options, of.cue))}, of=of)


CASES = {
    "verdict": verdicts, "cue": cues, "cause": causes, "pair": pairs, "heading": headings, "change": changes,
    "with signs": with_signs,
}  # fmt: skip


def answers(one: Task) -> Iterator[dict[str, Any]]:
    """Every choice at least once; for marks: none, one right, one wrong, both."""
    if one.kind == "cue":
        right = [
            {"azimuth_deg": s["azimuth_deg"], "elevation_deg": s["elevation_deg"]} for s in one.key["known"]["spots"]
        ]
        wrong = {"azimuth_deg": 12.0 + one.key["known"]["numbers"]["doubling_deg"], "elevation_deg": 80.0}
        yield from ({"spots": spots} for spots in ([], right[:1], [wrong], [*right[:1], wrong], right))
    else:
        options = choices(one.public["asks"])
        for i in range(max(len(values) for values in options.values())):
            yield {name: values[i % len(values)] for name, values in options.items()}


def sentences(grade: Grade, one: Task) -> set[str]:
    """Of a grade, and of the captions that its page has under the kit."""
    captions = [kit.caption for kit in kit_pictures(Attempt(key=one.key))]
    text = " ".join([grade.summary, *(f"{mark.words} {mark.mend}" for mark in grade.marks), *captions])
    return {part for part in re.split(r"(?<=[.?!])\s+", text) if part}


@pytest.mark.parametrize("kind", CASES)
def test_no_two_cases_of_a_kind_share_a_sentence(kind: str) -> None:
    said: dict[str, set[int]] = defaultdict(set)
    for number, one in enumerate(CASES[kind]()):
        for answer in answers(one):
            for sentence in sentences(graded(one, answer), one):
                said[sentence].add(number)
    shared = {sentence: cases for sentence, cases in said.items() if len(cases) > 1}
    assert not shared, f"{len(shared)} sentences are shared, as {sorted(shared)[:5]}"


@pytest.mark.parametrize("kind", CASES)
def test_every_case_of_every_kind_is_told_apart_from_a_look_alike(kind: str) -> None:
    for one in islice(CASES[kind](), 0, None, len(SEEDS)):
        for answer in answers(one):
            grade = graded(one, answer)
            told = [mark.words for mark in grade.marks if mark.criterion == "unlike"] + [m.mend for m in grade.marks]
            right = CAUSES[choice_of(one.key["known"]["code"])].title
            assert any("it would be “" in words for words in told), (one.key["known"]["code"], answer)
            assert not any(mark.title == f"Why not “{small(right)}”" for mark in grade.marks)


@pytest.mark.parametrize(("copies", "words"), [(1.0, "cut at"), (2.0, "more than one heading")])
def test_who_is_seen_in_one_heading_alone_is_cut_at_the_seam(copies: float, words: str) -> None:
    for kind in ("verdict", "cue"):
        one = next(case for case in CASES[kind]() if case.key["known"]["code"] == "F16")
        one.key["known"]["values"]["copies"] = copies
        grade = graded(one, next(answers(one)))
        fix = next(mark.words for mark in grade.marks if mark.criterion == "fix")
        other = {"cut at", "more than one heading"} - {words}
        assert words in fix
        assert words in grade.summary
        assert not any(one in fix + grade.summary for one in other)
