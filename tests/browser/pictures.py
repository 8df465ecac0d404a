"""`make pictures`: start the site with its invented firm, use it as a person does, and take the README's pictures."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
OUT = ROOT / "docs" / "pictures"
SEED = 8_200_000_000_000_001
FRAME = "cause-doubled-open-plan"
SHARPER_MS = 4000
"""Time for the close tiles of a view to come in; a picture waits for them, no test does."""
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True, "device_scale_factor": 2}
FLAGS = ["--no-sandbox", "--disable-dev-shm-usage", "--enable-unsafe-swiftshader"]
DESK = {"viewport": {"width": 1280, "height": 800}, "device_scale_factor": 1}


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The site as `make run` sets it up, in a folder of its own; yields its address."""
    os.environ.update(
        LEVELHEAD_VAR=str(folder),
        DATABASE_URL=f"sqlite:///{folder}/pictures.sqlite3",
        LEVELHEAD_DEMO="1",
        DJANGO_SETTINGS_MODULE="trainer.config.settings",
        DJANGO_ALLOW_ASYNC_UNSAFE="true",
    )
    import django

    django.setup()
    from django.core.management import call_command

    from trainer.config.serve import wait_for, web_command

    for command in ("migrate", "library", "demo"):
        call_command(command, verbosity=0)
    make_case()
    make_frame()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    web = subprocess.Popen(web_command(f"127.0.0.1:{port}"), cwd=ROOT)
    try:
        if not wait_for(web, "127.0.0.1", port):
            raise RuntimeError("the site did not start")
        yield f"http://127.0.0.1:{port}"
    finally:
        web.terminate()
        web.wait()


def make_case() -> None:
    """Put one case of the smallest recipe to place stations into stock."""
    from django.utils import timezone

    from trainer.library import shelf
    from trainer.renders.stock import make_one

    placing = [recipe for recipe in shelf.recipes() if recipe.kind == "place"]
    recipe = min(placing, key=lambda one: sum(len(level.spaces) for level in shelf.floor(one.floor).levels))
    made_of = shelf.basis(recipe.name)
    if not any(make_one(made_of, seed, timezone.now()) for seed in range(SEED, SEED + 40)):
        raise RuntimeError(f"no fair case of {recipe.name}")


def make_frame() -> None:
    """Put one case that is looked at into stock, with its pictures."""
    from django.utils import timezone

    from trainer.library import shelf
    from trainer.renders.stock import make_one

    made_of = shelf.basis(FRAME)
    if not any(make_one(made_of, seed, timezone.now()) for seed in range(SEED, SEED + 40)):
        raise RuntimeError(f"no fair case of {FRAME}")


def look_at_frame(page: Page, url: str) -> dict[str, Any]:
    """Open the case that is looked at and wait until it is drawn; what its key knows."""
    from trainer.drills.models import Attempt

    page.goto(f"{url}/drills/")
    page.locator(f"form[action$='/{FRAME}/start/'] button").click()
    page.wait_for_selector("frame-view[data-drawn]", state="attached", timeout=60_000)
    page.wait_for_timeout(SHARPER_MS)
    known: dict[str, Any] = Attempt.objects.get(pk=page.url.rstrip("/").rsplit("/", 1)[1]).key["known"]
    return known


def sign_in(page: Page, url: str, folder: Path, who: str) -> None:
    """Come in as one of the invented people, as a person does."""
    page.goto(f"{url}/account/sign-in/")
    page.get_by_label("Email").fill(f"{who}@levelhead.example")
    page.get_by_label("Password", exact=True).fill((folder / "demo_sign_in").read_text().strip())
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{url}/")


def start_case(page: Page, url: str) -> list[tuple[float, float]]:
    """Open the case; the spots to place: its reference, the last one left out so that there is something to see."""
    from trainer.drills.models import Attempt
    from trainer.renders.models import Variation

    recipe = Variation.objects.get(task__kind="place").recipe
    page.goto(f"{url}/drills/")
    page.locator(f"form[action$='/{recipe}/start/'] button").click()
    page.wait_for_selector("html[data-ready]", state="attached")
    attempt = Attempt.objects.get(pk=page.url.rstrip("/").rsplit("/", 1)[1])
    return [(x, y) for level, x, y in attempt.key["reference"]["stations"] if level == 0][:-1]


def put(page: Page, spots: list[tuple[float, float]]) -> None:
    """Tap the plan at each spot."""
    from tests.browser.driving import spot_on_screen

    for spot in spots:
        page.mouse.click(*spot_on_screen(page, *spot))


def answer(page: Page) -> None:
    """Send the answer, fairly sure, and wait for the grade."""
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="Fairly sure").click()
    page.wait_for_selector(".verdict .word")
    page.wait_for_selector("html[data-ready]", state="attached")
    page.evaluate("scrollTo({top: 0, behavior: 'instant'})")


def take(page: Page, name: str) -> None:
    """Keep what is on the screen."""
    OUT.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=OUT / f"{name}.png", animations="disabled")
    print(f"docs/pictures/{name}.png")


def on_a_phone(page: Page, url: str, folder: Path) -> None:
    """Placing, and the grade."""
    sign_in(page, url, folder, "operator")
    spots = start_case(page, url)
    put(page, spots[: max(2, len(spots) - 1)])
    page.evaluate("document.querySelector('plan-sheet').scrollIntoView({block: 'start', behavior: 'instant'})")
    take(page, "placing-phone")
    answer(page)
    take(page, "graded-phone")
    look_at_frame(page, url)
    take(page, "frame-phone")


def on_a_desk(page: Page, url: str, folder: Path) -> None:
    """The grade beside its marks, and trying out."""
    sign_in(page, url, folder, "mate")
    put(page, start_case(page, url))
    answer(page)
    take(page, "graded-desk")
    page.goto(f"{url}/places/two-bedroom-corner-hall/")
    page.wait_for_selector("html[data-ready]", state="attached")
    from tests.browser.driving import rooms_of

    put(page, [tuple(room["spot"]) for room in rooms_of(page)[:4]])
    take(page, "try-desk")
    known = look_at_frame(page, url)
    for name, value in (("cause", known["code"].replace("N1", "N0")), ("cue", known["cue"])):
        page.locator(f"input[name='{name}'][value='{value}']").check()
    answer(page)
    page.wait_for_selector("frame-view[data-drawn]", state="attached", timeout=60_000)
    page.wait_for_timeout(SHARPER_MS)
    take(page, "frame-graded-desk")


def main() -> int:
    """Take every picture; the exit code."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if chromium is None:
        print("The pictures need Chromium: apt-get install chromium (Debian, Ubuntu).", file=sys.stderr)
        return 1
    with tempfile.TemporaryDirectory() as name, served(Path(name)) as url, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium, args=FLAGS)
        for device, use in ((PHONE, on_a_phone), (DESK, on_a_desk)):
            options: dict[str, Any] = device
            context = browser.new_context(**options)
            use(context.new_page(), url, Path(name))
            context.close()
        browser.close()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
