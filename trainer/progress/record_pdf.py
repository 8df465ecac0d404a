"""The sheet of a readiness record as PDF, from the same template as the page; nothing is fetched to make it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

STYLE = settings.ROOT / "trainer" / "static" / "look" / "record_pdf.css"
PAGE_SIZES = {"a4": "A4", "letter": "Letter"}


class NoPrinter(Exception):
    """The machine lacks what PDF takes; the message is for people."""


def pdf_of(context: Mapping[str, Any], paper: str) -> bytes:
    """The sheet as PDF on "a4" or "letter" paper. Raises NoPrinter where the library's system parts are missing."""
    try:
        # Loaded only here: it takes a second, and it needs Pango, which not every machine has.
        from weasyprint import CSS, HTML
        from weasyprint.urls import URLFetcher
    except OSError:
        raise NoPrinter(
            "This machine cannot make PDF: its text library (Pango) is missing. Print the page instead; "
            "every browser can save what it prints as PDF."
        ) from None
    nowhere = URLFetcher(allowed_protocols=())
    style = f"@page {{ size: {PAGE_SIZES[paper]} }}\n{STYLE.read_text(encoding='utf-8')}"
    text = str(render_to_string("progress/record_pdf.html", dict(context)))
    # The library styles no drawing by the page's rules, only by attributes of its own.
    text = text.replace('<svg class="shape"', '<svg class="shape" fill="none" stroke="#000" stroke-width="3"')
    page = HTML(string=text, url_fetcher=nowhere)
    made: bytes = page.write_pdf(stylesheets=[CSS(string=style, url_fetcher=nowhere)], pdf_variant="pdf/ua-1")
    return made


__all__ = ["NoPrinter", "pdf_of"]
