"""What a phone may keep of a person's pages for hours without a connection, and the browser's worker that keeps it.

    view under @kept_offline --reply with Offline-Keep: <whose>--> worker in the browser --> its own store, per person

The server alone says which pages may be kept: those with nothing in them but open work. Every other page stays
`no-store`. ``whose`` tells two people on one phone apart and says nothing else.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.crypto import salted_hmac
from django.views.decorators.http import require_safe

WORKER = settings.ROOT / "trainer" / "static" / "offline" / "worker.js"
MARK = "Offline-Keep"

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponse]


def kept_offline(view: View[P]) -> View[P]:
    """Mark the view's good replies to a signed-in person as ones that this person's phone may keep."""

    @wraps(view)
    def marked(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        reply = view(request, *args, **kwargs)
        if reply.status_code == 200 and request.user.is_authenticated:
            reply.headers[MARK] = salted_hmac("kept offline", str(request.user.pk), algorithm="sha256").hexdigest()[:24]
        return reply

    return marked


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The browser's worker, from the top of the site so that it sees every page; it changes with the built files."""
    built = getattr(staticfiles_storage, "manifest_hash", "")
    body = f"// built: {built}\n{WORKER.read_text(encoding='utf-8')}"
    return HttpResponse(body, "text/javascript; charset=utf-8", headers={"Service-Worker-Allowed": "/"})


@require_safe
def away(request: HttpRequest) -> HttpResponse:
    """What is shown without a connection in place of a page that is not kept."""
    return render(request, "people/offline.html", {"page": "offline"})


__all__ = ["MARK", "away", "kept_offline", "worker"]
