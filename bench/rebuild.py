"""Dropping everything that the ledger was folded to and folding it again: equal to the last digit, how long, how much.

`BENCH_ENTRIES` and `BENCH_PEOPLE` set the size; two million entries of two thousand people by default. What is stored
first is folded in uneven steps, as it happens at work. Standings are told for everybody, before and after.
"""

from __future__ import annotations

import os
import resource
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from bench import _ledger

LONG = True
"""Only when it is named."""
ENTRIES = int(os.environ.get("BENCH_ENTRIES", "2000000"))
PEOPLE = int(os.environ.get("BENCH_PEOPLE", "2000"))
STEPS = (1, 7, 350, 1000, 4999, 60_000)


def rows() -> Iterator[tuple[str, str, str]]:
    """Seconds to fold, seconds and memory to rebuild, and whether both are equal."""
    with tempfile.TemporaryDirectory() as folder:
        _ledger.site(Path(folder))
        _ledger.fill(_ledger.people(PEOPLE)[1:], ENTRIES, seed=1)
        from trainer.drills.models import Entry
        from trainer.progress.catch_up import catch_up, rebuild

        last = Entry.objects.order_by("-pk").values_list("pk", flat=True)[0]
        begun, upto, turn = time.process_time(), 0, 0
        while upto < last:
            upto += STEPS[turn % len(STEPS)]
            turn += 1
            catch_up(upto)
        stored_s = time.process_time() - begun
        stored = _ledger.projections()
        begun = time.process_time()
        count = rebuild()
        rebuilt_s = time.process_time() - begun
        equal = _ledger.projections() == stored
        if not equal:
            raise AssertionError("what was rebuilt differs from what was stored")
        memory_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        size = f"{count:,} entries of {PEOPLE:,} people".replace(",", " ")
        yield f"fold {size}, {turn} steps", f"{stored_s:.0f} CPU s", f"{1e6 * stored_s / count:.0f} µs an entry"
        yield f"rebuild {size} from zero", f"{rebuilt_s:.0f} CPU s", f"{1e6 * rebuilt_s / count:.0f} µs an entry"
        yield (
            "rebuilt equals stored",
            "to the last digit",
            f"all evidence, {PEOPLE} standings; {memory_mib:.0f} MiB at most",
        )


if __name__ == "__main__":
    for row in rows():
        print(*row, sep=" | ")
