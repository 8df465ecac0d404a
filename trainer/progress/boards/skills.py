"""Starred skills across people: the weakest of a team, and what is missing when some people are sent."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from trainer.progress.standings import Now, StarNow

WEAKEST = 3
FEW_CASES = 30
"""A mean over fewer cases is shown in grey and says so."""
FEW_PEOPLE = 2
"""A skill that fewer of those sent hold rests on too few."""


@dataclass(frozen=True, slots=True)
class Weak:
    """One starred skill of a team: the mean expected score of those with graded cases on it that count."""

    code: str
    name: str
    score: float
    """Points of 100."""
    people: int
    """Who has graded cases on it, since the kit changed where it did."""
    cases: int
    ready: int
    of: int
    """Of all people of the team."""

    @property
    def few(self) -> bool:
        """Whether it rests on too little to be told from chance."""
        return self.cases < FEW_CASES


@dataclass(frozen=True, slots=True)
class Held:
    """Who of some people holds one starred skill."""

    code: str
    name: str
    by: tuple[str, ...]
    """Names."""
    by_shoot: bool

    @property
    def missing(self) -> bool:
        """Nobody of them holds it."""
        return not self.by

    @property
    def thin(self) -> bool:
        """So few hold it that it rests on one person."""
        return 0 < len(self.by) < FEW_PEOPLE


@dataclass(frozen=True, slots=True)
class Sent:
    """What to know before some people are sent together."""

    names: tuple[str, ...]
    not_alone: tuple[str, ...]
    """Those who cannot be sent alone, with their state."""
    skills: tuple[Held, ...]
    """What nobody holds first, then what rests on one, then the rest."""
    kits: tuple[tuple[str, int], ...]

    @property
    def wanting(self) -> tuple[Held, ...]:
        """The skills that too few of them hold."""
        return tuple(held for held in self.skills if held.missing or (held.thin and len(self.names) > 1))

    @property
    def enough(self) -> tuple[Held, ...]:
        """The skills that enough of them hold."""
        return tuple(held for held in self.skills if held not in self.wanting)


def holds(star: StarNow) -> bool:
    """Whether the skill is settled: enough evidence, or shown on a signed shoot."""
    return star.call == "ready"


def unpractised(people: Sequence[Now]) -> tuple[str, ...]:
    """Names of the starred skills with drills of which none of these people has a graded case that counts."""
    return tuple(name for code, name in _drilled(people) if not any(one.stars[code].count for one in people))


def weakest(people: Sequence[Now], most: int = WEAKEST) -> list[Weak]:
    """The starred skills with the lowest mean expected score; those that only a shoot can show have none."""
    found = []
    for code, name in _drilled(people):
        score, known, cases, ready = 0.0, 0, 0, 0
        for one in people:
            star = one.stars[code]
            ready += holds(star)
            if star.count:
                score, known, cases = score + star.score, known + 1, cases + star.count
        if known:
            found.append(Weak(code, name, score / known, known, cases, ready, len(people)))
    return sorted(found, key=lambda weak: (weak.score, weak.code))[:most]


def _drilled(people: Sequence[Now]) -> Iterator[tuple[str, str]]:
    """Codes and names of the starred skills with drills: everybody has the same ones."""
    for one in people[:1]:
        yield from ((code, star.name) for code, star in one.stars.items() if not star.by_shoot)


def if_sent(people: Iterable[Now]) -> Sent | None:
    """What is missing among some people; None when there are none."""
    sent = list(people)
    if not sent:
        return None
    skills = [
        Held(code, star.name, tuple(one.name for one in sent if holds(one.stars[code])), star.by_shoot)
        for code, star in sent[0].stars.items()
    ]
    kits: dict[str, int] = {}
    for one in sent:
        kits[one.kit] = kits.get(one.kit, 0) + 1
    return Sent(
        names=tuple(one.name for one in sent),
        not_alone=tuple(f"{one.name} ({one.state})" for one in sent if one.state != "ready" and one.sent_until is None),
        skills=tuple(sorted(skills, key=lambda held: (len(held.by), held.code))),
        kits=tuple(sorted(kits.items())),
    )


__all__ = ["FEW_CASES", "Held", "Sent", "Weak", "holds", "if_sent", "unpractised", "weakest"]
