"""Terms: each in plain words on a page for everyone, and linked where a graded page first uses it."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from scoring.kinds.causes import CAUSES, CUES
from scoring.kinds.frame_fixes import fix
from scoring.kinds.frame_signs import LOOKED_AT, sign_marks
from scoring.kinds.frame_words import QUANTITIES, found, number
from tests.scoring.kinds.looked_at import ALL_CODES, known, signed
from tests.scoring.kinds.shipped import standard
from trainer.library.terms import GROUPS, Explained, terms_in

TERMS = [term for _, terms in GROUPS for term in terms]


def test_everybody_may_read_the_terms_and_each_has_a_place_of_its_own(client: Client) -> None:
    reply = client.get(reverse("terms"))
    assert reply.status_code == 200
    page = reply.content.decode()
    for term in TERMS:
        assert page.count(f'id="term-{term.slug}"') == 1
        assert term.word in page
    assert f'href="{reverse("terms")}"' in client.get(reverse("cautions")).content.decode()


@pytest.mark.parametrize("term", TERMS, ids=lambda term: term.slug)
def test_a_term_is_explained_in_full_sentences_by_other_words(term: Any) -> None:
    assert term.meaning.endswith(".")
    assert 4 <= len(term.meaning.split()) <= 50
    assert not re.search(r"\b(?:nodal|radiometric|equirectangular)\b", term.meaning)


def test_a_term_is_linked_where_it_is_first_used_and_listed_in_that_order() -> None:
    page = Explained()
    first = page.linked("Jambs lean at azimuth 20°, <b> by 0.3 EV.")
    assert first == (
        '<a class="term" href="#term-jamb">Jambs</a> lean at <a class="term" href="#term-azimuth">azimuth</a> 20°, '
        '&lt;b&gt; by 0.3 <a class="term" href="#term-ev">EV</a>.'
    )
    assert page.linked("At azimuth 30° a jamb leans.") == "At azimuth 30° a jamb leans."
    assert [term.slug for term in page.used] == ["jamb", "azimuth", "ev"]


def test_words_that_only_hold_a_term_are_not_linked() -> None:
    assert terms_in(["Everybody believes, subheadings, seamless, ev, axisymmetric"]) == []


def test_where_two_terms_overlap_the_longer_one_is_linked_and_the_other_waits() -> None:
    page = Explained()
    assert page.linked("an upper-middle tone, a haze").count("<a ") == 2
    assert [term.slug for term in page.used] == ["middle-tone", "haze"]


HARD = (
    "azimuth",
    "elevation",
    "jamb",
    "EV",
    "mired",
    "seam",
    "heading",
    "plumb",
    "cusp",
    "crescent",
    "scallops",
    "axis",
)


@pytest.mark.parametrize("word", HARD)
def test_a_word_that_nobody_knows_at_first_is_explained_wherever_a_grade_uses_it(word: str) -> None:
    texts = [*CUES.values(), *(where for where, _ in LOOKED_AT), *(number(quantity, 0.3) for quantity in QUANTITIES)]
    for code in ALL_CODES:
        of = signed(known(code, 1), 1)
        facts = of.facts(standard())
        code = of.choice
        texts += [found(code, facts), fix(code, facts), CAUSES[code].title]
        texts += [mark.words for mark in sign_marks(of, facts, standard())]
    using = [text for text in texts if re.search(rf"\b{word}s?\b", text)]
    assert using
    for text in using:
        assert any(re.search(rf"\b{word}", term.word, re.IGNORECASE) for term in terms_in([text])), text
