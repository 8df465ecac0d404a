"""What was sent after the session had ended: nothing was entered, that is told, and signing in leads back to the form.

Without this one came, after signing in, to an address that only takes forms, and could think that it had been taken.
"""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode, urlsplit

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import resolve_url
from django.utils.http import url_has_allowed_host_and_scheme

WORDS = "You were signed out before that arrived, so nothing was entered. Sign in, then send it again."


def signed_out_middleware(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Lead whoever sent a form and has to sign in first back to the page that the form stands on."""

    def ask(request: HttpRequest) -> HttpResponse:
        reply = get_response(request)
        there = resolve_url(settings.LOGIN_URL)
        if request.method != "POST" or reply.status_code != 302 or urlsplit(reply["Location"]).path != there:
            return reply
        if "next" not in reply["Location"]:
            return reply
        messages.warning(request, WORDS)
        return HttpResponseRedirect(f"{there}?{urlencode({'next': _form_of(request)})}")

    return ask


def _form_of(request: HttpRequest) -> str:
    """The page of this site that sent the form; the first page where the browser does not say."""
    came_from = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(came_from, {request.get_host()}, request.is_secure()):
        return settings.LOGIN_REDIRECT_URL
    parts = urlsplit(came_from)
    return f"{parts.path}?{parts.query}" if parts.query else parts.path


__all__ = ["signed_out_middleware"]
