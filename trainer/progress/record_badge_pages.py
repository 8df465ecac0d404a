"""Addresses of readiness credentials: one's own to take away, and what anybody needs to verify one."""

from __future__ import annotations

import uuid
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from trainer.library.rules import rule_named
from trainer.library.shelf import NotOnShelf
from trainer.people.access import own
from trainer.progress.models import ReadinessRecord
from trainer.progress.pages import keep_up
from trainer.progress.record_badge import (
    CONTEXTS,
    At,
    NotReadyOne,
    achievement,
    credential_of,
    issuer,
    revocations,
    signed,
)  # fmt: skip
from trainer.progress.record_confirm import status_of
from trainer.progress.record_key import keys_in, public_part, signing_key
from trainer.progress.standing import standard_set
from trainer.progress.standings import now_of

PUBLIC = {"Cross-Origin-Resource-Policy": "cross-origin", "Access-Control-Allow-Origin": "*"}
"""A verifier in a browser elsewhere may read these: there is nothing of anybody in them."""


@login_required
@require_safe
def record_credential(request: HttpRequest, record_id: uuid.UUID) -> HttpResponse:
    """One's own record as a signed credential, while it stands, says ready, and its person still is."""
    record = get_object_or_404(own(ReadinessRecord.objects.all(), request.user), pk=record_id)
    keep_up()
    now, at = timezone.now(), addresses(request)
    try:
        if status_of(record, now.date()) != "stands" or now_of(record.person, now).state != "ready":
            raise NotReadyOne
        credential = credential_of(record, at)
    except NotReadyOne:
        return render(request, "progress/record_no_credential.html", {"page": "record", "record": record}, status=409)
    key = signing_key(settings.BADGE_KEYS)
    token = signed(credential, key, at("badge_key", thumbprint=key.thumbprint()))
    name = f"readiness-{record.made_at:%Y-%m-%d}.jwt"
    return HttpResponse(
        token, "text/plain; charset=utf-8", headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )


@require_safe
def badge_keys(request: HttpRequest) -> HttpResponse:
    """Every public key, as a JSON Web Key Set."""
    return _json({"keys": [_published(request, key) for key in keys_in(settings.BADGE_KEYS)]})


@require_safe
def badge_key(request: HttpRequest, thumbprint: str) -> HttpResponse:
    """One public key under the address by which tokens name it."""
    for key in keys_in(settings.BADGE_KEYS):
        if key.thumbprint() == thumbprint:
            return _json(_published(request, key))
    raise Http404("There is no such key.")


@require_safe
def badge_issuer(request: HttpRequest) -> HttpResponse:
    """Who issues."""
    return _json({"@context": list(CONTEXTS), **issuer(addresses(request))})


@require_safe
def badge_achievement(request: HttpRequest, rule: str) -> HttpResponse:
    """What was achieved, by the rule of that version."""
    return _json({"@context": list(CONTEXTS), **achievement(rule, _rule(rule).cut_points, addresses(request))})


@require_safe
def badge_criteria(request: HttpRequest, rule: str) -> HttpResponse:
    """What the rule of that version asks for, for people."""
    context = {"page": "confirm", "rule": _rule(rule), "set": standard_set()}
    return render(request, "progress/criteria.html", context)


@require_safe
def badge_revocations(request: HttpRequest, record_id: uuid.UUID) -> HttpResponse:
    """Whether the credential of that record stands today. Only whoever has the credential knows the address."""
    record = get_object_or_404(ReadinessRecord.objects.select_related("person"), pk=record_id)
    keep_up()
    return _json(revocations(record, addresses(request), now_of(record.person, timezone.now())))


def addresses(request: HttpRequest) -> At:
    """Full addresses on this site."""

    def at(name: str, **parts: Any) -> str:
        return request.build_absolute_uri(reverse(name, kwargs=parts))

    return at


def _published(request: HttpRequest, key: Any) -> dict[str, Any]:
    return public_part(key, addresses(request)("badge_key", thumbprint=key.thumbprint()))


def _rule(version: str) -> Any:
    try:
        return rule_named(version)
    except NotOnShelf as missing:
        raise Http404(str(missing)) from None


def _json(body: dict[str, Any]) -> JsonResponse:
    return JsonResponse(body, headers=PUBLIC)


urlpatterns = [
    path("readiness-record/<uuid:record_id>/credential.jwt", record_credential, name="record_credential"),
    path("credentials/keys/", badge_keys, name="badge_keys"),
    path("credentials/keys/<slug:thumbprint>/", badge_key, name="badge_key"),
    path("credentials/issuer/", badge_issuer, name="badge_issuer"),
    path("credentials/achievements/<slug:rule>/", badge_achievement, name="badge_achievement"),
    path("credentials/criteria/<slug:rule>/", badge_criteria, name="badge_criteria"),
    path("credentials/<uuid:record_id>/revocations/", badge_revocations, name="badge_revocations"),
]
