"""A name stands in the middle of a line and turns nothing round there, in whatever script it is written."""

from __future__ import annotations

import unicodedata

import pytest
from django.utils import timezone

from trainer.people.firm import make_team
from trainer.people.join import NotTaken, newcomer_of
from trainer.people.models import Firm, Person, Role, Team
from trainer.people.names import plain_name

PASSWORD = "tall ladders in april"


@pytest.mark.parametrize("code", [*range(0x202A, 0x202F), *range(0x2066, 0x206A)])
def test_characters_that_turn_the_direction_are_left_out(code: int) -> None:
    kind = unicodedata.bidirectional(chr(code))
    assert kind in {"LRE", "RLE", "PDF", "LRO", "RLO", "LRI", "RLI", "FSI", "PDI"}, "by the Unicode Character Database"
    assert plain_name(f"  Ni{chr(code)}na   Berg ") == "Nina Berg"


@pytest.mark.parametrize(
    "name", ["\u0646\u06cc\u0646\u0627\u200c\u0633\u0627", "\u05e0\u05d9\u05e0\u05d4", "N\u00edna O\u2019Neill"]
)
def test_a_name_keeps_its_own_script(name: str) -> None:
    assert plain_name(name) == name


def test_somebody_new_and_a_team_are_named_so(three: object) -> None:
    assert newcomer_of(name="Ni\u202ena", email="nina@example.org", password=PASSWORD).name == "Nina"
    with pytest.raises(NotTaken, match="by which name"):
        newcomer_of(name="\u202e\u2066", email="nina@example.org", password=PASSWORD)
    firm, owner = Firm.objects.get(name="Home"), Person.objects.get(name="Trainer")
    owner.memberships.create(team=Team.objects.get(name="North"), role=Role.OWNER)
    made = make_team(firm, name="W\u202eest", region="\u2067Hills", by=owner, now=timezone.now())
    assert (made.name, made.region) == ("West", "Hills")
