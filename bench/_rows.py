"""One bench, run and printed; here, where a process that begins afresh can find it."""

from __future__ import annotations

from importlib import import_module


def run(name: str, named: bool) -> None:
    """Print the rows of one bench; of a long one only when it was named."""
    bench = import_module(f"bench.{name}")
    if getattr(bench, "LONG", False) and not named:
        print(f"| {name} | not run | takes long: `python -m bench {name}` |", flush=True)
        return
    for what, figure, against in bench.rows():
        print(f"| {what} | {figure} | {against} |", flush=True)


__all__ = ["run"]
