"""Terms of the trade in plain words: what a grade takes for granted, and how a page explains it at first use."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache

from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe


@dataclass(frozen=True, slots=True)
class Term:
    """One term: what it is called, what it means, and the forms in which sentences use it."""

    slug: str
    word: str
    meaning: str
    forms: str = ""
    """A pattern of whole words; "" for a term that the page of terms explains and no sentence is linked to."""


_DIRECTIONS = (
    Term(
        "azimuth", "azimuth",
        "A direction round about you, in degrees. 0° is the middle of the frame, + is to the right of it, − to "
        "the left; 180° is straight behind, where the flat frame is cut.",
        "azimuth",
    ),
    Term(
        "elevation", "elevation",
        "A direction up or down, in degrees. 0° is at eye level, +90° straight up, −90° straight down.",
        "elevation",
    ),
    Term(
        "eye-level", "eye level, horizon",
        "What is as high as the lens. In a level frame it is one straight line all round.",
        "eye level|eye-level|horizon",
    ),
    Term(
        "zenith", "zenith, nadir",
        "Straight up, and straight down under the tripod.",
        "zenith|nadir",
    ),
    Term(
        "plumb", "plumb, upright",
        "Straight up and down, as a weight on a string hangs. An upright is an edge of the room that should stand "
        "so: a corner of two walls, the side of a door or of a window.",
        "plumb|uprights?",
    ),
    Term(
        "sphere", "sphere",
        "All directions round you, up and down: the whole of a frame.",
        "sphere",
    ),
)  # fmt: skip
_SPIN = (
    Term(
        "station", "station",
        "A place where one full turn is shot.",
    ),
    Term(
        "spin", "spin, heading",
        "A spin is one full turn of the phone. A heading is one of its stops, and the picture that is taken "
        "there.",
        "spins?|headings?",
    ),
    Term(
        "frame", "frame, panorama",
        "The merged picture of one spin: it shows every direction, laid flat twice as wide as it is high.",
    ),
    Term(
        "seam", "seam",
        "Where two headings meet in the frame. About it the two pictures are mixed over a few degrees.",
        "seams?",
    ),
    Term(
        "closing-seam", "closing seam",
        "The seam between the last heading and the first one, where the circle closes. What went wrong on the way "
        "round comes together there.",
        "closing one|circle closes",
    ),
    Term(
        "doubling", "doubling",
        "How far apart two headings put one and the same edge, in degrees: it shows twice, or has a step in it. "
        "At 0.4° it is plain to see.",
        "doubling|doubled?|doubles",
    ),
)  # fmt: skip
_SET_UP = (
    Term(
        "set-up", "set-up",
        "Tripod, turning head, clamp, phone and lens, as they stand together.",
        "set-up",
    ),
    Term(
        "axis", "axis",
        "The line that the head turns about, from the middle of the tripod straight up.",
        "axis",
    ),
    Term(
        "pupil", "entrance pupil",
        "The opening that you see when you look into a lens from the front. It has to stand over the axis, or "
        "near things shift against far ones from heading to heading.",
        "(?:entrance )?pupil",
    ),
    Term(
        "parallax", "parallax",
        "Near things shift against far ones when the place of the lens changes: close one eye, then the other.",
        "parallax",
    ),
    Term(
        "roll-lean", "roll, lean, tilt",
        "A phone rolls when it is turned like a steering wheel, and leans when its top comes toward you or goes "
        "away. A tilt is the whole tripod out of level.",
    ),
    Term(
        "seated", "seated",
        "A lens is seated when it sits fully home, square and in the middle.",
        "seated|seat it",
    ),
    Term(
        "bubble", "bubble",
        "The round level on the tripod, or the level on the screen.",
        "bubble",
    ),
)  # fmt: skip
_WRONG = (
    Term(
        "scallops", "scallops, cusp, teeth",
        "Scallops are a row of arcs, and a cusp is the point where two of them meet. Teeth are steps, one at each "
        "seam, like those of a saw.",
        "scallops?|cusps?|teeth",
    ),
    Term(
        "crescent", "crescent",
        "A dark edge in the shape of a young moon, where the lens does not sit in the middle.",
        "crescent",
    ),
    Term(
        "haze", "haze, contrast lost",
        "Stray light on the lens lays a grey over the picture. With half of the contrast lost, dark and light are "
        "half as far apart; blacks turn grey first.",
        "contrast lost|haze|hazy",
    ),
    Term(
        "halo", "halo, glare",
        "A halo is a glow round a light; glare is haze toward a bright source.",
        "halos?|glare",
    ),
    Term(
        "flat-white", "flat white, flat black",
        "So bright, or so dark, that no detail is left in the file.",
        "flat white|flat black",
    ),
    Term(
        "ghost", "ghost",
        "A see-through copy of what moved between the exposures of one heading.",
        "ghosts?",
    ),
)  # fmt: skip
_LIGHT = (
    Term(
        "ev", "EV",
        "A step of light: 1 EV more is twice as much, 2 EV four times. 0.3 EV shows on a plain wall.",
        "EV",
    ),
    Term(
        "mired", "mired",
        "A measure of how warm light is. The step from cool daylight (5,000 K) to a warm lamp (3,000 K) is 133 "
        "mired; 20 show as a band on a plain wall.",
        "mired",
    ),
    Term(
        "middle-tone", "middle tone, upper-middle tone",
        "What is neither dark nor bright; an upper-middle tone is a little brighter, like a wall in the sun.",
        "upper-middle tone|middle tone|middle grey",
    ),
    Term(
        "levels", "levels",
        "How bright a point of the picture is written, from 0 for black to 255 for white.",
        "levels(?= between)",
    ),
    Term(
        "bracketing", "bracketing, exposures",
        "Several exposures of one heading, darker and brighter, merged so that window and room both have detail.",
        "bracket(?:s|ing)?|exposures of",
    ),
    Term(
        "meter", "meter",
        "To let the phone set its exposure by what you tap on.",
        "metered|meter on",
    ),
)  # fmt: skip
_HOME = (
    Term(
        "jamb", "jamb",
        "The upright side of a door or window opening.",
        "jambs?",
    ),
    Term(
        "threshold", "threshold",
        "The line of a door; shooting from just outside the room.",
    ),
    Term(
        "landing", "landing, flight",
        "A flight is a run of stairs; a landing is the floor at either end of it.",
    ),
    Term(
        "line-of-sight", "line of sight, sight link",
        "A free view between two stations, wide enough to be useful.",
    ),
    Term(
        "island", "connected set, island",
        "Stations that are joined by links; an island is cut off from the rest.",
    ),
    Term(
        "coverage", "coverage",
        "The share of a floor that at least one station sees.",
    ),
)  # fmt: skip
_READY = (
    Term(
        "house-standard", "house standard",
        "The limits that your firm works by: from which number on a frame is redone, how much floor must be seen.",
        "house standard",
    ),
    Term(
        "first-fix", "first fix",
        "The cheapest thing to try first.",
    ),
    Term(
        "reshoot", "redo, reshoot",
        "To shoot again on the spot; to come back for it another day.",
    ),
)  # fmt: skip

GROUPS: tuple[tuple[str, tuple[Term, ...]], ...] = (
    ("Directions", _DIRECTIONS),
    ("A spin and its frame", _SPIN),
    ("The set-up", _SET_UP),
    ("What goes wrong", _WRONG),
    ("Light", _LIGHT),
    ("The home", _HOME),
    ("Being ready", _READY),
)
"""Every term, by what it is about."""


@dataclass(slots=True)
class Explained:
    """What one page has explained so far: each term is linked where it is first used, and listed in that order."""

    used: list[Term] = field(default_factory=list)

    def linked(self, text: str) -> SafeString:
        """The words as HTML, with a link from each term that was not used before to its place in the page's list."""
        first = [
            (found.start(), found.end(), term)
            for term, pattern in _patterns()
            if term not in self.used and (found := pattern.search(text))
        ]
        parts, at = [], 0
        for start, end, term in sorted(first, key=lambda one: (one[0], -one[1])):
            if start < at:
                continue  # within a longer one: it is linked where it comes by itself
            self.used.append(term)
            parts += [conditional_escape(text[at:start])]
            parts += [format_html('<a class="term" href="#term-{}">{}</a>', term.slug, text[start:end])]
            at = end
        parts.append(conditional_escape(text[at:]))
        return mark_safe("".join(parts))  # noqa: S308 (each part is escaped)


def terms_in(texts: Iterable[str]) -> list[Term]:
    """The terms that some words use, in the order in which they come."""
    page = Explained()
    for text in texts:
        page.linked(text)
    return page.used


@cache
def _patterns() -> tuple[tuple[Term, re.Pattern[str]], ...]:
    """Of each term that is linked: whole words, as they are or with their first letter large."""
    flags = {term.slug: 0 if term.word.isupper() else re.IGNORECASE for _, terms in GROUPS for term in terms}
    return tuple(
        (term, re.compile(rf"\b(?:{term.forms})\b", flags[term.slug]))
        for _, terms in GROUPS
        for term in terms
        if term.forms
    )


__all__ = ["GROUPS", "Explained", "Term", "terms_in"]
