"""What the API takes in: JSON bounded in bytes, depth and numbers before any view sees it, and by whom."""

from __future__ import annotations

from typing import IO, Any

from pydantic import TypeAdapter
from rest_framework.authentication import SessionAuthentication
from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import JSONParser
from rest_framework.request import Request

from scoring.border import FileProblems, read_value

BYTES_MAX = 64 * 1024
"""An answer with sixty stations has about 3 KB."""

_OBJECT = TypeAdapter(dict[str, Any])


class TooLarge(APIException):
    """More bytes than any answer needs."""

    status_code = 413
    default_detail = f"At most {BYTES_MAX} bytes are read."
    default_code = "too_large"


class BoundedJSONParser(JSONParser):
    """A JSON object of at most `BYTES_MAX` bytes, bounded in depth, with finite numbers and no key twice."""

    def parse(self, stream: IO[Any], media_type: str | None = None, parser_context: Any = None) -> dict[str, Any]:
        data = stream.read(BYTES_MAX + 1)
        if len(data) > BYTES_MAX:
            raise TooLarge
        try:
            return read_value(_OBJECT, data)
        except FileProblems as problems:
            raise ParseError(str(problems)) from None


class SessionOrRefused(SessionAuthentication):
    """The site's own sign-in, with its CSRF token; says 401 and not 403 to someone who is not signed in."""

    def authenticate_header(self, request: Request) -> str:
        return "Session"


__all__ = ["BYTES_MAX", "BoundedJSONParser", "SessionOrRefused", "TooLarge"]
