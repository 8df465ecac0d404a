"""Fewest stations for every shipped floor: what is proven, in how many rounds and processor seconds.

python -m bench.fewest            prints the table
python -m bench.fewest --write    writes it, dated, to docs/proof-fewest.md
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from scoring.floor.fewest import fewest
from scoring.floor.findings import Reference
from scoring.floor.place import Place, prepare
from scoring.floor.read import read_kit, read_plan, read_standard

ROOT = Path(__file__).resolve().parent.parent
LIMIT_S = 30.0
HEAD = """# Fewest stations: what is proven

For every shipped floor, with the first kit of scenarios/kits and the house standard. Written by
`python -m bench.fewest --write` on {date}; solver {solver}.

- *Stands*: length of the named list. *U*: the reference, verified on exact area, with the placement error to spare on
  its links where the floor allows it. *L*: no set of listed stands that meets the standard, its benefit on links
  included, is smaller. *Anywhere*: no set of stations at all is smaller.
- *Proven* where U = L. Elsewhere the last column says why not.
- L does not include what the placement error may be worth to a floor that misses its target by a hair.
- *Seconds* are processor seconds of one core, list and sight included; the search had a limit of {limit:.0f}.

| Floor | Stands | U | L | Anywhere | Proven | Rounds | Seconds | Gap |
|---|---|---|---|---|---|---|---|---|
"""


@dataclass(frozen=True, slots=True)
class Row:
    """One floor's proof and what it cost [s of processor time]."""

    floor: str
    reference: Reference
    seconds: float

    def cells(self) -> tuple[str, ...]:
        """The row as text."""
        r = self.reference
        proven = "yes" if r.proven and r.stations else "no"
        return (self.floor, str(r.listed), str(r.upper), str(r.lower), str(r.anywhere), proven, str(r.rounds),
                f"{self.seconds:.1f}", r.gap_note)  # fmt: skip


def places() -> list[tuple[str, Place]]:
    """Every shipped floor, prepared."""
    scenarios = ROOT / "scenarios"
    kit = read_kit(min(scenarios.glob("kits/*.json")).read_bytes())
    standard = read_standard((scenarios / "standards" / "house.json").read_bytes())
    floors = sorted(scenarios.glob("floors/*.json"))
    return [(path.stem, prepare(read_plan(path.read_bytes()), kit, standard)) for path in floors]


def proofs(limit_s: float = LIMIT_S) -> list[Row]:
    """The proof of every shipped floor."""
    found = []
    for name, place in places():
        start = time.process_time()
        reference = fewest(place, limit_s=limit_s, clock=time.process_time)
        found.append(Row(name, reference, time.process_time() - start))
        print(" | ".join(found[-1].cells()), file=sys.stderr, flush=True)
    return found


def rows() -> list[tuple[str, str, str]]:
    """What, figure, against: for the bench table."""
    table = []
    for row in proofs():
        r = row.reference
        state = f"{r.upper} stations, proven" if r.proven else f"between {r.lower} and {r.upper} stations"
        table.append(
            (f"fewest, {row.floor}, {r.listed} stands", f"{row.seconds:.1f} s", f"{state}; must {LIMIT_S:.0f} s")
        )
    return table


def document(found: list[Row], today: datetime) -> str:
    """The dated table of docs/proof-fewest.md."""
    solver = found[0].reference.solver if found else ""
    lines = [f"| {' | '.join(row.cells())} |" for row in found]
    return HEAD.format(date=today.date().isoformat(), solver=solver, limit=LIMIT_S) + "\n".join(lines) + "\n"


if __name__ == "__main__":
    LIMIT_S = float(next((word.partition("=")[2] for word in sys.argv if word.startswith("--limit=")), LIMIT_S))
    text = document(proofs(LIMIT_S), datetime.now(UTC))
    if "--write" in sys.argv:
        (ROOT / "docs" / "proof-fewest.md").write_text(text, encoding="utf-8")
    print(text)
