"""A file from outside becomes pixels here, in the child process, or is refused with a code that the page can say.

Name, first bytes and decoder must agree; only JPEG, PNG and WebP are ever handed to a decoder; the size is judged
before anything is decoded; every structure is verified and the file opened anew. Whatever the bytes are, only
`Refused` comes out.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import PurePath
from typing import Any, BinaryIO

import numpy as np
from PIL import ExifTags, Image
from PIL.WebPImagePlugin import WebPImageFile

from scoring.frame.blind.sphere import Bytes
from trainer.looks import limits

SUFFIXES = {".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG", ".webp": "WEBP"}
MODES = {"1", "L", "LA", "P", "PA", "RGB", "RGBA"}
SERIAL_TAGS = (0xA431, 0xA435, 0xC62F)
"""Numbers of body, lens and camera."""


class Refused(Exception):
    """The file is not taken; ``code`` says why, ``facts`` holds the numbers that go with it."""

    def __init__(self, code: str, **facts: Any) -> None:
        super().__init__(code)
        self.code, self.facts = code, facts


class _ThriftyWebP(WebPImageFile):
    """A still WebP that lets go of its decoder, which holds the picture twice over, before it fills its own pixels."""

    def load_prepare(self) -> None:
        self._decoder = None
        super().load_prepare()


@dataclass(frozen=True, slots=True)
class Opened:
    """The pixels of a frame at two scales, its XMP packet, and what else there is to say of the file."""

    fine: Bytes
    coarse: Bytes
    packet: bytes | None
    kind: str
    width_px: int
    height_px: int
    notes: tuple[str, ...]

    def picture(self) -> bytes:
        """A JPEG made anew from the coarse pixels alone: nothing else of the file is in it."""
        out = BytesIO()
        Image.fromarray(self.coarse).save(out, "JPEG", quality=82)
        return out.getvalue()


def open_frame(file: BinaryIO, name: str) -> Opened:
    """Read a frame from a file that can be sought in. Raises Refused."""
    kind = _kind(file, name)
    Image.MAX_IMAGE_PIXELS = limits.JPEG_MAX_PX
    try:
        with warnings.catch_warnings():
            # Odd metadata make a decoder warn, and are no reason to refuse the pixels; a bomb is.
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            return _read(file, kind)
    except (Refused, MemoryError):
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise Refused("too-many-pixels", limit_mp=_limit(kind) // 1_000_000) from None
    except Exception as error:
        # Decoders raise whatever they like for broken bytes.
        broken = "broken-off" if "truncated" in str(error) else "broken"
        raise Refused(broken) from None


def _kind(file: BinaryIO, name: str) -> str:
    head = file.read(16)
    size = file.seek(0, 2)
    file.seek(0)
    if size == 0:
        raise Refused("empty")
    if size > limits.FILE_MAX_BYTES:
        raise Refused("too-many-bytes", limit_mb=limits.FILE_MAX_BYTES // 1_000_000)
    kind = (
        "JPEG"
        if head.startswith(b"\xff\xd8\xff")
        else "PNG"
        if head.startswith(b"\x89PNG\r\n\x1a\n")
        else "WEBP"
        if head.startswith(b"RIFF") and head[8:12] == b"WEBP"
        else ""
    )
    if not kind:
        raise Refused("no-picture")
    suffix = PurePath(name).suffix.lower()
    if suffix and SUFFIXES.get(suffix) != kind:
        raise Refused("other-name", suffix=suffix[:8], kind=kind)
    return kind


def _limit(kind: str) -> int:
    return limits.JPEG_MAX_PX if kind == "JPEG" else limits.DECODED_MAX_PX


def _read(file: BinaryIO, kind: str) -> Opened:
    _verify(file, kind)
    file.seek(0)
    with _ThriftyWebP(file) if kind == "WEBP" else Image.open(file, formats=(kind,)) as image:
        _judge(image, kind)
        width, height = image.size
        notes = _notes(image, file, kind)
        packet = image.info.get("xmp")
        shrink = 1
        while width * height / shrink**2 > limits.DECODED_MAX_PX:
            shrink *= 2
        if shrink > 1:
            image.draft(None, (width // shrink, height // shrink))
            notes.append("reduced")
        image.load()
        if image.width * image.height > limits.DECODED_MAX_PX:
            raise Refused("too-many-pixels", limit_mp=limits.DECODED_MAX_PX // 1_000_000)
        plain = image if image.mode == "RGB" else image.convert("RGB")
        fine = np.asarray(plain)
        size = (limits.COARSE_PX, limits.COARSE_PX // 2)
        coarse = np.asarray(plain.resize(size, Image.Resampling.BOX)) if plain.width > limits.COARSE_PX else fine
    return Opened(fine, coarse, packet if isinstance(packet, bytes) else None, kind, width, height, tuple(notes))


def _verify(file: BinaryIO, kind: str) -> None:
    """Walk the file's structure; a function of its own, so that its decoder is gone before the next one comes."""
    with Image.open(file, formats=(kind,)) as image:
        _judge(image, kind)
        image.verify()


def _judge(image: Image.Image, kind: str) -> None:
    width, height = image.size
    if width * height > _limit(kind):
        raise Refused("too-many-pixels", limit_mp=_limit(kind) // 1_000_000, width=width, height=height)
    if kind != "JPEG" and getattr(image, "n_frames", 1) > 1:
        raise Refused("animated")
    if image.mode == "CMYK":
        raise Refused("printing-colours")
    if image.mode not in MODES:
        raise Refused("deep-grey", mode=image.mode)
    if abs(width - 2 * height) > 2:
        raise Refused("not-two-to-one", width=width, height=height)
    if width < limits.WIDTH_MIN_PX:
        raise Refused("too-small", width=width, limit=limits.WIDTH_MIN_PX)

    if image.info.get("progressive") and _held_bytes(image) > limits.PROGRESSIVE_MAX_BYTES:
        raise Refused("progressive")


def _held_bytes(image: Image.Image) -> float:
    """What a progressive JPEG takes before its first row: two bytes for each sample of each layer."""
    layers: list[tuple[int, int]] = [(across, down) for _, across, down, _ in getattr(image, "layer", [])]
    widest, highest = max(a for a, _ in layers), max(d for _, d in layers)
    return 2.0 * image.width * image.height * sum(a * d for a, d in layers) / (widest * highest)


def _notes(image: Image.Image, file: BinaryIO, kind: str) -> list[str]:
    notes = []
    if image.mode in {"1", "L", "LA"}:
        notes.append("grey")
    if kind == "PNG":
        at = file.tell()
        file.seek(24)
        if file.read(1) == b"\x10":
            notes.append("sixteen-bits")
        file.seek(at)
    exif = image.info.get("exif")
    if isinstance(exif, bytes) and len(exif) > limits.EXIF_MAX_BYTES:
        notes.append("exif-unread")
    elif exif:
        try:
            tags = image.getexif()
            if tags.get_ifd(ExifTags.IFD.GPSInfo):
                notes.append("place")
            inner = tags.get_ifd(ExifTags.IFD.Exif)
            if any(tag in tags or tag in inner for tag in SERIAL_TAGS):
                notes.append("serial")
        except Exception:
            notes.append("exif-unread")
    return notes


__all__ = ["Opened", "Refused", "open_frame"]
