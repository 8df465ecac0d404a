"""Files by content address in a folder that does not grow for ever."""

from __future__ import annotations

import os
from pathlib import Path

from trainer.renders.cabinet import Cabinet


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("*/*"))


def test_what_is_kept_is_read_back_and_what_is_not_there_is_nothing(tmp_path: Path) -> None:
    cabinet = Cabinet(tmp_path, 1000)
    cabinet.keep("ab12", b"picture")
    assert cabinet.read("ab12") == b"picture"
    assert cabinet.read("cd34") is None
    assert files(tmp_path) == ["ab12"], "no part of a file is left beside it"


def test_the_longest_unused_files_make_room(tmp_path: Path) -> None:
    cabinet = Cabinet(tmp_path, 100_000)
    for number in range(10):
        cabinet.keep(f"a{number}", bytes(100))
        path = tmp_path / f"a{number}"[:2] / f"a{number}"
        os.utime(path, (number, number))
    cabinet.read("a0")  # used again
    Cabinet(tmp_path, 1000).clear_out()
    assert files(tmp_path) == ["a0", *(f"a{number}" for number in range(3, 10))]


def test_writing_much_clears_out_by_itself(tmp_path: Path) -> None:
    cabinet = Cabinet(tmp_path, 4000)
    for number in range(100):
        cabinet.keep(f"{number:04x}", bytes(400))
    held = sum(path.stat().st_size for path in tmp_path.glob("*/*"))
    assert held <= 4000


def test_a_folder_that_cannot_be_written_is_no_error(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file where a folder should be")
    cabinet = Cabinet(tmp_path / "taken", 1000)
    cabinet.keep("ab12", b"picture")
