"""The words of a frame's grade. Every sentence carries a number or name of its own case, so no two cases read alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scoring.frame.lookalikes import Reply, between
from scoring.frame.severity import Rating
from scoring.frame.signature import Signature
from scoring.kinds.causes import CAUSES, LIES_WITH, NOTHING, family
from scoring.kinds.words import in_or_on, start

QUANTITIES: dict[str, tuple[str, str, float, str]] = {
    "doubling_deg": ("Doubling at a seam", "°", 1.0, "a doubling of {}"),
    "horizon_step_deg": ("Step of the horizon at a seam", "°", 1.0, "a step of {} in the horizon"),
    "tilt_deg": ("Tilt of the whole frame", "°", 1.0, "a tilt of {}"),
    "veil_share": ("Contrast lost to haze", "%", 100.0, "{} of contrast lost to haze"),
    "clipped_share": ("Flat white", "%", 100.0, "{} of the sphere flat white"),
    "crushed_share": ("Flat black", "%", 100.0, "{} of the sphere flat black"),
    "dark_ev": ("Darker than middle grey", "EV", 1.0, "a middle tone {} too dark"),
    "blur_deg": ("Width of a sharp edge", "°", 1.0, "edges {} wide"),
    "exposure_step_ev": ("Exposure step between headings", "EV", 1.0, "an exposure step of {}"),
    "colour_step_mired": ("Colour step between headings", "mired", 1.0, "a colour step of {}"),
    "missing_deg": ("Sector missing", "°", 1.0, "a missing sector of {}"),
    "repeated_deg": ("Sector shown twice", "°", 1.0, "a sector of {} shown twice"),
    "copies_count": ("Copies or cut bodies at seams", "", 1.0, "copies or cuts at seams ({} in all)"),
    "self_count": ("The set-up in a mirror", "", 1.0, "the set-up in a mirror ({} in all)"),
    "ghost_share": ("Ghosts between exposures", "%", 100.0, "ghosts over {} of the sphere"),
    "lens_height_off_m": ("Lens off its height", "m", 1.0, "a lens {} off its height"),
    "shadow_ratio": ("Shadow length over height", "", 1.0, "shadows {} times the height of what casts them"),
    "blocked_share": ("Hidden by the set-up", "%", 100.0, "{} of the sphere hidden by the set-up"),
    "crescent_share": ("Shaded by the lens edge", "%", 100.0, "{} of the sphere shaded by the lens edge"),
}
"""Title, unit shown, factor, and words in mid-sentence of each quantity of the house standard's bands."""
SEEN_ALONE = frozenset({"Haze", "Softness", "Darkness", "A white window", "Shadow bars"})
"""Looks that one heading shows by itself."""
COUNTS = frozenset({"copies_count", "self_count"})


def number(quantity: str, value: float) -> str:
    """A measured value with its unit, as people read it."""
    _, unit, factor, _ = QUANTITIES[quantity]
    shown = value * factor
    digits = 0 if quantity in COUNTS else 2 if shown < 10.0 else 1
    text = f"{shown:.{digits}f}"
    return f"{text}{unit}" if unit == "°" else f"{text} {unit}".rstrip()


def told(quantity: str, value: float) -> str:
    """A measured value in mid-sentence: "a doubling of 0.84°"."""
    return QUANTITIES[quantity][3].format(number(quantity, value))


def direction(azimuth_deg: float, elevation_deg: float) -> str:
    """Where in a frame, as its margin counts."""
    return f"{azimuth(azimuth_deg)}, elevation {_signed(elevation_deg)}°"


def azimuth(azimuth_deg: float) -> str:
    """A direction round about, from -180° (left out) to 180°, as the margin of a frame counts."""
    return f"azimuth {_signed(180.0 - (180.0 - azimuth_deg) % 360.0)}°"


def leans(lean_deg: float) -> str:
    """ "2.4° to the left", of an upright whose lean is above 0 to the right."""
    return f"{abs(lean_deg):.1f}° to the {'left' if lean_deg < 0.0 else 'right'}"


def _signed(degrees: float) -> str:
    return f"{degrees:+.0f}".replace("-", "\u2212").replace("+0", "0").replace("\u22120", "0")


@dataclass(frozen=True, slots=True)
class Facts:
    """What the sentences of one case are made of."""

    room: str
    """In mid-sentence: "the kitchen"."""
    spot: str
    """Where the station stands: "(x 3.1, y 2.0)"."""
    headings: int
    worst: Rating
    where: str
    """Direction of the worst place; "" when it is nowhere in particular."""
    away_m: float | None
    """How far the thing there is."""
    values: Mapping[str, float | str]
    """Of the fault that was put in, for the first fix."""
    azimuth_deg: float | None = None
    """Of the worst place."""
    signature: Signature | None = None
    """The traces that were measured; None for a heading that is read by itself."""
    lean_deg: float | None = None
    """Of a tilted frame how far the upright at that place leans; above 0 to the right."""
    alone: bool = False
    """Whether one heading is all that is seen, so that no seam can tell anything."""
    is_plainest: bool = False
    """Whether that place shows it best, rather than having most of it."""

    @property
    def within(self) -> str:
        """ "in the kitchen", "on the landing"."""
        return in_or_on(self.room)

    @property
    def value(self) -> str:
        """The deciding number."""
        return number(self.worst.quantity, self.worst.value)

    @property
    def told(self) -> str:
        """The deciding number in mid-sentence: "a doubling of 0.84°"."""
        return told(self.worst.quantity, self.worst.value)

    @property
    def limit(self) -> str:
        """The limit that it is held against."""
        return number(self.worst.quantity, self.worst.limit)

    @property
    def at(self) -> str:
        """ " at azimuth 20°, elevation 5°, 0.9 m away"; nowhere in particular: " in the hall, from (x 3.1, y 2.0)"."""
        return self.here if self.where else f" {self.within}{self.here}"

    @property
    def here(self) -> str:
        """The same in a sentence that names the room already; nowhere in particular: ", from (x 3.1, y 2.0)"."""
        return f", plainest{self.there}" if self.where and self.is_plainest else self.there

    @property
    def there(self) -> str:
        """The same after a verb that says already that it shows."""
        away = "" if self.away_m is None else f", {self.away_m:.1f} m away"
        return f" at {self.where}{away}" if self.where else f", from {self.spot}"

    @property
    def brief(self) -> str:
        """Which frame it is, where all was told before: "with 0.84° at azimuth 20°", "in the hall from (x 3, y 2)"."""
        if self.azimuth_deg is None:
            return f"{self.within} from {self.spot}"
        bare = QUANTITIES[self.worst.quantity][1] == ""
        return f"with {self.told if bare else self.value} at {azimuth(self.azimuth_deg)}"

    @property
    def leaning(self) -> str:
        """Of a tilted frame how far an upright leans at that place, or else where uprights lean most."""
        if self.worst.quantity != "tilt_deg" or self.azimuth_deg is None:
            return ""
        if self.lean_deg is not None:
            return f", where an upright leans {leans(self.lean_deg)}"
        sides = (azimuth(self.azimuth_deg - 90.0), azimuth(self.azimuth_deg + 90.0).removeprefix("azimuth "))
        return f" (uprights lean most at {sides[0]} and {sides[1]})"

    def size(self, name: str) -> float:
        """A number of the fault, without its sign; 0 when there is none of that name."""
        value = self.values.get(name, 0.0)
        return abs(value) if not isinstance(value, str) else 0.0

    def minus(self, name: str) -> bool:
        """Whether a number of the fault is below 0."""
        value = self.values.get(name, 0.0)
        return not isinstance(value, str) and value < 0.0


def found(code: str, facts: Facts) -> str:
    """What it is, how large it was measured, and why it comes about."""
    cause = CAUSES[code]
    if code == NOTHING:
        return (
            f"Nothing that matters {facts.within} at {facts.spot}: at worst {facts.told}; {facts.limit} would matter."
        )
    return f"{cause.title}: {facts.told}{facts.at}{facts.leaning}, because {why(code, facts)}."


def lies_with(code: str, facts: Facts) -> str:
    """Where to look for a cause, or how far all is from mattering; `found` says what it is."""
    if code == NOTHING:
        share = 100.0 * facts.worst.value / facts.worst.limit
        nearest = f"{small(titled(facts.worst.quantity))} comes nearest, at {share:.0f} % of it"
        return f"Every measure of {facts.room}, from {facts.spot}, stays under its limit: {nearest}."
    return f"It lies with {LIES_WITH[family(code)]}: {facts.told}, {facts.within} from {facts.spot}."


def why(code: str, facts: Facts) -> str:
    """How it comes about, in a half sentence after "because", in the words of the very case."""
    if code == "F16" and facts.size("copies") == 1.0:
        return "somebody went between two headings and is cut at the seam"
    if code == "F14":
        return f"it was metered on something too {'bright' if facts.minus('offset_ev') else 'dark'}"
    if code == "F17":
        return f"the {facts.values.get('what', 'thing')} moved between the exposures of one heading"
    return _WHY_OF_KIND.get((code, str(facts.values.get("kind"))), CAUSES[code].why)


_WHY_OF_KIND = {
    ("F13", "focus"): "the focus had not settled",
    ("F13", "motion"): "the head was still turning as it exposed",
    ("F19", "height"): "the legs are not fully out",
    ("F19", "finger"): "a finger is before the lens",
    ("F19", "strap"): "a strap hangs before the lens",
    ("F19", "self"): "the mirror shows whoever stands square to it",
}


def unlike(code: str, other: str, facts: Facts) -> str:
    """Why it is not that other cause, from what tells the two apart; "" when the table has nothing on the pair."""
    rows = [row for row in between(code, other) if _holds(row[1], row[2], facts.signature)]
    if facts.alone:
        rows = [row for row in rows if row[0].look in SEEN_ALONE]
    if not rows:
        return ""
    ask, mine, theirs = rows[0]
    named = "in a good frame" if other == NOTHING else f"with “{small(CAUSES[other].title)}”"
    return (
        f"Ask “{ask.ask}” Here, {facts.brief}, it is “{small(mine.words)}”; {named} it would be "
        f"“{small(theirs.words)}”."
    )


def _holds(mine: Reply, theirs: Reply, signature: Signature | None) -> bool:
    """Whether the measured traces give this reply and not the other."""
    return signature is None or (mine.fits(signature) and not theirs.fits(signature))


def small(words: str) -> str:
    """The words with their first letter small, as in mid-sentence."""
    return words[:1].lower() + words[1:]


def titled(quantity: str) -> str:
    """The title of a quantity."""
    return start(QUANTITIES[quantity][0])


__all__ = [
    "QUANTITIES", "Facts", "azimuth", "direction", "found", "leans", "lies_with", "number", "small", "titled", "told",
    "unlike", "why",
]  # fmt: skip
