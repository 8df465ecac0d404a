"""What is known of one person, growing event by event: counts, runs, the shoot, and the belief behind the figures."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from typing import Literal
from uuid import UUID

from scoring.mastery.ability import Answered, Belief, Figures, believe, figures, take_in
from scoring.mastery.population import STARTING, Population, StandardSet
from scoring.mastery.readiness import Facts, Gap, Readiness, Rule, SkillFacts, State, ends, gaps, readiness

DAY_S = 86_400.0
FULL = 1.0 - 1e-9
"""Credit from here on is full."""


@dataclass(frozen=True, slots=True)
class Practised:
    """One piece of evidence with its moment."""

    entry: int
    at: datetime
    answered: Answered


@dataclass(frozen=True, slots=True)
class Judged:
    """One verdict on a frame."""

    entry: int
    at: datetime
    faulty: bool
    redone: bool


@dataclass(frozen=True, slots=True)
class Shoot:
    """One observed shoot that stands."""

    at: datetime
    shot_on: date
    signed: bool
    done: frozenset[str]
    """Skills that were seen done."""


@dataclass(frozen=True, slots=True)
class Changed:
    """A change of kit: for skills tagged with these parts only evidence after it counts."""

    at: datetime
    parts: frozenset[str]
    change: UUID


@dataclass(frozen=True, slots=True)
class Listed:
    """A trainer went through the list of the parts of one change, and signed it."""

    at: datetime
    change: UUID


@dataclass(frozen=True, slots=True)
class Undone:
    """A void or a struck entry: nothing but an active day."""

    at: datetime


Event = Practised | Judged | Shoot | Changed | Listed | Undone


@dataclass(frozen=True, slots=True)
class Star:
    """What the rule has to know of a starred skill."""

    code: str
    kit_parts: frozenset[str]
    conduct: bool


@dataclass(frozen=True, slots=True)
class Ground:
    """What states are told by: the rule, the standard set, the starred skills, and what is assumed of people."""

    rule: Rule
    standard: StandardSet
    stars: tuple[Star, ...]
    population: Population = STARTING

    @property
    def versions(self) -> tuple[str, str, str]:
        """Of the rule, the set and the population: a standing told by others is told again."""
        return self.rule.version, self.standard.version, self.population.version

    @property
    def drilled(self) -> tuple[Star, ...]:
        """Starred skills that the standard set has a case for; a signed shoot has to show the others."""
        return tuple(star for star in self.stars if star.code in self.standard.skills)


def day_of(at: datetime) -> float:
    """A moment as days since 1970, the unit of the ability model's clock."""
    return at.timestamp() / DAY_S


def dawn(on: date) -> float:
    """The beginning of a day, UTC, on the same clock."""
    return day_of(datetime(on.year, on.month, on.day, tzinfo=UTC))


@dataclass(slots=True)
class Tally:
    """What is known of one person, growing event by event."""

    ground: Ground
    belief: Belief
    count: int = 0
    newest: float | None = None
    star_counts: dict[str, int] = field(default_factory=dict)
    star_newest: dict[str, float] = field(default_factory=dict)
    credit_sums: dict[str, float] = field(default_factory=dict)
    """Of all evidence, by skill."""
    runs: dict[str, int] = field(default_factory=dict)
    good: deque[bool] = field(default_factory=deque)
    """Of the newest good frames, whether each would have been redone."""
    shoot: Shoot | None = None
    unlisted: UUID | None = None
    """The newest change of kit, while its list is not signed and it touches a starred skill."""
    figured: dict[float, Figures] = field(default_factory=dict)
    """Figures by day, until the next answer."""

    @classmethod
    def empty(cls, ground: Ground) -> Tally:
        """Of somebody of whom nothing is known."""
        return cls(ground, believe((), ground.population, ground.standard.skills))

    def add(self, event: Event) -> None:
        """Take one event in."""
        if isinstance(event, Practised):
            self._practised(event)
        elif isinstance(event, Judged):
            if not event.faulty:
                self.good.append(event.redone)
                while len(self.good) > self.ground.rule.false_alarms_of:
                    self.good.popleft()
        elif isinstance(event, Shoot):
            if self.shoot is None or (event.shot_on, event.at) >= (self.shoot.shot_on, self.shoot.at):
                self.shoot = event
        elif isinstance(event, Changed):
            touched = [star.code for star in self.ground.stars if star.kit_parts & event.parts]
            for code in touched:
                self.star_counts.pop(code, None)
                self.star_newest.pop(code, None)
            if touched:
                self.unlisted = event.change
        elif isinstance(event, Listed) and event.change == self.unlisted:
            self.unlisted = None

    def _practised(self, event: Practised) -> None:
        one, moment = event.answered, event.answered.day
        self.count += 1
        self.newest = moment if self.newest is None else max(self.newest, moment)
        if one.skill in self.belief.skills:
            self._believe(one)
        self.credit_sums[one.skill] = self.credit_sums.get(one.skill, 0.0) + one.credit
        self.star_counts[one.skill] = self.star_counts.get(one.skill, 0) + 1
        self.star_newest[one.skill] = max(moment, self.star_newest.get(one.skill, moment))
        self.runs[one.skill] = self.runs.get(one.skill, 0) + 1 if one.credit >= FULL else 0

    def _believe(self, one: Answered) -> None:
        """The same sums as `believe`, one answer at a time."""
        belief, place = self.belief, self.belief.skills.index(one.skill)
        take_in(belief.loglik[place], belief.worth[place], one, belief.population)
        counts, last = list(belief.counts), list(belief.last_days)
        counts[place] += 1
        last[place] = max(one.day, last[place] or one.day)
        self.belief = replace(belief, counts=tuple(counts), last_days=tuple(last))
        self.figured.clear()

    def figures(self, moment: float) -> Figures:
        """Expected scores at a moment."""
        if moment not in self.figured:
            self.figured[moment] = figures(
                self.belief, self.ground.standard, on_day=moment, cut=self.ground.rule.cut_points
            )
        return self.figured[moment]

    def facts(self, moment: float, found: Figures | None) -> Facts:
        """What the rule has to know at a moment; without figures, as if every chance were 1."""
        drilled = self.ground.drilled
        done = self.shoot.done if self.shoot is not None else frozenset()
        return Facts(
            day=moment,
            answered_count=self.count,
            newest_day=self.newest,
            overall_chance=1.0 if found is None else found.overall.chance,
            overall_points=100.0 if found is None else found.overall.score,
            stars={
                star.code: SkillFacts(
                    self.star_counts.get(star.code, 0),
                    self.star_newest.get(star.code),
                    1.0 if found is None else found.skills[star.code].chance,
                )
                for star in drilled
            },
            good_frames_count=len(self.good),
            false_alarm_count=sum(self.good),
            conduct={star.code: self.runs.get(star.code, 0) for star in drilled if star.conduct},
            shoot_signed=self.shoot is not None and self.shoot.signed,
            not_shown=tuple(star.code for star in self.ground.stars if star not in drilled and star.code not in done),
            kit_list_open=self.unlisted is not None,
        )

    def said(self, moment: float, before: State) -> Readiness:
        """What the rule says at a moment."""
        return readiness(self.facts(moment, self.figures(moment)), self.ground.rule, before)

    def gaps(self, moment: float) -> tuple[Gap, ...]:
        """All that is missing for ready at a moment."""
        return gaps(self.facts(moment, self.figures(moment)), self.ground.rule)

    def ends(self, moment: float, state: Literal["due", "lapsed"]) -> tuple[Gap, ...]:
        """What makes somebody who was ready due at a moment, or lets the state lapse."""
        return ends(self.facts(moment, self.figures(moment)), self.ground.rule, state)

    def state(self, moment: float, before: State) -> State:
        """The state at a moment; the sums are left out where chances cannot matter."""
        if before in {"untried", "in training"}:
            quick = readiness(self.facts(moment, None), self.ground.rule, before)
            if quick.state != "ready":
                return quick.state
        return self.said(moment, before).state


__all__ = [
    "DAY_S", "Changed", "Event", "Ground", "Judged", "Listed", "Practised", "Shoot", "Star", "Tally", "Undone", "dawn",
    "day_of",
]  # fmt: skip
