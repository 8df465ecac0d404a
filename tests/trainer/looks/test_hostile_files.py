"""Files that mean harm or are no frames: each is refused in clear words by a child that stays small; nothing stays."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.trainer.looks import frame_files as files
from trainer.looks import limits
from trainer.looks.measuring import ROOT, NotMeasured, measure
from trainer.looks.words import NOTES, refusal

SVG = b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" width="4096" height="2048"><script/></svg>'
WHOLE = files.encoded(files.room(), quality=90)
PRINTED = files.encoded(files.room().convert("CMYK"))
DEEP = files.encoded(Image.new("I;16", (1024, 512), 40_000), "PNG")

HOSTILE: dict[str, tuple[bytes, str, str]] = {
    "empty": (b"", "a.jpg", "empty"),
    "svg in disguise": (SVG, "frame.jpg", "no-picture"),
    "svg without a name": (SVG, "", "no-picture"),
    "gif renamed": (files.encoded(files.room(512), "GIF"), "a.png", "no-picture"),
    "tiff renamed": (files.encoded(files.room(512), "TIFF"), "a.jpg", "no-picture"),
    "png named jpeg": (files.encoded(files.room(512), "PNG"), "a.jpeg", "other-name"),
    "jpeg named svg": (WHOLE, "a.svg", "other-name"),
    "gif head on a jpeg": (b"GIF89a" + WHOLE, "a.jpg", "no-picture"),
    "jpeg head on a page": (b"\xff\xd8\xff\xe0<html><script>alert(1)</script></html>", "a.jpg", "broken"),
    "truncated jpeg": (WHOLE[: len(WHOLE) // 2], "a.jpg", "broken-off"),
    "truncated colours of 16 bits": (files.deep_png()[:40_000], "a.png", "broken-off"),
    "truncated webp": (files.encoded(files.room(512), "WEBP")[:900], "a.webp", "broken"),
    "header of 60,000 by 60,000": (files.png_header(60_000, 60_000), "a.png", "too-many-pixels"),
    "header of 60,000 by 30,000": (files.png_header(60_000, 30_000), "a.png", "too-many-pixels"),
    "png over its limit": (files.png_header(9_000, 4_500), "a.png", "too-many-pixels"),
    "png without its pixels": (files.png_header(4_096, 2_048), "a.png", "broken-off"),
    "text bomb": (files.with_text_bomb(), "a.png", "broken"),
    "moving png": (files.animated_png(), "a.png", "animated"),
    "moving webp": (files.animated_webp(), "a.webp", "animated"),
    "printing colours": (PRINTED, "a.jpg", "printing-colours"),
    "sixteen-bit grey": (DEEP, "a.png", "deep-grey"),
    "no whole turn": (files.encoded(files.room().crop((0, 0, 700, 512))), "a.jpg", "not-two-to-one"),
    "too small": (files.encoded(files.room(256)), "a.jpg", "too-small"),
}  # fmt: skip


def looked(data: bytes, name: str, headings: int | None = None) -> Any:
    with tempfile.TemporaryFile() as file:
        file.write(data)
        return measure(file, name, headings)


@pytest.mark.parametrize("what", HOSTILE)
def test_it_is_refused_with_words_that_say_what_to_do(what: str) -> None:
    data, name, code = HOSTILE[what]
    with pytest.raises(NotMeasured) as refused:
        looked(data, name)
    assert refused.value.code in ({code, "broken"} if code == "broken-off" else {code})
    words = refusal(refused.value.code, refused.value.facts)
    assert words.endswith(".")
    assert "{" not in words


@pytest.mark.parametrize("name", ["a.jpg", "../../etc/passwd.jpg", "a\0.jpg", "\u202egpj.jpg", "x" * 5000 + ".jpg", ""])
def test_whatever_the_name_an_honest_file_is_measured(name: str) -> None:
    found = looked(WHOLE, name)
    assert found.body["file"]["width_px"] == 1024


def test_grey_and_deep_colour_are_read_and_said() -> None:
    grey = looked(files.encoded(files.room().convert("L")), "a.jpg")
    assert grey.body["file"]["notes"] == ["grey"]
    deep, plain = looked(files.deep_png(), "a.png"), looked(files.encoded(files.room(), "PNG"), "a.png")
    assert deep.body["file"]["notes"] == ["sixteen-bits"]
    assert deep.body["look"] == plain.body["look"], "the upper bits are the picture"
    assert deep.picture == plain.picture
    assert NOTES["sixteen-bits"] == "Of 16 bits for each channel, the upper 8 were read."


def test_what_lies_behind_or_beside_the_pixels_goes_no_further() -> None:
    found = looked(files.with_marks(), "a.jpg")
    assert found.body["file"]["notes"] == ["place", "serial"]
    assert found.body["look"]["metadata"]["remarks"] == []
    for mark in (b"SERIAL", b"script", b"GPano", b"Exif", b"http"):
        assert mark not in found.picture


def test_an_exif_bomb_and_a_huge_packet_are_left_unread() -> None:
    assert looked(files.exif_bomb(), "a.jpg").body["file"]["width_px"] == 1024
    huge = files.encoded(files.room(512), "WEBP", xmp=b"<x>" + b" " * 3_000_000 + b"</x>")
    assert looked(huge, "a.webp").body["look"]["metadata"]["why"] == "unread-metadata"


PEAK = """
import os, sys
os.dup2(os.open(sys.argv[1], os.O_RDONLY), 0)
from trainer.looks.child import found, take_limits
take_limits()
from trainer.looks.opened import Refused
try:
    found(sys.argv[1], None)
except Refused as refused:
    print(refused.code)
print(next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
"""


def peak_mb(data: bytes, folder: Path, name: str) -> tuple[str, float]:
    """What was refused, if it was, and the most memory that the child has held [MB]."""
    if not Path("/proc/self/status").exists():
        pytest.fail("This test reads a process's memory from /proc: run it on Linux.")
    (folder / name).write_bytes(data)
    ran = subprocess.run(
        [sys.executable, "-B", "-c", PEAK, str(folder / name)], cwd=ROOT, capture_output=True, text=True, check=True,
        env={"OPENBLAS_NUM_THREADS": "1", "PATH": "/usr/bin:/bin"},
    )  # fmt: skip
    *refused, peak = ran.stdout.split()
    return " ".join(refused), float(peak) / 1000.0


@pytest.mark.parametrize("what", ["header of 60,000 by 60,000", "text bomb", "moving png", "png without its pixels"])
def test_a_bomb_takes_next_to_no_memory(what: str, tmp_path: Path) -> None:
    data, name, code = HOSTILE[what]
    refused, peak = peak_mb(data, tmp_path, name)
    assert refused == code
    assert peak < 200.0


@pytest.mark.proof
@pytest.mark.parametrize(("kind", "name"), [("PNG", "a.png"), ("WEBP", "a.webp"), ("JPEG", "a.jpg")])
def test_the_largest_honest_files_stay_under_600_mb(kind: str, name: str, tmp_path: Path) -> None:
    size = (12_648, 6_324) if kind == "JPEG" else (8_484, 4_242)
    noise = Image.effect_noise(size, 40.0).convert("RGB")
    options: dict[str, Any] = {"PNG": {"compress_level": 1}, "WEBP": {"method": 0}, "JPEG": {"progressive": True}}[kind]
    refused, peak = peak_mb(files.encoded(noise, kind, **options), tmp_path, name)
    print(f"{kind} of {size[0]} x {size[1]}: {peak:.0f} MB")
    assert refused == ""
    assert peak < 600.0


def test_the_child_is_given_no_secret_and_little_time(monkeypatch: pytest.MonkeyPatch) -> None:
    from trainer.looks.measuring import _environment

    monkeypatch.setenv("SECRET_KEY", "canary-86753")
    monkeypatch.setenv("DATABASE_URL", "canary-86753")
    assert "canary-86753" not in str(_environment())
    monkeypatch.setattr(limits, "CHILD_WALL_S", 0.01)
    with pytest.raises(NotMeasured, match="too-long"):
        looked(WHOLE, "a.jpg")
