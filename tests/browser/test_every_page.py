"""Every page, on a phone and at a desk, light and dark: no fault that axe finds, no sideways scroll, no third party."""

from __future__ import annotations

from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page

from tests.browser.axe import faults_of
from tests.browser.driving import DEVICE_NAMES, DEVICES, PHONE, Site, rooms_of, sideways, spot_on_screen, too_wide_px

OPEN_PAGES = (
    "/", "/account/sign-in/", "/account/password/forgotten/", "/account/new/", "/cautions/", "/terms/", "/confirm/",
    "/join/", "/join/no-such-code/", "/firm/new/",
)  # fmt: skip
OWN_PAGES = (
    "/", "/drills/", "/places/", "/bench/", "/my-record/", "/check/", "/readiness-record/", "/skills/", "/settings/",
    "/account/password/change/", "/patterns/", "/nowhere/",
)  # fmt: skip


def graded_attempt(site: Site, page: Page) -> tuple[str, str]:
    """Addresses of an open attempt and of a graded one."""
    address = site.start(page)
    x, y = spot_on_screen(page, *rooms_of(page)[0]["spot"])
    page.mouse.click(x, y)
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="A guess").click()
    page.wait_for_url("**/grade/")
    return address, page.url


@pytest.mark.parametrize("device", DEVICE_NAMES)
def test_axe_finds_no_fault_and_nothing_scrolls_sideways(site: Site, device: str) -> None:
    site.awaited.append("404 (Not Found)")
    visitor = site.page(DEVICES[device], signed_in=False)
    page = site.page(DEVICES[device])
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    faults: list[str] = []

    def look(at: Page, path: str, ready: bool = False) -> None:
        at.goto(path if path.startswith("http") else site.url + path)
        at.wait_for_selector(f"html[data-{'ready' if ready else 'everywhere'}]", state="attached")
        faults.extend(f"{path}: {fault}" for fault in faults_of(at))
        faults.extend(f"{path} scrolls sideways on a {screen}" for screen in sideways(at))

    for path in OPEN_PAGES:
        look(visitor, path)
    open_page = site.start(page)
    look(page, open_page, ready=True)
    page.get_by_role("button", name="Add").click()
    page.get_by_text("Coordinates list").click()
    faults.extend(f"station placed: {fault}" for fault in faults_of(page))
    page.get_by_role("button", name="Answer").click()
    faults.extend(f"sureness: {fault}" for fault in faults_of(page))
    page.get_by_role("button", name="A guess").click()
    page.wait_for_url("**/grade/")
    look(page, page.url, ready=True)
    look(page, f"/places/{site.floor}/", ready=True)
    for path in OWN_PAGES:
        look(page, path)
    assert not faults, "\n".join(faults)
    hosts = {urlsplit(url).netloc for url in asked if not url.startswith(("data:", "blob:"))}
    assert hosts == {urlsplit(site.url).netloc}, "every request goes to the site itself"


def test_nothing_scrolls_sideways_at_320_px_with_text_twice_as_large(site: Site) -> None:
    page = site.page({"viewport": {"width": 320, "height": 640}})
    _, graded = graded_attempt(site, page)
    over = {}
    for path in (graded, f"{site.url}/places/{site.floor}/", *(site.url + path for path in OWN_PAGES[:-1])):
        page.goto(path)
        page.wait_for_selector("html[data-everywhere]", state="attached")
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        over[path] = too_wide_px(page)
    assert {path: px for path, px in over.items() if px > 0} == {}


def test_a_grey_print_of_a_grade_holds_sheet_and_marks(site: Site) -> None:
    page = site.page()
    graded_attempt(site, page)
    page.emulate_media(media="print")
    assert page.locator(".sheet svg.plan").first.is_visible()
    assert page.locator(".mark .said").first.is_visible()
    assert not page.locator(".masthead").is_visible()
    assert len(page.pdf(format="A4")) > 10_000


def test_forced_colours_leave_stations_and_words_to_be_seen(site: Site) -> None:
    page = site.page(PHONE, forced_colors="active")
    site.start(page)
    page.get_by_role("button", name="Add").tap()
    inks = page.evaluate(
        """() => { const own = document.querySelector('.layer.own');
            return ['.diamond', '.number'].map(part => getComputedStyle(own.querySelector(part)).fill); }"""
    )
    assert inks[0] != inks[1]
    assert page.get_by_role("button", name="Answer").is_visible()
