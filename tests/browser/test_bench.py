"""The bench as a person uses it: a slider turned, the frame, the numbers and the address that follow; a plain form."""

from __future__ import annotations

import re
from urllib.parse import parse_qs, urlsplit

from playwright.sync_api import expect

from tests.browser.axe import faults_of
from tests.browser.driving import DESKTOP, PHONE, Site

MADE_MS = 240_000
"""The engine may have to be compiled first."""
START = "/bench/?floor=studio&light=cloud&fault=F1&offset_mm=10"


def test_frame_numbers_and_address_follow_a_slider(site: Site) -> None:
    page = site.page(PHONE)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(site.url + START, wait_until="domcontentloaded")
    page.wait_for_selector("frame-view[data-drawn='frame']", state="attached", timeout=MADE_MS)
    page.wait_for_selector(".readings", timeout=MADE_MS)
    slider = page.get_by_role("slider")
    slider.focus()
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    value = page.locator("input[name='offset_mm']").input_value()
    assert float(value) > 10
    expect(page).to_have_url(re.compile(rf"offset_mm={value}\b"), timeout=MADE_MS)
    expect(page.locator("[data-here]")).to_have_attribute("href", re.compile(rf"offset_mm={value}\b"))
    small = [url for url in asked if url.endswith("/frame/512.jpg")]
    assert small, "a small frame follows at once"
    page.wait_for_selector(".chart", timeout=MADE_MS)
    expect(page.get_by_role("button", name="Show the worst place")).to_be_visible()
    before = page.locator(".chart .here").get_attribute("transform") or ""
    slider.press("ArrowRight")
    # Nothing was asked of the server yet: the mark has gone along the curve, and old numbers are seen to be old.
    assert page.locator(".chart .here").get_attribute("transform") != before
    assert re.search(r"here about \d\.\d\d°", page.locator(".curve figcaption").inner_text())
    assert page.locator("[data-overtaken] .readings").count() == 1
    expect(page.locator("[data-overtaken]")).to_have_count(0, timeout=MADE_MS)
    assert not faults_of(page)


def test_it_works_as_a_plain_form(site: Site) -> None:
    page = site.page(DESKTOP, java_script_enabled=False)
    page.goto(site.url + START, wait_until="domcontentloaded")
    page.get_by_label("Fault", exact=True).select_option(label="Axis tilted")
    page.get_by_role("button", name="Show", exact=True).click()
    assert parse_qs(urlsplit(page.url).query)["fault"] == ["F4"]
    expect(page.locator(".fault-tag")).to_contain_text("Axis tilted")
    field = page.get_by_label("Axis off plumb")
    assert field.input_value() == "2"
    field.fill("4")
    page.get_by_role("button", name="Show", exact=True).click()
    assert parse_qs(urlsplit(page.url).query)["tilt_deg"] == ["4"]
    expect(page.locator("frame-view img").first).to_have_attribute(
        "alt", "With the fault: one full turn laid flat, azimuth −180° to 180° across, elevation 90° to −90° down."
    )
