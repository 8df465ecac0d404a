"""How often a newcomer's form may be sent: its answer tells whether an address signs in here.

Counted are the code, the address that it is sent from and, for an invitation, whoever made it: a manager may have
hundreds of links open. A form by which somebody came in counts for its code alone, so that a whole team can join.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from trainer.people.roles import PeopleError
from trainer.people.tries import Limit, may_try, took_back

HOUR_S = 3600
BY_CODE = Limit("newcomers-by-code", 20, HOUR_S)
BY_ADDRESS = Limit("newcomers-by-address", 40, HOUR_S)
BY_MAKER = Limit("newcomers-by-maker", 40, HOUR_S)
TOO_OFTEN = "That was tried too often. Wait an hour, then try again."


class TooOften(PeopleError):
    """The form was sent too often; nothing was looked up."""

    def __init__(self) -> None:
        super().__init__(TOO_OFTEN)


@contextmanager
def counted(now: datetime, *, code_digest: str, address: str, maker: object = None) -> Iterator[None]:
    """Count one try while somebody comes in. Raises TooOften before anything is looked up."""
    wide = [(BY_ADDRESS, address), *([(BY_MAKER, maker)] if maker is not None else [])]
    if not all(may_try(limit, whose, now) for limit, whose in [(BY_CODE, code_digest), *wide]):
        raise TooOften
    yield
    for limit, whose in wide:
        took_back(limit, whose, now)


__all__ = ["BY_ADDRESS", "BY_CODE", "BY_MAKER", "TOO_OFTEN", "TooOften", "counted"]
