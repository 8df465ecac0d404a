"""Every address and every verb of it x every visitor x one's own team, another team, another firm.

The addresses come from the resolver and the verbs from what each address says it allows, so that a new page without
a row here is a red test. What may not be seen is as if it were not there at all: not by a byte, not by a query.
"""

from __future__ import annotations

import copy
import re
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.core.cache import cache
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.trainer.config.world import AWAY, CANARIES, OTHER, OWN, PLAIN, VISITORS, World, build

GET, POST, PUT = "get", "post", "put"


@dataclass(frozen=True)
class Rule:
    """Who is let in where the thing at the address belongs to the own team, to another of the firm, to another firm."""

    own: frozenset[str] = frozenset()
    other: frozenset[str] = frozenset()
    away: frozenset[str] = frozenset()

    def lets_in(self, who: str, where: str) -> bool:
        """Whether a visitor is let in."""
        return who in {OWN: self.own, OTHER: self.other, AWAY: self.away}[where]


def anywhere(*who: str) -> Rule:
    """The same for every place: the address names nobody's thing."""
    return Rule(frozenset(who), frozenset(who), frozenset(who))


def of_a_person(*who: str) -> Rule:
    """Some of the own team; of another team the owner alone, and then only if they are let in at home."""
    return Rule(frozenset(who), frozenset(who) & {"owner"})


OPEN = anywhere(*VISITORS)
SIGNED_IN = anywhere(*VISITORS[1:])
LEADING = anywhere("trainer", "manager", "owner")
TRAINING = anywhere("trainer", "owner")
DECIDING = anywhere("manager", "owner")
OWNING = anywhere("owner")
MINE = of_a_person("insider")
"""For the person whose thing it is."""
LATER = of_a_person()
"""For the person whose attempt it is, after its grade or under a name that cannot be guessed."""
FOLLOWED = of_a_person("insider", "trainer", "manager", "owner")
TRAINED = of_a_person("trainer", "owner")
DECIDED = of_a_person("manager", "owner")
LED = of_a_person("trainer", "manager", "owner")
OF_THE_FIRM = Rule(frozenset({"manager", "owner"}), frozenset({"manager", "owner"}))
"""For whoever decides for some team of the firm whose thing it is."""
OWNED = of_a_person("owner")
OF_THE_TEAM = Rule(SIGNED_IN.own)
"""For everybody of the team whose thing it is."""
CLOSED = anywhere()
"""Opened by a code that nobody here has."""

MATRIX: dict[str, dict[str, Rule]] = {
    "account_login": {GET: OPEN, POST: OPEN},
    "account_logout": {GET: OPEN, POST: OPEN},
    "account_inactive": {GET: OPEN},
    "account_signup": {GET: OPEN, POST: OPEN},
    "account_reauthenticate": {GET: SIGNED_IN, POST: SIGNED_IN},
    "account_change_password": {GET: SIGNED_IN, POST: SIGNED_IN},
    "account_reset_password": {GET: OPEN, POST: OPEN},
    "account_reset_password_done": {GET: OPEN},
    "account_reset_password_from_key": {GET: OPEN, POST: OPEN},
    "account_reset_password_from_key_done": {GET: OPEN},
    "api_recipes": {GET: SIGNED_IN},
    "api_survey": {POST: SIGNED_IN},
    "api_attempts": {POST: SIGNED_IN},
    "api_attempt": {GET: MINE},
    "api_answer": {PUT: MINE},
    "api_grade": {GET: MINE},
    "api_what_if": {POST: MINE},
    "api_observed": {PUT: TRAINED},
    "api_schema": {GET: SIGNED_IN},
    "healthz": {GET: OPEN},
    "readyz": {GET: OPEN},
    "work": {GET: LEADING},
    "today": {GET: OPEN},
    "set_start": {POST: SIGNED_IN},
    "skills": {GET: SIGNED_IN},
    "record": {GET: SIGNED_IN},
    "record_skill": {GET: SIGNED_IN},
    "team": {GET: LEADING},
    "team_sheet": {GET: LEADING},
    "person": {GET: FOLLOWED},
    "trainer_board": {GET: LEADING},
    "case_sheet": {GET: LEADING},
    "readiness_rule": {GET: LEADING, POST: OWNING},
    "settings": {GET: SIGNED_IN, POST: SIGNED_IN},
    "leave_team": {GET: OF_THE_TEAM, POST: OF_THE_TEAM},
    "sign_out_elsewhere": {POST: SIGNED_IN},
    "my_data": {GET: SIGNED_IN},
    "my_data_file": {GET: SIGNED_IN},
    "my_data_erase": {POST: SIGNED_IN},
    "people": {GET: LEADING},
    "member": {GET: DECIDED, POST: DECIDED},
    "invite": {GET: DECIDING, POST: DECIDING},
    "invite_withdraw": {POST: DECIDED},
    "join_code": {GET: OPEN},
    "join": {GET: CLOSED, POST: CLOSED},
    "firm_edit": {GET: OWNED, POST: OWNED},
    "team_new": {GET: OWNED, POST: OWNED},
    "team_edit": {GET: OWNED, POST: OWNED},
    "new_firm": {GET: OPEN, POST: OPEN},
    "offline": {GET: OPEN},
    "offline_worker": {GET: OPEN},
    "places": {GET: SIGNED_IN},
    "try": {GET: SIGNED_IN},
    "cautions": {GET: OPEN},
    "terms": {GET: OPEN},
    "patterns": {GET: SIGNED_IN},
    "kits": {GET: SIGNED_IN},
    "kit_new": {GET: DECIDING, POST: DECIDING},
    "kit_edit": {GET: OF_THE_FIRM, POST: OF_THE_FIRM},
    "two_edges": {GET: SIGNED_IN},
    "limits": {GET: LEADING, POST: OWNING},
    "drills": {GET: SIGNED_IN},
    "start": {POST: SIGNED_IN},
    "attempt": {GET: MINE},
    "send": {POST: MINE},
    "graded": {GET: MINE},
    "what_if": {POST: MINE},
    "check": {GET: SIGNED_IN},
    "check_open": {POST: SIGNED_IN},
    "check_next": {POST: SIGNED_IN},
    "check_give_up": {POST: SIGNED_IN},
    "check_done": {GET: FOLLOWED},
    "check_beside": {GET: TRAINING},
    "check_sit": {POST: TRAINED},
    "check_witness": {POST: TRAINED},
    "readiness_record": {GET: SIGNED_IN, POST: SIGNED_IN},
    "record_sheet": {GET: MINE},
    "record_pdf": {GET: MINE},
    "record_pdf_letter": {GET: MINE},
    "record_revoke": {POST: MINE},
    "record_credential": {GET: MINE},
    "confirm_record": {GET: OPEN, POST: OPEN},
    "record_confirmed": {GET: OPEN},
    "badge_keys": {GET: OPEN},
    "badge_key": {GET: OPEN},
    "badge_issuer": {GET: OPEN},
    "badge_achievement": {GET: OPEN},
    "badge_criteria": {GET: OPEN},
    "badge_revocations": {GET: OPEN},
    "flag": {POST: MINE},
    "flags": {GET: TRAINING},
    "flagged": {GET: TRAINED, POST: TRAINED},
    "fault_report": {GET: TRAINED},
    "observe_whom": {GET: TRAINING},
    "observe": {GET: TRAINED, POST: TRAINED},
    "shoots": {GET: FOLLOWED},
    "strike": {POST: TRAINED},
    "decide": {GET: DECIDED, POST: DECIDED},
    "appeal": {GET: SIGNED_IN, POST: SIGNED_IN},
    "appeals": {GET: DECIDING},
    "reply": {GET: DECIDED, POST: DECIDED},
    "give_kit": {GET: LED, POST: LED},
    "kit_check": {GET: TRAINED, POST: TRAINED},
    "assign": {GET: LEADING, POST: LEADING},
    "withdraw": {POST: LED},
    "remark": {GET: LED, POST: LED},
    "reshoots": {GET: LEADING},
    "reshoots_csv": {GET: LEADING},
    "reshoot_template": {GET: LEADING},
    "reshoot_enter": {GET: LEADING, POST: LEADING},
    "reshoot_import": {GET: LEADING, POST: LEADING},
    "reshoot_strike": {POST: LED},
    "job_counts": {GET: LEADING, POST: LEADING},
    "refreshers": {GET: LEADING, POST: DECIDING},
    "refresher": {GET: LED, POST: DECIDED},
    "refresher_end": {POST: DECIDED},
    "my_plan": {GET: MINE},
    "plan_drill": {POST: MINE},
    "plan_calendar": {GET: MINE},
    "own_frame": {GET: SIGNED_IN},
    "own_frame_look": {POST: SIGNED_IN},
    "own_frame_held": {GET: SIGNED_IN},
    "own_frame_held_picture": {GET: SIGNED_IN},
    "own_frame_keep": {POST: SIGNED_IN},
    "own_frame_discard": {POST: SIGNED_IN},
    "own_frame_kept": {GET: MINE},
    "own_frame_kept_picture": {GET: MINE},
    "own_frame_delete": {POST: MINE},
    "picture": {GET: LATER},
    "look_round": {GET: LATER},
    "look_round_from": {GET: LATER},
    "bench": {GET: SIGNED_IN},
    "bench_numbers": {GET: SIGNED_IN},
    "bench_curve": {GET: SIGNED_IN},
    "bench_picture": {GET: SIGNED_IN},
}
VERBS = [(name, verb) for name, rules in MATRIX.items() for verb in rules]
WORK_ELSEWHERE = {"readyz": 503, "bench": 503, "bench_numbers": 503, "bench_curve": 503, "bench_picture": 503}
"""No worker is alive here, and these say so; what is being computed is asked for again."""


def patterns(resolver: Any) -> Iterator[URLPattern]:
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            yield from patterns(pattern)
        else:
            yield pattern


def parts_of(name: str) -> list[str]:
    """The parts of an address that are filled in."""
    pattern = next(one.pattern for one in patterns(get_resolver()) if one.name == name)
    return list(getattr(pattern, "converters", {}) or pattern.regex.groupindex)


def address(name: str, things: dict[str, Any]) -> str:
    """Where a page about these things stands. A part that is neither here nor plain needs a row in `rows_of`."""
    return reverse(name, kwargs={part: things.get(part, PLAIN.get(part)) for part in parts_of(name)})


def missing(things: dict[str, Any], name: str) -> dict[str, Any]:
    """Things of the same form that are not there."""
    return {
        part: uuid.uuid4() if isinstance(value, uuid.UUID) else type(value)("9" * min(9, len(str(value))))
        for part, value in things.items()
        if part in parts_of(name)
    }


def ask(client: Client, verb: str, where: str) -> Any:
    """One request whose traces in the database are taken back."""
    extra: dict[str, Any] = {} if verb == GET else {"data": {}}
    if where.startswith("/api/") and verb != GET:
        extra = {"data": b"{}", "content_type": "application/json"}
    cookies, point = copy.deepcopy(client.cookies), transaction.savepoint()
    try:
        return getattr(client, verb)(where, **extra)
    finally:
        transaction.savepoint_rollback(point)
        client.cookies = cookies
        cache.clear()


def all_of(reply: Any) -> str:
    """Headers and body of a reply, as text."""
    body = b"".join(reply.streaming_content) if reply.streaming else reply.content
    return "\n".join(f"{name}: {value}" for name, value in reply.headers.items()) + body.decode("utf-8", "replace")


@pytest.fixture
def world(stocked: Any, three: Any, hashed_password: str, graded_row: Callable[..., Any]) -> World:
    """The three places with things in them."""
    return build(three, hashed_password, graded_row)


def test_every_address_has_a_row_and_every_row_an_address() -> None:
    assert {pattern.name for pattern in patterns(get_resolver())} == set(MATRIX)


@pytest.mark.django_db
def test_every_verb_that_an_address_allows_has_a_row_and_no_other_is_taken(world: World) -> None:
    """Pages of signing in are the library's own and keep what they allow to themselves."""
    client = world.visit("owner")
    wrong = {}
    for name, rules in MATRIX.items():
        if name.startswith("account_"):
            continue
        things = world.parts[OWN]
        reply = client.options(address(name, things))
        offered = {verb.strip().lower() for verb in reply.headers.get("Allow", "").split(",")}
        allowed = offered - {"head", "options", ""}
        if allowed != set(rules) or (GET in rules) != ("head" in offered):
            wrong[name] = (sorted(offered), sorted(rules))
    assert not wrong, f"(allowed, in the matrix): {wrong}"


@pytest.mark.django_db
@pytest.mark.parametrize("who", VISITORS)
def test_it_lets_in_whom_it_should_and_tells_nothing_of_others(who: str, world: World) -> None:
    client, wrong = world.visit(who), []
    for name, verb in VERBS:
        seen = set()
        for where, things in world.parts.items():
            target = address(name, things)
            if target in seen:
                continue
            seen.add(target)
            reply = ask(client, verb, target)
            said = f"{verb} {name} of {where}: {reply.status_code}"
            if MATRIX[name][verb].lets_in(who, where):
                let_in = reply.status_code not in {401, 403, 404}
                holds = let_in and (reply.status_code < 500 or reply.status_code == WORK_ELSEWHERE.get(name))
            elif who == "anonymous" and MATRIX[name][verb] is not CLOSED:
                holds = reply.status_code == (401 if name.startswith("api_") else 302)
            else:
                holds = reply.status_code == 404
            told = all_of(reply)
            if not holds:
                wrong.append(said)
            if CANARIES[AWAY] in told:
                wrong.append(f"{said} names another firm")
            if CANARIES[OTHER] in told and who != "owner":
                wrong.append(f"{said} names another team")
    assert wrong == []


@pytest.mark.django_db
@pytest.mark.parametrize("who", VISITORS)
def test_what_belongs_to_others_is_as_if_it_were_not_there(who: str, world: World) -> None:
    client, wrong = world.visit(who), []
    for name, verb in VERBS:
        for where in (OWN, OTHER, AWAY):
            theirs = {part: value for part, value in world.parts[where].items() if part in parts_of(name)}
            if MATRIX[name][verb].lets_in(who, where) or not theirs:
                continue
            # The first request may write down that a session is in use; it is not what is compared.
            ask(client, GET, reverse("cautions"))
            replies = []
            for things in (theirs, missing(theirs, name)):
                with CaptureQueriesContext(connection) as queries:
                    reply = ask(client, verb, address(name, things))
                replies.append((reply.status_code, plain(all_of(reply), things), len(queries)))
            if replies[0] != replies[1]:
                wrong.append(f"{verb} {name} of {where}: {replies}")
    assert wrong == []


CHANCE = re.compile(r"""(data-token="|name="csrfmiddlewaretoken" value="|nonce="|'nonce-|csrftoken=)[^"';]+""")


def plain(told: str, things: dict[str, Any]) -> str:
    """A reply without what differs by chance, and without the ids that were asked for."""
    for part, value in things.items():
        told = told.replace(str(value), f"<{part}>")
    return CHANCE.sub(r"\1", told)


@pytest.mark.django_db
def test_every_change_needs_the_token_of_the_site(world: World) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(world.people["insider"])  # type: ignore[arg-type]
    changes = [(name, verb) for name, verb in VERBS if verb != GET]
    replies = {(name, verb): ask(strict, verb, address(name, world.parts[OWN])).status_code for name, verb in changes}
    assert {change for change, status in replies.items() if status != 403} == set()
