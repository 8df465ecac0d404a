"""The task of a case that is looked at: what may be seen, and a key with the whole cause of every frame."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from pydantic import TypeAdapter

from scoring.drill import Json, Task, content_hash
from scoring.frame.severity import Severity
from scoring.frame.take import take_json
from scoring.kinds.case import Source, rounded, task_made
from scoring.kinds.frame_case import Seen, clean_of
from scoring.kinds.frame_key import Known, known_json
from scoring.rig.kit import Kit

_KIT = TypeAdapter(Kit)


def build_frames(
    source: Source,
    seen: Mapping[str, Seen],
    *,
    asks: Mapping[str, Json],
    shown: Sequence[tuple[str, str]],
    key: Mapping[str, Json],
    words: str = "",
    clean: bool = True,
) -> Task:
    """The task of one or two measured frames, its guessing floor still 0 (see ``with_floor``).

    ``seen`` by name; the first one is what the key's "known" tells of. ``shown`` names the pictures that may be seen
    before the grade, with their titles; a name like "heading-2" is a raw heading of the first frame.
    """
    recipe, kit = source.recipe, source.kit
    kit_json = _KIT.dump_python(kit, mode="json")
    first_name, first = next(iter(seen.items()))
    takes = {name: take_json(one.take) for name, one in seen.items()}
    if clean:
        takes["clean"] = take_json(clean_of(first.take))
    frames = [
        {"name": name, "title": title, "what": "heading", "of": first_name}
        if name.startswith("heading-")
        else {"name": name, "title": title, "what": "frame"}
        for name, title in shown
    ]
    public = {
        "kit": {name: kit_json[name] for name in ("name", "title", "headings", "lens_height_m", "leg_circle_m")},
        "title": recipe.title,
        "task": words or recipe.task,
        "frames": frames,
        "asks": dict(asks),
    }
    known = {name: known_json(_renamed(one.known, name)) for name, one in seen.items()}
    whole = {
        "kit": kit_json, "skills": list(recipe.skills), "guess": {}, "takes": takes, "known": known[first_name],
        **{name: row for name, row in known.items() if name != first_name}, **key,
    }  # fmt: skip
    looks_like = content_hash([recipe.kind, rounded(takes)])
    difficulty = difficulty_of(first.severity)
    return task_made(source, public=public, key=whole, difficulty_logit=difficulty, looks_like=looks_like)


def _renamed(known: Known, frame: str) -> Known:
    spots, places = (tuple(replace(one, frame=frame) for one in those) for those in (known.spots, known.places))
    return replace(known, spots=spots, places=places)


def with_floor(task: Task, share: float, by_skill: Mapping[str, float] | None = None) -> Task:
    """The task with the expected credit of the best answer that does not look, of the whole and of each skill.

    ``by_skill`` names the skills that are judged by a part of the answer alone.
    """
    guess = {skill: round((by_skill or {}).get(skill, share), 6) for skill in task.key["skills"]}
    return replace(task, guess_floor=round(share, 6), key={**task.key, "guess": guess})


def difficulty_of(severity: Severity) -> float:
    """Prior difficulty [logit], prior SD 0.6: harder the nearer the deciding number is to where people turn.

    That is the middle between keep and redo of its own bands; ten times as much, or a tenth, is 2.2 easier.
    """
    share = max(severity.worst.share_of_middle, 1e-3)
    apart = abs(math.log10(share)) if math.isfinite(share) else 1.0
    return max(-2.5, min(2.0, 1.2 - 2.2 * apart))


__all__ = ["build_frames", "difficulty_of", "with_floor"]
