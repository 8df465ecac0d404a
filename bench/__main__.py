"""Print one table of every bench: what, figure, against. `python -m bench [name ...]` runs only those named."""

from __future__ import annotations

import platform
import sys
from importlib import import_module
from pathlib import Path


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
    for name in names or every:
        bench = import_module(f"bench.{name}")
        if not names and getattr(bench, "LONG", False):
            print(f"| {name} | not run | takes long: `python -m bench {name}` |", flush=True)
            continue
        for what, figure, against in bench.rows():
            print(f"| {what} | {figure} | {against} |", flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
