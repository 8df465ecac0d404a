"""Files that tests hand in as frames: honest ones and hostile ones, made here."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from typing import Any

import numpy as np
from PIL import Image


def room(width_px: int = 1024) -> Image.Image:
    """A frame of speckles and blocks: enough edges for a look, and quickly made."""
    chance = np.random.default_rng(4)
    blocks = chance.integers(20, 230, (16, 32, 3)).astype(np.uint8)
    frame = np.asarray(Image.fromarray(blocks).resize((width_px, width_px // 2), Image.Resampling.NEAREST)).astype(int)
    return Image.fromarray(np.clip(frame + chance.integers(-6, 7, frame.shape), 0, 255).astype(np.uint8))


def encoded(image: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
    """A picture as file bytes."""
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def chunk(name: bytes, data: bytes) -> bytes:
    """One chunk of a PNG file."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png_header(width: int, height: int) -> bytes:
    """A PNG that claims a size and holds next to nothing."""
    size = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", size) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    )


def deep_png() -> bytes:
    """The room as a PNG of 16 bits for each channel, written chunk by chunk: Pillow writes none."""
    frame = np.asarray(room())
    height, width, _ = frame.shape
    rows = b"".join(b"\0" + row.tobytes() for row in frame.astype(">u2") * 257)
    size = struct.pack(">IIBBBBB", width, height, 16, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", size) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def with_text_bomb() -> bytes:
    """A PNG whose compressed text grows a thousandfold."""
    whole = encoded(room(512), "PNG")
    bomb = chunk(b"zTXt", b"note\0\0" + zlib.compress(b"a" * 40_000_000, 9))
    return whole[:33] + bomb + whole[33:]


def with_marks() -> bytes:
    """A JPEG with a place, serial numbers and a packet that is right, and text behind its end."""
    exif = Image.Exif()
    exif[0x8825] = {1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 0.0)}
    exif[0xC62F] = "SERIAL-86753"
    gpano = "http://ns.google.com/photos/1.0/panorama/"
    sizes = "".join(
        f' GPano:{name}="{value}"'
        for name, value in {
            "ProjectionType": "equirectangular",
            "FullPanoWidthPixels": 1024,
            "FullPanoHeightPixels": 512,
            "CroppedAreaImageWidthPixels": 1024,
            "CroppedAreaImageHeightPixels": 512,
            "CroppedAreaLeftPixels": 0,
            "CroppedAreaTopPixels": 0,
        }.items()
    )
    packet = (
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        f'<rdf:Description xmlns:GPano="{gpano}"{sizes}/></rdf:RDF></x:xmpmeta>'
    )
    return encoded(room(), exif=exif, xmp=packet.encode(), quality=90) + b"<script>SERIAL-86753</script>"


def animated_png() -> bytes:
    """Many small frames in one PNG."""
    frames = [Image.new("RGB", (512, 256), (shade, 0, 0)) for shade in range(40)]
    return encoded(frames[0], "PNG", save_all=True, append_images=frames[1:])


def animated_webp() -> bytes:
    """Many small frames in one WebP."""
    frames = [Image.new("RGB", (512, 256), (shade * 20, 0, 0)) for shade in range(6)]
    return encoded(frames[0], "WEBP", save_all=True, append_images=frames[1:])


def exif_bomb() -> bytes:
    """A JPEG whose Exif directories point at themselves and claim a billion entries' worth of text."""
    entries = struct.pack("<HHIII", 1, 0x8825, 4, 1, 8)[:2]
    body = b"II*\0" + struct.pack("<I", 8) + struct.pack("<H", 3)
    body += struct.pack("<HHII", 0x8825, 4, 1, 8) + struct.pack("<HHII", 0x8769, 4, 1, 8)
    body += struct.pack("<HHII", 0x010E, 2, 0x3FFFFFFF, 8) + struct.pack("<I", 8) + entries
    return encoded(room(), exif=b"Exif\0\0" + body)
