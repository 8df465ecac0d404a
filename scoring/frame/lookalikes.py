"""Causes that look alike, and what tells them apart: a table of looks, what to ask, and what each reply means.

    look -> ask -> reply -> causes, and what a frame of these causes measures (fields of `scoring.frame.signature`)

Common practice, no source. A cause that leaves different traces is written with its way: "F3 roll", "F13 motion"; a
frame that is right but looks wrong at first sight is "N0" with what makes it look so.

A finger before the lens turns with the phone. Measured, it hides one place of every heading and makes no sector darker
than the next, so it is told from a changed exposure by that. An axis that is tilted and a spin that stopped short leave
lines meeting at every seam that two headings share, so that neither is among what does not meet.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from scoring.frame.signature import Signature

Traces = Mapping[str, tuple[str | bool, ...]]
"""Field of a signature to the values that it can have."""


@dataclass(frozen=True, slots=True)
class Reply:
    """One thing that can be seen when asking, and the causes it leads to."""

    words: str
    causes: tuple[str, ...]
    """Codes, with the way where a code has several."""
    traces: Traces
    """What the frame measures when this reply is the true one; every field has to fit."""

    def fits(self, signature: Signature) -> bool:
        """Whether a measured frame gives this reply."""
        return all(getattr(signature, name) in values for name, values in self.traces.items())


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing to look for, among causes that share a look."""

    look: str
    ask: str
    replies: tuple[Reply, ...]


LOOKALIKES: tuple[Ask, ...] = (
    Ask(
        "Doubled edges",
        "Look at the far wall: is it doubled as well?",
        (
            Reply("Near things are doubled, the far wall meets", ("F1", "F2", "F5"), {"distance_law": ("inverse",)}),
            Reply(
                "The far wall is as far off as what is near",
                ("F3 roll", "F3 lean", "F6", "F7", "F9"),
                {"distance_law": ("none",)},
            ),
        ),
    ),
    Ask(
        "Doubled edges",
        "Go once round: which seams are off?",
        (
            Reply("All of them alike", ("F1", "F2", "F3 roll", "F3 lean", "F9"), {"repeat": ("all",)}),
            Reply("One, and the one where the circle closes", ("F5",), {"repeat": ("one and closing",)}),
            Reply("By a different amount at each", ("F6", "F7"), {"repeat": ("irregular",)}),
            Reply("None: lines meet at each, near and far", ("F4", "N0"), {"still_things": (False,)}),
        ),
    ),
    Ask(
        "Doubled edges",
        "Which way are edges off, and is it so at eye level?",
        (
            Reply(
                "Sideways, near things only",
                ("F1",),
                {"direction": ("sideways",), "distance_law": ("inverse",), "at_eye_level": (True,)},
            ),
            Reply(
                "Up and down, near things only, little at eye level",
                ("F2",),
                {"direction": ("vertical",), "distance_law": ("inverse",), "at_eye_level": (False,)},
            ),
            Reply(
                "Up and down, near and far, at eye level too",
                ("F3 roll",),
                {"direction": ("vertical",), "distance_law": ("none",), "at_eye_level": (True,)},
            ),
            Reply(
                "Near and far, nothing at eye level, the other way below, with a dark crescent",
                ("F9",),
                {"distance_law": ("none",), "at_eye_level": (False,), "opposite": (True,), "crescent": (True,)},
            ),
            Reply(
                "Near and far, nothing at eye level, the other way below, the horizon in scallops, no crescent",
                ("F3 lean",),
                {
                    "distance_law": ("none",), "at_eye_level": (False,), "opposite": (True,), "crescent": (False,),
                    "horizon": ("scallops",),
                },
            ),
            Reply(
                "Sideways, near and far, the same at all heights",
                ("F7",),
                {
                    "direction": ("sideways",), "distance_law": ("none",), "at_eye_level": (True,),
                    "opposite": (False,),
                },
            ),
        ),
    ),
    Ask(
        "Doubled edges",
        "Do only living or moving things show twice?",
        (
            Reply("Solid, at a seam", ("F16",), {"copies": ("at a seam",), "still_things": (False,)}),
            Reply(
                "See-through, inside a heading",
                ("F17",),
                {"copies": ("inside a heading",), "still_things": (False,)},
            ),
            Reply(
                "No, still things are off as well",
                ("F1", "F2", "F3 roll", "F3 lean", "F5", "F6", "F7", "F9"),
                {"still_things": (True,)},
            ),
            Reply("Nothing does", ("N0",), {"copies": ("none",), "still_things": (False,)}),
        ),
    ),
    Ask(
        "Doubled edges",
        "Is a heading soft by itself and off at its seams as well?",
        (
            Reply("Yes: it rocked while it was exposed", ("F6 soft",), {"soft": ("some",), "still_things": (True,)}),
            Reply("Off, and sharp everywhere", ("F5", "F7"), {"soft": ("none",), "still_things": (True,)}),
        ),
    ),
    Ask(
        "Haze",
        "Where is the haze, and does it stay?",
        (
            Reply("At the same place of each heading, clear between", ("F10",), {"veil": ("same place",)}),
            Reply("Everywhere, weaker in later headings", ("F11",), {"veil": ("everywhere",), "trend": ("fading",)}),
            Reply("Only toward a bright source", ("F12",), {"veil": ("toward a source",), "trend": ("none",)}),
            Reply(
                "No haze and deep blacks, but fine detail is gone or smeared",
                ("F13 focus", "F13 motion"),
                {"veil": ("none",), "soft": ("even", "along", "some")},
            ),
            Reply(
                "No haze: one soft side and a dark crescent in each heading",
                ("F9 soft",),
                {"veil": ("none",), "crescent": (True,), "soft": ("one side",)},
            ),
            Reply(
                "No haze: a dark crescent in each heading, and no side that is plainly the softer one",
                ("F9",),
                {"veil": ("none",), "crescent": (True,), "soft": ("none", "even", "along", "some")},
            ),
            Reply(
                "No haze, no crescent, and fine detail is there",
                ("N0",),
                {"veil": ("none",), "crescent": (False,), "soft": ("none",)},
            ),
        ),
    ),
    Ask(
        "Softness",
        "Is fine detail gone every way, or along the horizon only?",
        (
            Reply("Every way", ("F13 focus",), {"soft": ("even", "some"), "smeared": (False,)}),
            Reply("Smeared along the horizon only", ("F13 motion",), {"soft": ("along", "some"), "smeared": (True,)}),
        ),
    ),
    Ask(
        "Slanted lines",
        "Follow the horizon and the door jambs once round: what do they do?",
        (
            Reply(
                "One smooth wave; jambs lean, and lean the other way after half a turn",
                ("F4",),
                {"horizon": ("wave",), "still_things": (False,)},
            ),
            Reply(
                "Teeth or scallops, as many as there are headings",
                ("F3 roll", "F3 lean"),
                {"horizon": ("teeth", "scallops")},
            ),
            Reply(
                "Jambs are plumb: a sloped floor or ceiling, or the usual curves of a flat picture",
                ("N0", "N0 slope", "N0 attic"),
                {"horizon": ("straight",), "still_things": (False,)},
            ),
        ),
    ),
    Ask(
        "Bands",
        "Do lines meet across the band?",
        (
            Reply("They meet", ("F15",), {"band": (True,), "still_things": (False,)}),
            Reply(
                "They do not meet",
                ("F1", "F2", "F3 roll", "F3 lean", "F5", "F6", "F7", "F9"),
                {"still_things": (True,)},
            ),
            Reply("There is no band, and lines meet", ("N0",), {"band": (False,), "still_things": (False,)}),
        ),
    ),
    Ask(
        "A missing part",
        "How wide is the part that is missing or there twice, and where?",
        (
            Reply("As wide as a whole heading", ("F8",), {"sector": ("missing", "repeated")}),
            Reply("A patch over the tripod, straight down", ("N0",), {"sector": ("whole",)}),
        ),
    ),
    Ask(
        "Darkness",
        "What is darker than it should be: the whole frame, one edge or one place of each heading, or one sector?",
        (
            Reply("The whole frame", ("F14 dark",), {"dark": ("whole",)}),
            Reply("The same edge of each heading", ("F9",), {"dark": ("one edge",)}),
            Reply("One place of each heading, where nothing else is seen", ("F19 finger",), {"dark": ("one place",)}),
            Reply("One sector", ("F15",), {"dark": ("one sector",)}),
            Reply("Nothing: no part is darker than its light makes it", ("F12", "N0"), {"dark": ("none",)}),
        ),
    ),
    Ask(
        "A copy of the set-up or of somebody",
        "Is somebody or the set-up in a mirror, once, or at a seam, twice?",
        (
            Reply("In a mirror, once and sharp", ("F19 mirror",), {"copies": ("in a mirror",)}),
            Reply("At a seam, twice or cut", ("F16",), {"copies": ("at a seam",)}),
            Reply("Neither: there is none", ("N0",), {"copies": ("none",)}),
        ),
    ),
    Ask(
        "A white window",
        "Do the edges of a white window’s frame stay crisp?",
        (
            Reply("Crisp: the view is lost, the wall beside it is clear", ("F14 white",), {"white": ("crisp",)}),
            Reply("They glow into the wall", ("F12", "F10"), {"white": ("glowing",)}),
            Reply("Crisp, and the view is there or small", ("N0",), {"white": ("none",)}),
        ),
    ),
    Ask(
        "Shadow bars",
        "Are dark bars sharp and parallel, or fuzzy and at one place of each heading?",
        (
            Reply("Sharp, parallel, from the things that cast them", ("F18",), {"shadows": ("parallel",)}),
            Reply(
                "Fuzzy, at the same place of each heading",
                ("F9", "F19 finger", "F19 strap"),
                {"shadows": ("fixed",)},
            ),
            Reply("There are no long dark bars", ("F12", "F14 dark", "F14 white", "F15", "N0"), {"shadows": ("none",)}),
        ),
    ),
    Ask(
        "A low view",
        "What stands on the eye-level line all round?",
        (
            Reply("Things much lower than the lens should be", ("F19 height",), {"low": (True,)}),
            Reply("Things as high as the lens should be", ("N0",), {"low": (False,)}),
        ),
    ),
)  # fmt: skip


def between(first: str, second: str) -> tuple[tuple[Ask, Reply, Reply], ...]:
    """What tells two causes apart: each ask that gives them different replies, with the reply of either.

    Causes are codes ("F1"), or codes with a way ("F3 roll"); a bare code stands for all its ways.
    """
    return tuple(
        (ask, one, other)
        for ask in LOOKALIKES
        for one in ask.replies
        for other in ask.replies
        if one is not other and _leads_to(one, first) and _leads_to(other, second)
    )


def _leads_to(reply: Reply, cause: str) -> bool:
    return any(one == cause or one.split()[0] == cause for one in reply.causes)


def rows() -> Iterator[tuple[Ask, Reply, str]]:
    """Every cause of every reply of every ask: what has to be measured on a frame of that cause."""
    for ask in LOOKALIKES:
        for reply in ask.replies:
            for cause in reply.causes:
                yield ask, reply, cause


__all__ = ["LOOKALIKES", "Ask", "Reply", "Traces", "between", "rows"]
