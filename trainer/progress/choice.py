"""The drills of a day, chosen: a pure function of what is offered, what is known, what is asked, and a seed.

    needs    what is asked for, what a new part of the kit or the readiness rule asks for, then skills by worth
             (due + weak star + telling, times what reshoots cost)
    offers   of those that practise a need: expected credit nearest to the target, other kinds, other looks, seldom done
    order    no two neighbours of one skill; plans and frames, and kinds, take turns

Skills that look alike are better learnt mixed than in blocks (Brunmair and Richter 2019, abstract).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Literal

from scoring.mastery.selection import TARGET_SHARE, SkillState, worth

Reason = Literal["asked", "kit", "missing", "due", "weak", "telling", "new", "costly"]

LEAST, MOST = 6, 8
"""Ten minutes. Beyond the least only what is pressing is added."""
PRESSING_WORTH = 0.8
COSTLY_FROM = 1.5
"""A skill that reshoots weigh by so much is there for that reason, where the person may be told of them."""
OFF_MAIN, KIND_AGAIN, LOOK_AGAIN, DONE_BEFORE, CHANCE = 0.08, 0.12, 0.10, 0.03, 0.02
"""What an offer loses, in shares of credit away from the target: for practising the need second, for a kind or a look
that is in the set, for each time it was done (five at most), and by chance. Settings, no source."""


@dataclass(frozen=True, slots=True)
class Offer:
    """One recipe that could be practised."""

    recipe: str
    kind: str
    looked_at: bool
    """Whether it is looked at, rather than drawn on a plan."""
    skills: tuple[str, ...]
    """The one it practises most comes first."""
    look: str
    """What its frames show, where they show one family of look-alikes; else empty."""
    expected: float
    """Expected credit of this person, 0..1."""
    done: int
    """How often this person was graded on it."""

    @property
    def main(self) -> str:
        """The skill it practises most."""
        return self.skills[0]


@dataclass(frozen=True, slots=True)
class Request:
    """So many cases that somebody asked for, of a recipe or on a skill; the other one is empty."""

    recipe: str
    skill: str
    left: int


@dataclass(frozen=True, slots=True)
class Lack:
    """Cases on a skill that are lacking since a part of the kit changed, or for ready."""

    skill: str
    part: str
    """The part of the kit that is new; empty where none is."""
    for_ready: bool
    """Whether the readiness rule asks for them."""
    left: int
    """So many cases at least."""
    words: str
    """As a part of a sentence: "2 more cases on Level it"."""


@dataclass(frozen=True, slots=True)
class Pick:
    """One drill of a set, and why."""

    recipe: str
    skill: str
    """The skill it was chosen for."""
    reason: Reason
    worth: float


TIER = 10.0
"""More than a skill can be worth by itself: what is worth so much more comes before it."""
ASKED_WORTH = 4 * TIER
"""What somebody asked for comes before everything else."""
KIT_READY_WORTH, KIT_WORTH, READY_WORTH = 3 * TIER, 2 * TIER, TIER
"""Then what ready needs on a new part of the kit, other skills on a new part, and what else ready needs."""
LACKING_MOST = 4
"""So many drills of a set are there because something is lacking; the others keep alive what was learnt."""


def choose(
    offers: Sequence[Offer],
    states: Mapping[str, SkillState],
    *,
    asked: Sequence[Request] = (),
    lacks: Sequence[Lack] = (),
    weights: Mapping[str, float] | None = None,
    costly: Collection[str] = (),
    seed: int,
    least: int = LEAST,
    most: int = MOST,
) -> list[Pick]:
    """The set of a day in its order; fewer than ``least`` only where the offers are used up.

    ``costly`` are the skills of which the person may be told that reshoots go with them.
    Each offer comes once at most. Every need is met once before any is met twice, but for skills that lack several
    cases where few do; what was asked for so often as it is in the set comes again only where nothing else is left; and
    one skill is the main one of half the set at most, so that neighbours can differ.
    """
    chosen = _Chosen(offers, Random(seed), least // 2)  # noqa: S311
    by_recipe = {offer.recipe: offer for offer in offers}
    for request in asked:
        if request.left > 0 and request.recipe in by_recipe and len(chosen.picks) < least:
            offer = by_recipe[request.recipe]
            chosen.take(offer, Pick(offer.recipe, offer.main, "asked", ASKED_WORTH))
    offered = {skill for offer in offers for skill in offer.skills}
    plain = _plain(states, weights or {}, costly)
    needs = _needs(plain, asked, [lack for lack in lacks if lack.skill in offered])
    wanted = _wanted(asked, by_recipe)
    first = True
    while len(chosen.picks) < most:
        before = len(chosen.picks)
        for pressing, reason, skill, times in needs:
            if len(chosen.picks) >= most or (len(chosen.picks) >= least and pressing < PRESSING_WORTH):
                break
            if first and chosen.met(skill) >= times:
                continue
            best = chosen.best_for(skill)
            if best is not None:
                chosen.take(best, Pick(best.recipe, skill, reason, pressing))
        if len(chosen.picks) == before and not first:
            break
        first = False
        needs = _once_more(needs, plain, {skill for skill, left in wanted.items() if chosen.met(skill) >= left})
    return in_turns(chosen.picks, by_recipe)


Need = tuple[float, Reason, str, int]
"""Worth, reason, skill, and how often the set then practises it."""


def _plain(states: Mapping[str, SkillState], weights: Mapping[str, float], costly: Collection[str]) -> dict[str, Need]:
    """What each skill is worth by itself and by what reshoots cost, whatever was asked for or is lacking."""
    out: dict[str, Need] = {}
    for skill, state in states.items():
        value, reason = worth(state)
        weight = max(1.0, weights.get(skill, 1.0))
        told = weight >= COSTLY_FROM and skill in costly
        out[skill] = value * weight, "costly" if told else reason, skill, 1
    return out


def _wanted(asked: Sequence[Request], offers: Mapping[str, Offer]) -> dict[str, int]:
    """How many cases a set needs on each skill for what was asked: one counts for whoever asked, a drill comes once."""
    out: dict[str, int] = {}
    for request in asked:
        offer = offers.get(request.recipe)
        skill, left = (offer.main, 1) if offer is not None else (request.skill, request.left)
        out[skill] = max(left, out.get(skill, 0))
    return out


def _once_more(needs: Sequence[Need], plain: Mapping[str, Need], enough: Collection[str]) -> list[Need]:
    """The needs of a further round: skills of which as many as were asked for are in the set come last."""
    skills = dict.fromkeys(skill for _, _, skill, _ in needs)
    late = sorted((plain[skill] for skill in skills if skill in enough), key=_first)
    return [*(need for need in needs if need[2] not in enough), *late]


def _needs(plain: dict[str, Need], asked: Sequence[Request], lacks: Sequence[Lack]) -> list[Need]:
    wanted = {request.skill for request in asked if request.skill and request.left > 0}
    plain = {
        skill: (ASKED_WORTH + value, "asked", skill, times) if skill in wanted else (value, reason, skill, times)
        for skill, (value, reason, _, times) in plain.items()
    }
    open_lacks = [lack for lack in lacks if lack.skill in plain and lack.skill not in wanted]
    lacking = sorted((_lacking(lack, plain[lack.skill]) for lack in open_lacks), key=_first)[:LACKING_MOST]
    several = {lack.skill for lack in open_lacks if lack.left > 1}
    again = [(READY_WORTH, reason, skill, 2) for _, reason, skill, _ in lacking if skill in several]
    return sorted(
        [*(plain | {one[2]: one for one in lacking}).values(), *again[: LACKING_MOST - len(lacking)]], key=_first
    )


def _lacking(lack: Lack, plain: Need) -> Need:
    value, reason, skill, times = plain
    if lack.part:
        return (KIT_READY_WORTH if lack.for_ready else KIT_WORTH) + value, "kit", skill, times
    return READY_WORTH + value, reason if reason in {"costly", "new"} else "missing", skill, times


def _first(need: Need) -> tuple[float, str, int]:
    return -need[0], need[2], need[3]


class _Chosen:
    """A set that grows: which offers are left, and what each would lose today."""

    def __init__(self, offers: Sequence[Offer], chance: Random, same_main_most: int) -> None:
        self.picks: list[Pick] = []
        self._left = {offer.recipe: offer for offer in offers}
        self._jitter = {offer.recipe: chance.random() for offer in sorted(offers, key=lambda one: one.recipe)}
        self._most = max(1, same_main_most)
        self._mains: Counter[str] = Counter()
        self._kinds: Counter[str] = Counter()
        self._looks: Counter[str] = Counter()
        self._skills: Counter[str] = Counter()

    def met(self, skill: str) -> int:
        """How many drills of the set practise the skill."""
        return self._skills[skill]

    def best_for(self, skill: str) -> Offer | None:
        """The offer that loses least, of those left that practise a skill."""
        fit = [o for o in self._left.values() if skill in o.skills and self._mains[o.main] < self._most]
        return min(fit, key=lambda offer: (self._lost(offer, skill), offer.recipe), default=None)

    def _lost(self, offer: Offer, skill: str) -> float:
        return (
            abs(offer.expected - TARGET_SHARE)
            + OFF_MAIN * offer.skills.index(skill)
            + KIND_AGAIN * self._kinds[offer.kind]
            + LOOK_AGAIN * bool(offer.look and self._looks[offer.look])
            + DONE_BEFORE * min(5, offer.done)
            + CHANCE * self._jitter[offer.recipe]
        )

    def take(self, offer: Offer, pick: Pick) -> None:
        """Put an offer into the set."""
        if self._left.pop(offer.recipe, None) is None:
            return
        self.picks.append(pick)
        self._mains[offer.main] += 1
        self._kinds[offer.kind] += 1
        self._looks[offer.look] += 1
        self._skills.update(offer.skills)


def in_turns(picks: Sequence[Pick], offers: Mapping[str, Offer]) -> list[Pick]:
    """The same picks, the most worth first, with no two neighbours of one skill where that can be had at all; among
    such orders plans and frames, then kinds, take turns as far as they do."""

    def clash(one: Pick, other: Pick) -> bool:
        return one.skill == other.skill or offers[one.recipe].main == offers[other.recipe].main

    def onward(left: list[Pick], last: Pick | None, clashes_left: int) -> list[Pick] | None:
        if not left:
            return []

        def turn(pick: Pick) -> tuple[bool, bool, float, str]:
            if last is None:
                return False, False, -pick.worth, pick.recipe
            here, there = offers[pick.recipe], offers[last.recipe]
            return here.looked_at == there.looked_at, here.kind == there.kind, -pick.worth, pick.recipe

        for pick in sorted(left, key=turn):
            cost = int(last is not None and clash(last, pick))
            if cost > clashes_left:
                continue
            rest = onward([one for one in left if one is not pick], pick, clashes_left - cost)
            if rest is not None:
                return [pick, *rest]
        return None

    for clashes in range(len(picks) + 1):
        found = onward(list(picks), None, clashes)
        if found is not None:
            return found
    return list(picks)


__all__ = ["LEAST", "MOST", "Lack", "Offer", "Pick", "Reason", "Request", "choose", "in_turns"]
