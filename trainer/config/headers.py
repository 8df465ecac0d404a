"""Headers that the framework does not set: what a page may use, and that nobody keeps a signed-in page."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

ALWAYS = {
    "Permissions-Policy": "camera=(), geolocation=(), gyroscope=(self), microphone=(), payment=(), usb=()",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def header_middleware(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Add the fixed headers; mark every page that is not a static file as not to be stored."""

    def add_headers(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        for name, value in ALWAYS.items():
            response.headers.setdefault(name, value)
        response.headers.setdefault("Cache-Control", "no-store")
        return response

    return add_headers
