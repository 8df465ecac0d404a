"""Compiled kernels that are older than what they may have woven in are dropped; others stay."""

from __future__ import annotations

import os
from pathlib import Path

from trainer.renders.stale import drop_stale


def put(path: Path, text: str, at_s: int) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    os.utime(path, (at_s, at_s))
    return path


def test_a_change_of_any_kernel_drops_what_was_compiled_before(tmp_path: Path) -> None:
    put(tmp_path / "caller.py", "@njit\ndef caller(): ...\n", 100)
    put(tmp_path / "deep" / "called.py", "@woven\ndef called(): ...\n", 300)
    index, code = (put(tmp_path / "__pycache__" / f"caller.caller-3.{end}", "", 200) for end in ("nbi", "1.nbc"))
    young = put(tmp_path / "deep" / "__pycache__" / "called.called-2.nbi", "", 400)
    other = put(tmp_path / "__pycache__" / "caller.cpython-311.pyc", "", 50)
    assert drop_stale(tmp_path) == 2
    assert [path.exists() for path in (index, code, young, other)] == [False, False, True, True]
    assert drop_stale(tmp_path) == 0


def test_a_change_of_what_is_no_kernel_drops_nothing(tmp_path: Path) -> None:
    put(tmp_path / "caller.py", "@kernel\ndef caller(): ...\n", 100)
    put(tmp_path / "words.py", "WORDS = 1\n", 300)
    put(tmp_path / "__pycache__" / "caller.caller-3.nbi", "", 200)
    assert drop_stale(tmp_path) == 0
