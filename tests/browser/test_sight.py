"""Sight is computed twice, in the engine and in the browser: both must give the same answers."""

from __future__ import annotations

import random
import re
from typing import Any

import pytest
from playwright.sync_api import expect
from shapely import Polygon

from scoring.floor.bands import band
from scoring.floor.links import link
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.sight import visibility
from tests.browser.driving import Site, rooms_of, spot_on_screen
from tests.ways import second

SIGHT = """async ({spots, at}) => {
    const { wallsOf, visibility, areaOf, link } = await import(at);
    const { bands, levels, limits } = JSON.parse(document.getElementById('sheet-data').textContent);
    const walls = bands.map(one => ({sight: wallsOf(one.sight), walk: wallsOf(one.walk)}));
    const areas = spots.map(s => areaOf(visibility(walls[s.band].sight, s.x, s.y)));
    const links = [];
    for (let i = 0; i < spots.length; i++) for (let j = i + 1; j < spots.length; j++) {
        const [a, b] = [spots[i], spots[j]];
        if (a.band !== b.band) continue;
        const longest = a.outdoor || b.outdoor ? limits.longest_outdoor : limits.longest;
        const one = link(walls[a.band].walk, a, b, {strip: limits.strip, longest});
        links.push([i, j, one.length, one.clear, one.fault]);
    }
    return {areas, links};
}"""


def spots_in(page: Any, seed: int, each: int) -> list[dict[str, Any]]:
    """Random spots inside the rooms of every level, by room."""
    data = page.evaluate("JSON.parse(document.getElementById('sheet-data').textContent)")
    draw = random.Random(seed)
    spots = []
    for level, storey in enumerate(data["levels"]):
        for space in storey["spaces"]:
            room = Polygon(space["outline"])
            west, south, east, north = room.bounds
            found = 0
            while found < each:
                x, y = round(draw.uniform(west, east), 3), round(draw.uniform(south, north), 3)
                if room.buffer(-0.05).contains(Polygon([(x, y), (x + 1e-6, y), (x, y + 1e-6)])):
                    spots.append({"level": level, "x": x, "y": y, "band": space["band"], "outdoor": space["outdoor"]})
                    found += 1
    return spots


@pytest.mark.parametrize("floor", ["great-house", "split-level", *second("bungalow", "mirror-flat")])
def test_the_browser_and_the_engine_see_alike(site: Site, floor: str) -> None:
    from trainer.library import shelf
    from trainer.library.trial import place_for

    kit = shelf.kit(shelf.names(shelf.What.KIT)[0])
    standard, _ = shelf.house_standard()
    place: Place = place_for(shelf.floor(floor), kit, standard)
    page = site.page()
    page.goto(f"{site.url}/places/{floor}/?kit={kit.name}")
    page.wait_for_selector("html[data-ready]", state="attached")
    spots = spots_in(page, seed=7, each=2)
    found = page.evaluate(SIGHT, {"spots": spots, "at": f"{site.url}/static/sheet/sight.js"})
    stations = [Station(level=s["level"], x=s["x"], y=s["y"]) for s in spots]
    compared = 0
    for station, area in zip(stations, found["areas"], strict=True):
        z = place.lens_z(station)
        if z is None:
            continue
        sight = band(place, station.level, z, walk=False)
        try:
            polygon = visibility(sight.edges, station.x, station.y)
        except ValueError:
            continue  # the spot is inside a thing: nothing is seen from there
        assert area == pytest.approx(Polygon(polygon).area, rel=1e-6)
        compared += 1
    assert compared >= len(stations) // 2
    for i, j, length, clear, fault in found["links"]:
        if place.lens_z(stations[i]) is None or place.lens_z(stations[j]) is None:
            continue
        engine = link(place, stations[i], stations[j])
        assert length == pytest.approx(engine.length_m, abs=1e-9)
        assert clear == pytest.approx(engine.clear_m, abs=1e-6)
        assert fault == engine.fault
    assert len(found["links"]) > 10


def test_trying_a_place_shows_sight_and_links_while_a_station_moves_and_keeps_nothing(site: Site) -> None:
    from trainer.drills.models import Attempt

    page = site.page()
    page.goto(f"{site.url}/places/{site.floor}/")
    page.wait_for_selector("html[data-ready]", state="attached")
    with page.expect_response("**/survey/") as surveyed:
        for room in rooms_of(page)[:2]:
            page.mouse.click(*spot_on_screen(page, *room["spot"]))
    assert surveyed.value.ok
    picture = "document.querySelector('.sheet:not([hidden]) canvas').toDataURL()"
    before = page.evaluate(picture)
    station = page.evaluate("document.querySelector('plan-sheet').stations.list[0]")
    x, y = spot_on_screen(page, station["x"], station["y"])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 25, y + 15, steps=3)
    page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    assert page.evaluate(picture) != before, "sight follows before the finger is lifted"
    page.mouse.up()
    page.wait_for_selector("[data-covers] tbody tr")
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    assert page.locator(".layer.own .station").count() == 0
    assert Attempt.objects.count() == 0


def test_the_plan_shows_what_is_cut_off_and_by_what(site: Site) -> None:
    page = site.page()
    page.goto(f"{site.url}/places/one-bedroom/")
    page.wait_for_selector("html[data-ready]", state="attached")
    rooms = {room["name"]: room["spot"] for room in rooms_of(page)}
    put = "spots => document.querySelector('plan-sheet').stations.replace(spots.map(([x, y]) => ({level: 0, x, y})))"
    page.evaluate(put, [rooms["Bedroom"], rooms["Bathroom"]])
    joined = page.locator("[data-joined]")
    expect(joined).to_have_text(
        re.compile(r"^Cut off: [12] \((Bedroom|Bathroom)\)\. Bars stand where something ends the nearest sight\.$")
    )
    expect(page.locator(".trial-links .link.blocked")).to_have_count(1)
    page.get_by_role("button", name="Zoom in").click()
    expect(page.locator(".trial-links .bars")).to_have_count(1)
    page.evaluate(put, [rooms["Bedroom"]])
    expect(joined).to_have_text("One station so far.")
    expect(page.locator(".trial-links .bars")).to_have_count(0)


PUT = """count => {
    const sheet = document.querySelector('plan-sheet');
    const spaces = JSON.parse(document.getElementById('sheet-data').textContent).levels[0].spaces;
    sheet.stations.replace(spaces.slice(0, count).map(s => ({level: 0, x: s.spot[0], y: s.spot[1]})));
    return sheet.stations.list.length;
}"""


def test_twelve_stations_are_shown_on_the_great_house(site: Site) -> None:
    page = site.page()
    page.goto(f"{site.url}/places/great-house/")
    page.wait_for_selector("html[data-ready]", state="attached")
    assert page.evaluate(PUT, 12) == 12
    expect(page.locator(".sheet:not([hidden]) canvas")).to_have_attribute("data-sights", "12")
