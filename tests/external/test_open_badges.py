"""A readiness record as a credential, verified by a library that did not make it.

Sources: Open Badges Specification 3.0 (1EdTech), section "JSON Web Token Proof Format" and the data model's required
members (read); Verifiable Credentials Data Model 2.0 (W3C; from memory); RFC 7515, 7517, 7519 as PyJWT has them.
The form of the revocation list: 1EdTech Revocation List Status Method, from memory.
"""

from __future__ import annotations

import json
import stat
import uuid
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import jwt
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from scoring.mastery.population import STARTING
from trainer.library.rules import SITE_RULE
from trainer.progress.models import ReadinessRecord, Standing
from trainer.progress.record_key import keys_in
from trainer.progress.record_make import new_code, revoke
from trainer.progress.record_says import says
from trainer.progress.standing import standard_set
from trainer.roster.models import Decision

pytestmark = pytest.mark.django_db
PRIVATE = {"d", "p", "q", "dp", "dq", "qi", "k", "oth"}
"""Members of a private key: RFC 7518, section 6."""


@pytest.fixture(autouse=True)
def keys(tmp_path: Path, settings: Any) -> Path:
    settings.BADGE_KEYS = tmp_path / "badge_keys"
    return tmp_path / "badge_keys"


@pytest.fixture
def record(three: Any) -> ReadinessRecord:
    now = timezone.now()
    today = now.date()
    Standing.objects.create(
        person=three.insider, made_to=0, rule=SITE_RULE.version, set_version=standard_set().version,
        population=STARTING.version, day=today, state="ready",
        since=today, due_on=today + timedelta(days=90), lapsed_on=today + timedelta(days=200),
    )  # fmt: skip
    body = {**says(three.insider, now), "state": "ready", "score": 86.4, "low": 80.1, "high": 91.0, "count": 61}
    return ReadinessRecord.objects.create(
        person=three.insider, code=new_code(), body=body, made_at=now, expires_on=now.date() + timedelta(days=30)
    )


@pytest.fixture
def token(record: ReadinessRecord, three: Any, client: Client) -> str:
    client.force_login(three.insider)
    reply = client.get(reverse("record_credential", args=[record.pk]))
    assert reply.headers["Content-Type"].startswith("text/plain")
    assert reply.headers["Content-Disposition"].endswith('.jwt"')
    return reply.content.decode()


def fetched(address: str) -> Any:
    """What a stranger gets at a public address of the site."""
    reply = Client().get(urlsplit(address).path)
    assert reply.status_code == 200
    return json.loads(reply.content)


def verified(token: str, **more: Any) -> dict[str, Any]:
    """The claims, by the key that the token's header names and that the site publishes."""
    kid = jwt.get_unverified_header(token)["kid"]
    claims: dict[str, Any] = jwt.decode(
        token, jwt.PyJWK(fetched(kid)), algorithms=["RS256"],
        options={"require": ["iss", "jti", "sub", "nbf", "exp"]}, **more,
    )  # fmt: skip
    return claims


def test_an_independent_library_verifies_it_by_the_published_key(token: str) -> None:
    header = jwt.get_unverified_header(token)
    assert (header["alg"], header["typ"]) == ("RS256", "JWT")
    claims = verified(token)
    assert claims["iss"] == claims["issuer"]["id"]
    assert claims["jti"] == claims["id"]
    assert claims["sub"] == claims["credentialSubject"]["id"]
    assert claims["nbf"] == datetime.fromisoformat(claims["validFrom"]).timestamp()
    assert claims["exp"] == datetime.fromisoformat(claims["validUntil"]).timestamp()
    found = jwt.PyJWKSet.from_dict(fetched(reverse("badge_keys")))
    assert [key.key_id for key in found.keys] == [header["kid"]]


def test_it_has_every_member_that_the_specification_asks_for(token: str, record: ReadinessRecord) -> None:
    claims = verified(token)
    assert claims["@context"][0] == "https://www.w3.org/ns/credentials/v2"
    assert claims["@context"][1].startswith("https://purl.imsglobal.org/spec/ob/v3p0/context")
    assert claims["type"] == ["VerifiableCredential", "OpenBadgeCredential"]
    assert uuid.UUID(claims["id"]) == record.pk
    assert {"id", "type"} <= claims["issuer"].keys()
    assert claims["issuer"]["type"] == ["Profile"]
    assert datetime.fromisoformat(claims["validFrom"]).tzinfo == UTC
    subject = claims["credentialSubject"]
    assert subject["type"] == ["AchievementSubject"]
    assert subject["identifier"] == [
        {"type": "IdentityObject", "identityHash": "Insider", "identityType": "name", "hashed": False}
    ]
    achievement = subject["achievement"]
    assert {"id", "type", "name", "description", "criteria"} <= achievement.keys()
    assert achievement["type"] == ["Achievement"]
    [described] = achievement["resultDescription"]
    assert {"id", "type", "name", "resultType"} <= described.keys()
    [result] = subject["result"]
    assert (result["type"], result["resultDescription"], result["value"]) == (["Result"], described["id"], "86")
    [evidence] = claims["evidence"]
    assert evidence["id"].endswith(f"/confirm/{record.code}/")
    assert {"id", "type"} <= claims["credentialStatus"].keys()


def test_its_addresses_lead_to_what_they_name(token: str, record: ReadinessRecord) -> None:
    claims = verified(token)
    issuer = fetched(claims["issuer"]["id"])
    assert {name: issuer[name] for name in claims["issuer"]} == claims["issuer"]
    achievement = fetched(claims["credentialSubject"]["achievement"]["id"])
    assert {name: value for name, value in achievement.items() if name != "@context"} == (
        claims["credentialSubject"]["achievement"]
    )
    criteria = Client().get(urlsplit(achievement["criteria"]["id"]).path).content
    assert b"no certification" in criteria
    assert b"at least 90" in criteria.replace("\u00a0".encode(), b" ")
    told = Client().get(urlsplit(claims["evidence"][0]["id"]).path).content
    assert b"The record stands" in told


def test_a_changed_letter_a_foreign_key_or_another_way_of_signing_is_refused(token: str) -> None:
    head, body, proof = token.split(".")
    for false in (f"{head}.{body[:-4]}AAAA.{proof}", f"{head}.{body}.{proof[:-8]}AAAAAAAA"):
        with pytest.raises(jwt.InvalidTokenError):
            verified(false)
    kid = jwt.get_unverified_header(token)["kid"]
    unsigned = jwt.encode(jwt.decode(token, options={"verify_signature": False}), None, "none", headers={"kid": kid})
    with pytest.raises(jwt.InvalidAlgorithmError):
        verified(unsigned)


def test_past_its_last_day_it_is_refused(token: str, record: ReadinessRecord, client: Client) -> None:
    claims = verified(token)
    last = datetime.fromtimestamp(claims["exp"], UTC)
    assert (last.date(), last.hour, last.minute) == (record.expires_on, 23, 59)
    record.expires_on = timezone.now().date() - timedelta(days=1)
    record.save()
    assert client.get(reverse("record_credential", args=[record.pk])).status_code == 409


def test_a_verifier_is_told_when_it_was_revoked(
    token: str, record: ReadinessRecord, three: Any, client: Client
) -> None:
    claims = verified(token)
    status = claims["credentialStatus"]
    assert status["type"] == "1EdTechRevocationList"
    assert fetched(status["id"])["revokedCredential"] == []
    revoke(record, by=three.insider, now=timezone.now())
    [revoked] = fetched(status["id"])["revokedCredential"]
    assert (revoked["id"], revoked["revoked"]) == (claims["id"], True)
    assert revoked["revocationReason"] == "Taken back by the person."
    assert client.get(reverse("record_credential", args=[record.pk])).status_code == 409


def test_while_its_person_is_held_a_verifier_and_the_page_are_told_alike(
    token: str, record: ReadinessRecord, three: Any
) -> None:
    claims, now = verified(token), timezone.now()
    status, page = claims["credentialStatus"]["id"], reverse("record_confirmed", args=[record.code])
    Decision.objects.create(person=three.insider, by=three.trainer, what="hold", reason="a secret reason", made_at=now)
    [listed] = fetched(status)["revokedCredential"]
    assert (listed["id"], listed["revoked"]) == (claims["id"], True)
    assert "held by a named person" in listed["revocationReason"]
    told = Client().get(page).content.decode()
    assert "does not stand today" in told
    assert "held by a named person" in told
    assert "secret" not in told + listed["revocationReason"]
    Decision.objects.create(
        person=three.insider, by=three.trainer, what="release", reason="seen again", made_at=now + timedelta(seconds=1)
    )
    assert fetched(status)["revokedCredential"] == []
    assert "The record stands and says: ready" in Client().get(page).content.decode()


def test_only_a_record_that_says_ready_makes_one(record: ReadinessRecord, three: Any, client: Client) -> None:
    record.body = {**record.body, "state": "in training"}
    record.save()
    client.force_login(three.insider)
    assert client.get(reverse("record_credential", args=[record.pk])).status_code == 409


def test_whoever_is_held_gets_no_new_one(record: ReadinessRecord, three: Any, client: Client) -> None:
    Decision.objects.create(
        person=three.insider, by=three.trainer, what="hold", reason="Seen on site.", made_at=timezone.now()
    )
    client.force_login(three.insider)
    assert client.get(reverse("record_credential", args=[record.pk])).status_code == 409


def test_whoever_is_not_ready_any_more_gets_no_new_one(record: ReadinessRecord, three: Any, client: Client) -> None:
    Standing.objects.update(state="in training")  # as when cases that it rested on were taken out
    client.force_login(three.insider)
    assert client.get(reverse("record_credential", args=[record.pk])).status_code == 409


def test_a_private_part_of_a_key_never_leaves_and_only_the_owner_may_read_its_file(keys: Path, token: str) -> None:
    [file] = keys.iterdir()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    for key in fetched(reverse("badge_keys"))["keys"]:
        assert not PRIVATE & key.keys()
        assert not PRIVATE & fetched(key["kid"]).keys()
    assert keys_in(keys)[0].thumbprint() == keys_in(keys)[0].thumbprint(), "the same key at the next start"


def test_a_new_key_signs_and_the_old_one_is_still_published(
    keys: Path, token: str, record: ReadinessRecord, client: Client
) -> None:
    from joserfc.jwk import RSAKey

    (keys / "key-2.pem").write_bytes(RSAKey.generate_key(2048).as_pem(private=True))
    after = client.get(reverse("record_credential", args=[record.pk])).content.decode()
    kids = [jwt.get_unverified_header(one)["kid"] for one in (token, after)]
    assert kids[0] != kids[1]
    assert verified(token)["id"] == verified(after)["id"] == record.pk.urn
