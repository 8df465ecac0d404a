"""How the API describes itself: a session cookie to come in by, and the refusals that any address may give."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from drf_spectacular.extensions import OpenApiAuthenticationExtension

REFUSALS = {
    "400": "Cannot be read; the body says where.",
    "401": "Nobody is signed in.",
    "403": "The token of the site is missing, or you may not do this.",
    "404": "Not there, or not yours.",
    "413": "More bytes than are read.",
    "415": "No JSON.",
    "429": "Too many requests; try again in a moment.",
    "503": "Busy; try again after the time that Retry-After names.",
}


class SessionScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """The site's session cookie, as the description of the API has it."""

    target_class = "trainer.config.intake.SessionOrRefused"
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """The scheme of the open standard for a cookie."""
        return {"type": "apiKey", "in": "cookie", "name": settings.SESSION_COOKIE_NAME}


def add_refusals(result: dict[str, Any], **context: Any) -> dict[str, Any]:
    """Every operation may refuse; where it says nothing more exact, it is said here."""
    words = {"application/json": {"schema": {"type": "object", "additionalProperties": True}}}
    for operations in result["paths"].values():
        for method, operation in operations.items():
            for status, description in REFUSALS.items():
                if status in {"400", "413", "415"} and method == "get":
                    continue
                operation["responses"].setdefault(status, {"description": description, "content": words})
    return result


__all__ = ["REFUSALS", "SessionScheme", "add_refusals"]
