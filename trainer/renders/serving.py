"""Serving a picture: one kind of reply for all of them, whatever they show."""

from __future__ import annotations

from django.http import Http404, HttpResponse

from scoring.drill import Json
from trainer.renders import frames
from trainer.renders.darkroom import RETRY_AFTER_S, Full, NotYet

KEPT_S = 24 * 3600
"""How long the person's own browser may keep a picture."""


def served(take: Json, name: str, part_name: str, who: str) -> HttpResponse:
    """The picture of that name of a take, or a tile of it, for who asks. Raises Http404 for a part there is not."""
    part = frames.Part.of(part_name)
    if part is None or not frames.fits(name, part):
        raise Http404("There is no such part.")
    try:
        body = frames.picture(take, name, part, who)
    except NotYet as wait:
        return not_yet(wait)
    except (ValueError, IndexError) as none:
        # No sun of that height on that day, a heading that was not taken: there is no such picture.
        raise Http404(str(none)) from None
    headers = {"Cache-Control": f"private, max-age={KEPT_S}, immutable", "Content-Disposition": "inline"}
    return HttpResponse(body, content_type="image/jpeg", headers=headers)


def not_yet(wait: NotYet) -> HttpResponse:
    """Accepted and being made: come again in a moment. 503 when the line is full."""
    headers = {"Retry-After": str(RETRY_AFTER_S), "Cache-Control": "no-store"}
    return HttpResponse(status=503 if isinstance(wait, Full) else 202, headers=headers)


__all__ = ["not_yet", "served"]
