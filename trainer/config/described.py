"""How the API's description names the sign-in: a session cookie."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from drf_spectacular.extensions import OpenApiAuthenticationExtension


class SessionScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """The site's session cookie, as the description of the API has it."""

    target_class = "trainer.config.intake.SessionOrRefused"
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """The scheme of the open standard for a cookie."""
        return {"type": "apiKey", "in": "cookie", "name": settings.SESSION_COOKIE_NAME}
