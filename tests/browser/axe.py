"""What axe finds on a page, in short."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
RULES = {"type": "tag", "values": TAGS}
COLOURS = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
"""What may differ between light and dark; everything else is the same page."""
AXE = Axe().axe_script
RUN = "only => axe.run(document, {runOnly: only, preload: false, resultTypes: ['violations']})"


def faults_of(page: Page) -> list[str]:
    """What axe finds, in short: every rule in light, and once more what depends on colours in dark."""
    faults = []
    page.evaluate(AXE)
    for scheme, rules in (("light", RULES), ("dark", COLOURS)):
        page.emulate_media(color_scheme=scheme)
        found: Any = page.evaluate(RUN, rules)
        faults += [
            f"{scheme}: {fault['id']}: {node['target']} {node['failureSummary']}"
            for fault in found["violations"]
            for node in fault["nodes"][:3]
        ]
    return faults
