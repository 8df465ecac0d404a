"""Addresses of this room's pages."""

from __future__ import annotations

from trainer.roster import decisions, given, kit_pages, reshoot_entry, reshoot_import, reshoot_pages, shoots

urlpatterns = [
    *shoots.urlpatterns,
    *decisions.urlpatterns,
    *kit_pages.urlpatterns,
    *given.urlpatterns,
    *reshoot_pages.urlpatterns,
    *reshoot_entry.urlpatterns,
    *reshoot_import.urlpatterns,
]
