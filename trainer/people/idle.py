"""When a session ends by itself: after hours in which nobody used it, and after days in any case.

The times stand in the session on the server, so that an old cookie is worth nothing. Answers that a phone still
keeps are not lost by it: they go out after signing in again.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.sessions.backends.base import UpdateError
from django.db.utils import OperationalError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

BEGUN, SEEN = "begun_at_s", "seen_at_s"
NOTE_EVERY_S = 300.0
"""That a session is in use is written down this often, not with every page."""


def idle_middleware(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Sign out whoever was away for too long before the request is answered."""

    def ask(request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            now_s = timezone.now().timestamp()
            begun_s = request.session.get(BEGUN, now_s)
            seen_s = request.session.get(SEEN, now_s)
            if now_s - seen_s > settings.SESSION_IDLE_S or now_s - begun_s > settings.SESSION_COOKIE_AGE:
                logout(request)
            elif BEGUN not in request.session or abs(now_s - seen_s) > NOTE_EVERY_S:
                _note(request, begun_s, now_s)
        return get_response(request)

    return ask


def _note(request: HttpRequest, begun_s: float, now_s: float) -> None:
    """Write down that the session is in use; when the database is busy, the next page will do it."""
    request.session[BEGUN], request.session[SEEN] = begun_s, now_s
    with contextlib.suppress(OperationalError, UpdateError):
        request.session.save()
    request.session.modified = False


__all__ = ["idle_middleware"]
