"""Without a connection open work can be reloaded and answered; nothing else is kept, and nothing of somebody else."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.driving import PHONE, Site, rooms_of, stations_of
from tests.browser.line import Line
from tests.ways import second
from trainer.drills.models import Answer, Attempt, Grade

GRADE = re.compile(r"/grade/")
KEPT = """async () => {
    const found = [];
    for (const name of await caches.keys())
        for (const request of await (await caches.open(name)).keys()) found.push(new URL(request.url).pathname);
    return found.filter((path) => !path.startsWith('/static/')).sort();
}"""


@pytest.fixture
def line(site: Site) -> Iterator[Line]:
    """The browser's line to the site; being cut off is what these tests are about."""
    line = Line(site.url)
    site.url = line.url
    site.awaited.append("net::ERR_")
    yield line
    line.close()


def kept_paths(page: Page) -> list[str]:
    """Paths that this browser keeps, files left out."""
    found: list[str] = page.evaluate(KEPT)
    return found


def until_kept(page: Page, path: str) -> None:
    """Wait until the browser's worker keeps that page and every file that it is made of."""
    page.wait_for_function(
        f"""async (path) => {{
            const files = performance.getEntriesByType('resource').map((one) => one.name);
            for (const name of files.filter((one) => one.includes('/static/')))
                if (!await caches.match(name, {{ignoreVary: true}})) return false;
            return (await ({KEPT})()).includes(path);
        }}""",
        arg=path,
    )


def open_case(site: Site) -> tuple[BrowserContext, Page, str]:
    """A phone with an open case on it, kept for hours without a connection."""
    page = site.page(PHONE)
    address = site.start(page)
    until_kept(page, address.removeprefix(site.url))
    return page.context, page, address


def test_an_open_case_is_reloaded_and_answered_offline_and_graded_once(
    site: Site, line: Line, tap_plan: Callable[..., None]
) -> None:
    context, page, _ = open_case(site)
    tap_plan(page, *rooms_of(page)[0]["spot"], by="touch")
    line.cut(context)
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    assert len(stations_of(page)) == 1
    tap_plan(page, *rooms_of(page)[1]["spot"], by="touch")
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    expect(page.get_by_text("Kept on this phone, will send.")).to_be_visible()
    page.reload()
    expect(page.get_by_text("Kept on this phone, will send.")).to_be_visible()
    assert Answer.objects.count() == 0
    line.mend(context)
    page.wait_for_url(GRADE)
    assert Attempt.objects.count() == Answer.objects.count() == Grade.objects.count() == 1
    assert len(Answer.objects.get().body["stations"]) == 2


@pytest.mark.parametrize("status", [503, *second(502, 504)])
def test_a_kept_case_is_shown_where_a_gateway_answers_for_the_site(
    site: Site, line: Line, tap_plan: Callable[..., None], status: int
) -> None:
    site.awaited.append(f"status of {status}")
    context, page, address = open_case(site)
    line.answer(status)
    page.goto(address)
    page.wait_for_selector("html[data-ready]", state="attached")
    tap_plan(page, *rooms_of(page)[0]["spot"], by="touch")
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="Fairly sure").tap()
    expect(page.get_by_text("Kept on this phone, will send.")).to_be_visible()
    line.mend(context)
    page.wait_for_url(GRADE)
    assert Answer.objects.count() == 1


@pytest.mark.parametrize("status", [500, *second(429)])
def test_a_fault_of_the_moment_takes_no_page_from_the_phone(site: Site, line: Line, status: int) -> None:
    site.awaited.append(f"status of {status}")
    context, page, address = open_case(site)
    line.answer(status)
    page.goto(address)
    expect(page.get_by_text(str(status))).to_be_visible()
    line.mend(context)
    page.goto(f"{site.url}/")
    until_kept(page, "/")
    assert kept_paths(page) == ["/", address.removeprefix(site.url), "/offline/"]


def test_a_page_that_is_not_kept_names_those_that_are(site: Site, line: Line) -> None:
    context, page, address = open_case(site)
    line.cut(context)
    page.goto(f"{site.url}/my-record/")
    expect(page.get_by_role("heading", name="No connection")).to_be_visible()
    page.locator("[data-kept-pages] a").first.tap()
    page.wait_for_url(address)
    page.wait_for_selector("html[data-ready] plan-sheet")


def test_only_open_work_is_kept_and_only_while_it_is_open(site: Site, tap_plan: Callable[..., None]) -> None:
    _, page, address = open_case(site)
    open_path = address.removeprefix(site.url)
    for path in ("/", "/drills/", "/my-record/", "/settings/"):
        page.goto(site.url + path)
    assert page.evaluate("fetch('/api/recipes/').then((reply) => reply.status)") == 200
    until_kept(page, "/")
    assert kept_paths(page) == ["/", open_path, "/offline/"]
    page.goto(address)
    page.wait_for_selector("html[data-ready]", state="attached")
    tap_plan(page, *rooms_of(page)[0]["spot"], by="touch")
    page.get_by_role("button", name="Answer").tap()
    page.get_by_role("button", name="A guess").tap()
    page.wait_for_url(GRADE)
    assert kept_paths(page) == ["/", "/offline/"]


def test_signing_out_empties_the_phone(site: Site) -> None:
    _, page, _ = open_case(site)
    page.goto(f"{site.url}/settings/")
    page.get_by_role("button", name="Sign out", exact=True).tap()
    page.wait_for_selector("body:not([data-signed-in])")
    page.wait_for_function(f"async () => (await ({KEPT})()).length === 1")
    assert kept_paths(page) == ["/offline/"]


def test_another_person_on_the_same_phone_finds_nothing(site: Site, three: Any) -> None:
    context, page, _ = open_case(site)
    site.person = three.mate
    context.clear_cookies()
    site.sign_in(context)
    page.goto(f"{site.url}/")
    page.wait_for_selector("html[data-everywhere]", state="attached")
    until_kept(page, "/")
    page.wait_for_function(f"async () => (await ({KEPT})()).length === 2")
    assert kept_paths(page) == ["/", "/offline/"]
