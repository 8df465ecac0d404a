"""A real Chromium in front of the real site. Any console error, page error or refusal by the content policy fails.

The cases are real ones, made once for the whole run by the same code that stocks the shelf.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, expect, sync_playwright

from tests.browser.driving import Site, keep_rows, kept_rows, spot_on_screen

FLAGS = [
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--enable-unsafe-swiftshader",
    # The last such list counts, so what the driver would switch off itself is in it. The other two start a renderer of
    # the browser's own address bar beside each context, which took a quarter of a processor second.
    "--disable-features=HttpsUpgrades,LazyFrameLoading,MediaRouter,PaintHolding,Translate,WebUIOmniboxAimPopup,"
    "WebUIOmniboxPopup",
]
SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
SEEDS = range(8_200_000_000_000_001, 8_200_000_000_000_041)
WAIT_MS = 20_000
OFFLINE = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")
"""Being offline is what some tests are about; a browser cannot keep quiet about it."""
SLOW = ("GPU stall due to ReadPixels",)
"""What drivers in software remark on drawing a view in three dimensions: a hint on speed, no fault of the page."""

expect.set_options(timeout=WAIT_MS)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Every test here drives a browser."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for the run."""
    path = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if path is None:
        pytest.fail("The browser tests need Chromium: apt-get install chromium (Debian, Ubuntu).")
    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=path, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def shelf_entries() -> list[Any]:
    """The scenario files, read and checked once."""
    from trainer.library.files import read_scenarios
    from trainer.library.shelf import entries_of

    return entries_of(read_scenarios(SCENARIOS))


@pytest.fixture(scope="session")
def made_cases(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of rows of variations by recipe, made by the first test of any worker that needs them."""
    of_worker = tmp_path_factory.getbasetemp()
    folder = (of_worker.parent if "PYTEST_XDIST_WORKER" in os.environ else of_worker) / "made-cases"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture
def site(live_server: Any, browser: Browser, three: Any, shelf_entries: list[Any], made_cases: Path) -> Iterator[Site]:
    """The site with the scenario files on its shelf; a kind's case is put in stock when a test asks for it."""
    from trainer.library import shelf
    from trainer.renders import stock
    from trainer.renders.models import Variation

    shelf.take_in(shelf_entries, timezone.now())
    contexts: list[BrowserContext] = []
    heard: list[str] = []

    def listen(said: ConsoleMessage) -> None:
        if said.type in {"error", "warning"}:
            heard.append(f"{said.type}: {said.text}")

    def open_context(**options: Any) -> BrowserContext:
        context = browser.new_context(**options)
        context.set_default_timeout(WAIT_MS)
        context.on(
            "console",
            lambda said: heard.append(f"{said.type}: {said.text}") if said.type in {"error", "warning"} else None,
        )
        context.on("weberror", lambda error: heard.append(f"page error: {error.error}"))
        contexts.append(context)
        return context

    def put_in_stock(kind: str) -> str:
        recipe = recipes[kind]
        kept = made_cases / f"{recipe}.json"
        if not kept.exists():
            made_of = shelf.basis(recipe)
            rows = (stock.make_one(made_of, seed, timezone.now()) for seed in SEEDS)
            found = next((row for row in rows if row is not None), None)
            assert found is not None, f"no fair case of {recipe} among {len(SEEDS)} seeds"
            keep_rows(kept, [found])
        elif not Variation.objects.filter(recipe=recipe).exists():
            for row in kept_rows(kept):
                row.save(force_insert=True)
        return recipe

    recipes: dict[str, str] = {}
    for recipe in sorted(
        shelf.recipes(), key=lambda r: (len(shelf.floor(r.floor).levels), _size(shelf.floor(r.floor)))
    ):
        recipes.setdefault(recipe.kind, recipe.name)
    running = Site(live_server.url, three.insider, recipes, "studio", open_context, put_in_stock)
    yield running
    for context in contexts:
        context.close()
    faults = [one for one in heard if not any(part in one for part in (*OFFLINE, *SLOW, *running.awaited))]
    assert not faults, f"the browser complained: {faults}"


def _size(plan: Any) -> int:
    """Small places first: their cases are made in a moment."""
    return 100 * len(plan.levels) + sum(len(level.spaces) + len(level.things) for level in plan.levels)


@pytest.fixture
def tap_plan() -> Callable[..., None]:
    """Tap a spot of the shown plan, given in metres."""

    def tap(page: Page, x: float, y: float, by: str = "mouse") -> None:
        px, py = spot_on_screen(page, x, y)
        if by == "touch":
            page.touchscreen.tap(px, py)
        else:
            page.mouse.click(px, py)

    return tap
