"""How tests drive the site: devices, signing in, spots of a plan on the screen, what a page holds."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.serializers import deserialize, serialize
from playwright.sync_api import BrowserContext, Page

from tests.ways import second

PHONE: dict[str, Any] = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
DESKTOP: dict[str, Any] = {"viewport": {"width": 1280, "height": 800}}
KINDS = ("place", "join", "thin", "stand", "threshold")


DEVICES = {"phone": PHONE, "desk": DESKTOP}
DEVICE_NAMES = ["phone", *second("desk")]
"""On a phone each page is asked whether it scrolls sideways at a desk too."""


@dataclass
class Site:
    """The running site with people on it and cases in stock."""

    url: str
    person: Any
    recipes: dict[str, str]
    """Kind -> name of the recipe in stock."""
    floor: str
    """A small place to try."""
    open_context: Callable[..., BrowserContext]
    stock: Callable[[str], str]
    awaited: list[str] = field(default_factory=list)
    """Parts of what the browser may say in this test, because it is what the test is about."""

    def sign_in(self, context: BrowserContext) -> None:
        """Come in as the operator, by the session that signing in would have made."""
        from django.test import Client

        client = Client()
        client.force_login(self.person, backend=settings.AUTHENTICATION_BACKENDS[0])
        value = client.cookies[settings.SESSION_COOKIE_NAME].value
        context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": value, "url": self.url}])

    def page(self, device: dict[str, Any] | None = None, signed_in: bool = True, **more: Any) -> Page:
        """A watched page on a device."""
        context = self.open_context(**{**(device or DESKTOP), **more})
        if signed_in:
            self.sign_in(context)
        return context.new_page()

    def start(self, page: Page, kind: str = "place") -> str:
        """Open an attempt of a kind from the list of drills; returns its address."""
        recipe = self.stock(kind)
        page.goto(f"{self.url}/drills/")
        page.locator(f"form[action$='/{recipe}/start/'] button").click()
        page.wait_for_selector("html[data-ready]", state="attached")
        return page.url


def keep_rows(file: Path, rows: list[Any]) -> None:
    """Write rows to a file that other workers of the run may read at any moment."""
    part = file.with_suffix(f".{os.getpid()}")
    part.write_text(serialize("json", rows))
    part.rename(file)


def kept_rows(file: Path) -> list[Any]:
    """The rows of such a file, as new ones."""
    rows = [kept.object for kept in deserialize("json", file.read_text())]
    for row in rows:
        row.pk = None
    return rows


def spot_on_screen(page: Page, x: float, y: float) -> tuple[float, float]:
    """Where a spot of the plan [m] is on the screen, scrolled into sight."""
    at: dict[str, float] = page.evaluate(
        """([x, y]) => {
            const svg = document.querySelector('.sheet:not([hidden]) svg.plan');
            const seen = () => new DOMPoint(x * 100, -y * 100).matrixTransform(svg.getScreenCTM());
            const low = innerHeight - (document.querySelector('.bar-low')?.offsetHeight ?? 0);
            if (seen().y < 8 || seen().y > low - 8) scrollBy({top: seen().y - low / 2, behavior: 'instant'});
            return seen();
        }""",
        [x, y],
    )
    return at["x"], at["y"]


def rooms_of(page: Page) -> list[dict[str, Any]]:
    """Rooms of the first level, with a spot inside each [m]."""
    found: list[dict[str, Any]] = page.evaluate(
        "JSON.parse(document.getElementById('sheet-data').textContent).levels[0].spaces"
    )
    return found


def press_until(page: Page, key: str, selector: str, most: int = 60) -> None:
    """Press a key, Tab mostly, until the focus is on what the selector means: it can be reached without a mouse."""
    for _ in range(most):
        if page.evaluate("(s) => document.activeElement.matches(s)", selector):
            return
        page.keyboard.press(key)
    raise AssertionError(f"{key} never reaches {selector}")


def too_wide_px(page: Page) -> int:
    """Pixels that the page scrolls sideways."""
    found: int = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    return found


def sideways(page: Page) -> list[str]:
    """The devices on which what the page shows is wider than their screen."""
    here, wide = page.viewport_size, []
    for name, device in DEVICES.items():
        page.set_viewport_size(device["viewport"])
        if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
            wide.append(name)
    if here is not None:
        page.set_viewport_size(here)
    return wide


def stations_of(page: Page) -> list[dict[str, Any]]:
    """The stations that the page holds."""
    found: list[dict[str, Any]] = page.evaluate("document.querySelector('plan-sheet').stations.list")
    return found


__all__ = [
    "DESKTOP",
    "DEVICES",
    "DEVICE_NAMES",
    "KINDS",
    "PHONE",
    "Site",
    "keep_rows",
    "kept_rows",
    "press_until",
    "rooms_of",
    "sideways",
    "spot_on_screen",
    "stations_of",
    "too_wide_px",
]
