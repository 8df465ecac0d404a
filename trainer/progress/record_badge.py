"""A readiness record as a credential that others can verify: Open Badges 3.0, signed as a JSON Web Token.

Sources: Open Badges Specification 3.0 (1EdTech), its JSON Web Token proof; Verifiable Credentials Data Model 2.0 (W3C).
The revocation list follows 1EdTech's Revocation List method, from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, time
from typing import Any

from joserfc import jwt
from joserfc.jwk import RSAKey

from trainer.progress.models import ReadinessRecord
from trainer.progress.record_says import today_words
from trainer.progress.standings import Now

CONTEXTS = (
    "https://www.w3.org/ns/credentials/v2",
    "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json",
    "https://purl.imsglobal.org/spec/ob/v3p0/extensions.json",
)
"""In the order that the specification asks for; the last one defines the revocation list."""
ALGORITHM = "RS256"

At = Callable[..., str]
"""Full address of a page: (URL name, **parts)."""


class NotReadyOne(Exception):
    """Only a record that says ready makes a credential; the message is for people."""


def credential_of(record: ReadinessRecord, at: At) -> dict[str, Any]:
    """The credential of a record that says ready. Raises NotReadyOne."""
    body = record.body
    if body["state"] != "ready":
        raise NotReadyOne("Only a record that says ready can be had as a credential.")
    score, rule = at("badge_achievement", rule=body["rule"]) + "#score", body["rule"]
    return {
        "@context": list(CONTEXTS),
        "id": record.pk.urn,
        "type": ["VerifiableCredential", "OpenBadgeCredential"],
        "name": "Readiness record",
        "issuer": issuer(at),
        "validFrom": _moment(record.made_at),
        "validUntil": _moment(datetime.combine(record.expires_on, time(23, 59, 59), UTC)),
        "credentialSubject": {
            "id": f"{record.pk.urn}#holder",
            "type": ["AchievementSubject"],
            "identifier": [
                {"type": "IdentityObject", "identityHash": body["name"], "identityType": "name", "hashed": False}
            ],
            "achievement": achievement(rule, body["cut"], at),
            "result": [{"type": ["Result"], "resultDescription": score, "value": f"{body['score']:.0f}"}],
        },
        "evidence": [
            {
                "id": at("record_confirmed", check_code=record.code),
                "type": ["Evidence"],
                "name": "The record, and what is true today",
                "narrative": _narrative(body),
            }
        ],
        "credentialStatus": {"id": at("badge_revocations", record_id=record.pk), "type": "1EdTechRevocationList"},
    }  # fmt: skip


def issuer(at: At) -> dict[str, Any]:
    """Who issues: this site. It speaks for what was practised here; the firm stands in the record."""
    return {"id": at("badge_issuer"), "type": ["Profile"], "name": "Levelhead", "url": at("confirm_record")}


def achievement(rule: str, cut: float, at: At) -> dict[str, Any]:
    """What was achieved, by the rule of that version."""
    here = at("badge_achievement", rule=rule)
    return {
        "id": here,
        "type": ["Achievement"],
        "achievementType": "Assessment",
        "name": f"Ready to photograph homes as 360-degree tours, by rule {rule}",
        "description": "On that day everything held that the stated rule asks for. It is no certification.",
        "criteria": {"id": at("badge_criteria", rule=rule)},
        "resultDescription": [
            {
                "id": f"{here}#score", "type": ["ResultDescription"], "name": "Expected score on the standard set",
                "resultType": "RawScore", "valueMin": "0", "valueMax": "100", "requiredValue": f"{cut:.0f}",
            }
        ],
    }  # fmt: skip


def signed(credential: dict[str, Any], key: RSAKey, kid: str) -> str:
    """The credential as a compact token, with the registered claims that stand for its members."""
    claims = {
        **credential,
        "iss": credential["issuer"]["id"],
        "jti": credential["id"],
        "sub": credential["credentialSubject"]["id"],
        "nbf": _seconds(credential["validFrom"]),
        "exp": _seconds(credential["validUntil"]),
    }
    return jwt.encode({"alg": ALGORITHM, "typ": "JWT", "kid": kid}, claims, key)


TAKEN_BACK = "Taken back by the person."


def revocations(record: ReadinessRecord, at: At, standing: Now) -> dict[str, Any]:
    """Whether a credential does not stand today, in the form of a list of that one.

    One that was taken back never stands again; one whose person is not ready now may, and the reason says so.
    """
    why = TAKEN_BACK if record.revoked_at is not None else ""
    if not why and standing.state != "ready":
        why = f"{today_words(record.body, standing)} The credential stands again when it is ready, within its dates."
    revoked = [{"id": record.pk.urn, "revoked": True, "revocationReason": why}]
    return {
        "id": at("badge_revocations", record_id=record.pk),
        "type": ["1EdTechRevocationList"],
        "issuer": at("badge_issuer"),
        "revokedCredential": revoked if why else [],
    }


def _narrative(body: dict[str, Any]) -> str:
    check = body["check"]
    watched = "supervised" if check and check["supervised"] else "not supervised"
    return (
        f"Expected score {body['score']:.0f} of 100, 90 % between {body['low']:.0f} and {body['high']:.0f}, from "
        f"{body['count']} pieces of evidence on {body['on']}. Newest readiness check: "
        f"{'none' if not check else check['words'] + ', ' + watched}."
    )


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _seconds(moment: str) -> int:
    return int(datetime.fromisoformat(moment).timestamp())


__all__ = ["NotReadyOne", "achievement", "credential_of", "issuer", "revocations", "signed"]
