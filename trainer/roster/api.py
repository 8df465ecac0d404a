"""The API of observed shoots: a phone enters one under a key that it made, as often as the line needs."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.urls import path
from django.utils import timezone
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound, ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from trainer.people.access import people_trained_by
from trainer.roster.entry import EntryError, KeyTaken
from trainer.roster.models import ObservedShoot
from trainer.roster.sign import WORDS_MAX, sign


class ShootSerializer(serializers.Serializer[Any]):
    """A watched shoot with the key that its sender made for it."""

    client_key = serializers.UUIDField()
    by = serializers.UUIDField()
    """Who filled the form in; a phone that changed hands sends nothing in the name of the next one."""
    shot_on = serializers.DateField()
    seen = serializers.DictField(child=serializers.ChoiceField(choices=ObservedShoot.Seen.choices))
    signed = serializers.BooleanField()
    words = serializers.CharField(max_length=WORDS_MAX, allow_blank=True, required=False, default="")


class EnteredSerializer(serializers.Serializer[Any]):
    """The entry as it is stored."""

    client_key = serializers.UUIDField()
    shot_on = serializers.DateField()
    signed = serializers.BooleanField()
    made_at = serializers.DateTimeField()


class TakenSerializer(serializers.Serializer[Any]):
    """Why nothing was stored."""

    detail = serializers.CharField()


class ObservedView(APIView):
    """Watched shoots of one operator."""

    @extend_schema(
        operation_id="enter_observed_shoot",
        request=ShootSerializer,
        responses={
            200: EnteredSerializer,
            409: OpenApiResponse(TakenSerializer, description="The key belongs to another entry."),
        },
    )
    def put(self, request: Request, person_id: UUID) -> Response:
        """Enter a watched shoot; sent again with the same key, it gives the same entry again."""
        person = people_trained_by(request.user).filter(pk=person_id).first()
        if person is None:
            raise NotFound("You train nobody of that id.")
        given = ShootSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        fields = dict(given.validated_data)
        if fields["by"] != request.user.pk:
            raise NotFound("Somebody else filled this in; it waits for them.")
        try:
            shoot = sign(
                person,
                by=request.user,
                key=fields["client_key"],
                shot_on=fields["shot_on"],
                seen=fields["seen"],
                signed=fields["signed"],
                words=fields["words"],
                now=timezone.now(),
            )
        except EntryError as error:
            raise ValidationError({"detail": [str(error)]}) from None
        except KeyTaken as taken:
            return Response({"detail": str(taken)}, status=409)
        return Response(EnteredSerializer(shoot).data)


urlpatterns = [path("people/<uuid:person_id>/observed/", ObservedView.as_view(), name="api_observed")]
