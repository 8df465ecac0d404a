"""Pages of this room and their addresses."""

from __future__ import annotations

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
