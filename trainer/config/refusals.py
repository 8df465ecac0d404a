"""Refusals of the rooms as replies in words."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from rest_framework.response import Response
from rest_framework.views import exception_handler

from trainer.library.shelf import NotOnShelf


def explain(error: Exception, context: dict[str, Any]) -> Response | None:
    """404 for what is not on the shelf, 403 for what one may not do; everything else as the framework does it."""
    if isinstance(error, NotOnShelf):
        return Response({"detail": str(error)}, status=404)
    if isinstance(error, PermissionDenied):
        return Response({"detail": str(error) or "You may not do this."}, status=403)
    return exception_handler(error, context)


__all__ = ["explain"]
