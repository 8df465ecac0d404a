"""Turning a view: frames a second at 360 x 640 CSS pixels on a software renderer, in a real browser.

The page is served from this process and holds nothing but the view's own modules and a drawn picture, so that only
the view is measured. The peer of the same run is an empty loop of the browser's own animation frames.
"""

from __future__ import annotations

import functools
import http.server
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

STATIC = Path(__file__).resolve().parents[1] / "trainer" / "static"
FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
WIDE_PX, HIGH_PX = 360, 640
TURNS = """async ([wide, high]) => {
    const { Painter } = await import('/frame/painter.js');
    const { Lens } = await import('/frame/sphere.js');
    const canvas = document.body.appendChild(document.createElement('canvas'));
    Object.assign(canvas.style, { width: `${wide}px`, height: `${high}px` });
    const flat = new OffscreenCanvas(2048, 1024);
    const pen = flat.getContext('2d');
    for (let i = 0; i < 400; i++) {
        pen.fillStyle = `hsl(${i * 37} 40% 55%)`;
        pen.fillRect((i * 211) % 2048, (i * 97) % 1024, 160, 90);
    }
    const painter = new Painter(canvas);
    painter.take('frame', await createImageBitmap(flat), 2048);
    const lens = (turn) => new Lens({ azimuth: turn, elevation: 10 * Math.sin(turn / 20), angle: 90 }, wide, high);
    const cost = painter.cost('frame', lens(0), wide, high);
    const scale = Math.min(1, Math.max(0.4, Math.sqrt(7 / cost)));
    const rate = (act) => new Promise((done) => {
        let count = 0;
        const begun = performance.now();
        const step = () => {
            act(count++);
            if (performance.now() - begun < 4000) requestAnimationFrame(step);
            else done(count / (performance.now() - begun) * 1000);
        };
        requestAnimationFrame(step);
    });
    const empty = await rate(() => {});
    const size = [Math.round(wide * scale), Math.round(high * scale)];
    return { cost, scale, empty, turning: await rate((n) => painter.draw('frame', lens(1.5 * n), ...size)) };
}"""


def rows() -> Iterator[tuple[str, str, str]]:
    """Frames a second while the view turns, and what one still drawing takes."""
    with served() as address, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        page = browser.new_page(viewport={"width": 420, "height": 760})
        page.goto(f"{address}/empty")
        found: dict[str, Any] = page.evaluate(TURNS, [WIDE_PX, HIGH_PX])
        browser.close()
    yield (
        f"view of a frame turning, {WIDE_PX} x {HIGH_PX} CSS px, software renderer",
        f"{found['turning']:.0f} frames a second, drawn at {found['scale']:.2f} of the size",
        f"{found['empty']:.0f} of an empty loop",
    )
    yield "the same, one still drawing at full size", f"{found['cost']:.1f} ms", "must 16.7 ms to need no smaller size"


class Quiet(http.server.SimpleHTTPRequestHandler):
    """The site's static files, and one empty page."""

    def do_GET(self) -> None:
        """Answer with a file, or with nothing on an empty page."""
        if self.path == "/empty":
            body = b"<!doctype html><title>view</title>"
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)
            return
        super().do_GET()

    def log_message(self, *words: Any) -> None:
        """Say nothing."""


@contextmanager
def served() -> Iterator[str]:
    """The static files under an address of this machine."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=str(STATIC)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        server.shutdown()
