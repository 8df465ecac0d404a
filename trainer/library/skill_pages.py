"""The page of the skill map: what each skill asks for, its kit parts and cautions, and the drills that tell of it."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from trainer.library import shelf
from trainer.library.skills import group_names, practising, skill_map


@login_required
@require_safe
def skills(request: HttpRequest) -> HttpResponse:
    """Every skill of the map by its group."""
    by_skill = practising(shelf.recipes())
    groups: list[dict[str, Any]] = [
        {
            "code": group,
            "name": name,
            "skills": [
                {**skill, "recipes": by_skill.get(code, [])}
                for code, skill in skill_map().items()
                if code.startswith(group)
            ],
        }
        for group, name in group_names().items()
    ]
    stars = sum(skill["star"] for skill in skill_map().values())
    context = {"page": "skills", "groups": groups, "count": len(skill_map()), "stars": stars}
    return render(request, "library/skills.html", context)


urlpatterns = [path("skills/", skills, name="skills")]
