"""The readiness rule: the numbers that say who is ready; the site's own, or a firm's from a day on.

enter_rule     the rule of a firm from a day on
rule_of_firm   what a firm goes by on a day
rules_for      what each of several people is judged by on a day; own_rules leaves out who goes by the site's
rule_named     a rule by its version, for what was judged by it
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date, datetime
from functools import lru_cache
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from scoring.drill import canonical_json, content_hash
from scoring.mastery.readiness import Rule, read_rule
from trainer.library.models import Edition
from trainer.library.shelf import NotOnShelf
from trainer.people.access import firms_of_people, firms_that_employ
from trainer.people.models import Firm, Person

SITE_RULE = Rule(version="rule-1")
"""What a firm goes by that has entered none; common practice, no source."""
RULES = Edition.What.RULE


def checked_rule(body: Mapping[str, Any]) -> Rule:
    """The rule that a body would make. Raises FileProblems."""
    return read_rule(canonical_json({**body, "version": "to-be"}).encode())


def enter_rule(firm: Firm, body: Mapping[str, Any], *, holds_from: date, by: Person, now: datetime) -> Edition:
    """Make this the firm's readiness rule from a day on; the version is given here.

    Raises FileProblems, ValueError for a day that has begun: nobody's state changes in the middle of a day.
    """
    if holds_from <= now.date():
        raise ValueError("Choose a day after today: nobody's state changes in the middle of a day.")
    version = f"rule-{secrets.token_hex(4)}"
    whole = asdict(read_rule(canonical_json({**body, "version": version}).encode()))
    with transaction.atomic():
        return Edition.objects.create(
            address=content_hash(whole), what=RULES, name=version, body=whole, since=now, firm=firm,
            holds_from=holds_from, by=by,
        )  # fmt: skip


def rules_of(firm: Firm) -> list[Edition]:
    """The rules that a firm has entered, newest day first."""
    return list(_entered().filter(firm=firm).order_by("-holds_from", "-since"))


def rule_of_firm(firm: Firm, on: date) -> Rule:
    """The rule that a firm goes by on a day: its own newest one by then, else the site's."""
    return _in_force([firm.pk], on).get(firm.pk, SITE_RULE)


def rules_for(people: QuerySet[Person], on: date) -> dict[UUID, Rule]:
    """The rule that each of these people is judged by on a day; the site's where a person works for no firm."""
    own = own_rules(people, on)
    return {person: own.get(person, SITE_RULE) for person in people.values_list("pk", flat=True)}


def own_rules(people: QuerySet[Person], on: date) -> dict[UUID, Rule]:
    """The same for those alone whose firm has entered one; everybody else goes by the site's."""
    rules = _in_force(firms_that_employ(people), on)
    firms = firms_of_people(people) if rules else {}
    return {person: rules[firm] for person, firm in firms.items() if firm in rules}


@lru_cache(maxsize=256)
def rule_named(version: str) -> Rule:
    """The rule of that version. Raises NotOnShelf."""
    if version == SITE_RULE.version:
        return SITE_RULE
    edition = _entered().filter(name=version).first()
    if edition is None:
        raise NotOnShelf(f"there is no readiness rule {version!r}")
    return _rule(edition)


def _in_force(firms: Any, on: date) -> dict[Any, Rule]:
    rules = {}
    for edition in _entered().filter(firm__in=firms, holds_from__lte=on).order_by("holds_from", "since"):
        rules[edition.firm_id] = edition
    return {firm: _rule(edition) for firm, edition in rules.items()}


def _entered() -> QuerySet[Edition]:
    return Edition.objects.filter(what=RULES)


def _rule(edition: Edition) -> Rule:
    return read_rule(canonical_json(edition.body).encode())


__all__ = [
    "SITE_RULE", "checked_rule", "enter_rule", "own_rules", "rule_named", "rule_of_firm", "rules_for", "rules_of",
]  # fmt: skip
