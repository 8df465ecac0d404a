"""Files of frames: one size, one header, read back by independent readers; nothing in them tells what is wrong."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import cv2
import exifread
import numpy as np
import pytest
from PIL import Image

from scoring.frame.encode import encode_frame, encode_picture, file_bytes
from scoring.frame.faults import FAULTS
from scoring.frame.picture import heading_picture
from scoring.frame.shoot import shoot
from scoring.frame.take import Fault, Take
from tests.scoring.frame.even_rooms import clean_stage
from tests.scoring.frame.spins import take, wrong
from tests.scoring.frame.stages import stage_of, studio

WIDTH = 512
START_OF_SCAN = b"\xff\xda"


def file_of(*faults: Fault) -> bytes:
    return encode_frame(shoot(clean_stage(), take(*faults), WIDTH).rgb)


def header(data: bytes) -> bytes:
    return data[: data.index(START_OF_SCAN) + 14]


@pytest.fixture(scope="module")
def clean() -> bytes:
    return file_of()


Named = dict[str, tuple[bytes, int, int]]
"""Files by what they show, each with its width and height [px]."""


def files_of(given: Take, widths: tuple[int, ...] = (1024,)) -> Named:
    """What a browser may be sent of a take: whole frames, a piece of the close one, a raw heading."""
    stage, piece = stage_of(given), (4992, 2112, 128, 128)
    files = {f"frame {width}": (encode_frame(shoot(stage, given, width).rgb), width, width // 2) for width in widths}
    close = shoot(stage, given, 8192, piece).rgb
    files["piece"] = encode_frame(close, 8192, piece[0], piece[1]), 128, 128
    files["heading"] = encode_picture(heading_picture(stage, given, 0, 128)), 128, 128
    return files


@cache
def clean_files(widths: tuple[int, ...] = (1024,)) -> Named:
    return files_of(studio(), widths)


def properties(data: bytes) -> tuple[dict[str, str], Any, list[str]]:
    """All that independent readers find beside the pixels."""
    image = Image.open(io.BytesIO(data))
    tags = {name: str(tag) for name, tag in exifread.process_file(io.BytesIO(data)).items()}
    return tags, image.getxmp(), sorted(f"{name}: {value!r}" for name, value in image.info.items())


def compare(files: Named, clean: Named) -> None:
    assert files.keys() == clean.keys()
    for name, (data, width, height) in files.items():
        assert header(data) == header(clean[name][0]), name
        assert len(data) == len(clean[name][0]) == file_bytes(width, height), name
        assert properties(data) == properties(clean[name][0]), name


@pytest.mark.parametrize("code", FAULTS)
def test_whatever_is_wrong_a_file_has_the_header_and_the_size_of_a_clean_one(code: Any) -> None:
    files = files_of(studio(Fault(code)))
    compare(files, clean_files())
    assert (files["frame 1024"] == clean_files()["frame 1024"]) is (code == "N0")


@pytest.mark.proof
@pytest.mark.parametrize("code", FAULTS)
def test_so_it_is_at_every_other_width(code: Any) -> None:
    compare(files_of(studio(Fault(code)), (512, 2048, 4096)), clean_files((512, 2048, 4096)))


def test_the_noisiest_frame_fits_its_size_at_the_same_quality(clean: bytes) -> None:
    noise = np.random.default_rng(1).normal(110, 9, (WIDTH // 2, WIDTH, 3)).clip(0, 255).astype(np.uint8)
    assert header(encode_frame(noise)) == header(clean)


def test_what_does_not_fit_at_all_is_written_coarser() -> None:
    noise = np.random.default_rng(1).integers(0, 256, (64, 128, 3), dtype=np.uint8)
    assert len(encode_frame(noise)) == file_bytes(128, 64)


def test_pillow_reads_the_panorama_s_properties(clean: bytes) -> None:
    image = Image.open(io.BytesIO(clean))
    image.load()
    found = image.getxmp()["xmpmeta"]["RDF"]["Description"]
    assert found["ProjectionType"] == "equirectangular"
    assert found["FullPanoWidthPixels"] == found["CroppedAreaImageWidthPixels"] == str(WIDTH)
    assert found["FullPanoHeightPixels"] == str(WIDTH // 2)
    assert found["DigitalSourceType"].endswith("/algorithmicMedia")
    assert not [name for name in found if name.startswith("Pose")]
    assert image.info["icc_profile"]


def test_exifread_reads_a_fixed_date_and_no_place(clean: bytes) -> None:
    tags = exifread.process_file(io.BytesIO(clean), details=False)
    assert str(tags["EXIF DateTimeOriginal"]) == "2000:01:01 00:00:00"
    assert not [name for name in tags if name.startswith("GPS")]


def test_a_window_says_where_in_the_frame_it_lies() -> None:
    rgb = np.zeros((64, 96, 3), np.uint8)
    found = Image.open(io.BytesIO(encode_frame(rgb, 8192, -32, 128))).getxmp()["xmpmeta"]["RDF"]["Description"]
    assert (found["FullPanoWidthPixels"], found["CroppedAreaImageWidthPixels"]) == ("8192", "96")
    assert (found["CroppedAreaLeftPixels"], found["CroppedAreaTopPixels"]) == ("8160", "128")


def test_fill_bytes_trouble_no_decoder(clean: bytes) -> None:
    by_pillow = np.asarray(Image.open(io.BytesIO(clean)))
    by_opencv = cv2.imdecode(np.frombuffer(clean, np.uint8), cv2.IMREAD_COLOR)[..., ::-1]
    assert np.abs(by_pillow.astype(int) - by_opencv).max() <= 2


def test_a_raw_heading_is_no_panorama() -> None:
    data = encode_picture(np.zeros((64, 64, 3), np.uint8))
    assert "ProjectionType" not in Image.open(io.BytesIO(data)).getxmp()["xmpmeta"]["RDF"]["Description"]
    assert len(data) == file_bytes(64, 64)


def test_the_same_frame_is_the_same_file() -> None:
    assert file_of(wrong("F1")) == file_of(wrong("F1"))
