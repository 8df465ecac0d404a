"""Signing in, signing out, and a password that was forgotten or is to be changed."""

from __future__ import annotations

from allauth.account import views
from django.urls import path, re_path

urlpatterns = [
    path("sign-in/", views.login, name="account_login"),
    path("sign-out/", views.logout, name="account_logout"),
    path("not-active/", views.account_inactive, name="account_inactive"),
    path("new/", views.signup, name="account_signup"),
    path("confirm/", views.reauthenticate, name="account_reauthenticate"),
    path("password/change/", views.password_change, name="account_change_password"),
    path("password/forgotten/", views.password_reset, name="account_reset_password"),
    path("password/forgotten/sent/", views.password_reset_done, name="account_reset_password_done"),
    re_path(
        r"^password/new/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        views.password_reset_from_key,
        name="account_reset_password_from_key",
    ),
    path("password/new/done/", views.password_reset_from_key_done, name="account_reset_password_from_key_done"),
]
