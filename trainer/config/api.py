"""The API's addresses: each room brings its own, and the whole describes itself."""

from __future__ import annotations

from django.urls import include, path
from drf_spectacular.views import SpectacularJSONAPIView

from trainer.config import described

urlpatterns = [
    path("", include("trainer.library.api")),
    path("", include("trainer.renders.api")),
    path("", include("trainer.drills.api")),
    path("", include("trainer.roster.api")),
    path("schema/", SpectacularJSONAPIView.as_view(), name="api_schema"),
]

__all__ = ["described", "urlpatterns"]
