"""Pictures that come late, often or close: what is shown is the picture that was asked for last, and none is held."""

from __future__ import annotations

import base64
import io
import json
import re
from collections.abc import Callable

from PIL import Image
from playwright.sync_api import Page, Route

from tests.browser.driving import DESKTOP, Site

START = "/bench/?floor=studio&light=cloud&fault=F1&offset_mm=10"
COLOURS = {10.0: (200, 40, 40), 20.0: (40, 160, 60), 30.0: (50, 70, 200)}
"""What the frame of each offset of the lens [mm] is painted with."""
TURN = """() => {
    const view = document.querySelector('frame-view');
    view.turnBy(1, 0);
    return new Promise((done) => {
        const look = () => (view.moving ? requestAnimationFrame(look) : done());
        look();
    });
}"""
MIDDLE = """() => {
    const view = document.querySelector('frame-view');
    const { gl } = view.painter;
    view.painter.draw('frame', view.lens(), 65, 65);
    const seen = new Uint8Array(4);
    gl.readPixels(32, 32, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, seen);
    return [...seen.slice(0, 3)];
}"""
NOTE_BITMAPS = """window.bitmaps = [];
const decoded = window.createImageBitmap.bind(window);
window.createImageBitmap = async (...from) => {
    const one = await decoded(...from);
    window.bitmaps.push(one);
    return one;
};"""
ALL_DRAWN_AND_LET_GO = """() => {
    const { painter, supply } = document.querySelector('frame-view');
    return painter.tiles.size && !supply.asked.size && bitmaps.every((one) => one.width === 0);
}"""


def show(route: Route, offset_mm: float, part: str) -> None:
    """Give a frame of one colour, or a tile of it."""
    size = (1024, 1024) if "-" in part else (int(part), int(part) // 2)
    out = io.BytesIO()
    Image.new("RGB", size, COLOURS[offset_mm]).save(out, "JPEG")
    route.fulfill(content_type="image/jpeg", body=out.getvalue())


def at_the_bench(site: Site, give: Callable[[Route, float, str], None]) -> Page:
    """The bench, once its frame is drawn; ``give`` answers for each frame by its offset [mm] and part."""

    def answer(route: Route) -> None:
        word, name, part = re.findall(r"/bench/([\w-]+)/([\w-]+)/([\w-]+)\.jpg", route.request.url)[0]
        fields = json.loads(base64.urlsafe_b64decode(word + "=" * (-len(word) % 4)))
        if name == "frame":
            give(route, float(fields["offset_mm"]), part)
        else:
            show(route, 10.0, part)

    page = site.page(DESKTOP)
    page.add_init_script(NOTE_BITMAPS)
    page.route("**/bench/*/*/*.jpg", answer)
    page.goto(site.url + START, wait_until="domcontentloaded")
    page.wait_for_selector("html[data-ready]", state="attached")
    page.wait_for_selector("frame-view[data-drawn='frame']", state="attached")
    return page


def test_a_late_picture_of_the_set_up_before_is_not_shown(site: Site) -> None:
    late: dict[float, tuple[Route, float, str]] = {}

    def give(route: Route, offset_mm: float, part: str) -> None:
        if offset_mm > 10 and part != "512":
            late[offset_mm] = (route, offset_mm, part)
        else:
            show(route, offset_mm, part)

    page = at_the_bench(site, give)
    for offset_mm in (20.0, 30.0):
        page.locator("input[name='offset_mm']").fill(f"{offset_mm:g}")
        while offset_mm not in late:
            page.evaluate(TURN)
    for offset_mm in (20.0, 30.0):
        decoded = page.evaluate("bitmaps.length")
        show(*late[offset_mm])
        page.wait_for_function("(before) => bitmaps.length > before", arg=decoded)
        off = [abs(seen - meant) for seen, meant in zip(page.evaluate(MIDDLE), COLOURS[30.0], strict=True)]
        assert max(off) < 12, off
    assert page.evaluate("document.querySelector('frame-view').painter.widthOf('frame')") > 512


def test_a_wide_picture_on_its_way_is_asked_for_once(site: Site) -> None:
    wide: list[str] = []

    def give(route: Route, offset_mm: float, part: str) -> None:
        if part == "1024":
            show(route, offset_mm, part)
        else:
            wide.append(part)

    page = at_the_bench(site, give)
    for _ in range(4):
        page.evaluate(TURN)
    assert len(wide) == 1


def test_a_close_tile_that_is_wanted_twice_is_drawn_and_let_go(site: Site) -> None:
    tiles: list[tuple[Route, float, str]] = []
    come = False

    def give(route: Route, offset_mm: float, part: str) -> None:
        if "-" in part and not come:
            tiles.append((route, offset_mm, part))
        else:
            show(route, offset_mm, part)

    page = at_the_bench(site, give)
    for _ in range(4):
        page.get_by_role("button", name="Zoom in", exact=True).click()
    while not tiles:
        page.evaluate(TURN)
    page.evaluate(TURN)
    come = True
    for one in tiles:
        show(*one)
    page.wait_for_function(ALL_DRAWN_AND_LET_GO)
