"""The API of trying out: what a set of stations on a floor shows and links. Nothing of it is kept."""

from __future__ import annotations

from typing import Any

from django.urls import path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from scoring.floor.plan import REACH_M, Station
from scoring.floor.survey import survey
from trainer.renders.picture import survey_json
from trainer.renders.places import best_share, place_of
from trainer.renders.seats import RETRY_AFTER_S, NoSeat, seat

STATIONS_MAX = 60


class SpotSerializer(serializers.Serializer[Any]):
    """A station [m]."""

    level = serializers.IntegerField(min_value=0, max_value=9)
    x = serializers.FloatField(min_value=-REACH_M, max_value=REACH_M)
    y = serializers.FloatField(min_value=-REACH_M, max_value=REACH_M)


class TrySerializer(serializers.Serializer[Any]):
    """Stations to try on a floor with a kit."""

    kit = serializers.SlugField(max_length=60)
    stations = serializers.ListField(child=SpotSerializer(), max_length=STATIONS_MAX)


class SurveyView(APIView):
    """A survey of stations on a floor."""

    @extend_schema(
        operation_id="survey_floor",
        request=TrySerializer,
        responses={
            200: OpenApiResponse(OpenApiTypes.OBJECT, description="Stands, links, islands, covers and shapes."),
            409: OpenApiResponse(OpenApiTypes.OBJECT, description="A readiness check of yours is open."),
            503: OpenApiResponse(OpenApiTypes.OBJECT, description="Others are trying things out; come again."),
        },
    )
    def post(self, request: Request, slug: str) -> Response:
        """What these stations show and link."""
        fields = TrySerializer(data=request.data)
        fields.is_valid(raise_exception=True)
        place, address = place_of(slug, fields.validated_data["kit"])
        stations = [Station(**spot) for spot in fields.validated_data["stations"]]
        if any(station.level >= len(place.plan.levels) for station in stations):
            raise ValidationError(
                {"stations": [f"levels of {place.plan.title} go from 0 to {len(place.plan.levels) - 1}"]}
            )
        try:
            with seat():
                found = survey(place, stations, best_share(place, address, timezone.now()))
                return Response(survey_json(place, stations, found))
        except NoSeat as full:
            return Response({"detail": str(full)}, status=503, headers={"Retry-After": str(RETRY_AFTER_S)})


urlpatterns = [path("floors/<slug:slug>/survey/", SurveyView.as_view(), name="api_survey")]
