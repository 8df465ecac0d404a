"""What is closed to a person while their readiness check is open: trying stations on places that it may show."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect

from trainer.drills.check_open import open_check_of
from trainer.people.models import Person

CLOSED = frozenset({"try", "api_survey"})
"""Pages with live sight and links, which nobody has beside them on site."""
WORDS = "A check is open. Places can be tried again when it is over."


class ClosedDuringCheck:
    """Sends a person with an open check back to it from the pages of `CLOSED`."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> HttpResponse | None:
        """Refuse what is closed; everything else goes its way without a look at the database."""
        name = request.resolver_match.url_name if request.resolver_match is not None else None
        if name not in CLOSED or not isinstance(request.user, Person) or open_check_of(request.user) is None:
            return None
        if name.startswith("api_"):
            return JsonResponse({"detail": WORDS}, status=409)
        messages.info(request, WORDS)
        return redirect("check")


__all__ = ["CLOSED", "ClosedDuringCheck"]
