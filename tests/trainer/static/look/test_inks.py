"""The inks keep their contrast on paper and vellum in both themes, and are told apart without full colour sight."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

INKS = (Path(__file__).resolve().parents[4] / "trainer" / "static" / "look" / "inks.css").read_text()
LIGHT, DARK = INKS.split("/* dark */")[0], INKS.split("/* dark */")[1].split("@media print")[0]
MARKS = ("harbour", "ochre", "brick", "fern")

# Machado, Oliveira and Fernandes 2009, full severity; the matrices are from memory. On linear RGB.
SIGHTS = {
    "full": np.eye(3),
    "without red": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "without green": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "without blue": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
NEAREST = 0.05
"""Distance in OKLab that is seen side by side at a glance; a setting of ours, no source."""


def linear(css: str, name: str) -> np.ndarray:
    text = re.search(rf"--{name}:\s*#([0-9a-f]{{6}});", css)
    assert text is not None, f"no ink named {name}"
    srgb = np.array([int(text[1][i : i + 2], 16) for i in (0, 2, 4)]) / 255
    return np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)


def luminance(rgb: np.ndarray) -> float:
    """Relative luminance, WCAG 2.2."""
    return float(rgb @ [0.2126, 0.7152, 0.0722])


def contrast(css: str, a: str, b: str) -> float:
    """Contrast ratio, WCAG 2.2."""
    low, high = sorted((luminance(linear(css, a)), luminance(linear(css, b))))
    return (high + 0.05) / (low + 0.05)


def oklab(rgb: np.ndarray) -> np.ndarray:
    """OKLab, Ottosson 2020 (from memory)."""
    lms = np.cbrt(np.clip(np.array([
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]) @ rgb, 0, None))  # fmt: skip
    return np.array([
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]) @ lms  # fmt: skip


@pytest.mark.parametrize("css", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "vellum"])
def test_words_and_marks_stand_out(css: str, ground: str) -> None:
    assert contrast(css, "ink", ground) >= 7
    assert contrast(css, "pencil", ground) >= 4.5
    for mark in MARKS:
        assert contrast(css, mark, ground) >= 3, mark


@pytest.mark.parametrize("css", [LIGHT, DARK], ids=["light", "dark"])
def test_words_on_actions_and_fault_words_can_be_read(css: str) -> None:
    assert contrast(css, "paper", "harbour") >= 4.5
    assert contrast(css, "brick", "paper") >= 4.5


@pytest.mark.parametrize("css", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("sight", SIGHTS)
def test_marks_are_told_apart_by_every_colour_sight(css: str, sight: str) -> None:
    seen = {name: oklab(np.clip(SIGHTS[sight] @ linear(css, name), 0, 1)) for name in MARKS}
    for a, b in combinations(MARKS, 2):
        assert np.linalg.norm(seen[a] - seen[b]) >= NEAREST, (a, b)
