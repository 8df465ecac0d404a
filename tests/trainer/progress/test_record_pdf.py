"""The sheet as PDF, read back by another library: every word is on one page of the paper asked for. Never skipped."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from trainer.progress.catch_up import catch_up
from trainer.progress.models import ReadinessRecord
from trainer.progress.record_make import in_groups, make_record

pytestmark = pytest.mark.django_db
POINTS_PER_MM = 72 / 25.4
PAPERS = {"record_pdf": (210.0, 297.0), "record_pdf_letter": (215.9, 279.4)}
"""Width and height [mm]: ISO 216 A4, ANSI Letter."""
CHECKED = {
    "outcome": "ready", "words": "Ready, by this check", "on": "2026-03-01", "count": 18, "score": 86.0, "low": 80.0,
    "high": 91.0, "supervised": True, "opened_in_a_year": 2,
}  # fmt: skip


@pytest.fixture
def record(three: Any, graded_row: Callable[..., Any]) -> ReadinessRecord:
    now = timezone.now()
    graded_row(three.insider, {"D1": 1.0, "D2": 0.5}, at=now - timedelta(days=3))
    three.insider.name = "Żaneta Łukasiewicz-Ødegård"
    three.insider.save()
    catch_up()
    made = make_record(
        three.insider, by=three.insider, consent=True, expires_on=now.date() + timedelta(days=30), now=now
    )
    made.body = {**made.body, "check": CHECKED, "shoot": {"on": "2026-02-20", "signed": True}}
    made.save()
    return made


@pytest.mark.parametrize("name", list(PAPERS))
def test_it_is_one_page_of_that_paper_with_every_word_of_the_sheet(
    name: str, record: ReadinessRecord, client: Client, three: Any
) -> None:
    client.force_login(three.insider)
    reply = client.get(reverse(name, args=[record.pk]))
    assert (reply.status_code, reply.headers["Content-Type"]) == (200, "application/pdf")
    read = PdfReader(io.BytesIO(reply.content))
    [page] = read.pages
    found = (float(page.mediabox.width), float(page.mediabox.height))
    assert found == pytest.approx([side * POINTS_PER_MM for side in PAPERS[name]], abs=0.5)
    text = " ".join(page.extract_text().split())
    for words in (
        "Żaneta Łukasiewicz-Ødegård", "Home", "In training", in_groups(record.code), "n = 2 pieces of evidence",
        "rule-1",
        "Critical skills", "Keep the line of sight", "observed shoot", "signed by a trainer",
        "Ready, by this check", "supervised: a trainer sat beside", "Checks opened in the year before: 2",
        "What it proves",
        "What it does not prove", "no certification and no licence", "http://testserver/confirm/",
    ):  # fmt: skip
        assert words in text, words
    assert read.metadata is not None
    assert read.metadata.title == "Readiness record of Żaneta Łukasiewicz-Ødegård"
    assert "/StructTreeRoot" in read.trailer["/Root"], "tagged, so that it can be read aloud"


def test_a_name_is_text_and_nothing_else(record: ReadinessRecord, client: Client, three: Any) -> None:
    record.body = {**record.body, "name": "<img src='http://example.org/x.png'><b>Bold</b>"}
    record.save()
    client.force_login(three.insider)
    text = PdfReader(io.BytesIO(client.get(reverse("record_pdf", args=[record.pk])).content)).pages[0].extract_text()
    assert "<b>Bold</b>" in text
