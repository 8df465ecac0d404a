"""Print one table of every bench: what, figure, against. `python -m bench [name ...]` runs only those named.

Each bench is a process of its own: one site lives in a process, and what one bench has loaded is no other's memory.
"""

from __future__ import annotations

import platform
import sys
from multiprocessing import get_context
from pathlib import Path

from bench._rows import run


def main(names: list[str]) -> int:
    """Run the named benches (all when none is named) and print their rows as a Markdown table."""
    here = Path(__file__).parent
    every = sorted(path.stem for path in here.glob("*.py") if not path.stem.startswith("_"))
    unknown = sorted(set(names) - set(every))
    if unknown:
        print(f"no bench named {', '.join(unknown)}; there are: {', '.join(every)}", file=sys.stderr)
        return 2
    print(f"Python {platform.python_version()}, {platform.machine()}; medians, all rows of one run.\n")
    print("| What | Figure | Against |")
    print("|---|---|---|")
    failed = 0
    for name in names or every:
        one = get_context("spawn").Process(target=run, args=(name, name in names))
        one.start()
        one.join()
        if one.exitcode:
            print(f"{name} ended with {one.exitcode}", file=sys.stderr)
            failed = 1
    return failed


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
