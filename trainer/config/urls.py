"""Every address of the site: rooms bring their own pages and their own API."""

from __future__ import annotations

from django.urls import include, path

urlpatterns = [
    path("account/", include("trainer.people.urls")),
    path("api/", include("trainer.config.api")),
    path("", include("trainer.people.pages")),
    path("", include("trainer.renders.health")),
    path("", include("trainer.library.pages")),
    path("", include("trainer.library.kits")),
    path("", include("trainer.library.skill_pages")),
    path("", include("trainer.drills.pages")),
    path("", include("trainer.drills.flags")),
    path("", include("trainer.drills.limits")),
    path("", include("trainer.drills.looking")),
    path("", include("trainer.drills.around")),
    path("", include("trainer.renders.bench")),
    path("", include("trainer.looks.pages")),
    path("", include("trainer.roster.urls")),
    path("", include("trainer.progress.pages")),
    path("", include("trainer.progress.refresher_pages")),
    path("", include("trainer.progress.plan_pages")),
    path("", include("trainer.progress.boards.pages")),
    path("", include("trainer.progress.boards.person")),
    path("", include("trainer.progress.boards.trainer_pages")),
    path("", include("trainer.progress.check_pages")),
    path("", include("trainer.progress.record_pages")),
    path("", include("trainer.progress.record_public")),
    path("", include("trainer.progress.record_badge_pages")),
    path("", include("trainer.progress.rule_page")),
    path("", include("trainer.progress.held_pages")),
]
