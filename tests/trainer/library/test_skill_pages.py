"""The page of the skill map."""

from __future__ import annotations

from typing import Any

import html5lib
import pytest
from django.test import Client
from django.urls import reverse

from trainer.library.shelf import recipes
from trainer.library.skills import group_names, practising, skill_map

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(stocked: Any, three: Any) -> str:
    client = Client()
    client.force_login(three.insider)
    text = client.get(reverse("skills")).content.decode()
    html5lib.HTMLParser(strict=True).parse(text)
    return text


def test_every_skill_is_there_with_its_words_and_cautions(page: str) -> None:
    from django.utils.html import escape

    for skill in skill_map().values():
        for words in (skill["name"], skill["words"], skill["shows"], *skill["cautions"]):
            assert escape(words) in page, skill["code"]
    assert all(escape(name) in page for name in group_names().values())
    assert page.count("★</span>") == sum(skill["star"] for skill in skill_map().values())


def test_it_names_the_drills_that_tell_of_a_skill(page: str) -> None:
    assert page.count("<li>Two rooms") == 2
    assert 'Two rooms <span class="quiet">(in part)</span>' in page
    assert "None yet. A signed shoot has to show it." in page


@pytest.mark.usefixtures("stocked")
def test_drills_come_under_each_of_their_skills_their_first_one_first() -> None:
    found = practising(recipes())
    assert {skill: [recipe.name for recipe in some] for skill, some in found.items()} == {
        "D1": ["two-rooms-place"],
        "D2": ["two-rooms-place"],
    }
