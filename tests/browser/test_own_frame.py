"""One's own frame in a real browser: chosen, looked at, drawn, kept, deleted; also without scripts; no axe fault."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import faults_of
from tests.browser.driving import DEVICE_NAMES, DEVICES, PHONE, Site
from tests.trainer.looks import frame_files as files


@pytest.fixture
def frame(tmp_path: Path) -> str:
    path = tmp_path / "frame.jpg"
    path.write_bytes(files.with_marks())
    return str(path)


def sideways(page: Page) -> int:
    found: int = page.evaluate(
        "document.querySelector('main').scrollWidth - document.querySelector('main').clientWidth"
    )
    return found


@pytest.mark.parametrize("device", DEVICE_NAMES)
def test_a_frame_is_looked_at_kept_and_deleted(site: Site, device: str, frame: str) -> None:
    page = site.page(DEVICES[device])
    page.goto(f"{site.url}/drills/")
    page.get_by_role("link", name="Look at one’s own frame").click()
    faults = [f"form: {fault}" for fault in faults_of(page)]
    assert sideways(page) <= 0
    page.set_input_files("#frame", frame)
    page.get_by_role("button", name="Look at it").click()
    page.wait_for_url("**/own-frame/held/")
    picture = page.locator(".print img")
    expect(picture).to_be_visible()
    assert page.evaluate("document.querySelector('.print img').naturalWidth") == 1024
    faults += [f"look: {fault}" for fault in faults_of(page)]
    assert sideways(page) <= 0
    drawn = page.locator(".found g")
    assert drawn.count() >= 2
    page.get_by_role("link", name="Show only this").first.click()
    assert sum(drawn.nth(k).is_visible() for k in range(drawn.count())) == 1
    page.get_by_label("To know it again by").fill("Own trial")
    page.get_by_label("Keep the picture too").check()
    page.get_by_role("button", name="Keep this look").click()
    expect(page.get_by_role("heading", name="Own trial")).to_be_visible()
    faults += [f"kept: {fault}" for fault in faults_of(page)]
    page.get_by_role("button", name="Delete this look").click()
    expect(page.get_by_text("The look is deleted")).to_be_visible()
    assert faults == []


def test_a_file_of_another_kind_is_named_before_it_is_sent(site: Site, tmp_path: Path) -> None:
    page = site.page()
    page.goto(f"{site.url}/own-frame/")
    (tmp_path / "frame.svg").write_text("<svg/>")
    page.set_input_files("#frame", str(tmp_path / "frame.svg"))
    expect(page.get_by_text("no JPEG, PNG or WebP file by its name")).to_be_visible()
    page.get_by_role("button", name="Look at it").click()
    assert page.url.endswith("/own-frame/")


def test_it_works_without_scripts(site: Site, frame: str) -> None:
    page = site.page(PHONE, java_script_enabled=False)
    page.goto(f"{site.url}/own-frame/")
    page.set_input_files("#frame", frame)
    page.get_by_role("button", name="Look at it").click()
    expect(page.get_by_role("heading", name="A look at your frame")).to_be_visible()
    page.get_by_role("button", name="Let it go now").click()
    expect(page.get_by_text("Nothing of that look is held any more")).to_be_visible()
