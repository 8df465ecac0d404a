"""A database that is busy for too long is no fault of the person: come back in a moment, nothing is lost."""

from __future__ import annotations

from collections.abc import Callable

from django.db.utils import OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string

RETRY_AFTER_S = 5


class BusyMiddleware:
    """Turn a database that could not be written to into 503 with Retry-After."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Answer for a busy database; leave every other error to the framework."""
        return busy(request) if isinstance(error, OperationalError) else None


def asked_first(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Ask who visits before anything else does: a database that is away is met here, outside of every view."""

    def ask(request: HttpRequest) -> HttpResponse:
        try:
            _ = request.user.is_authenticated
        except OperationalError:
            return busy(request)
        return get_response(request)

    return ask


def busy(request: HttpRequest) -> HttpResponse:
    """503 with the time after which to come again, as a page or as JSON."""
    wait = {"Retry-After": str(RETRY_AFTER_S)}
    if "text/html" in request.headers.get("Accept", ""):
        # Without the visitor's session: the database may be the reason.
        return HttpResponse(render_to_string("503.html"), status=503, headers=wait)
    detail = "The site is busy. Your answer is kept where you are; it is sent again in a moment."
    return JsonResponse({"detail": detail}, status=503, headers=wait)
