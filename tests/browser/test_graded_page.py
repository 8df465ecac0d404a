"""After the answer: what was found is shown on the sheet, other answers can be tried, the next case is one tap away."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Page, Route, expect

from tests.browser.driving import PHONE, Site, rooms_of, spot_on_screen, stations_of
from trainer.drills.models import Answer, Attempt, Grade


def answered(site: Site, page: Page, tap: Callable[..., None], count: int = 2) -> None:
    """Place stations in the first rooms, send them, and wait for the grade."""
    site.start(page)
    for room in rooms_of(page)[:count]:
        tap(page, *room["spot"])
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="Fairly sure").click()
    page.wait_for_url("**/grade/")
    page.wait_for_selector("html[data-ready]", state="attached")


def test_a_mark_shows_its_own_geometry_and_leads_back(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page()
    answered(site, page, tap_plan)
    link = page.locator("[data-show]").first
    number = link.get_attribute("data-show")
    expect(page.locator(".mark-shapes.shown")).to_have_count(0)
    link.click()
    shown = page.locator(f".mark-shapes.shown[data-mark='{number}']")
    expect(shown.first).to_be_attached()
    assert page.locator(f".mark-shapes.shown:not([data-mark='{number}'])").count() == 0
    expect(page.locator("[data-shown]")).to_contain_text(
        page.locator(f".mark[data-mark='{number}'] .said").inner_text()
    )
    page.get_by_role("link", name="Back to the mark").click()
    assert page.evaluate("document.activeElement.dataset.show") == number


def test_no_words_on_the_sheet_lie_on_others(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page(PHONE)
    answered(site, page, tap_plan, 4)
    met = page.evaluate(
        """() => {
            const still = document.querySelector('.sheet:not([hidden]) svg.still');
            const box = (one) => ({words: one.textContent, ...one.getBoundingClientRect().toJSON()});
            const seen = (one) => one.getBoundingClientRect().width && getComputedStyle(one).visibility === 'visible';
            const pick = (which) => [...still.querySelectorAll(which)].filter(seen).map(box);
            const said = pick('.labels text, .lines text, .points text:not(.number), .room-area');
            const all = [...said, ...pick('.room-name')];
            const meet = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
            const on = (a) => all.filter((b) => a.words !== b.words && meet(a, b)).map((b) => [a.words, b.words]);
            return said.flatMap(on);
        }"""
    )
    assert met == []


def test_the_reference_lies_beside_ones_own_only_when_asked_for(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page()
    answered(site, page, tap_plan)
    reference = page.locator(".sheet:not([hidden]) .role-reference").first
    expect(reference).to_be_hidden()
    page.get_by_label("Reference beside yours").check()
    expect(reference).to_be_visible()
    page.get_by_label("Floor seen").uncheck()
    expect(page.locator(".role-seen-once").first).to_be_hidden()


def test_what_if_grades_at_once_keeps_nothing_and_goes_back(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page()
    answered(site, page, tap_plan)
    said = page.locator("[data-verdict]").inner_text()
    drawn = page.locator(".layer.areas").first.inner_html()
    page.get_by_role("button", name="What if").click()
    assert len(stations_of(page)) == 2
    moved = stations_of(page)[0]
    with page.expect_response("**/what-if/") as reply:
        x, y = spot_on_screen(page, moved["x"], moved["y"])
        page.mouse.click(x, y)
        page.get_by_role("button", name="Delete").click()
    assert reply.value.ok
    page.wait_for_selector("[data-regraded]")
    expect(page.locator("[data-verdict]")).to_contain_text("What if:")
    expect(page.locator("[data-shown]")).to_have_text(re.compile(r"What if: [A-Z][a-z ]+, [\d.]+ of 100 points\."))
    assert page.locator(".layer.areas").first.inner_html() != drawn
    assert page.locator(".mark").count() > 2
    page.get_by_role("button", name="Back to what you sent").click()
    assert page.locator("[data-verdict]").inner_text() == said
    assert page.locator(".layer.areas").first.inner_html() == drawn
    assert (Attempt.objects.count(), Answer.objects.count(), Grade.objects.count()) == (1, 1, 1)


def test_what_if_asks_once_at_a_time_and_for_the_newest(site: Site, tap_plan: Callable[..., None]) -> None:
    site.awaited.append("503 (Service Unavailable)")
    asked: list[Route] = []
    page = site.page()
    answered(site, page, tap_plan)
    page.route("**/what-if/", lambda route: asked.append(route))
    page.clock.install()
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    page.get_by_role("button", name="What if").click()
    station = page.locator(".layer.own .station").first
    for _ in range(3):
        station.press("ArrowRight")
        page.clock.run_for(1000)
    assert len(asked) == 1, "no second one before the first is back"
    with page.expect_request("**/what-if/"):
        asked[0].continue_()
    held = stations_of(page)
    assert asked[1].request.post_data_json["answer"]["stations"] == held
    asked[1].fulfill(status=503, json={"detail": "Others are trying things out just now."})
    expect(page.locator("[data-problem]")).to_have_text("Others are trying things out just now.")
    with page.expect_request("**/what-if/"):
        page.clock.run_for(1000)
    assert stations_of(page) == held
    asked[2].continue_()
    expect(page.locator("[data-verdict]")).to_contain_text("What if:")
    expect(page.locator("[data-problem]")).to_be_hidden()


def test_the_grade_is_the_same_page_after_a_reload_and_in_the_record(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page()
    answered(site, page, tap_plan)
    said = page.locator("ol.marks").first.inner_text()
    page.reload()
    assert page.locator("ol.marks").first.inner_text() == said
    page.goto(f"{site.url}/my-record/")
    expect(page.get_by_role("table").last.locator("tbody tr").first).to_contain_text(re.compile(r"\d+\s%, n\s=\s1"))
    page.get_by_role("link", name=site.person.attempts.get().public["title"]).click()
    page.wait_for_url("**/grade/")


def test_feet_and_inches_are_shown_everywhere_once_chosen(site: Site, tap_plan: Callable[..., None]) -> None:
    page = site.page()
    page.goto(f"{site.url}/settings/")
    page.get_by_label("feet and inches").check()
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_text("Kept.")).to_be_visible()
    answered(site, page, tap_plan)
    text = page.get_by_role("main").inner_text() + " ".join(page.locator("svg text").all_text_contents())
    assert not re.search(r"\d m\b|\d m²", text), re.findall(r".{20}\d m[\b²]?.{5}", text)
    assert "″" in text
    assert "ft²" in text
