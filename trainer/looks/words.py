"""Findings of a look in words: what was found, with its number, how sure, and where the house standard draws lines.

Nothing here is graded and nothing counts: the house standard's bands for frames are quoted beside each number, and
where a number lies too near to an edge for its uncertainty, that is said instead of a verdict.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from scoring.standard import Band, Bands, FrameBands

Found = Mapping[str, Any]

WHY = {
    "few-edges": "There are too few clear edges in it.",
    "one-sided": "All upright edges stand in one direction, so the tilt across them cannot be seen.",
    "unsteady": "Its edges do not agree: parts of the frame give different answers.",
    "repeated-pattern": "Tiles, slats or other repeated lines look just like double edges.",
    "weak-peaks": "A few places may have double edges, but too few seams bear it out. Look there yourself, zoomed in.",
    "none-seen": "No double edges were found, which says nothing: at soft seams as narrow as most mergers make them, even a gross doubling is not found in this way. Look along every seam yourself, zoomed in, at the nearest furniture first.",  # noqa: E501
    "flat": "The frame is flat: nothing in it is bright or dark enough.",
    "too-small": "The frame has too few pixels for this.",
    "unread-metadata": "The XMP packet is too large, or is no XML that is safe to read.",
}
REFUSED = {
    "empty": "The file is empty.",
    "too-many-bytes": "The file is larger than {limit_mb} MB. Save it as a JPEG of less than that.",
    "too-many-pixels": "The frame has more than {limit_mp} megapixels, which is the limit for this kind of file. Save a smaller copy as JPEG.",  # noqa: E501
    "no-picture": "This is no JPEG, PNG or WebP file, whatever its name says. Export the frame as JPEG.",
    "other-name": "The name ends in {suffix}, but the file is {kind}. Name it for what it is, or export it again.",
    "animated": "The file moves: it holds several pictures. Export one frame as a still picture.",
    "printing-colours": "The file is in printing colours (CMYK). Export it in sRGB.",
    "deep-grey": "The file holds grey or decimal values of more than 8 bits. Export it as an 8-bit sRGB picture.",
    "not-two-to-one": "The frame is {width} × {height} pixels. A whole turn laid flat is twice as wide as high: export the whole equirectangular frame.",  # noqa: E501
    "too-small": "The frame is only {width} pixels wide. At least {limit} are needed.",
    "progressive": "This progressive JPEG takes too much memory to read. Save it as a baseline JPEG, or smaller.",
    "broken-off": "The file breaks off before the picture is whole. Copy or export it again.",
    "broken": "The file cannot be decoded. Export it again.",
    "too-much-memory": "The file takes too much memory to read. Save a smaller copy as baseline JPEG.",
    "too-long": "The file took too long to read. Save a smaller copy as baseline JPEG.",
    "child-died": "Reading the file failed. Export it again; if that does not help, save a smaller copy as JPEG.",
}
NOTES = {
    "reduced": "The file was read at {read} pixels across, so sharpness is told for that size.",
    "grey": "The file is grey: a capture in black and white, or an export gone wrong.",
    "sixteen-bits": "Of 16 bits for each channel, the upper 8 were read.",
    "exif-unread": "The Exif data are too large or broken and were not read.",
    "place": "The file names the place where it was taken (GPS). Take that out before you hand the file on.",
    "serial": "The file names the serial number of a camera or lens. Take that out before you hand the file on.",
}
REMARKS = {
    "missing": "{at} is missing.",
    "unreadable": "{at} cannot be read: “{found}”.",
    "other-projection": "{at} is “{found}”, not “equirectangular”.",
    "not-two-to-one": "The full frame is given as {found}, which is not 2 : 1.",
    "not-these-pixels": "The size is given as {found}, which is not the size of this picture.",
    "cropped": "It says that the frame is a part of the whole turn ({at}: {found}).",
    "range": "{at} is {found}, which no frame can have.",
}
STATE_WORDS = {
    "keep": "Holds",
    "either": "Look again",
    "redo": "Fails",
    "near": "Near a limit",
    "cannot-tell": "Cannot tell",
    "told": "Told",
}


@dataclass(frozen=True, slots=True)
class Row:
    """One finding to show."""

    key: str
    title: str
    state: str
    value: str
    limit: str
    words: tuple[str, ...]

    @property
    def word(self) -> str:
        """The state in words."""
        return STATE_WORDS[self.state]

    @property
    def shape(self) -> str:
        """Which plate goes with the word."""
        return {"keep": "holds", "redo": "fails", "either": "look-again", "near": "look-again"}.get(self.state, "")


def refusal(code: str, facts: Found) -> str:
    """Why a file was not measured."""
    return REFUSED.get(code, REFUSED["broken"]).format_map(dict(facts))


def notes(file: Found) -> list[str]:
    """What else there is to say of the file."""
    return [NOTES[code].format(read=file["read_width_px"]) for code in file["notes"] if code in NOTES]


def rows(look: Found, bands: FrameBands) -> list[Row]:
    """Every finding in words, in the order in which a frame is looked through."""
    made = (_tilt, _seams, _sectors, _sharpness, _veil, _clipping, _metadata)
    keys = ("tilt", "seams", "sectors", "sharpness", "veil", "clipping", "metadata")
    return [
        Row(key, TITLES[key], "cannot-tell", "", "", (WHY[look[key]["why"]],))
        if "why" in look[key]
        else row(look[key], bands)
        for key, row in zip(keys, made, strict=True)
    ]


TITLES = {
    "tilt": "Tilt",
    "seams": "Doubling at seams",
    "sectors": "Missing or doubled sectors",
    "sharpness": "Sharpness",
    "veil": "Veil",
    "clipping": "Clipped and crushed",
    "metadata": "Metadata",
}


def _tilt(found: Found, bands: FrameBands) -> Row:
    tilt, sure = found["tilt_deg"], found["uncertainty_deg"]
    state, band = _state(bands.tilt_deg, tilt, 2.0 * sure)
    words = [_sentence("A frame of this tilt", band, state)]
    if tilt > 2.0 * sure:
        words.append(f"The horizon stands highest toward azimuth {_deg(found['towards_deg'])}.")
    if state == "redo":
        words.append("Level the head by its bubble, check it again after it has turned once, and take the frame again.")
    return Row("tilt", TITLES["tilt"], state, f"{tilt:.1f}° ± {sure:.1f}°", _limits(bands.tilt_deg, "°"), tuple(words))


def _seams(found: Found, bands: FrameBands) -> Row:
    limit = _limits(bands.doubling_deg, "°")
    if not found["doubles"]:
        return Row("seams", TITLES["seams"], "cannot-tell", "", "", (WHY["none-seen"],))
    worst = max(found["doubles"], key=lambda double: double["doubling_deg"])
    state, band = _state(bands.doubling_deg, worst["doubling_deg"], 2.0 * found["uncertainty_deg"])
    where = _where(worst["azimuth_deg"], worst["elevation_deg"])
    count = len(found["doubles"])
    words = (
        _sentence("A doubling of this size", band, state),
        f"The worst is {where}; {count} places have it." if count > 1 else f"It is {where}.",
        "If near things are worst, check where the lens stands over the axis; if all things alike, check the joint.",
    )
    value = f"{worst['doubling_deg']:.2f}° ± {found['uncertainty_deg']:.2f}°"
    return Row("seams", TITLES["seams"], state, value, limit, words)


def _sectors(found: Found, bands: FrameBands) -> Row:
    gap, copy = max(found["gaps_deg"], default=0.0), max(found["copies_deg"], default=0.0)
    sure = found["uncertainty_deg"]
    gap_state, gap_band = _state(bands.missing_deg, gap, sure)
    copy_state, copy_band = _state(bands.repeated_deg, copy, sure)
    limit = f"missing: {_limits(bands.missing_deg, '°')}; doubled: {_limits(bands.repeated_deg, '°')}"
    if not gap and not copy:
        words: tuple[str, ...] = ("Every stretch of azimuth shows something, and none is seen twice.",)
        return Row("sectors", TITLES["sectors"], "keep", "none", limit, words)
    words = ()
    value = []
    if gap:
        value.append(f"{gap:.0f}° missing")
        words += (_sentence("A gap of this width", gap_band, gap_state),)
    if copy:
        value.append(f"at least {copy:.0f}° seen twice")
        words += (
            _sentence("A copy of this width", copy_band, copy_state),
            f"It is seen again {max(found['apart_deg']):.0f}° further on. A mirror can do this too.",
        )
    state = _worse(gap_state, copy_state)
    return Row("sectors", TITLES["sectors"], state, ", ".join(value), limit, words)


def _sharpness(found: Found, bands: FrameBands) -> Row:
    spread, pixel = found["spread_deg"], found["pixel_deg"]
    state, band = _state(bands.blur_deg, spread, max(2.0 * found["uncertainty_deg"], 0.0))
    words = [_sentence("An edge that rises over this angle", band, state)]
    if spread < 2.0 * pixel:
        words = [f"Edges are as sharp as the pixels allow ({pixel:.2f}° each)."]
        state = state if state == "keep" else "told"
    softest = _where(found["softest_azimuth_deg"], found["softest_elevation_deg"])
    words.append(
        f"The softest part is {softest}, with {found['softest_deg']:.2f}°. If it holds curtains or shade only, that is "
        "no fault; if every heading has one soft side, look at the lens."
    )
    value = f"{spread:.2f}° ± {found['uncertainty_deg']:.2f}°"
    return Row("sharpness", TITLES["sharpness"], state, value, _limits(bands.blur_deg, "°"), tuple(words))


def _veil(found: Found, bands: FrameBands) -> Row:
    most, step = found["at_most_percent"], found["uncertainty_percent"]
    value = f"at most {most:.1f} % of the mean light"
    limit = _limits(bands.veil_share, " %", 100.0)
    state, band = _state(bands.veil_share, most / 100.0, step / 100.0)
    if state == "keep":
        words: tuple[str, ...] = ("The darkest spot is dark enough that no more than this can lie over the frame.",)
        return Row("veil", TITLES["veil"], "keep", value, limit, words)
    words = (
        "It is this much only if the darkest spot is really black, such as a screen that is off. Look at that spot.",
        f"A veil of this much {band.words}. Wipe the lens, grit off first, and take it again to see.",
    )
    return Row("veil", TITLES["veil"], "told", value, limit, words)


def _clipping(found: Found, bands: FrameBands) -> Row:
    white, black = found["clipped_percent"], found["crushed_percent"]
    white_state, white_band = _state(bands.clipped_share, white / 100.0, (found["clipped_up_to_percent"] - white) / 1e2)
    black_state, black_band = _state(bands.crushed_share, black / 100.0, (found["crushed_up_to_percent"] - black) / 1e2)
    value = f"{white:.1f} % white, {black:.1f} % black"
    limit = f"white: {_limits(bands.clipped_share, ' %', 100.0)}; black: {_limits(bands.crushed_share, ' %', 100.0)}"
    words: tuple[str, ...] = (
        _sentence("White of this share of the sphere", white_band, white_state),
        _sentence("Black of this share", black_band, black_state),
    )
    return Row("clipping", TITLES["clipping"], _worse(white_state, black_state), value, limit, words)


def _metadata(found: Found, bands: FrameBands) -> Row:
    if not found["has_gpano"]:
        words: tuple[str, ...] = (
            "The file says nothing of its projection (GPano), so a viewer has to guess that it is a whole turn.",
        )
        return Row("metadata", TITLES["metadata"], "told", "none", "", words)
    words = tuple(REMARKS[remark["fault"]].format(**remark) for remark in found["remarks"])
    tilt = [
        f"{name} {found[key]:.1f}°"
        for key, name in (("pose_pitch_deg", "pitch"), ("pose_roll_deg", "roll"))
        if found[key]
    ]
    if tilt:
        words += (f"The file asks viewers to turn the frame ({', '.join(tilt)}); the tilt above is of the pixels.",)
    count = len(found["remarks"])
    value = f"{count} thing{'' if count == 1 else 's'} to mend" if count else "in order"
    state = "either" if count else "keep"
    return Row("metadata", TITLES["metadata"], state, value, "", words or ("Size, crop and pose agree.",))


def _state(bands: Bands, value: float, plus_minus: float) -> tuple[str, Band]:
    """The verdict of the band that holds a value, or "near" when its uncertainty reaches into another verdict."""
    band = next(band for band in bands if band.holds(max(0.0, value)))
    reach = [max(0.0, value - plus_minus), value + plus_minus]
    verdicts = {one.verdict for one in bands for end in reach if one.holds(end)} | {band.verdict}
    return (band.verdict, band) if len(verdicts) == 1 else ("near", band)


def _worse(a: str, b: str) -> str:
    order = ["keep", "told", "near", "either", "redo"]
    return max(a, b, key=order.index)


def _sentence(subject: str, band: Band, state: str) -> str:
    text = f"{subject} {band.words}."
    return f"{text} It lies too near a limit to be sure." if state == "near" else text


def _limits(bands: Bands, unit: str, scale: float = 1.0) -> str:
    """Where keeping ends and where taking again begins, as the standard has it."""
    keep = next((band.below for band in bands if band.verdict == "keep"), None)
    redo = next((band.at_least for band in bands if band.verdict == "redo"), None)
    said = [f"keep under {keep * scale:g}{unit}"] if keep is not None else []
    said += [f"take again from {redo * scale:g}{unit}"] if redo is not None else []
    return ", ".join(said)


def _where(azimuth_deg: float, elevation_deg: float) -> str:
    return f"at azimuth {_deg(azimuth_deg)}, elevation {_deg(elevation_deg)}"


def _deg(angle_deg: float) -> str:
    return f"{round(angle_deg):d}°".replace("-", "−")


__all__ = ["Row", "notes", "refusal", "rows"]
