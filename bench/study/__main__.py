"""Run the study and write its report: `python -m bench.study [--people N] [--out FILE]`."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from bench.study.picture import calibration_svg, frontier_svg
from bench.study.simulate import Rows, World, run, summary

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
    World("asked 60 days later, half-life as believed", idle_days=60.0),
    World("asked 60 days later, true half-life 120 days", idle_days=60.0, half_life_days=120.0),
)
ORACLE = {24: 0.831, 36: 0.857, 48: 0.876, 60: 0.887, 72: 0.894, 120: 0.909}
"""Share rightly classed by the model with everything known, measured in an earlier trial of the same protocol."""

HEAD = (
    "| Setting | Drills | Right | Clear | 90 % holds | Bias | False ready | Skill right | Skill clear | Skill holds | "
    "Calibration |\n|---|---|---|---|---|---|---|---|---|---|---|"
)


def row(name: str, rows: Rows) -> str:
    """One line of a table."""
    found = summary(rows)
    figures = [f"{found['drills']:.1f}", *(f"{value:.3f}" for key, value in found.items() if key != "drills")]
    return f"| {name} | {' | '.join(figures)} |"


def report(people: int, stressed: int) -> Iterator[str]:
    """The report, piece by piece."""
    plain = World("plain")
    yield "# Simulation study of the readiness rule\n"
    yield f"Written by `make study` on {datetime.now(UTC):%Y-%m-%d}; seed {SEED}, {people} simulated operators a row"
    yield f"({stressed} in the stress rows). Operators are invented: the study ranks settings, it predicts nobody.\n"
    yield (
        "Truth: 24 skills, overall level N(1.6, 0.9), deviation N(0, 0.7), difficulty N(0, 0.7) known to 0.3; ready "
        "means an expected score of at least 80; *clear* leaves out who is within 5 points of it. *False ready* is the "
        "share of those said to be ready (P >= 0.90) who are not.\n"
    )
    yield "## Stopped when the call is clear\n"
    yield HEAD
    first = run(plain, seed=SEED, count=people, least=LEAST, most=MOST, ready_at=READY_AT, choose_of=CHOOSE_OF)
    yield row(f"P >= {READY_AT:.2f}, {LEAST} to {MOST} drills, each the best of {CHOOSE_OF}", first)
    strict = run(
        plain, seed=SEED + 1, count=people, least=STRICT_LEAST, most=MOST, ready_at=STRICT_AT, choose_of=CHOOSE_OF
    )
    yield row(f"P >= {STRICT_AT:.2f}, {STRICT_LEAST} to {MOST} drills, each the best of {CHOOSE_OF}", strict)
    drawn = run(plain, seed=SEED + 2, count=people, least=LEAST, most=MOST, ready_at=READY_AT)
    yield row(f"P >= {READY_AT:.2f}, {LEAST} to {MOST} drills at random", drawn)
    yield "\n## The same number for everybody\n"
    yield HEAD
    fixed = {}
    for index, count in enumerate(FIXED):
        fixed[count] = run(plain, seed=SEED + 10 + index, count=people // 4, least=count, most=count, ready_at=2.0)
        yield row(f"{count} drills at random (all known: {ORACLE[count]:.3f})", fixed[count])
    best = run(plain, seed=SEED + 20, count=people // 4, least=120, most=120, ready_at=2.0, choose_of=CHOOSE_OF)
    yield row(f"120 drills, each the best of {CHOOSE_OF}", best)
    yield "\nAt 120 drills every skill had five: compare *skill right* .815 and *clear* .885 with everything known.\n"
    yield "![Rightly classed by number of drills](study-people-frontier.svg)\n"
    yield "![Stated chance against share that is true, by skill](study-people-calibration.svg)\n"
    yield "## What the rule does not know of\n"
    yield HEAD
    for index, world in enumerate(STRESS):
        rows = run(
            world,
            seed=SEED + 30 + index,
            count=stressed,
            least=LEAST,
            most=MOST,
            ready_at=READY_AT,
            choose_of=CHOOSE_OF,
        )
        yield row(world.name, rows)
    docs = Path("docs")
    (docs / "study-people-frontier.svg").write_text(frontier_svg(fixed, first, ORACLE))
    (docs / "study-people-calibration.svg").write_text(calibration_svg(first))


def main() -> None:
    """Parse the arguments and write the report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=20_000)
    parser.add_argument("--stressed", type=int, default=5_000)
    parser.add_argument("--out", type=Path, default=Path("docs/study-people.md"))
    given = parser.parse_args()
    given.out.write_text("\n".join(report(given.people, given.stressed)) + "\n")
    print(given.out.read_text())


if __name__ == "__main__":
    main()
