"""Files of frames: one size, one header, read back by independent readers; nothing in them tells what is wrong."""

from __future__ import annotations

import io
from typing import Any

import cv2
import exifread
import numpy as np
import pytest
from PIL import Image

from scoring.frame.encode import encode_frame, encode_picture, file_bytes
from scoring.frame.faults import FAULTS
from scoring.frame.shoot import shoot
from scoring.frame.take import Fault
from tests.scoring.frame.even_rooms import clean_stage
from tests.scoring.frame.spins import take, wrong

WIDTH = 512
START_OF_SCAN = b"\xff\xda"


def file_of(*faults: Fault) -> bytes:
    return encode_frame(shoot(clean_stage(), take(*faults), WIDTH).rgb)


def header(data: bytes) -> bytes:
    return data[: data.index(START_OF_SCAN) + 14]


@pytest.fixture(scope="module")
def clean() -> bytes:
    return file_of()


@pytest.mark.parametrize("code", [code for code in FAULTS if code not in ("N0", "F16", "F17", "F18", "F19")])
def test_a_faulty_frame_has_the_header_and_the_size_of_a_clean_one(code: Any, clean: bytes) -> None:
    faulty = file_of(Fault(code))
    assert header(faulty) == header(clean)
    assert len(faulty) == len(clean) == file_bytes(WIDTH, WIDTH // 2)
    assert faulty != clean


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
