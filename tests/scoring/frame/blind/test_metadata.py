"""GPano properties against the pixels and against each other; packets that mean harm."""

from __future__ import annotations

import pytest

from scoring.frame.blind.metadata import PACKET_MAX_BYTES, Metadata, find_metadata
from scoring.frame.blind.sphere import CannotTell

GOOD = {
    "ProjectionType": "equirectangular",
    "FullPanoWidthPixels": "4096",
    "FullPanoHeightPixels": "2048",
    "CroppedAreaImageWidthPixels": "4096",
    "CroppedAreaImageHeightPixels": "2048",
    "CroppedAreaLeftPixels": "0",
    "CroppedAreaTopPixels": "0",
}
RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
GPANO = "http://ns.google.com/photos/1.0/panorama/"


def packet(as_elements: bool = False, **change: str | None) -> bytes:
    said = {name: value for name, value in {**GOOD, **change}.items() if value is not None}
    attributes = "" if as_elements else " ".join(f'GPano:{name}="{value}"' for name, value in said.items())
    elements = "".join(f"<GPano:{n}>{v}</GPano:{n}>" for n, v in said.items()) if as_elements else ""
    return (
        f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="{RDF}"><rdf:Description xmlns:GPano="{GPANO}" '
        f"{attributes}>{elements}</rdf:Description></rdf:RDF></x:xmpmeta>"
    ).encode()


def faults(data: bytes) -> set[tuple[str, str]]:
    found = find_metadata(data, 4096, 2048)
    assert isinstance(found, Metadata)
    assert found.has_gpano
    return {(remark.fault, remark.at) for remark in found.remarks}


@pytest.mark.parametrize("as_elements", [False, True])
def test_a_right_packet_has_no_remarks(as_elements: bool) -> None:
    assert faults(packet(as_elements)) == set()


def test_a_file_without_one_says_so() -> None:
    assert find_metadata(None, 4096, 2048) == Metadata(False, (), None, None, None)
    assert find_metadata(b"<x:xmpmeta xmlns:x='adobe:ns:meta/'/>", 4096, 2048) == Metadata(False, (), None, None, None)


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"ProjectionType": None}, ("missing", "ProjectionType")),
        ({"ProjectionType": "cylindrical"}, ("other-projection", "ProjectionType")),
        ({"FullPanoWidthPixels": "4000"}, ("not-two-to-one", "FullPanoWidthPixels")),
        ({"CroppedAreaImageWidthPixels": "2048"}, ("not-these-pixels", "CroppedAreaImageWidthPixels")),
        ({"CroppedAreaLeftPixels": "12"}, ("cropped", "CroppedAreaLeftPixels")),
        ({"CroppedAreaTopPixels": "-3"}, ("unreadable", "CroppedAreaTopPixels")),
        ({"FullPanoHeightPixels": "9" * 50}, ("unreadable", "FullPanoHeightPixels")),
        ({"PoseHeadingDegrees": "360"}, ("range", "PoseHeadingDegrees")),
        ({"PosePitchDegrees": "nan"}, ("unreadable", "PosePitchDegrees")),
        ({"PoseRollDegrees": "181"}, ("range", "PoseRollDegrees")),
    ],
)
def test_each_thing_that_is_not_in_order_is_named(change: dict[str, str | None], fault: tuple[str, str]) -> None:
    assert fault in faults(packet(**change))


def test_a_pose_is_read() -> None:
    found = find_metadata(packet(PosePitchDegrees="1.5", PoseRollDegrees="-0.5"), 4096, 2048)
    assert isinstance(found, Metadata)
    assert (found.pose_heading_deg, found.pose_pitch_deg, found.pose_roll_deg) == (None, 1.5, -0.5)


@pytest.mark.parametrize(
    "data",
    [
        b"no xml at all",
        b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;">]><x>&b;</x>',
        b'<!DOCTYPE x SYSTEM "file:///etc/hostname"><x/>',
        b"<x>" * 20_000,
        packet() + b" " * PACKET_MAX_BYTES,
        b'<?xml version="1.0" encoding="no-such-code"?><x/>',
    ],
)
def test_a_packet_that_is_not_safe_to_read_is_left_unread(data: bytes) -> None:
    assert find_metadata(data, 4096, 2048) == CannotTell("metadata", "unread-metadata")
