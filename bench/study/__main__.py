"""Run the study and write its report: `python -m bench.study [--people N] [--fixed N] [--stressed N] [--checks N]`."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from bench.study.learners import STEPS, Found, learner_summary
from bench.study.picture import calibration_svg, frontier_svg
from bench.study.shipped import RULE, Checked, asks, check_summary, some_checked
from bench.study.simulate import KNOWN, Rows, World, run, summary
from scoring.mastery.population import STARTING

SEED = 20_261
LEAST, MOST, READY_AT, STRICT_AT = 14, 60, 0.90, 0.95
CHOOSE_OF = 3
"""A check gives, of so many drills on a skill, the one that is believed to tell most about the cut."""
STRICT_LEAST = 24
FIXED = (24, 36, 48, 60, 72, 120)
STRESS = (
    World("learning while checked: +0.03 logit a drill on the skill", learning_logit=0.03),
    World("skills in four clusters that share half of the variance", cluster_share=0.5),
    World("slopes that differ (log SD 0.3)", slope_sd=0.3),
    World("credits between 0 and 1", partial=True),
    World("one drill in twenty believed two logits too easy or too hard", broken_share=0.05),
    World("one operator in five careless (one answer in seven slips)", careless_share=0.2),
    World("guessing floor 0.25, known", guess=0.25),
    World("asked 60 days later, all forgetting as believed", idle_days=60.0, drifting=True),
    World("asked 60 days later, everybody forgetting alike", idle_days=60.0),
    World("asked 60 days later, true half-life 120 days", idle_days=60.0, half_life_days=120.0),
    World(
        f"people believed to be as shipped ({STARTING.version}: level N(1.0, 1.0)) but better",
        believed=replace(KNOWN, overall_mean_logit=1.0, overall_sd_logit=1.0),
    ),
)
ORACLE = {24: 0.831, 36: 0.857, 48: 0.876, 60: 0.887, 72: 0.894, 120: 0.909}
"""Share rightly classed by the model with everything known, measured in an earlier trial of the same protocol."""

CHUNK = 50
"""So many checks are one piece of work."""
LEARNERS = 400

HEAD = (
    "| Setting | People | Drills | Right | Clear | 90 % holds | Bias | False ready | Skill right | Skill clear "
    "| Skill holds | Calibration |\n|---|---|---|---|---|---|---|---|---|---|---|---|"
)


@dataclass(frozen=True, slots=True)
class Work:
    """Everything that is simulated, on as many processors as there are; each piece has a seed of its own."""

    stopped: list[Future[Rows]]
    fixed: dict[int, Future[Rows]]
    best: Future[Rows]
    stressed: list[tuple[World, Future[Rows]]]
    checks: list[Future[list[Checked]]]
    learners: Future[list[tuple[str, Found]]]


def begin(pool: Executor, people: int, fixed: int, stressed: int, checks: int) -> Work:
    """Hand all of it out."""
    plain = World("plain")

    def ask(world: World, seed: int, count: int, least: int, most: int, ready_at: float, of: int) -> Future[Rows]:
        return pool.submit(
            run, world, seed=seed, count=count, least=least, most=most, ready_at=ready_at, choose_of=of
        )  # fmt: skip

    return Work(
        stopped=[
            ask(plain, SEED, people, LEAST, MOST, READY_AT, CHOOSE_OF),
            ask(plain, SEED + 1, fixed, STRICT_LEAST, MOST, STRICT_AT, CHOOSE_OF),
            ask(plain, SEED + 2, fixed, LEAST, MOST, READY_AT, 1),
        ],
        fixed={count: ask(plain, SEED + 10 + k, fixed, count, count, 2.0, 1) for k, count in enumerate(FIXED)},
        best=ask(plain, SEED + 20, fixed, 120, 120, 2.0, CHOOSE_OF),
        stressed=[
            (world, ask(world, SEED + 30 + k, stressed, LEAST, MOST, READY_AT, CHOOSE_OF))
            for k, world in enumerate(STRESS)
        ],
        checks=[
            pool.submit(some_checked, SEED + 100 + k, min(CHUNK, checks - begun))
            for k, begun in enumerate(range(0, checks, CHUNK))
        ],
        learners=pool.submit(learner_summary, SEED + 70, LEARNERS),
    )


def row(name: str, rows: Rows) -> str:
    """One line of a table."""
    found = summary(rows)
    figures = [f"{found['drills']:.1f}", *(f"{value:.3f}" for key, value in found.items() if key != "drills")]
    return f"| {name} | {len(rows.truth)} | {' | '.join(figures)} |"


def report(work: Work) -> Iterator[str]:
    """The report, piece by piece."""
    yield "# Simulation study of the readiness rule\n"
    yield f"Written by `make study` on {datetime.now(UTC):%Y-%m-%d}; seed {SEED}, population {STARTING.version}."
    yield "Every row says how many operators it has. They are invented: the study ranks settings, it predicts nobody.\n"
    yield (
        "Truth: 24 skills, overall level N(1.6, 0.9), deviation N(0, 0.7), difficulty N(0, 0.7) known to 0.3; ready "
        "means an expected score of at least 80; *clear* leaves out who is within 5 points of it. *False ready* is the "
        "share of those said to be ready (P >= 0.90) who are not. The rule believes the true level of the people and "
        f"what ships otherwise: an answer counts half after {STARTING.evidence_half_life:.0f} newer ones on its skill. "
        "The loop is compiled for speed; a test holds its calls and figures to those of the shipped functions.\n"
    )
    yield "## Stopped when the call is clear\n"
    yield HEAD
    first, strict, drawn = (found.result() for found in work.stopped)
    yield row(f"P >= {READY_AT:.2f}, {LEAST} to {MOST} drills, each the best of {CHOOSE_OF}", first)
    yield row(f"P >= {STRICT_AT:.2f}, {STRICT_LEAST} to {MOST} drills, each the best of {CHOOSE_OF}", strict)
    yield row(f"P >= {READY_AT:.2f}, {LEAST} to {MOST} drills at random", drawn)
    yield "\n## The same number for everybody\n"
    yield HEAD
    fixed = {count: found.result() for count, found in work.fixed.items()}
    for count, rows in fixed.items():
        yield row(f"{count} drills at random (all known: {ORACLE[count]:.3f})", rows)
    best = work.best.result()
    yield row(f"120 drills, each the best of {CHOOSE_OF}", best)
    yield "\nAt 120 drills every skill had five: compare *skill right* .815 and *clear* .885 with everything known.\n"
    yield "![Rightly classed by number of drills](study-people-frontier.svg)\n"
    yield "![Stated chance against share that is true, by skill](study-people-calibration.svg)\n"
    yield "## What the rule does not know of\n"
    yield HEAD
    for world, found in work.stressed:
        yield row(world.name, found.result())
    yield from _asked(first, strict, fixed, best)
    yield from _checks([one for found in work.checks for one in found.result()])
    yield from _learners(work.learners.result())
    docs = Path("docs")
    (docs / "study-people-frontier.svg").write_text(frontier_svg(fixed, first, ORACLE))
    (docs / "study-people-calibration.svg").write_text(calibration_svg(first))


def _asked(first: Rows, strict: Rows, fixed: Mapping[int, Rows], best: Rows) -> Iterator[str]:
    """What was asked of the rule before it was written, beside what it gives."""
    check, five, sure = summary(first), summary(best), summary(strict)
    lag = {count: ORACLE[count] - summary(rows)["right"] for count, rows in fixed.items()}
    rows = (
        ("drills on average, at most 33", check["drills"], check["drills"] <= 33.0),
        ("rightly classed, at least .87", check["right"], check["right"] >= 0.87),
        ("clear of the cut, at least .955", check["clear"], check["clear"] >= 0.955),
        ("90 % interval holds, .88 to .92", check["holds"], 0.88 <= check["holds"] <= 0.92),
        ("the same for one skill", check["skill holds"], 0.88 <= check["skill holds"] <= 0.92),
        ("calibration error for one skill, at most .02", check["calibration"], check["calibration"] <= 0.02),
        ("mean chance less share at the cut, within .01", check["bias"], abs(check["bias"]) <= 0.01),
        ("skill rightly classed from five drills, at least .81", five["skill right"], five["skill right"] >= 0.81),
        ("skill clear of the cut from five drills, at least .88", five["skill clear"], five["skill clear"] >= 0.88),
        ("strict setting: called ready and not, at most .05", sure["false ready"], sure["false ready"] <= 0.05),
        ("furthest behind the rows with all known, at most .01", max(lag.values()), max(lag.values()) <= 0.01),
    )
    yield "\n## What is asked of it\n"
    yield "| Asked | Found | Given |\n|---|---|---|"
    for words, value, given in rows:
        yield f"| {words} | {value:.3f} | {'yes' if given else '**no**'} |"


def _checks(rows: Sequence[Checked]) -> Iterator[str]:
    """The shipped check as a whole."""
    found = check_summary(rows)
    yield f"\n## The check as it ships: {len(asks())} recipes, {RULE.check_least} to {RULE.check_most} cases\n"
    yield (
        "People as they are believed in; cases, choice of what is asked and end are the shipped ones; a case's "
        "difficulty is known to 0.6 logit. *False ready* is told of those whom the check calls ready.\n"
    )
    yield "| People | Cases | Right | Clear | 90 % holds | Bias | Decided | False ready |"
    yield "|---|---|---|---|---|---|---|---|"
    yield f"| {len(rows)} | {found.pop('cases'):.1f} | {' | '.join(f'{value:.3f}' for value in found.values())} |"


def _learners(rows: Sequence[tuple[str, Found]]) -> Iterator[str]:
    """Who learns while the answers come in."""
    yield f"\n## A learner who goes from .5 to .9 in {STEPS} drills, and somebody who stays the same\n"
    yield "| Setting | People | 90 % holds | Score less truth | Interval's width |\n|---|---|---|---|---|"
    for name, found in rows:
        yield f"| {name} | {LEARNERS} | {found[0]:.3f} | {found[1]:+.1f} | {found[2]:.1f} |"
    yield (
        "\nWith all drills on one skill the interval misses a learner about one time in five. Spread over all skills "
        "older answers hardly fade, and the figure stays far behind: these are the study's poorest rows."
    )


def main() -> None:
    """Parse the arguments and write the report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=20_000)
    parser.add_argument("--fixed", type=int, default=8_000)
    parser.add_argument("--stressed", type=int, default=1_500)
    parser.add_argument("--checks", type=int, default=300)
    parser.add_argument("--out", type=Path, default=Path("docs/study-people.md"))
    given = parser.parse_args()
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        text = "\n".join(report(begin(pool, given.people, given.fixed, given.stressed, given.checks)))
    given.out.write_text(text + "\n")
    print(text)


if __name__ == "__main__":
    main()
