"""Who can be sent out alone: one stated rule over a person's figures, that somebody can read aloud.

    untried -> in training -> ready -> due -> lapsed          held: by a named person, with a reason

A person becomes *ready* when everything on the list holds at once; is *due* when the chance of being at the cut has
fallen below a lower limit, or nothing was practised for long; *lapsed* below a lower one still. Limits for entering and
leaving are apart, so that nobody flickers. The rule advises; a named person decides. Every number is a setting;
they are common practice without a source, but for the decay behind the forecast (see population).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field, TypeAdapter, model_validator
from pydantic.dataclasses import dataclass as border_dataclass

from scoring.border import read_value
from scoring.standard import BORDER, SLUG_PATTERN, Share

State = Literal["untried", "in training", "ready", "due", "lapsed", "held"]
Count = Annotated[int, Field(ge=0, le=1000)]
Cases = Annotated[int, Field(ge=1, le=200)]
Days = Annotated[float, Field(ge=0.0, le=10000.0, allow_inf_nan=False)]


@border_dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Rule:
    """Every number of the rule, with its version."""

    version: Annotated[str, Field(pattern=SLUG_PATTERN)]
    cut_points: Annotated[float, Field(ge=0.0, le=100.0, allow_inf_nan=False)] = 80.0
    """The overall figure that is asked for, of 100."""
    ready_chance: Share = 0.90
    """The chance of being at that figure from which somebody becomes ready ..."""
    due_chance: Share = 0.70
    """... below which somebody who was ready is due ..."""
    lapsed_chance: Share = 0.50
    """... and below which the state has lapsed."""
    not_ready_chance: Share = 0.10
    """A starred skill whose chance is at or below this is not ready."""
    star_count: Count = 5
    """Graded drills asked for on each starred skill ..."""
    star_newest_days: Days = 90.0
    """... the newest no older than this."""
    false_alarms_of: Count = 10
    """Among the newest so many good frames ..."""
    false_alarms_most: Count = 2
    """... at most so many may have been redone."""
    conduct_newest: Count = 5
    """So many of the newest drills on each conduct skill must have full credit on what must be marked."""
    idle_due_days: Days = 90.0
    """Somebody who was ready is due after so many days without a graded drill ..."""
    idle_lapsed_days: Days = 180.0
    """... and the state has lapsed after so many."""
    observed_shoot: bool = True
    """Whether one observed shoot has to be signed."""
    kit_list: bool = True
    """Whether, after a change of kit that touches a starred skill, a trainer has to sign the list of changed parts."""
    check_least: Cases = 12
    """A readiness check never ends by its figures before so many cases ..."""
    check_most: Cases = 40
    """... and never goes on after so many."""

    @model_validator(mode="after")
    def _limits_apart(self) -> Rule:
        """Leaving must be harder than entering, else people would flicker between two states."""
        if not self.not_ready_chance < self.ready_chance:
            raise ValueError("the chance of not ready must lie below the chance of ready")
        if not self.lapsed_chance <= self.due_chance < self.ready_chance:
            raise ValueError("the chances must fall: ready, then due below it, then lapsed at or below that")
        if self.idle_due_days > self.idle_lapsed_days:
            raise ValueError("a state must not lapse after fewer days without a drill than it is due")
        if self.false_alarms_most > self.false_alarms_of:
            raise ValueError("no more false alarms can be allowed than good frames are looked at")
        if self.check_least > self.check_most:
            raise ValueError("a readiness check must not have more cases at least than at most")
        return self


_RULE = TypeAdapter(Rule)


def read_rule(data: bytes) -> Rule:
    """The readiness rule in JSON. Raises FileProblems."""
    return read_value(_RULE, data)


@dataclass(frozen=True, slots=True)
class SkillFacts:
    """What is known of one starred skill."""

    count: int
    newest_day: float | None
    chance: float


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of one person on one day."""

    day: float
    answered_count: int
    newest_day: float | None
    """Of any drill."""
    overall_chance: float
    overall_points: float
    stars: Mapping[str, SkillFacts]
    good_frames_count: int
    false_alarm_count: int
    """Good frames redone among the newest ``false_alarms_of``."""
    conduct: Mapping[str, int]
    """For each conduct skill, how many of the newest in a row had full credit on their must-marks."""
    shoot_signed: bool
    held: bool = False
    not_shown: tuple[str, ...] = ()
    """Starred skills that no drill practises and that the signed shoot does not show done."""
    kit_list_open: bool = False
    """Whether the list of the parts that changed last has still to be signed."""


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing that is missing for ready, or that ended it: which, on what skill, what there is and what is asked."""

    what: Literal[
        "overall", "star-count", "star-old", "star-not-ready", "false-alarms", "conduct", "shoot", "kit-list", "idle"
    ]
    skill: str
    found: float
    asked: float


@dataclass(frozen=True, slots=True)
class Readiness:
    """A state with all that is missing for ready, most pressing first."""

    state: State
    gaps: tuple[Gap, ...]
    rule: str
    """Version of the rule."""


def gaps(facts: Facts, rule: Rule) -> tuple[Gap, ...]:
    """Everything that is missing for ready on that day; empty when all of it holds."""
    found = []
    for skill, star in facts.stars.items():
        if star.count < rule.star_count:
            found.append(Gap("star-count", skill, star.count, rule.star_count))
        elif star.newest_day is None or facts.day - star.newest_day > rule.star_newest_days:
            age = facts.day - (star.newest_day if star.newest_day is not None else 0.0)
            found.append(Gap("star-old", skill, age, rule.star_newest_days))
        elif star.chance <= rule.not_ready_chance:
            found.append(Gap("star-not-ready", skill, star.chance, rule.not_ready_chance))
    for skill, run in facts.conduct.items():
        if run < rule.conduct_newest:
            found.append(Gap("conduct", skill, run, rule.conduct_newest))
    if facts.false_alarm_count > rule.false_alarms_most:
        found.append(Gap("false-alarms", "", facts.false_alarm_count, rule.false_alarms_most))
    if facts.overall_chance < rule.ready_chance:
        found.append(Gap("overall", "", facts.overall_chance, rule.ready_chance))
    if rule.observed_shoot and not facts.shoot_signed:
        found.append(Gap("shoot", "", 0.0, 1.0))
    elif rule.observed_shoot:
        found.extend(Gap("shoot", skill, 0.0, 1.0) for skill in facts.not_shown)
    if rule.kit_list and facts.kit_list_open:
        found.append(Gap("kit-list", "", 0.0, 1.0))
    return tuple(found)


def readiness(facts: Facts, rule: Rule, before: State) -> Readiness:
    """The state on a day, given the one before (the rule has a memory, so that nobody flickers).

    ``before`` is "untried" for somebody new; a hold is no memory: pass the state before it.
    """
    missing = gaps(facts, rule)
    if facts.held:
        return Readiness("held", missing, rule.version)
    if facts.answered_count == 0:
        return Readiness("untried", missing, rule.version)
    # A rule may let the starred skills grow older than the days after which whoever is idle is due.
    if not missing and _idle_days(facts) <= rule.idle_due_days:
        return Readiness("ready", missing, rule.version)
    state: State = "in training"
    if before in {"ready", "due", "lapsed"}:
        if before == "lapsed" or ends(facts, rule, "lapsed"):
            state = "lapsed"
        elif before == "due" or ends(facts, rule, "due"):
            state = "due"
        else:
            state = "ready"
    return Readiness(state, missing, rule.version)


def ends(facts: Facts, rule: Rule, state: Literal["due", "lapsed"]) -> tuple[Gap, ...]:
    """What makes somebody who was ready due on that day, or lets the state lapse; empty where nothing does.

    The overall chance and idle days have limits of their own for that. Old drills on a starred skill end nothing;
    whatever else is missing for ready does not come back by itself, and makes due.
    """
    due = state == "due"
    chance, days = (rule.due_chance, rule.idle_due_days) if due else (rule.lapsed_chance, rule.idle_lapsed_days)
    found = []
    if facts.overall_chance < chance:
        found.append(Gap("overall", "", facts.overall_chance, chance))
    idle = _idle_days(facts)
    if idle > days:
        found.append(Gap("idle", "", idle, days))
    if due:
        found.extend(gap for gap in gaps(facts, rule) if gap.what not in {"overall", "star-old"})
    return tuple(found)


def _idle_days(facts: Facts) -> float:
    return facts.day - (facts.newest_day if facts.newest_day is not None else facts.day)


__all__ = ["Facts", "Gap", "Readiness", "Rule", "SkillFacts", "State", "ends", "gaps", "read_rule", "readiness"]
