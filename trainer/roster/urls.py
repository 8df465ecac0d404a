"""Addresses of this room's pages."""

from __future__ import annotations

from trainer.roster import decisions, given, kit_pages, shoots

urlpatterns = [*shoots.urlpatterns, *decisions.urlpatterns, *kit_pages.urlpatterns, *given.urlpatterns]
