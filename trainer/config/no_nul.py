"""No text of a page holds U+0000: no browser sends it, and a database may refuse it in the middle of a request."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse

NUL = "\x00"
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
WORDS = "A text of the request holds U+0000."


class NoNul:
    """Refuses an address or a form with U+0000 in it, before its view.

    A view that is exempt from the token takes its body in by its own way, judged before it is read, and says so itself.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> None:
        """Raises BadRequest."""
        held = [request.path, *_texts(request.GET.lists())]
        if request.method == "POST" and request.content_type in FORMS and not getattr(view, "csrf_exempt", False):
            held += _texts(request.POST.lists())
        if any(NUL in text for text in held):
            raise BadRequest(WORDS)


def _texts(lists: Any) -> list[str]:
    return [text for name, values in lists for text in (name, *values)]


__all__ = ["NoNul"]
