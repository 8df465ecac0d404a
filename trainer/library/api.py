"""The API of the shelf: which recipes and floors there are."""

from __future__ import annotations

from typing import Any

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from trainer.library import shelf


class RecipeSerializer(serializers.Serializer[Any]):
    """What one can practise."""

    name = serializers.CharField()
    kind = serializers.CharField()
    title = serializers.CharField()
    task = serializers.CharField()
    skills = serializers.ListField(child=serializers.CharField())


class RecipesView(APIView):
    """The recipes on the shelf."""

    @extend_schema(operation_id="list_recipes", responses=RecipeSerializer(many=True))
    def get(self, request: Request) -> Response:
        """Every recipe, by name."""
        return Response(RecipeSerializer(shelf.recipes(), many=True).data)


urlpatterns = [path("recipes/", RecipesView.as_view(), name="api_recipes")]
