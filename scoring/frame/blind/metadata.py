"""What a frame's own XMP packet says of its geometry, checked against the pixels and against itself.

The GPano properties are those of the public specification "Photo Sphere XMP Metadata". The packet is read by a
parser that knows no entities and no document types, and only up to `PACKET_MAX_BYTES`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from scoring.frame.blind.sphere import CannotTell

PACKET_MAX_BYTES = 65_536
"""One packet of a JPEG file holds less than this; more is no packet."""
VALUE_MAX = 60
GPANO = "{http://ns.google.com/photos/1.0/panorama/}"
COUNTS = (
    "FullPanoWidthPixels", "FullPanoHeightPixels", "CroppedAreaImageWidthPixels", "CroppedAreaImageHeightPixels",
    "CroppedAreaLeftPixels", "CroppedAreaTopPixels",
)  # fmt: skip
ANGLES = {
    "PoseHeadingDegrees": (0.0, 360.0),
    "PosePitchDegrees": (-90.0, 90.0),
    "PoseRollDegrees": (-180.0, 180.0),
}

Fault = Literal["missing", "unreadable", "other-projection", "not-two-to-one", "not-these-pixels", "cropped", "range"]


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing that is not in order, at a property of the packet."""

    fault: Fault
    at: str
    found: str
    """As the packet has it, cut short."""


@dataclass(frozen=True, slots=True)
class Metadata:
    """What the packet says. No GPano at all is no fault of the picture, but viewers then have to guess."""

    has_gpano: bool
    remarks: tuple[Remark, ...]
    pose_heading_deg: float | None
    pose_pitch_deg: float | None
    pose_roll_deg: float | None


def find_metadata(packet: bytes | None, width_px: int, height_px: int) -> Metadata | CannotTell:
    """Check an XMP packet (None when the file has none) against the size of the picture."""
    if packet is None:
        return Metadata(False, (), None, None, None)
    if len(packet) > PACKET_MAX_BYTES:
        return CannotTell("metadata", "unread-metadata")
    try:
        root = fromstring(packet.strip(b"\0 \r\n\t"), forbid_dtd=True)
    except (ParseError, DefusedXmlException, ValueError, LookupError, RecursionError):
        return CannotTell("metadata", "unread-metadata")
    said = _properties(root)
    if not said:
        return Metadata(False, (), None, None, None)
    remarks: list[Remark] = []
    projection = said.get("ProjectionType")
    if projection is None:
        remarks.append(Remark("missing", "ProjectionType", ""))
    elif projection != "equirectangular":
        remarks.append(Remark("other-projection", "ProjectionType", projection))
    counts = {name: _count(said, name, remarks) for name in COUNTS}
    remarks += _sizes(counts, width_px, height_px)
    angles = {name: _angle(said, name, *limits, remarks) for name, limits in ANGLES.items()}
    return Metadata(True, tuple(remarks), *angles.values())


def _properties(root: Element) -> dict[str, str]:
    """GPano properties by name, whether written as attributes or as elements."""
    said: dict[str, str] = {}
    for element in root.iter():
        for name, value in element.attrib.items():
            if name.startswith(GPANO):
                said[name[len(GPANO) :]] = value.strip()[:VALUE_MAX]
        if isinstance(element.tag, str) and element.tag.startswith(GPANO):
            said[element.tag[len(GPANO) :]] = (element.text or "").strip()[:VALUE_MAX]
    return said


def _count(said: Mapping[str, str], name: str, remarks: list[Remark]) -> int | None:
    text = said.get(name)
    if text is None:
        remarks.append(Remark("missing", name, ""))
        return None
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        remarks.append(Remark("unreadable", name, text))
        return None
    return int(text)


def _sizes(counts: Mapping[str, int | None], width_px: int, height_px: int) -> list[Remark]:
    full_w, full_h, crop_w, crop_h, left, top = (counts[name] for name in COUNTS)
    remarks = []
    if full_w is not None and full_h is not None and full_w != 2 * full_h:
        remarks.append(Remark("not-two-to-one", "FullPanoWidthPixels", f"{full_w} x {full_h}"))
    if crop_w is not None and crop_h is not None and (crop_w, crop_h) != (width_px, height_px):
        remarks.append(Remark("not-these-pixels", "CroppedAreaImageWidthPixels", f"{crop_w} x {crop_h}"))
    if full_w is not None and crop_w is not None and crop_w != full_w:
        remarks.append(Remark("cropped", "CroppedAreaImageWidthPixels", f"{crop_w} of {full_w}"))
    if left or top:
        remarks.append(Remark("cropped", "CroppedAreaLeftPixels", f"{left}, {top}"))
    return remarks


def _angle(said: Mapping[str, str], name: str, low: float, high: float, remarks: list[Remark]) -> float | None:
    text = said.get(name)
    if text is None:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        remarks.append(Remark("unreadable", name, text))
        return None
    if not low <= value <= high or (name == "PoseHeadingDegrees" and value == high):
        remarks.append(Remark("range", name, text))
        return None
    return value


__all__ = ["Metadata", "Remark", "find_metadata"]
