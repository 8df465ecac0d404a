"""The key of a case that is looked at: what was measured, where, and what it is, read back as values.

A grade never renders anything: the numbers were measured when the case was made, and the house standard says what they
are worth when it is graded.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields

from scoring.drill import Json, Mark, Spot, Task
from scoring.frame.measure_plain import Shown
from scoring.frame.measure_uprights import Upright
from scoring.frame.severity import Numbers, Rating, Severity, judge, worst_of
from scoring.frame.signature import Signature
from scoring.kinds.causes import choice_of
from scoring.kinds.frame_words import QUANTITIES, Facts, direction, number, titled
from scoring.standard import Standard, Verdict

TELLING = 0.1
"""A quantity below this share of where redo begins tells nothing."""
TOLD = 3
"""So many measured quantities are told with a grade: the deciding ones first."""


@dataclass(frozen=True, slots=True)
class SeamFound:
    """One seam as it was measured: where it is, where it shows most, and how far its two sides are off."""

    azimuth_deg: float
    elevation_deg: float
    """Of the worst place on it; 0 where nothing with an edge shows."""
    doubling_deg: float | None
    """None where nothing with an edge is seen from both sides."""
    horizon_step_deg: float
    away_m: float | None = None
    """How far the edge stands that is doubled most; None where none shows, as in the rest."""
    near_m: float | None = None
    """How far the nearest edge stands that would show a doubling."""
    far_m: float | None = None
    """How far the farthest one stands, the sky left out, ..."""
    far_deg: float | None = None
    """... and by how much it is doubled."""
    mean_deg: float | None = None
    """Mean doubling over the seam's solid angle, whether it shows or not; None in a key that is older than it."""


@dataclass(frozen=True, slots=True)
class Known:
    """What a case's key knows of one of its frames."""

    code: str
    """Of the fault that was put in."""
    cue: str
    numbers: Numbers
    spots: tuple[Spot, ...]
    """The worst few places where it shows, the worst first: what feedback points at."""
    away_m: float | None
    """How far the thing at the worst place is."""
    room: str
    spot: str
    headings: int
    values: Mapping[str, float | str]
    traces: Mapping[str, Json]
    """The signature that was measured, field by field."""
    seams: tuple[SeamFound, ...] = ()
    places: tuple[Spot, ...] = ()
    """Every place where it shows, for whoever is asked to mark one; none when it shows everywhere."""
    uprights: tuple[Upright, ...] = ()
    """Of a tilted frame the upright that leans farthest, and one that leans the other way: the first spots."""
    haze: Shown | None = None
    """Of a hazy frame the place that shows it best: the first spot."""

    @property
    def choice(self) -> str:
        """The cause that a person should name."""
        return choice_of(self.code)

    def severity(self, standard: Standard) -> Severity:
        """What the frame deserves under a house standard."""
        return judge(self.numbers, standard.frames)

    def facts(self, standard: Standard, frame: str = "frame") -> Facts:
        """What the sentences of its grade are made of."""
        severity = self.severity(standard)
        worst = next((spot for spot in self.spots if spot.frame == frame), None)
        return Facts(
            room=self.room,
            spot=self.spot,
            headings=self.headings,
            worst=severity.worst,
            where="" if worst is None else direction(worst.azimuth_deg, worst.elevation_deg),
            away_m=self.away_m,
            values=self.values,
            azimuth_deg=None if worst is None else worst.azimuth_deg,
            signature=Signature(**self.traces) if self.traces else None,
            lean_deg=self.uprights[0].lean_deg if self.uprights else None,
            is_plainest=self.haze is not None or bool(self.uprights),
        )


def known_json(known: Known) -> dict[str, Json]:
    """A frame's knowledge as a key stores it."""
    return {
        "code": known.code,
        "cue": known.cue,
        "numbers": {field.name: getattr(known.numbers, field.name) for field in fields(known.numbers)},
        "spots": [asdict(spot) for spot in known.spots],
        "places": [asdict(place) for place in known.places],
        "away_m": known.away_m,
        "room": known.room,
        "spot": known.spot,
        "headings": known.headings,
        "values": dict(known.values),
        "traces": dict(known.traces),
        "seams": [asdict(seam) for seam in known.seams],
        "uprights": [asdict(one) for one in known.uprights],
        "haze": None if known.haze is None else asdict(known.haze),
    }


def known_of(task: Task, name: str = "known") -> Known:
    """What a task's key knows of a frame."""
    row = task.key[name]
    return Known(
        code=row["code"],
        cue=row["cue"],
        numbers=Numbers(**row["numbers"]),
        spots=tuple(Spot(**spot) for spot in row["spots"]),
        away_m=row["away_m"],
        room=row["room"],
        spot=row["spot"],
        headings=row["headings"],
        values=row["values"],
        traces=row["traces"],
        seams=tuple(SeamFound(**seam) for seam in row.get("seams", ())),
        places=tuple(Spot(**place) for place in row.get("places", ())),
        uprights=tuple(Upright(**one) for one in row.get("uprights", ())),
        haze=_shown(row["haze"]) if row.get("haze") else None,
    )


def _shown(row: Mapping[str, Json]) -> Shown:
    pairs = {name: tuple(row[name]) for name in ("clean_levels", "seen_levels")}
    return Shown(**{**row, **pairs})


def verdicts_of(task: Task, standard: Standard) -> tuple[Verdict, ...]:
    """What each frame of a case deserves under a house standard, by the numbers in its key; the first one comes first.

    Of two faults in one frame the key holds each one's own numbers, and the frame is as bad as the worse.
    """
    first = ("known", "second") if task.key.get("second") else ("known",)
    others = sorted(name for name in task.key["takes"] if name != "clean" and name in task.key)
    frames = (first, *((name,) for name in others))
    return tuple(worst_of(known_of(task, name).severity(standard).verdict for name in names) for names in frames)


def number_marks(severity: Severity, facts: Facts, spots: Sequence[Spot] = ()) -> list[Mark]:
    """The measured quantities that say most, each against its band; told, not weighed."""
    telling = [rating for rating in severity.ratings if rating.share_of_limit >= TELLING] or severity.ratings[:1]
    return [
        number_mark(rating, facts, tuple(spots) if index == 0 else ()) for index, rating in enumerate(telling[:TOLD])
    ]


def number_mark(rating: Rating, facts: Facts, spots: tuple[Spot, ...]) -> Mark:
    """One measured quantity against its band, at the places that show it; told, not weighed."""
    _, unit, factor, _ = QUANTITIES[rating.quantity]
    value, limit = number(rating.quantity, rating.value), number(rating.quantity, rating.limit)
    title = titled(rating.quantity)
    deserves = {"keep": "keep", "either": "keep or redo, both are right", "redo": "redo"}[rating.verdict]
    where = facts.at if spots else f" {facts.within}, from {facts.spot}"
    at_worst = " at worst" if spots and rating.quantity == "veil_share" and facts.is_plainest else ""
    return Mark(
        criterion=f"number-{rating.quantity}",
        title=title,
        credit=1.0,
        weight=0.0,
        value=round(rating.value * factor, 3),
        limit=round(rating.limit * factor, 3),
        unit=unit,
        words=f"{value}{at_worst}{where}, which {rating.words}; {deserves}, with {limit} as the limit.",
        mend="",
        spots=spots,
    )


__all__ = ["TOLD", "Known", "SeamFound", "known_json", "known_of", "number_mark", "number_marks", "verdicts_of"]
