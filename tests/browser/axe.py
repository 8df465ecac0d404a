"""What axe finds on a page, in short."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
RULES = {"runOnly": {"type": "tag", "values": TAGS}, "preload": False}
COLOURS = {"runOnly": {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}, "preload": False}
"""What may differ between light and dark; everything else is the same page."""


def faults_of(page: Page) -> list[str]:
    """What axe finds, in short: every rule in light, and once more what depends on colours in dark."""
    faults = []
    for scheme, rules in (("light", RULES), ("dark", COLOURS)):
        page.emulate_media(color_scheme=scheme)
        found: Any = Axe().run(page, options=rules)
        faults += [
            f"{scheme}: {fault['id']}: {node['target']} {node['failureSummary']}"
            for fault in found.response["violations"]
            for node in fault["nodes"][:3]
        ]
    return faults
