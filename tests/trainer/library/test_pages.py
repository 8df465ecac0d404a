"""The pages of places, cautions and patterns."""

from __future__ import annotations

import json
from typing import Any

import html5lib
import pytest
from django.test import Client
from django.urls import reverse

pytestmark = pytest.mark.django_db


@pytest.fixture
def insider(three: Any) -> Client:
    """The insider's browser."""
    client = Client()
    client.force_login(three.insider)
    return client


def read(client: Client, address: str) -> str:
    reply = client.get(address)
    assert reply.status_code == 200
    text = reply.content.decode()
    html5lib.HTMLParser(strict=True).parse(text)
    return text


def test_places_are_drawn_and_lead_to_trying_them(insider: Client, stocked: Any) -> None:
    page = read(insider, reverse("places"))
    assert reverse("try", args=["two-rooms"]) in page
    assert 'class="wall"' in page


def test_a_place_to_try_carries_the_walls_of_its_bands_and_no_reference(insider: Client, stocked: Any) -> None:
    page = read(insider, reverse("try", args=["two-rooms"]))
    data = json.loads(page.split('id="sheet-data" type="application/json">')[1].split("</script>")[0])
    assert set(data) == {"levels", "bands", "limits", "first"}
    assert {space["band"] for space in data["levels"][0]["spaces"]} <= set(range(len(data["bands"])))
    assert all(band["sight"] and band["walk"] for band in data["bands"])


@pytest.mark.parametrize("slug", ["no-such-place", "x" * 50])
def test_a_place_that_is_not_on_the_shelf_is_not_here(insider: Client, stocked: Any, slug: str) -> None:
    assert insider.get(reverse("try", args=[slug])).status_code == 404


def test_an_unknown_kit_falls_back_to_one_on_the_shelf(insider: Client, stocked: Any) -> None:
    page = read(insider, reverse("try", args=["two-rooms"]) + "?kit=<script>")
    assert "<script>alert" not in page
    assert 'value="heron-three" selected' in page


def test_cautions_are_open_to_everyone_and_defer_to_local_codes(client: Client) -> None:
    page = read(client, reverse("cautions"))
    for words in ("Local codes", "licensed practice", "owner of the site", "no code check", "fan off"):
        assert words in page


def test_patterns_show_every_verdict_and_every_icon(insider: Client, stocked: Any) -> None:
    from trainer.library.icons import ICONS

    page = read(insider, reverse("patterns"))
    for word in ("Holds", "Look again", "Fails", *ICONS):
        assert word in page


@pytest.mark.parametrize("name", ["places", "patterns"])
def test_a_passer_by_is_sent_to_sign_in(client: Client, name: str) -> None:
    assert client.get(reverse(name)).status_code == 302
