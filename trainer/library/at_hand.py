"""What is on the shelf, read once a request: a page asks a dozen times which floor goes by a name.

Outside of a request nothing is kept: a worker that runs for weeks sees what was taken in meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable
from contextvars import ContextVar

from django.http import HttpRequest
from django.http.response import HttpResponseBase

from trainer.library.models import Edition

_read: ContextVar[dict[str, dict[str, str]] | None] = ContextVar("shelf_at_hand", default=None)


def on_shelf(what: str) -> dict[str, str]:
    """Addresses of the current editions of one form that come from the files, by name and in its order."""
    read = _read.get()
    if read is None:
        return _from_database(what)
    if what not in read:
        read[what] = _from_database(what)
    return read[what]


def put_back() -> None:
    """The shelf has changed: read it again."""
    if (read := _read.get()) is not None:
        read.clear()


def at_hand_middleware(get_response: Callable[[HttpRequest], HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Keep what is read from the shelf to the end of the request."""

    def ask(request: HttpRequest) -> HttpResponseBase:
        token = _read.set({})
        try:
            return get_response(request)
        finally:
            _read.reset(token)

    return ask


def _from_database(what: str) -> dict[str, str]:
    there = Edition.objects.filter(what=what, current=True, firm__isnull=True).order_by("name")
    return dict(there.values_list("name", "address"))


__all__ = ["at_hand_middleware", "on_shelf", "put_back"]
