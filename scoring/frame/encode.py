"""A frame as a file: a JPEG whose name, size, header and quality say nothing about what is wrong with the frame.

::

    SOI  JFIF  Exif  XMP (GPano)  ICC (sRGB)  tables  picture  FF FF FF ... FF  EOI
                                                               └─ fill ─┘

Every marker of a JPEG may stand after any number of fill bytes (ISO/IEC 10918-1, B.1.1.2): so all files of one size
in pixels are of one size in bytes. The header depends on the size alone: fixed date, no pose, no name of a place.
Properties of the panorama: Photo Sphere XMP Metadata, a public specification. The frame is computed, and says so: IPTC
digital source type "algorithmic media".
"""

from __future__ import annotations

import io
import math
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

QUALITY = 84
FALLBACKS = (76, 66, 54, 40)
"""When a picture does not fit its size after all."""
BYTES_PER_PIXEL = 0.18
HEADER_BYTES = 12_000
FILE_STEP_BYTES = 4096
_DATE = "2000:01:01 00:00:00"
_XMP = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:GPano="http://ns.google.com/photos/1.0/panorama/"
 xmlns:Iptc4xmpExt="http://iptc.org/std/Iptc4xmpExt/2008-02-29/">
{properties}<Iptc4xmpExt:DigitalSourceType>http://cv.iptc.org/newscodes/digitalsourcetype/algorithmicMedia\
</Iptc4xmpExt:DigitalSourceType>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="w"?>"""


def file_bytes(width_px: int, height_px: int) -> int:
    """Size of every file of a picture of that size."""
    wanted = HEADER_BYTES + BYTES_PER_PIXEL * width_px * height_px
    return math.ceil(wanted / FILE_STEP_BYTES) * FILE_STEP_BYTES


def encode_frame(rgb: NDArray[np.uint8], full_width_px: int | None = None, left_px: int = 0, top_px: int = 0) -> bytes:
    """A frame, or a window of one that is ``full_width_px`` wide, as a JPEG of ``file_bytes``."""
    height, width = rgb.shape[:2]
    full = full_width_px or width
    properties = {
        "ProjectionType": "equirectangular",
        "UsePanoramaViewer": "True",
        "FullPanoWidthPixels": full,
        "FullPanoHeightPixels": full // 2,
        "CroppedAreaImageWidthPixels": width,
        "CroppedAreaImageHeightPixels": height,
        "CroppedAreaLeftPixels": left_px % full,
        "CroppedAreaTopPixels": top_px,
    }
    return _padded(rgb, properties)


def encode_picture(rgb: NDArray[np.uint8]) -> bytes:
    """A raw heading as a JPEG of ``file_bytes``: no panorama, and so without its properties."""
    return _padded(rgb, {})


def _padded(rgb: NDArray[np.uint8], properties: dict[str, Any]) -> bytes:
    image = Image.fromarray(np.ascontiguousarray(rgb))
    lines = "".join(f"<GPano:{name}>{value}</GPano:{name}>\n" for name, value in properties.items())
    exif = Image.Exif()
    exif[0x010E] = "Computed picture of an invented place"
    exif[0x0131] = "Levelhead"
    exif[0x0132] = _DATE
    exif.get_ifd(0x8769)[0x9003] = _DATE
    size = file_bytes(rgb.shape[1], rgb.shape[0])
    for quality in (QUALITY, *FALLBACKS):
        out = io.BytesIO()
        image.save(
            out, "JPEG", quality=quality, subsampling="4:2:0", exif=exif.tobytes(),
            xmp=_XMP.format(properties=lines).encode(), icc_profile=_srgb(),
        )  # fmt: skip
        data = out.getvalue()
        if len(data) <= size:
            return data[:-2] + b"\xff" * (size - len(data)) + data[-2:]
    raise ValueError(f"no quality fits a picture of {rgb.shape[1]} x {rgb.shape[0]} pixels into {size} bytes")


@cache
def _srgb() -> bytes:
    """The profile of sRGB with a fixed date, and no identity that depends on it."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    profile[24:36] = b"".join(n.to_bytes(2, "big") for n in (2000, 1, 1, 0, 0, 0))
    profile[84:100] = bytes(16)
    return bytes(profile)


__all__ = ["BYTES_PER_PIXEL", "QUALITY", "encode_frame", "encode_picture", "file_bytes"]
