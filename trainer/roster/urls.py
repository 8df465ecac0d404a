"""Addresses of this room's pages."""

from __future__ import annotations

from trainer.roster import shoots

urlpatterns = [*shoots.urlpatterns]
