"""Looking round a frame: by finger, mouse, keys and buttons, drawn or laid flat, with and without scripts."""

from __future__ import annotations

import math
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.driving import DESKTOP, PHONE, Site

MADE_MS = 240_000
"""The engine may have to be compiled first."""
SPOT = "[data-spots] [data-spot='{}'] input"


def look(site: Site, device: dict[str, Any] | None = None, **more: Any) -> Page:
    """The page of every part, once its frame is drawn."""
    page = site.page(device or DESKTOP, **more)
    page.goto(f"{site.url}/patterns/")
    page.wait_for_selector("frame-view[data-drawn='frame']", state="attached", timeout=MADE_MS)
    page.locator(".neat").scroll_into_view_if_needed()
    return page


def pose(page: Page) -> dict[str, float]:
    found: dict[str, float] = page.evaluate("({...document.querySelector('frame-view').pose})")
    return found


def spot(page: Page, number: int) -> list[float]:
    return [float(field.input_value() or "nan") for field in page.locator(SPOT.format(number)).all()]


def in_pane(page: Page, x: float, y: float) -> tuple[float, float]:
    """A place of the view, 0..1 from its upper left corner, on the screen."""
    page.locator(".panorama").evaluate("one => one.scrollIntoView({block: 'center', behavior: 'instant'})")
    box = page.locator(".panorama").bounding_box()
    assert box is not None
    return box["x"] + x * box["width"], box["y"] + y * box["height"]


def test_a_tap_marks_what_is_under_it_and_a_second_one_takes_hold_of_it(site: Site) -> None:
    page = look(site, PHONE)
    page.touchscreen.tap(*in_pane(page, 0.5, 0.5))
    assert spot(page, 1) == pytest.approx([0.0, 0.0], abs=0.5)
    page.touchscreen.tap(*in_pane(page, 0.75, 0.5))
    assert spot(page, 2) == pytest.approx([math.degrees(math.atan(0.5)), 0.0], abs=0.5), "ninety degrees are the width"
    expect(page.locator(".spot.role-answered .tag text")).to_have_text(["1", "2"])
    page.touchscreen.tap(*in_pane(page, 0.5, 0.5))
    expect(page.locator(".spot.role-answered.selected .tag text")).to_have_text(["1"])
    page.get_by_role("button", name="Take away").tap()
    assert all(math.isnan(value) for value in spot(page, 1))
    assert spot(page, 2)[0] == pytest.approx(26.6, abs=0.5)


def test_keys_turn_zoom_mark_and_go_back(site: Site) -> None:
    page = look(site, reduced_motion="reduce")
    page.locator(".panorama").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowUp")
    assert pose(page) == {"azimuth": 15.0, "elevation": 15.0, "angle": 90.0}
    page.keyboard.press("Shift+ArrowRight")
    assert pose(page)["azimuth"] == pytest.approx(17.25)
    page.keyboard.press("+")
    assert pose(page)["angle"] == pytest.approx(90 / 1.35)
    page.keyboard.press("Enter")
    assert spot(page, 1) == [17.2, 15.0] or spot(page, 1) == [17.3, 15.0]
    expect(page.locator("frame-view [data-say]")).to_contain_text("Spot 1 marked")
    expect(page.locator("frame-view output")).to_have_text("Azimuth 17°, elevation 15°, 67° across")
    assert page.locator("frame-view output").get_attribute("aria-live") == "off"
    page.keyboard.press("Delete")
    assert all(math.isnan(value) for value in spot(page, 1))
    page.keyboard.press("Home")
    assert pose(page) == {"azimuth": 0.0, "elevation": 0.0, "angle": 90.0}
    page.keyboard.press("Tab")
    assert not page.evaluate("document.activeElement.matches('.panorama')"), "the view does not hold the focus"


def test_every_key_has_a_button(site: Site) -> None:
    page = look(site, reduced_motion="reduce")
    for name, part, sign in (
        ("Turn left", "azimuth", -1), ("Turn right", "azimuth", 1), ("Turn up", "elevation", 1),
        ("Turn down", "elevation", -1), ("Zoom in", "angle", -1), ("Zoom out", "angle", 1),
    ):  # fmt: skip
        before = pose(page)[part]
        page.get_by_role("button", name=name, exact=True).click()
        assert (pose(page)[part] - before) * sign > 0, name
    page.get_by_role("button", name="Back to the start").click()
    assert pose(page)["azimuth"] == 0.0


def test_degrees_stand_in_the_margin_and_never_on_the_picture(site: Site) -> None:
    page = look(site)
    parts = (".panorama", ".azimuths", ".elevations")
    pane, below, beside = (page.locator(f".neat {part}").bounding_box() for part in parts)
    assert pane is not None
    assert below is not None
    assert beside is not None
    assert below["y"] >= pane["y"] + pane["height"] - 1
    assert beside["x"] + beside["width"] <= pane["x"] + 1
    inked = page.evaluate(
        """() => [...document.querySelectorAll('.neat > canvas')].map(one =>
            one.getContext('2d').getImageData(0, 0, one.width, one.height).data.some(value => value > 0))"""
    )
    assert inked == [True, True]


def test_the_view_shows_what_the_flat_picture_has_there(site: Site) -> None:
    page = look(site)
    off = page.evaluate(
        """async () => {
            const view = document.querySelector('frame-view');
            const { Lens } = await import('/static/frame/sphere.js');
            const image = await createImageBitmap(await view.supply.fetched(view.pictures[0].address + '1024.jpg'));
            const flat = new OffscreenCanvas(2 * image.width, image.height);
            const pen = flat.getContext('2d', {willReadFrequently: true});
            pen.drawImage(image, 0, 0);
            pen.drawImage(image, image.width, 0);
            const name = 'check';
            view.painter.take(name, image, image.width);
            const off = [];
            const looks = [[0, 0], [90, 0], [-90, 20], [179.9, -10], [-180, 5], [40, -70], [0, 85], [135, -45]];
            for (const [azimuth, elevation] of looks) {
                const lens = new Lens({azimuth, elevation, angle: 12}, 65, 65); // a pixel in the very middle
                view.painter.draw(name, lens, 65, 65);
                const gl = view.painter.gl;
                const seen = new Uint8Array(4);
                gl.readPixels(32, 32, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, seen);
                const x = (azimuth + 180) / 360 * image.width + (azimuth < 0 ? image.width : 0);
                const y = (90 - elevation) / 180 * flat.height;
                const around = pen.getImageData(Math.max(0, x - 2), Math.max(0, y - 2), 5, 5).data;
                const beyond = [0, 1, 2].map(c => {
                    const there = around.filter((_, i) => i % 4 === c);
                    return Math.max(Math.min(...there) - seen[c], seen[c] - Math.max(...there));
                });
                off.push(Math.max(...beyond));
            }
            view.painter.drop(name);
            view.refresh();
            return off;
        }"""
    )
    assert max(off) <= 4, off


def test_dragging_turns_two_fingers_zoom_and_the_page_stays(site: Site) -> None:
    page = look(site, PHONE, reduced_motion="reduce")
    x, y = in_pane(page, 0.5, 0.5)
    scrolled = page.evaluate("scrollY")
    touch = page.context.new_cdp_session(page)

    def send(kind: str, *spots: tuple[float, float]) -> None:
        points = [{"x": px, "y": py, "id": i} for i, (px, py) in enumerate(spots)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    send("touchStart", (x, y))
    for step in range(1, 9):
        send("touchMove", (x - 10 * step, y - 4 * step))
    send("touchEnd")
    turned = pose(page)
    assert turned["azimuth"] > 15, "the picture follows the finger to the left, so the view turns right"
    assert turned["elevation"] < -3
    send("touchStart", (x - 20, y), (x + 20, y))
    for gap in (30, 40, 50, 60):
        send("touchMove", (x - gap, y), (x + gap, y))
    send("touchEnd")
    assert pose(page)["angle"] == pytest.approx(turned["angle"] / 3, rel=0.2)
    assert page.evaluate("scrollY") == scrolled
    assert page.evaluate("visualViewport.scale") == 1
    assert all(math.isnan(value) for value in spot(page, 1)), "a drag marks nothing"


def test_the_wheel_zooms_a_view_in_focus_and_else_scrolls_the_page(site: Site) -> None:
    page = look(site)
    page.mouse.move(*in_pane(page, 0.5, 0.5))
    page.mouse.wheel(0, -240)
    page.wait_for_timeout(200)
    assert pose(page)["angle"] == 90
    page.locator(".panorama").focus()
    page.mouse.move(*in_pane(page, 0.5, 0.5))
    page.mouse.wheel(0, -240)
    expect(page.locator("frame-view output")).not_to_have_text("Azimuth 0°, elevation 0°, 90° across")
    assert pose(page)["angle"] < 90


def test_without_webgl_the_flat_picture_stays_and_can_be_marked(site: Site) -> None:
    page = site.page(PHONE)
    page.add_init_script(
        """const real = HTMLCanvasElement.prototype.getContext;
        HTMLCanvasElement.prototype.getContext = function (kind, ...rest) {
            return kind.startsWith('webgl') ? null : real.call(this, kind, ...rest);
        };"""
    )
    page.goto(f"{site.url}/patterns/")
    page.wait_for_selector("html[data-frame]", state="attached")
    assert not page.locator(".neat").is_visible()
    image = page.locator("frame-view .flat:visible img")
    expect(image).to_have_js_property("complete", True, timeout=MADE_MS)
    page.evaluate("document.querySelector('frame-view .flat:not([hidden]) img').decode()")
    box = image.bounding_box()
    assert box is not None
    image.tap(position={"x": box["width"] * 0.75, "y": box["height"] * 0.25})
    assert spot(page, 1) == pytest.approx([90.0, 45.0], abs=1.5)
    page.get_by_role("radio", name="Twice").check()
    wider = image.bounding_box()
    assert wider is not None
    assert wider["width"] > 1.7 * box["width"]


def test_a_lost_context_leaves_the_flat_picture(site: Site) -> None:
    site.awaited.append("CONTEXT_LOST_WEBGL")
    page = look(site)
    page.evaluate("document.querySelector('frame-view').painter.gl.getExtension('WEBGL_lose_context').loseContext()")
    expect(page.locator("frame-view .flat img").first).to_be_visible()
    assert not page.locator(".neat").is_visible()


def test_without_scripts_every_picture_lies_there_and_can_be_laid_out_larger(site: Site) -> None:
    look(site)  # has the pictures made
    page = site.page(DESKTOP, java_script_enabled=False)
    page.goto(f"{site.url}/patterns/")
    figures = page.locator("frame-view .flat")
    assert figures.count() == 3
    first = figures.first
    expect(first.locator("img")).to_be_visible()
    before = first.locator("img").bounding_box()
    first.get_by_role("radio", name="4 times").check()
    after = first.locator("img").bounding_box()
    assert before is not None
    assert after is not None
    assert after["width"] > 3.5 * before["width"]
    assert first.locator(".azimuths li").first.is_visible()
    assert not page.locator(".neat").is_visible()
    assert not page.locator("frame-view .tools").first.is_visible()


def test_holding_shows_the_other_frame_of_the_same_spot(site: Site) -> None:
    page = look(site)
    button = page.get_by_role("button", name="Hold to compare")
    box = button.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 10, box["y"] + 10)
    page.mouse.down()
    page.wait_for_selector("frame-view[data-drawn='clean']", state="attached", timeout=MADE_MS)
    expect(page.locator("frame-view [data-caption]")).to_have_text("Shown: Clean")
    page.wait_for_timeout(350)
    page.mouse.up()
    page.wait_for_selector("frame-view[data-drawn='frame']", state="attached")
    button.focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("frame-view[data-drawn='clean']", state="attached")
    assert button.get_attribute("aria-pressed") == "true"


def test_the_phone_turns_the_view_only_when_it_is_asked_to(site: Site) -> None:
    page = look(site, PHONE)
    turn = """angle => { for (const alpha of [0, angle]) dispatchEvent(new DeviceOrientationEvent('deviceorientation',
        {alpha, beta: 90, gamma: 0})); }"""
    page.evaluate(turn, 350)
    assert pose(page)["azimuth"] == 0
    button = page.get_by_role("button", name="Turn by moving")
    button.tap()
    expect(button).to_have_attribute("aria-pressed", "true")
    page.evaluate(turn, 350)
    assert pose(page)["azimuth"] == pytest.approx(10, abs=0.01), "ten degrees clockwise"
    button.tap()
    expect(button).to_have_attribute("aria-pressed", "false")
    page.evaluate(turn, 300)
    assert pose(page)["azimuth"] == pytest.approx(10, abs=0.01)


def test_a_button_elsewhere_points_at_a_place(site: Site) -> None:
    page = look(site, reduced_motion="reduce")
    page.get_by_role("button", name="Show in the frame").click()
    assert pose(page)["azimuth"] == pytest.approx(35)
    expect(page.locator(".spot.role-worst .tag text")).to_have_text("doubling 1.64° at 1.0 m")
    page.get_by_role("button", name="Found").click()
    expect(page.locator(".spot.role-worst")).to_have_count(0)
