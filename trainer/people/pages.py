"""Pages of this room: one's own settings, and what a browser keeps for hours without a connection."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods

from trainer.people import coming_in, firm_pages, members, offline
from trainer.people.access import teams_led_by
from trainer.people.models import Person


class OwnSettings(forms.ModelForm[Person]):
    """What a person sets for oneself."""

    class Meta:
        model = Person
        fields = ["units"]
        widgets = {"units": forms.RadioSelect}


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: HttpRequest) -> HttpResponse:
    """Units of length, password, signing out."""
    form = OwnSettings(request.POST or None, instance=request.user)  # type: ignore[arg-type]
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Kept.")
        return redirect("settings")
    context = {"page": "settings", "form": form, "leads": teams_led_by(request.user).exists()}
    return render(request, "people/settings.html", context)


urlpatterns = [
    path("settings/", settings, name="settings"),
    path("offline.js", offline.worker, name="offline_worker"),
    path("offline/", offline.away, name="offline"),
    *members.urlpatterns,
    *coming_in.urlpatterns,
    *firm_pages.urlpatterns,
]
